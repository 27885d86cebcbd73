package inspect

import "fmt"

// Spot is a measured spot: its readings in um and the number of the area it lies in (any numbers; 0 when the job has
// one area). Rules that judge single readings look at the readings of all spots in order.
type Spot struct {
	Area       int
	ReadingsUm []float64
}

// Terms are the figures a job sheet gives to its acceptance rule, um. Which of them a rule uses is in its description.
type Terms struct {
	MinimumUm float64 // NDFT, or lower limit of the specification; must be above 0
	MaximumUm float64 // upper limit of the specification; 0: none
	// MaximumFactor makes the maximum a multiple of the minimum, as ISO 12944-5 does; 0: none. With MaximumUm also
	// given the smaller holds. Used by "iso19840-80-20" only.
	MaximumFactor float64
	// FifthAllowed decides the case on which readers of ISO 19840 differ: exactly 20 % of the readings between 80 % and
	// 100 % of NDFT is accepted when set.
	FifthAllowed bool
	// SpotPercent is the least spot mean in per cent of the minimum. Used by "mean-and-spots" only.
	SpotPercent float64
	// CorrectionUm is subtracted from every reading before judging: the allowance for a rough base.
	CorrectionUm float64
	// MeanGuardUm moves the limits of the mean inward, a guard band for its uncertainty.
	MeanGuardUm float64
}

// AcceptanceRule describes a rule that a job sheet can name.
type AcceptanceRule struct {
	ID         string
	Text       string // what it asks, in plain words
	Standard   string
	Confidence Confidence
}

// AcceptanceRules lists the rules Judge knows, in the order they are offered.
func AcceptanceRules() []AcceptanceRule {
	const pa2 = "SSPC-PA 2 (2012 and later), restriction levels; existence of five levels read, their limits from memory"
	return []AcceptanceRule{
		{"pa2-level-1", "each area mean and each spot mean within the specification", pa2, FromMemory},
		{"pa2-level-2", "each area mean within the specification; no spot mean below the minimum or above 120 % of the maximum", pa2, FromMemory},
		{"pa2-level-3", "each area mean within the specification; no spot mean below 80 % of the minimum or above 120 % of the maximum", "SSPC-PA 2, level 3, the one that holds when none is named; classic form of the rule", Read},
		{"pa2-level-4", "each area mean within the specification; no spot mean below 80 % of the minimum or above 150 % of the maximum", pa2, FromMemory},
		{"pa2-level-5", "each area mean at least the minimum; no spot mean below 80 % of it; no maximum", pa2, FromMemory},
		{"iso19840-80-20", "mean of all readings at least NDFT; none below 80 % of it; fewer than 20 % of them (or just 20 %, as the job sheet says) below NDFT; none above the maximum", "ISO 19840 by secondary texts, which differ on exactly 20 %", Read},
		{"imo-90-10", "at least 90 % of the readings not below NDFT; none below 90 % of NDFT", "IMO MSC.215(82) annex 3", Read},
		{"local-minimum", "no spot mean below the minimum", "ISO 2064: minimum thickness is the lowest local thickness", Read},
		{"mean-and-spots", "mean of the spot means at least the minimum; no spot mean below the stated per cent of it", "common practice, no source", CommonPractice},
	}
}

// AcceptanceRuleByID returns the named rule.
func AcceptanceRuleByID(id string) (AcceptanceRule, bool) {
	for _, r := range AcceptanceRules() {
		if r.ID == id {
			return r, true
		}
	}
	return AcceptanceRule{}, false
}

// Verdict is the outcome of an acceptance rule.
type Verdict struct {
	Rule     AcceptanceRule
	Accepted bool
	MeanUm   float64  // mean that the rule judged: of the area means or of all readings, corrected
	Reasons  []Reason // every limit that was looked at, broken ones first
}

// Reason is one limit of a rule and whether it was met.
type Reason struct {
	Met     bool
	Text    string  // in plain words, with the figures
	Spot    int     // index into the spots; -1 when it concerns an area or everything
	Reading int     // index into the spot's readings; -1 when it concerns the spot mean
	ValueUm float64 // what was judged; a count when the limit is a count
	Limit   float64
}

// Broken returns the reasons that were not met.
func (v Verdict) Broken() []Reason {
	n := 0
	for n < len(v.Reasons) && !v.Reasons[n].Met {
		n++
	}
	return v.Reasons[:n]
}

