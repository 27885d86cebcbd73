package inspect

import (
	"fmt"
	"math"
)

// Outcome is a decision on conformity.
type Outcome string

// The outcomes of a decision. Rules with two outcomes give Pass or Fail only.
const (
	Pass            Outcome = "pass"
	ConditionalPass Outcome = "conditional pass" // inside the tolerance limit, not clear of it
	ConditionalFail Outcome = "conditional fail" // outside the tolerance limit, not clear of it
	Fail            Outcome = "fail"
)

// DecisionRule says how the uncertainty enters a decision on conformity; the job sheet names one.
type DecisionRule struct {
	ID          string  // "simple-acceptance", "guard-band" or "non-binary"
	GuardFactor float64 // guard band as a multiple of the expanded uncertainty; 0 for simple acceptance
}

// The decision rules. Source: JCGM 106:2012 8.2 and 8.3; ILAC-G8:09/2019 for the four outcomes (read in summary).
var (
	// SimpleAcceptance takes the measured value as if it were true: up to half of the decisions at the limit are wrong.
	SimpleAcceptance = DecisionRule{ID: "simple-acceptance"}
	// GuardBand passes only values that are inside the limit by the expanded uncertainty.
	GuardBand = DecisionRule{ID: "guard-band", GuardFactor: 1}
	// NonBinary passes and fails only clear cases and marks the rest as conditional.
	NonBinary = DecisionRule{ID: "non-binary", GuardFactor: 1}
)

// DecisionRuleByID returns the named decision rule with its usual guard band.
func DecisionRuleByID(id string) (DecisionRule, bool) {
	for _, r := range []DecisionRule{SimpleAcceptance, GuardBand, NonBinary} {
		if r.ID == id {
			return r, true
		}
	}
	return DecisionRule{}, false
}

// Decision is a decision with its grounds, in the unit of the value.
type Decision struct {
	Rule        DecisionRule
	Outcome     Outcome
	Guard       float64 // width of the guard band
	Conformance float64 // probability that the quantity conforms, given value and uncertainty
	Text        string  // in plain words
}

// Decide returns the decision on a value with its uncertainty against tolerance limits. lower and upper may be -Inf and
// +Inf when the requirement has one side only. A value on an acceptance limit is accepted.
//
// Errors: unknown rule, limits in the wrong order, a value that is not a number, a guard band that leaves no room.
func (r DecisionRule) Decide(value float64, u Uncertainty, lower, upper float64) (Decision, error) {
	if _, ok := DecisionRuleByID(r.ID); !ok {
		return Decision{}, fmt.Errorf("inspect: decision rule %q is not known, expected %s, %s or %s",
			r.ID, SimpleAcceptance.ID, GuardBand.ID, NonBinary.ID)
	}
	if !(lower <= upper) || math.IsNaN(value) || !(u.Combined >= 0) || !(u.Expanded >= 0) {
		return Decision{}, fmt.Errorf("inspect: cannot decide on value %v with limits %v to %v and expanded uncertainty %v", value, lower, upper, u.Expanded)
	}
	d := Decision{Rule: r, Guard: float64(r.GuardFactor * u.Expanded), Conformance: Conformance(value, u.Combined, lower, upper)}
	if r.ID == SimpleAcceptance.ID {
		d.Guard = 0
	}
	if lower+d.Guard > upper-d.Guard {
		return Decision{}, fmt.Errorf("inspect: guard bands of %s leave no acceptance interval between %s and %s; measure with less uncertainty", figure(d.Guard), figure(lower), figure(upper))
	}
	d.Outcome = r.outcome(value, d.Guard, lower, upper)
	d.Text = fmt.Sprintf("%s by %s: %s with U = %s against %s, guard band %s; the requirement is met with probability %s %%",
		d.Outcome, r.ID, figure(value), figure(u.Expanded), limitsText(lower, upper), figure(d.Guard), figure(100*d.Conformance))
	return d, nil
}

func (r DecisionRule) outcome(value, guard, lower, upper float64) Outcome {
	switch {
	case within(value, lower+guard, upper-guard):
		return Pass
	case r.ID != NonBinary.ID:
		return Fail
	case within(value, lower, upper):
		return ConditionalPass
	case within(value, lower-guard, upper+guard):
		return ConditionalFail
	}
	return Fail
}

func limitsText(lower, upper float64) string {
	switch {
	case math.IsInf(lower, -1) && math.IsInf(upper, 1):
		return "no limit"
	case math.IsInf(upper, 1):
		return "at least " + figure(lower)
	case math.IsInf(lower, -1):
		return "at most " + figure(upper)
	}
	return figure(lower) + " to " + figure(upper)
}

// Conformance returns the probability that the quantity lies between the limits when it is normally distributed about
// the measured value with the given standard uncertainty. Source: JCGM 106:2012 7.2 and 7.4.
func Conformance(value, standardUncertainty, lower, upper float64) float64 {
	if standardUncertainty == 0 {
		if value >= lower && value <= upper {
			return 1
		}
		return 0
	}
	// Taken from the nearer tail, so that a small probability keeps its digits.
	a, b := (lower-value)/standardUncertainty, (upper-value)/standardUncertainty
	if a > 0 {
		return normalUpper(a) - normalUpper(b)
	}
	return NormalCDF(b) - NormalCDF(a)
}

// FalseAcceptRisk returns the largest probability of accepting something that does not conform: that of a value right
// on the acceptance limit, for a one-sided requirement and a guard band of the given width in standard uncertainties.
// 0 gives 0.5; 1.645 gives 0.05; 2 gives 0.0228. Source: JCGM 106:2012 8.3.2 model.
func FalseAcceptRisk(guardInStandardUncertainties float64) float64 {
	return normalUpper(guardInStandardUncertainties)
}
