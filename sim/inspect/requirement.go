package inspect

import (
	"fmt"
	"math"
)

// Requirement is what a job sheet decides by: an acceptance rule with its terms, and how the uncertainty of the mean
// enters.
type Requirement struct {
	Acceptance string // id of an acceptance rule; empty: "mean-and-spots"
	Terms
	Decision string  // id of a decision rule; empty: "simple-acceptance"
	GuardUm  float64 // guard band the sheet fixes, um; 0: the expanded uncertainty of the mean, where the decision rule keeps one
}

// Stated is what was put down for a series, um. The zero value takes the mean from the readings.
type Stated struct {
	MeanUm     float64 // mean of the series where that is not to be worked out from the readings; 0: it is
	ExpandedUm float64 // expanded uncertainty of the mean; 0: none
}

// Judged is a verdict with the decision rule that led to it.
type Judged struct {
	Verdict
	Outcome  Outcome
	Decision DecisionRule
	GuardUm  float64 // guard band kept for the mean
	Text     string  // in plain words, how the uncertainty entered
}

// rule returns the acceptance rule, the usual one where none is named.
func (q *Requirement) rule() string {
	if q.Acceptance == "" {
		return "mean-and-spots"
	}
	return q.Acceptance
}

// decision returns the decision rule, the usual one where none is named.
func (q *Requirement) decision() (DecisionRule, bool) {
	if q.Decision == "" {
		return SimpleAcceptance, true
	}
	return DecisionRuleByID(q.Decision)
}

// judgesMean tells whether an acceptance rule looks at a mean at all, so that a guard band for it has a meaning.
func judgesMean(rule string) bool { return rule != "imo-90-10" && rule != "local-minimum" }

// UsesMaximum, UsesMaximumFactor and UsesSpotPercent tell which limits besides the minimum the acceptance rule looks at.
func (q *Requirement) UsesMaximum() bool { return judgesMean(q.rule()) && q.rule() != "pa2-level-5" }

// UsesMaximumFactor is told of at UsesMaximum.
func (q *Requirement) UsesMaximumFactor() bool { return q.rule() == "iso19840-80-20" }

// UsesSpotPercent is told of at UsesMaximum.
func (q *Requirement) UsesSpotPercent() bool { return q.rule() == "mean-and-spots" }

// Check tells what of the requirement does not fit together.
func (q *Requirement) Check() error {
	rule, ok := AcceptanceRuleByID(q.rule())
	if !ok {
		return fmt.Errorf("inspect: acceptance rule %q is not known, expected one of %v", q.Acceptance, ruleIDs())
	}
	decision, ok := q.decision()
	if !ok {
		return fmt.Errorf("inspect: decision rule %q is not known, expected %s, %s or %s", q.Decision, SimpleAcceptance.ID, GuardBand.ID, NonBinary.ID)
	}
	switch {
	case decision.ID != SimpleAcceptance.ID && !judgesMean(rule.ID):
		return fmt.Errorf("inspect: acceptance rule %s judges no mean, so the decision rule %s has nothing to guard; use %s", rule.ID, decision.ID, SimpleAcceptance.ID)
	case !(q.GuardUm >= 0) || q.GuardUm > 0 && decision.ID == SimpleAcceptance.ID:
		return fmt.Errorf("inspect: guard band of %v µm with the decision rule %s, expected one of 0 or above, and 0 for %s", q.GuardUm, decision.ID, SimpleAcceptance.ID)
	}
	terms := q.Terms
	terms.MeanGuardUm = q.GuardUm
	return terms.check(rule)
}

// guardUm is the guard band that the decision rule keeps.
func (q *Requirement) guardUm(s Stated) float64 {
	decision, _ := q.decision()
	switch {
	case decision.ID == SimpleAcceptance.ID:
		return 0
	case q.GuardUm > 0:
		return q.GuardUm
	}
	return float64(decision.GuardFactor * s.ExpandedUm)
}

// Outcome decides without giving reasons; Fail where there is nothing to judge.
//
// Source: JCGM 106:2012 8.2 and 8.3; ILAC-G8:09/2019 for the conditional outcomes (read in summary).
func (q *Requirement) Outcome(spots []Spot, s Stated) Outcome {
	if len(spots) == 0 {
		return Fail
	}
	guard := q.guardUm(s)
	switch {
	case q.keeps(spots, s, guard):
		return Pass
	case q.Decision != NonBinary.ID:
		return Fail
	case q.keeps(spots, s, 0):
		return ConditionalPass
	case q.keeps(spots, s, -guard):
		return ConditionalFail
	}
	return Fail
}

// keeps tells whether the spots keep every limit, those of the mean moved inward by the guard band.
func (q *Requirement) keeps(spots []Spot, s Stated, guardUm float64) bool {
	j := judgement{terms: q.Terms, spots: spots, stated: s.MeanUm, quiet: true}
	j.terms.MeanGuardUm = guardUm
	j.apply(q.rule())
	return !j.failed
}

// Judge decides and gives the reasons: every limit that was looked at, those not met first.
//
// Errors: a requirement that does not fit together, spots that cannot be judged.
func (q *Requirement) Judge(spots []Spot, s Stated) (Judged, error) {
	if err := q.Check(); err != nil {
		return Judged{}, err
	}
	if err := checkSpots(spots); err != nil {
		return Judged{}, err
	}
	rule, _ := AcceptanceRuleByID(q.rule())
	decision, _ := q.decision()
	out := Judged{Decision: decision, GuardUm: q.guardUm(s), Outcome: q.Outcome(spots, s)}
	j := judgement{terms: q.Terms, spots: spots, stated: s.MeanUm}
	j.terms.MeanGuardUm = out.GuardUm
	j.apply(rule.ID)
	out.Verdict = j.verdict(rule)
	out.Text = out.words(q.Terms, s)
	return out, nil
}

func (d *Judged) words(t Terms, s Stated) string {
	switch {
	case d.Decision.ID == SimpleAcceptance.ID:
		return "simple acceptance: a value on its limit is accepted, and nothing is kept back for the uncertainty"
	case d.GuardUm == 0:
		return fmt.Sprintf("%s: no uncertainty was stated, so there is no guard band to keep", d.Decision.ID)
	}
	text := fmt.Sprintf("%s: the limits of the mean are moved inward by %s µm", d.Decision.ID, figure(d.GuardUm))
	if d.Decision.ID == NonBinary.ID {
		text += "; between there and the limit the outcome is a conditional pass, as far outside it a conditional fail"
	}
	if s.ExpandedUm > 0 {
		upper := math.Inf(1)
		if t.MaximumUm > 0 {
			upper = t.MaximumUm
		}
		// U is stated with k = 2 (GUM 6.2.1).
		p := Conformance(d.MeanUm, s.ExpandedUm/2, t.MinimumUm, upper)
		text += fmt.Sprintf("; the mean meets its requirement with a probability of %s %%", figure(100*p))
	}
	return text
}
