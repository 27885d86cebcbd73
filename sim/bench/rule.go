package bench

import (
	"fmt"

	"foilwright/sim/inspect"
)

// The verdicts of a report. The conditional ones belong to a decision rule
// with more than two outcomes.
const (
	Accept            = "accept"
	ConditionalAccept = "accept conditionally"
	ConditionalReject = "reject conditionally"
	Reject            = "reject"
)

// Rule is what the job sheet decides by. Where standards contradict each
// other, the sheet names the one that holds.
type Rule struct {
	Name string // in words, as on the sheet
	inspect.Requirement
	Plan     string  // sampling plan of sim/inspect; empty: the sheet's own numbers
	AreaM2   float64 // coated area the plan is for
	Accuracy string  // accuracy statement that a result must support; empty: that of ASTM E376
	EdgeRule string  // how far from edges; empty: found by trial with the probe
}

// Verdicts lists what a trainee may decide under the rule.
func (r *Rule) Verdicts() []string {
	if r.Decision == inspect.NonBinary.ID {
		return []string{Accept, ConditionalAccept, ConditionalReject, Reject}
	}
	return []string{Accept, Reject}
}

// Verdict applies the rule to the spots, whose mean counts as stated.
func (r *Rule) Verdict(spots []inspect.Spot, s inspect.Stated) string {
	switch r.Outcome(spots, s) {
	case inspect.Pass:
		return Accept
	case inspect.ConditionalPass:
		return ConditionalAccept
	case inspect.ConditionalFail:
		return ConditionalReject
	}
	return Reject
}

// Accepts reports whether a verdict lets the coating pass.
func Accepts(verdict string) bool { return verdict == Accept || verdict == ConditionalAccept }

// Tolerance is the accuracy statement that the sheet names.
func (r *Rule) Tolerance() inspect.ToleranceRule {
	if t, ok := inspect.ToleranceByID(r.Accuracy); ok {
		return t
	}
	t, _ := inspect.ToleranceByID("astm-e376")
	return t
}

// Edge is the statement on edges that the sheet names; false when it names
// none.
func (r *Rule) Edge() (inspect.EdgeRule, bool) { return inspect.EdgeRuleByID(r.EdgeRule) }

// Sampling is the plan that the sheet names; false when it names none.
func (r *Rule) Sampling() (inspect.Plan, bool) {
	if r.Plan == "" {
		return inspect.Plan{}, false
	}
	p, err := inspect.PlanFor(r.Plan, r.AreaM2)
	return p, err == nil
}

// area is the number of the area a spot of the plan lies in: the spots are
// measured area by area.
func (r *Rule) area(spot int) int {
	p, ok := r.Sampling()
	if !ok || p.Areas < 2 {
		return 0
	}
	return min(spot*p.Areas/p.Spots, p.Areas-1) + 1
}

// Check reports what of the rule cannot be used.
func (r *Rule) Check(j *Job) error {
	if err := r.Requirement.Check(); err != nil {
		return err
	}
	if r.Decision != "" && r.Decision != inspect.SimpleAcceptance.ID && r.GuardUm == 0 && !j.StateUncertainty {
		return fmt.Errorf("the decision rule %s needs a guard band: fix one, or ask for the uncertainty of the mean", r.Decision)
	}
	if _, ok := inspect.ToleranceByID(r.Accuracy); r.Accuracy != "" && !ok {
		return fmt.Errorf("accuracy statement %q is not known", r.Accuracy)
	}
	if _, ok := r.Edge(); r.EdgeRule != "" && !ok {
		return fmt.Errorf("edge rule %q is not known", r.EdgeRule)
	}
	if r.Plan == "" {
		return nil
	}
	p, err := inspect.PlanFor(r.Plan, r.AreaM2)
	if err != nil {
		return err
	}
	if j.Spots < p.Spots || j.PerSpot < p.PerSpot {
		return fmt.Errorf("the plan %s asks for %d spots of %d readings on %g m², more than the job's %d of %d", r.Plan, p.Spots, p.PerSpot, r.AreaM2, j.Spots, j.PerSpot)
	}
	return nil
}

// Spots are the readings of the reported series by spot, in um, less the
// allowance, leaving out readings of an earlier job.
func (r *Result) Spots(rule *Rule, resolutionUm float64) []inspect.Spot {
	var spots []inspect.Spot
	last := 0
	for _, s := range r.Readings {
		if s.Spot == 0 {
			continue
		}
		if s.Spot != last {
			spots = append(spots, inspect.Spot{Area: rule.area(len(spots))})
			last = s.Spot
		}
		spot := &spots[len(spots)-1]
		spot.ReadingsUm = append(spot.ReadingsUm, float64(float64(s.Counts)*resolutionUm)-r.AllowanceUm)
	}
	return spots
}

// Stated is what the report puts down for the series.
func (r *Result) Stated() inspect.Stated {
	return inspect.Stated{MeanUm: r.MeanUm, ExpandedUm: r.ExpandedUm}
}

// gridSide is the number of places along each side of the area at which the
// truth is judged; the grid of part.Coating.MeanOverUm.
const gridSide = 40

// TrueVerdict is what the rule says of the truth, by its own decision rule: of
// the true local thickness at every place of a grid over the area, each as a
// spot of one reading, and of the true mean. A guard band is kept as the sheet
// keeps it: a film that meets its specification and lies in the band of an
// acceptance limit moved inward (JCGM 106:2012, 8.3) is rightly rejected. Where
// the sheet fixes no band, it is expandedUm, the expanded uncertainty of the
// mean that is decided on; see Record.HoldingUm.
func (w *World) TrueVerdict(expandedUm float64) string {
	return w.Exercise.Job.Rule.Verdict(w.trueSpots(), inspect.Stated{MeanUm: w.TrueMeanUm, ExpandedUm: expandedUm})
}

// TrueGrounds tells in words what decided the true verdict: the limit that was
// not met, or the one that the mean met.
func (w *World) TrueGrounds(expandedUm float64) string {
	judged, err := w.Exercise.Job.Rule.Judge(w.trueSpots(), inspect.Stated{MeanUm: w.TrueMeanUm, ExpandedUm: expandedUm})
	if err != nil || len(judged.Reasons) == 0 {
		return ""
	}
	first := judged.Reasons[0]
	if first.Spot < 0 {
		return first.Text
	}
	return fmt.Sprintf("there is a place of %.1f µm, and the limit for a spot is %.1f µm", first.ValueUm, first.Limit)
}

func (w *World) trueSpots() []inspect.Spot {
	a := w.Exercise.Job.Area
	um := make([]float64, 0, gridSide*gridSide)
	spots := make([]inspect.Spot, 0, gridSide*gridSide)
	for i := range gridSide {
		for k := range gridSide {
			x := a.X + float64(a.Width*(float64(i)+0.5)/gridSide)
			y := a.Y + float64(a.Height*(float64(k)+0.5)/gridSide)
			um = append(um, w.Part.Coating.LocalUm(x, y)+w.layersUm(0))
			spots = append(spots, inspect.Spot{ReadingsUm: um[len(um)-1:]})
		}
	}
	return spots
}
