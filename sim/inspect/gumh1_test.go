package inspect

import (
	"math"
	"testing"
)

// endGauge is example H.1 of the GUM (JCGM 100:2008): length of an end gauge by comparison with a standard, in nm.
// Inputs as in the documentation of GTC and facts 3.1.
func endGauge() (lengthNm float64, budget, withSecondOrder Budget) {
	const (
		standardNm = 50.000623e6
		meanTheta  = -0.1    // deviation of the bench from 20 C
		alpha      = 11.5e-6 // expansion of the standard, 1/C
	)
	times := func(c Component, sensitivity, degreesOfFreedom float64) Component {
		c.Sensitivity, c.DegreesOfFreedom = sensitivity, degreesOfFreedom
		return c
	}
	plain := func(name string, u, degreesOfFreedom float64) Component {
		return Component{Name: name, StandardUncertainty: u, DegreesOfFreedom: degreesOfFreedom, Sensitivity: 1}
	}
	deltaAlpha := Rectangular("difference of expansion", 1e-6)
	deltaTheta := Rectangular("difference of temperature", 0.05)
	budget = Budget{
		plain("length of the standard", 25, 18),
		plain("observations", 5.8, 24),
		plain("comparator, random", 3.9, 5),
		plain("comparator, systematic", 6.7, 8),
		times(deltaAlpha, -standardNm*meanTheta, 50),
		times(deltaTheta, -standardNm*alpha, 2),
	}
	// H.1.7: the products of second order; theta is a mean of u 0.2 C and a swing of 0.5 C, alpha lies within 2e-6.
	theta := math.Sqrt(0.2*0.2 + math.Pow(Arcsine("swing", 0.5).StandardUncertainty, 2))
	withSecondOrder = append(append(Budget{}, budget...),
		plain("expansion difference times temperature", standardNm*deltaAlpha.StandardUncertainty*theta, math.Inf(1)),
		plain("expansion times temperature difference",
			standardNm*Rectangular("alpha", 2e-6).StandardUncertainty*deltaTheta.StandardUncertainty, math.Inf(1)))
	return standardNm + 215, budget, withSecondOrder
}

// checkEndGauge computes the rows of GUM H.1.
func checkEndGauge(t *testing.T, r row) {
	length, budget, second := endGauge()
	u, err := budget.Evaluate(0.99)
	if err != nil {
		t.Fatal(err)
	}
	switch r.id {
	case "H1-L":
		r.near(t, length/1e6)
	case "H1-UC":
		r.near(t, u.Combined)
		near(t, "unrounded", u.Combined, numbers(t, r.tolerance)[1], "0.005")
	case "H1-U2":
		u2, err := second.Evaluate(0.99)
		if err != nil {
			t.Fatal(err)
		}
		r.near(t, u2.Combined)
	case "H1-NU":
		near(t, r.id, math.Floor(u.DegreesOfFreedom), first(t, r.expected), "exact")
		near(t, "uncut", u.DegreesOfFreedom, first(t, r.tolerance[len("floor of "):]), "0.005")
	case "H1-U99":
		r.near(t, u.Expanded)
		near(t, "unrounded", u.Expanded, numbers(t, r.tolerance)[1], "0.05")
	default:
		t.Fatalf("row %s has no check", r.id)
	}
}

// TestRoundingTrap shows why Uncertainty keeps unrounded figures: the GUM's 93 nm comes from rounded factors, the
// unrounded product rounds to 92 nm.
func TestRoundingTrap(t *testing.T) {
	_, budget, _ := endGauge()
	u, err := budget.Evaluate(0.99)
	if err != nil {
		t.Fatal(err)
	}
	combined, _ := RoundUncertainty(u.Combined)
	factor := math.Floor(u.CoverageFactor*100+0.5) / 100
	if trap := math.Floor(combined*factor + 0.5); trap != 93 {
		t.Errorf("from rounded figures %v nm, GUM H.1.6 has 93", trap)
	}
	if rounded, decimals := RoundUncertainty(u.Expanded); rounded != 92 || decimals != 0 {
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
