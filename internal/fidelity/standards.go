package fidelity

import (
	"fmt"
	"math"
	"strings"

	"foilwright/sim/inspect"
)

// planned compares the readings or spots a plan asks for on the area in the inputs.
func planned(id string, count func(inspect.Plan) int) func(*trial) error {
	return func(t *trial) error {
		area, err := firstNumber(strings.TrimPrefix(t.inputs, "area "))
		if err != nil {
			return err
		}
		p, err := inspect.PlanFor(id, area)
		if err != nil {
			return err
		}
		return t.expect(float64(count(p)))
	}
}

func ofReadings(p inspect.Plan) int { return p.Readings }
func ofSpots(p inspect.Plan) int    { return p.Spots }

// TOL-: the larger of a percentage and a floor.
func accuracy(t *trial) error {
	id := map[string]string{"TOL-A": "iso2178-1982", "TOL-B": "astm-e376", "TOL-C": "iso2360-2003"}[t.id[:min(len(t.id), len("TOL-A"))]]
	rule, ok := inspect.ToleranceByID(id)
	if !ok {
		return fmt.Errorf("no statement of accuracy belongs to it")
	}
	v, err := firstNumber(t.inputs)
	if err != nil {
		return err
	}
	return t.expect(rule.At(v))
}

func spotSize(t *trial) error {
	p, err := inspect.PlanFor("pa2", 10)
	if err != nil {
		return err
	}
	want := numbers(t.expected) // 4 cm (1.5 in); 3
	if len(want) != 3 {
		return fmt.Errorf("expected value %q has %d numbers, 3 are needed", t.expected, len(want))
	}
	if err := t.near(p.SpotMm/10, want[0], "exact"); err != nil {
		return err
	}
	return t.near(float64(p.PerSpot), want[2], "exact")
}

func squareFeet(t *trial) error {
	area, err := firstNumber(t.inputs)
	if err != nil {
		return err
	}
	p, err := inspect.PA2PlanSquareFeet(area)
	if err != nil {
		return err
	}
	return t.expectAll(float64(p.Areas), float64(p.Spots), float64(p.Readings))
}

// specification is the range the restriction levels are shown on, in mil; the unit is of no account to the rules.
const specification = "spec 8-12 mil"

// spotPasses tells whether a spot mean breaks no limit of its own; the area's mean is not looked at.
func spotPasses(rule string, low, high, mean float64) (bool, error) {
	v, err := inspect.Judge(rule, inspect.Terms{MinimumUm: low, MaximumUm: high}, []inspect.Spot{{ReadingsUm: []float64{mean, mean, mean}}})
	if err != nil {
		return false, err
	}
	for _, b := range v.Broken() {
		if b.Spot == 0 {
			return false, nil
		}
	}
	return true, nil
}

// spotLimits finds the limits from verdicts, by halving: the least and the largest spot mean that is accepted.
func spotLimits(t *trial) error {
	if !strings.Contains(t.inputs, specification) {
		return fmt.Errorf("inputs %q lack %q", t.inputs, specification)
	}
	var found [2]float64
	for i, outside := range []float64{0.1, 100} {
		inside := 10.0
		for range 60 {
			middle := (inside + outside) / 2
			ok, err := spotPasses("pa2-level-3", 8, 12, middle)
			if err != nil {
				return err
			}
			if ok {
				inside = middle
			} else {
				outside = middle
			}
		}
		found[i] = math.Round(inside*1e6) / 1e6 // the rule takes a mean on its limit as on it, to rounding
	}
	return t.expectAll(found[0], found[1])
}

// restrictionLevel judges spots under one restriction level.
func restrictionLevel(t *trial) error {
	_, list, found := strings.Cut(t.inputs, "[")
	if !found || !strings.Contains(t.inputs, specification) {
		return fmt.Errorf("inputs %q are not of the form %s; spots [...]", t.inputs, specification)
	}
	var got []string
	for _, s := range numbers(list) {
		ok, err := spotPasses("pa2-level-"+strings.TrimPrefix(t.id, "PA2-L"), 8, 12, s)
		if err != nil {
			return err
		}
		got = append(got, map[bool]string{true: "P", false: "F"}[ok])
	}
	return t.word(strings.Join(got, " "), t.expected)
}

