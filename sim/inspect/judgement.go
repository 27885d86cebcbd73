package inspect

import "fmt"

// judgement collects the reasons while a rule looks at its limits.
type judgement struct {
	terms       Terms
	spots       []Spot
	stated      float64 // mean to judge in place of that of the readings; 0: none
	meanUm      float64
	broken, met []Reason

	quiet  bool // give no reasons
	failed bool // a limit was not met
}

func (j *judgement) verdict(rule AcceptanceRule) Verdict {
	return Verdict{Rule: rule, Accepted: len(j.broken) == 0, MeanUm: j.meanUm, Reasons: append(j.broken, j.met...)}
}

// miss notes whether a limit was kept and reports whether a reason is wanted.
func (j *judgement) miss(kept bool) (tell bool) {
	j.failed = j.failed || !kept
	return !j.quiet
}

func (j *judgement) add(r Reason) {
	if r.Met {
		j.met = append(j.met, r)
		return
	}
	j.broken = append(j.broken, r)
}

// limit is one bound on a value; a bound of 0 means there is none.
type limit struct {
	um    float64
	upper bool
	words string // "minimum", "80 % of the minimum"
}

// none tells that there is no such limit.
func (l limit) none() bool { return l.upper && l.um == 0 }

// keptBy tells that a value keeps the limit.
func (l limit) keptBy(value float64) bool {
	if l.upper {
		return l.none() || !above(value, l.um)
	}
	return !below(value, l.um)
}

// word says on which side of the limit is wrong.
func (l limit) word() string {
	if l.upper {
		return "above"
	}
	return "below"
}

// note adds the comparison of one value with one limit to the reasons.
func (j *judgement) note(what string, spot, reading int, value float64, l limit) {
	if l.none() {
		return
	}
	kept, relation := l.keptBy(value), l.word()
	if !j.miss(kept) {
		return
	}
	if kept {
		relation = "not " + relation
	}
	j.add(Reason{
		Met: kept, Spot: spot, Reading: reading, ValueUm: value, Limit: l.um,
		Text: fmt.Sprintf("%s %s µm is %s %s µm (%s)", what, figure(value), relation, figure(l.um), l.words),
	})
}

// noteAll adds one met reason for a limit that all spots or readings kept.
func (j *judgement) noteAll(what string, l limit) {
	if l.none() || j.quiet {
		return
	}
	j.add(Reason{
		Met: true, Spot: -1, Reading: -1, Limit: l.um,
		Text: fmt.Sprintf("no %s is %s %s µm (%s)", what, l.word(), figure(l.um), l.words),
	})
}

// spotMeans judges every spot mean against the limits.
func (j *judgement) spotMeans(limits ...limit) {
	for _, l := range limits {
		kept := true
		for i, s := range j.spots {
			mean := Describe(s.ReadingsUm).Mean - j.terms.CorrectionUm
			if !l.keptBy(mean) {
				kept = false
				if j.miss(false) {
					j.note(fmt.Sprintf("spot %d mean", i+1), i, -1, mean, l)
				}
			}
		}
		if kept {
			j.noteAll("spot mean", l)
		}
	}
}

// readings judges every single reading against the limits.
func (j *judgement) readings(limits ...limit) {
	for _, l := range limits {
		kept := true
		for i, s := range j.spots {
			for k, v := range s.ReadingsUm {
				if value := v - j.terms.CorrectionUm; !l.keptBy(value) {
					kept = false
					if j.miss(false) {
						j.note(fmt.Sprintf("spot %d reading %d", i+1, k+1), i, k, value, l)
					}
				}
			}
		}
		if kept {
			j.noteAll("reading", l)
		}
	}
}

// meanLimits are the limits of a mean, moved inward by the guard band.
func (j *judgement) meanLimits() (minimum, maximum limit) {
	words := ""
	if j.terms.MeanGuardUm > 0 && !j.quiet {
		words = fmt.Sprintf(" with a guard band of %s µm", figure(j.terms.MeanGuardUm))
	}
	minimum = limit{um: j.terms.MinimumUm + j.terms.MeanGuardUm, words: "minimum" + words}
	maximum = limit{upper: true, words: "maximum" + words}
	if j.terms.MaximumUm != 0 {
		maximum.um = j.terms.MaximumUm - j.terms.MeanGuardUm
	}
	return minimum, maximum
}

// allReadings returns the corrected readings of all spots in order.
func (j *judgement) allReadings() []float64 {
	var all []float64
	for _, s := range j.spots {
		for _, v := range s.ReadingsUm {
			all = append(all, v-j.terms.CorrectionUm)
		}
	}
	return all
}

// areaMean is the mean of the spot means of one area.
type areaMean struct {
	area   int
	meanUm float64
}

// areaMeans returns the corrected means of the areas in the order in which they first occur.
func areaMeans(spots []Spot, correctionUm float64) []areaMean {
	var order []int
	for _, s := range spots {
		seen := false
		for _, a := range order {
			seen = seen || a == s.Area
		}
		if !seen {
			order = append(order, s.Area)
		}
	}
	var means []areaMean
	for _, a := range order {
		var spotMeans []float64
		for _, s := range spots {
			if s.Area == a {
				spotMeans = append(spotMeans, Describe(s.ReadingsUm).Mean)
			}
		}
		means = append(means, areaMean{a, Describe(spotMeans).Mean - correctionUm})
	}
	return means
}
