package fidelity

import (
	"math"
	"testing"

	"foilwright/sim/inspect"
)

// The trap of example H.1: the GUM's 93 nm comes from rounded factors, the unrounded product rounds to 92 nm. That is why
// inspect.Uncertainty keeps unrounded figures.
func TestRoundingTrap(t *testing.T) {
	_, budget, _ := endGauge()
	u, err := budget.Evaluate(0.99)
	if err != nil {
		t.Fatal(err)
	}
	combined, _ := inspect.RoundUncertainty(u.Combined)
	factor := math.Floor(u.CoverageFactor*100+0.5) / 100
	if trap := math.Floor(combined*factor + 0.5); trap != 93 {
		t.Errorf("from rounded figures %v nm, GUM H.1.6 has 93", trap)
	}
	if rounded, decimals := inspect.RoundUncertainty(u.Expanded); rounded != 92 || decimals != 0 {
		t.Errorf("from unrounded figures %v with %d decimals, expected 92", rounded, decimals)
	}
}

// The components of H.1 as the GUM prints them, nm: 25, 5.8, 3.9, 6.7, 2.9, 16.6.
func TestEndGaugeContributions(t *testing.T) {
	_, budget, _ := endGauge()
	for i, want := range []float64{25, 5.8, 3.9, 6.7, 2.89, 16.6} {
		if got := budget[i].Contribution(); math.Abs(got-want) > 0.05 {
			t.Errorf("%s: %v nm, expected %v", budget[i].Name, got, want)
		}
	}
}