func combinedTolerance(t *trial) error {
	in := numbers(t.inputs)
	if len(in) != 2 {
		return fmt.Errorf("inputs %q have %d numbers, expected 2", t.inputs, len(in))
	}
	return t.expect(inspect.CombinedTolerance(in[0], in[1]))
}

func search(t *trial) error {
	s := inspect.PA2Search
	for _, c := range []struct {
		conformed []bool
		finished  bool
	}{
		{nil, false}, {[]bool{true}, false}, {[]bool{true, false}, false}, {[]bool{true, false, true}, false},
		{[]bool{false, true, true}, true},
	} {
		t.demand(s.Finished(c.conformed) == c.finished, "after %v the search is finished: %v", c.conformed, !c.finished)
	}
	return t.expectAll(s.StepM, float64(s.Directions), float64(s.Conforming))
}

// repeated reads "9x330, 1x288" (times first) or "210x9,175" (value first) as readings of one spot each.
func repeated(text string, timesFirst bool) ([]inspect.Spot, error) {
	var spots []inspect.Spot
	for part := range strings.SplitSeq(text, ",") {
		value, times, many := strings.Cut(strings.TrimSpace(part), "x")
		if !many {
			times = "1"
		} else if timesFirst {
			value, times = times, value
		}
		n, err := firstNumber(times)
		if err != nil {
			return nil, err
		}
		v, err := firstNumber(value)
		if err != nil {
			return nil, err
		}
		for range int(n) {
			spots = append(spots, inspect.Spot{ReadingsUm: []float64{v}})
		}
	}
	if len(spots) != 10 {
		return nil, fmt.Errorf("%q are %d readings, expected 10", text, len(spots))
	}
	return spots, nil
}

func eightyTwenty(t *trial) error {
	list, ndft, _ := strings.Cut(t.inputs, ";")
	spots, err := repeated(strings.TrimPrefix(list, "10 readings "), false)
	if err != nil {
		return err
	}
	minimum, err := firstNumber(ndft)
	if err != nil {
		return err
	}
	strict, err := inspect.Judge("iso19840-80-20", inspect.Terms{MinimumUm: minimum}, spots)
	if err != nil {
		return err
	}
	mild, err := inspect.Judge("iso19840-80-20", inspect.Terms{MinimumUm: minimum, FifthAllowed: true}, spots)
	if err != nil {
		return err
	}
	got := "differs"
	switch {
	case strict.Accepted && mild.Accepted:
		got = "ACCEPT"
	case !strict.Accepted && mild.Accepted:
		got = "BOUNDARY"
	case !strict.Accepted && !mild.Accepted:
		got = "REJECT"
	}
	// The reason in the table must be among the reasons given.
	reasons := fmt.Sprint(strict.Broken())
	for _, hint := range []struct{ inTable, inText string }{
		{"<160", "below 160 µm"}, {"(mean)", "mean of all readings"}, {"30 % between", "3 of 10 readings"}, {"BOUNDARY", "2 of 10 readings"},
	} {
		t.demand(!strings.Contains(t.expected, hint.inTable) || strings.Contains(reasons, hint.inText), "reasons %v do not say %q", reasons, hint.inText)
	}
	want, _, _ := strings.Cut(t.expected, " ")
	return t.word(got, want)
}

func correction(t *trial) error {
	got, err := inspect.RoughnessCorrection(t.inputs)
	if err != nil {
		return err
	}
	return t.expect(got)
}

func correctedReading(t *trial) error {
	um, err := inspect.RoughnessCorrection("medium")
	if err != nil {
		return err
	}
	reading, err := firstNumber(t.inputs)
	if err != nil {
		return err
	}
	v, err := inspect.Judge("iso19840-80-20", inspect.Terms{MinimumUm: 100, CorrectionUm: um}, []inspect.Spot{{ReadingsUm: []float64{reading}}})
	if err != nil {
		return err
	}
	return t.expect(v.MeanUm)
}

