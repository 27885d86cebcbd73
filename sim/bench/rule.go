package bench

// Accept and Reject are the verdicts of a report.
const (
	Accept = "accept"
	Reject = "reject"
)

// Verdict applies the rule to the mean of the spots and the single spot means,
// all in um. Values on a limit are accepted; a millionth of a micrometre of
// grace keeps binary rounding from deciding.
func (r Rule) Verdict(meanUm float64, spotMeansUm []float64) string {
	const grace = 1e-6
	if !(meanUm >= r.MinimumUm-grace) {
		return Reject
	}
	least := float64(r.SpotFraction * r.MinimumUm)
	for _, um := range spotMeansUm {
		if !(um >= least-grace) {
			return Reject
		}
	}
	return Accept
}

// TrueVerdict is what the rule says of the true mean over the area.
func (w *World) TrueVerdict() string {
	return w.Exercise.Job.Rule.Verdict(w.TrueMeanUm, nil)
}