// Judge applies the named acceptance rule with the terms of the job sheet to the spots. Values on a limit are accepted.
//
// Errors: unknown rule, terms that do not fit it, no spots, a spot without readings, a reading that is not a number.
func Judge(ruleID string, terms Terms, spots []Spot) (Verdict, error) {
	rule, ok := AcceptanceRuleByID(ruleID)
	if !ok {
		return Verdict{}, fmt.Errorf("inspect: acceptance rule %q is not known, expected one of %v", ruleID, ruleIDs())
	}
	if err := terms.check(rule); err != nil {
		return Verdict{}, err
	}
	if err := checkSpots(spots); err != nil {
		return Verdict{}, err
	}
	j := judgement{terms: terms, spots: spots}
	j.apply(ruleID)
	return j.verdict(rule), nil
}

// apply looks at every limit of the rule.
func (j *judgement) apply(ruleID string) {
	switch ruleID {
	case "iso19840-80-20":
		j.eightyTwenty()
	case "imo-90-10":
		j.ninetyTen()
	case "local-minimum":
		j.localMinimum()
	case "mean-and-spots":
		j.meanAndSpots()
	default:
		j.restrictionLevel(ruleID)
	}
}

func ruleIDs() []string {
	var ids []string
	for _, r := range AcceptanceRules() {
		ids = append(ids, r.ID)
	}
	return ids
}

func (t Terms) check(rule AcceptanceRule) error {
	wrong := func(what string, v float64, expected string) error {
		return fmt.Errorf("inspect: acceptance rule %s: %s is %v, expected %s", rule.ID, what, v, expected)
	}
	switch {
	case !(t.MinimumUm > 0) || t.MinimumUm > 1e6:
		return wrong("minimum", t.MinimumUm, "a thickness above 0 µm")
	case t.MaximumUm != 0 && !(t.MaximumUm >= t.MinimumUm):
		return wrong("maximum", t.MaximumUm, "0 for none, or at least the minimum")
	case t.MaximumFactor != 0 && !(t.MaximumFactor >= 1):
		return wrong("maximum factor", t.MaximumFactor, "0 for none, or 1 and above, such as 2 or 3")
	case !(t.CorrectionUm >= 0):
		return wrong("correction", t.CorrectionUm, "0 µm or above")
	case !(t.MeanGuardUm >= 0):
		return wrong("guard band", t.MeanGuardUm, "0 µm or above")
	case rule.ID == "mean-and-spots" && !(t.SpotPercent > 0 && t.SpotPercent <= 100):
		return wrong("spot per cent", t.SpotPercent, "above 0 and at most 100, such as 80")
	case t.MaximumUm != 0 && t.MinimumUm+t.MeanGuardUm > t.MaximumUm-t.MeanGuardUm:
		return wrong("guard band", t.MeanGuardUm, "one that leaves room between minimum and maximum")
	}
	return nil
}

func checkSpots(spots []Spot) error {
	if len(spots) == 0 {
		return fmt.Errorf("inspect: no spots to judge; measure at least one")
	}
	for i, s := range spots {
		if len(s.ReadingsUm) == 0 {
			return fmt.Errorf("inspect: spot %d has no readings; measure it or leave it out", i+1)
		}
		for k, v := range s.ReadingsUm {
			if !(v >= -1e6 && v <= 1e6) {
				return fmt.Errorf("inspect: spot %d reading %d is %v, expected a thickness in µm", i+1, k+1, v)
			}
		}
	}
	return nil
}

// MaximumFactor returns the multiple of NDFT that single readings may not exceed, by the edition (year) of ISO 12944-5:
// 3 in 2007; in 2018 3 up to 60 um and 2 above. Source: 2007 read in secondary text, 2018 from memory.
func MaximumFactor(edition int, ndftUm float64) (factor float64, confidence Confidence, err error) {
	switch {
	case edition == 2007:
		return 3, Read, nil
	case edition == 2018 && ndftUm <= 60:
		return 3, FromMemory, nil
	case edition == 2018:
		return 2, FromMemory, nil
	}
	return 0, "", fmt.Errorf("inspect: edition %d of ISO 12944-5 is not known, expected 2007 or 2018", edition)
}
