package inspect

import (
	"math"
	"strings"
	"testing"
)

func TestDecide(t *testing.T) {
	inf := math.Inf(1)
	u := Uncertainty{Combined: 1, Expanded: 2}
	for _, c := range []struct {
		name         string
		rule         DecisionRule
		value        float64
		lower, upper float64
		want         Outcome
	}{
		{"simple, on the limit", SimpleAcceptance, 75, 75, inf, Pass},
		{"simple, below", SimpleAcceptance, 74.9, 75, inf, Fail},
		{"guard, on the acceptance limit", GuardBand, 77, 75, inf, Pass},
		{"guard, inside the limit but not clear", GuardBand, 76.9, 75, inf, Fail},
		{"guard, above both sides", GuardBand, 98.1, 75, 100, Fail},
		{"guard, upper acceptance limit", GuardBand, 98, 75, 100, Pass},
		{"four outcomes, clear", NonBinary, 77, 75, inf, Pass},
		{"four outcomes, on the limit", NonBinary, 75, 75, inf, ConditionalPass},
		{"four outcomes, just outside", NonBinary, 74.9, 75, inf, ConditionalFail},
		{"four outcomes, at the far guard", NonBinary, 73, 75, inf, ConditionalFail},
		{"four outcomes, clear outside", NonBinary, 72.9, 75, inf, Fail},
		{"upper limit only", SimpleAcceptance, 100.1, math.Inf(-1), 100, Fail},
	} {
		d, err := c.rule.Decide(c.value, u, c.lower, c.upper)
		if err != nil || d.Outcome != c.want {
			t.Errorf("%s: %v, %v; expected %v", c.name, d.Outcome, err, c.want)
		}
		if !strings.HasPrefix(d.Text, string(c.want)) {
			t.Errorf("%s: text %q", c.name, d.Text)
		}
	}
}

func TestDecideRefuses(t *testing.T) {
	u := Uncertainty{Combined: 1, Expanded: 2}
	for name, f := range map[string]func() error{
		"unknown rule":  func() error { _, err := DecisionRule{ID: "luck"}.Decide(1, u, 0, 2); return err },
		"turned limits": func() error { _, err := GuardBand.Decide(1, u, 2, 0); return err },
		"no number":     func() error { _, err := GuardBand.Decide(math.NaN(), u, 0, 9); return err },
		"no room":       func() error { _, err := GuardBand.Decide(1, u, 0, 3); return err },
	} {
		if f() == nil {
			t.Errorf("%s was taken", name)
		}
	}
}

// Half the mass at a limit, the known two-sided masses, and complement: probabilities inside and outside add up to 1.
func TestConformance(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		name                string
		value, u, low, high float64
		want, tolerance     float64
	}{
		{"at the limit", 75, 1, 75, inf, 0.5, 1e-15},
		{"one sided 1.645", 75 + 1.6448536269514722, 1, 75, inf, 0.95, 1e-12},
		{"within one", 0, 1, -1, 1, 0.682689492137086, 1e-14},
		{"within two", 0, 1, -2, 2, 0.954499736103642, 1e-14},
		{"no uncertainty, inside", 76, 0, 75, inf, 1, 0},
		{"no uncertainty, outside", 74, 0, 75, inf, 0, 0},
		{"far outside keeps its digits", 65, 1, 75, inf, 7.61985302416053e-24, 1e-36},
	} {
		if got := Conformance(c.value, c.u, c.low, c.high); math.Abs(got-c.want) > c.tolerance {
			t.Errorf("%s: %.17g, expected %.17g", c.name, got, c.want)
		}
	}
	last := 0.0
	for v := 60.0; v < 90; v += 0.25 {
		p := Conformance(v, 2, 75, inf)
		if p < last || math.Abs(p+Conformance(v, 2, math.Inf(-1), 75)-1) > 1e-15 {
			t.Errorf("value %v: probability %v", v, p)
		}
		last = p
	}
}
