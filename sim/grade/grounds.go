package grade

import (
	"fmt"

	"foilwright/sim/inspect"
)

// Grounds tells which rules of the job sheet led from the report to a verdict,
// and by which of their limits.
type Grounds struct {
	Rule     string       `json:"rule"`     // id of the acceptance rule
	Text     string       `json:"text"`     // what it asks
	Source   string       `json:"source"`   // standard, and how sure of its wording
	Decision string       `json:"decision"` // how the uncertainty entered
	GuardUm  float64      `json:"guard_um"`
	Plan     string       `json:"plan"`     // of sampling
	Accuracy string       `json:"accuracy"` // what U a result may have
	Edge     string       `json:"edge"`     // distance from edges
	Reasons  []Limitation `json:"reasons"`  // limits looked at, those not met first
}

// Limitation is one limit of a rule and whether it was met.
type Limitation struct {
	Met  bool   `json:"met"`
	Text string `json:"text"`
}

// grounds judges the report with words. A rule that cannot be used is refused
// when the world is made.
func (v *evidence) grounds() Grounds {
	rule := &v.e.Job.Rule
	stated := v.r.Result.Stated()
	stated.ExpandedUm = v.r.HoldingUm()
	judged, err := rule.Judge(v.r.Result.Spots(rule, v.res), stated)
	if err != nil {
		return Grounds{Text: err.Error(), Reasons: []Limitation{}}
	}
	accuracy := rule.Tolerance()
	g := Grounds{
		Rule: judged.Rule.ID, Text: judged.Rule.Text, Source: sourced(judged.Rule.Standard, judged.Rule.Confidence),
		Decision: judged.Text, GuardUm: judged.GuardUm, Reasons: []Limitation{},
		Plan:     fmt.Sprintf("%s of %s, as the job sheet says", plural(v.e.Job.Spots, "spot"), plural(v.e.Job.PerSpot, "reading")),
		Accuracy: sourced(accuracy.Standard, accuracy.Confidence),
		Edge:     fmt.Sprintf("%.1f mm, found by trial with this probe (ISO 2178 and ISO 2360, from memory)", v.w.EdgeLimitMm()),
	}
	if p, ok := rule.Sampling(); ok {
		g.Plan = fmt.Sprintf("at least %s and %s in all on %g m²: %s", plural(p.Spots, "spot"), plural(p.Readings, "reading"), rule.AreaM2, sourced(p.Standard, p.Confidence))
	}
	switch named, ok := rule.Edge(); {
	case v.limits.EdgeMm > 0:
		g.Edge = fmt.Sprintf("%g mm, as the exercise says", v.limits.EdgeMm)
	case ok && named.LeastMm > 0:
		g.Edge = fmt.Sprintf("%g mm: %s", named.LeastMm, sourced(named.Standard, named.Confidence))
	}
	for _, r := range judged.Reasons {
		g.Reasons = append(g.Reasons, Limitation{r.Met, r.Text})
	}
	return g
}

// sourced writes a standard with how sure we are of its wording.
func sourced(standard string, c inspect.Confidence) string {
	if c == inspect.CommonPractice || c == inspect.Read {
		return standard
	}
	return fmt.Sprintf("%s (%s)", standard, c)
}