// 12944-MAX: the largest reading that is accepted, in both editions.
func maximumFactor(t *trial) error {
	ndft, err := firstNumber(strings.TrimPrefix(t.inputs, "NDFT "))
	if err != nil {
		return err
	}
	want := numbers(t.expected) // 720 (3x, 2007) or 480 (2x, 2018)
	if len(want) != 6 {
		return fmt.Errorf("expected value %q has %d numbers, 6 are needed", t.expected, len(want))
	}
	for i, edition := range []int{int(want[2]), int(want[5])} {
		factor, _, err := inspect.MaximumFactor(edition, ndft)
		if err != nil {
			return err
		}
		accepts := func(reading float64) bool {
			v, err := inspect.Judge("iso19840-80-20", inspect.Terms{MinimumUm: ndft, MaximumFactor: factor}, []inspect.Spot{{ReadingsUm: []float64{reading}}})
			return err == nil && v.Accepted
		}
		largest := ndft
		for accepts(largest + 1) {
			largest++
		}
		t.demand(!accepts(largest+0.1), "edition %d accepts %v um", edition, largest+0.1)
		if err := t.near(largest, want[3*i], "exact"); err != nil {
			return err
		}
	}
	return nil
}

func ninetyTen(t *trial) error {
	ndft, list, _ := strings.Cut(t.inputs, ";")
	spots, err := repeated(list, true)
	if err != nil {
		return err
	}
	minimum, err := firstNumber(ndft)
	if err != nil {
		return err
	}
	v, err := inspect.Judge("imo-90-10", inspect.Terms{MinimumUm: minimum}, spots)
	if err != nil {
		return err
	}
	return t.word(map[bool]string{true: "PASS", false: "FAIL"}[v.Accepted], t.expected)
}

// EDGE-US: the table gives 25 mm as printed and, in the tolerance, the inch it stands for.
func edgeHandbook(t *trial) error {
	e, ok := inspect.EdgeRuleByID("mil-hdbk-1110")
	if !ok {
		return fmt.Errorf("the rule is missing")
	}
	printed, err := firstNumber(t.expected)
	if err != nil {
		return err
	}
	inch, err := firstNumber(t.tolerance)
	if err != nil {
		return err
	}
	t.demand(!e.Allows(25.3) && e.Allows(25.4), "the edge is not at 25.4 mm")
	if err := t.near(math.Floor(e.LeastMm), printed, "exact"); err != nil {
		return err
	}
	return t.near(e.LeastMm, inch, "exact")
}

func edgeBoundary(t *trial) error {
	e, ok := inspect.EdgeRuleByID("imo-boundary")
	if !ok {
		return fmt.Errorf("the rule is missing")
	}
	most, err := firstNumber(t.expected)
	if err != nil {
		return err
	}
	t.demand(e.Allows(most) && e.Allows(1) && !e.Allows(most+0.1), "the rule does not stop at %v mm", most)
	return t.near(e.MostMm, most, "exact")
}

func rollBack(t *trial) error {
	in := numbers(strings.ReplaceAll(t.inputs, ":00", "")) // 8, 10, 12
	if len(in) != 3 {
		return fmt.Errorf("inputs %q have %d numbers, expected three hours", t.inputs, len(in))
	}
	list := []inspect.VerificationCheck{{At: int64(in[0]) * 60, Good: true}, {At: int64(in[1]) * 60, Good: true}, {At: int64(in[2]) * 60}}
	var at []int64
	for m := int64(8*60 + 1); m <= 12*60; m++ {
		at = append(at, m)
	}
	first, gap := int64(-1), false
	for i, suspect := range inspect.Suspect(list, at) {
		switch {
		case suspect && first < 0:
			first = at[i]
		case !suspect && first >= 0:
			gap = true
		}
	}
	t.demand(!gap, "readings after the first suspect one are not suspect")
	return t.word(fmt.Sprintf("all after %d:00", (first-1)/60), t.expected)
}

func profileGrade(t *trial) error {
	_, comparator, _ := strings.Cut(t.inputs, ", ")
	height, err := firstNumber(t.inputs)
	if err != nil {
		return err
	}
	got, err := inspect.Comparator(comparator).Grade(height)
	if err != nil {
		return err
	}
	return t.word(string(got), t.expected)
}
