package inspect

import (
	"math"
	"strings"
	"testing"
)

func part(name string, u, degreesOfFreedom, sensitivity float64) Component {
	return Component{Name: name, StandardUncertainty: u, DegreesOfFreedom: degreesOfFreedom, Sensitivity: sensitivity}
}

func TestBudgetCombination(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		name              string
		budget            Budget
		combined, freedom float64
	}{
		{"one", Budget{part("a", 2, 4, 1)}, 2, 4},
		{"three four five", Budget{part("a", 3, inf, 1), part("b", 4, inf, -1)}, 5, inf},
		{"sensitivity", Budget{part("a", 1, 9, 3), part("b", 8, inf, 0.5)}, 5, 9 * 625.0 / 81},
		{"equal parts double the freedom", Budget{part("a", 1, 7, 1), part("b", 1, 7, 1)}, math.Sqrt2, 14},
		{"nothing uncertain", Budget{part("a", 0, 3, 1)}, 0, inf},
		{"huge", Budget{part("a", 3e200, 5, 1), part("b", 4e200, inf, 1)}, 5e200, 5 * 625.0 / 81},
	} {
		u, err := c.budget.EvaluateWithFactor(2)
		if err != nil {
			t.Fatal(err)
		}
		if relative(u.Combined, c.combined) > 1e-15 || u.DegreesOfFreedom != c.freedom && relative(u.DegreesOfFreedom, c.freedom) > 1e-14 {
			t.Errorf("%s: %+v, expected %v with %v", c.name, u, c.combined, c.freedom)
		}
		if u.Expanded != 2*u.Combined {
			t.Errorf("%s: expanded %v", c.name, u.Expanded)
		}
	}
}

// Welch-Satterthwaite stays between the smallest degrees of freedom and their sum, and no order matters beyond rounding.
func TestBudgetProperties(t *testing.T) {
	values := readingsLike(40)
	for i := 0; i+8 <= len(values); i += 4 {
		b := Budget{
			part("a", values[i]-60, 3, 1), part("b", values[i+1]-60, 12, 0.3), part("c", values[i+2]-60, 40, -1.5),
		}
		u, err := b.Evaluate(0.95)
		if err != nil {
			t.Fatal(err)
		}
		if u.DegreesOfFreedom < 3 || u.DegreesOfFreedom > 55 {
			t.Errorf("effective degrees of freedom %v outside 3 to 55", u.DegreesOfFreedom)
		}
		turned, _ := Budget{b[2], b[0], b[1]}.Evaluate(0.95)
		if relative(turned.Expanded, u.Expanded) > 1e-14 {
			t.Errorf("order changes U from %v to %v", u.Expanded, turned.Expanded)
		}
		more, _ := append(b, part("d", 1, math.Inf(1), 1)).EvaluateWithFactor(2)
		if !(more.Combined > u.Combined) {
			t.Errorf("a further component does not raise the uncertainty: %v, %v", more.Combined, u.Combined)
		}
	}
}

// Four degrees of freedom computed as 3.9999999 must not be cut to three: k would jump from 2.78 to 3.18.
func TestBudgetWholeDegrees(t *testing.T) {
	for _, u := range []float64{0.1435, 1.0 / 3, 0.7, 1e-5, 123.456} {
		got, err := Budget{part("repeatability", u, 4, 1)}.Evaluate(0.95)
		if err != nil || math.Abs(got.CoverageFactor-2.776) > 0.001 {
			t.Errorf("u %v: k = %v, %v; expected 2.776", u, got.CoverageFactor, err)
		}
	}
}

func TestBudgetRefuses(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name   string
		budget Budget
		level  float64
		says   string
	}{
		{"empty", nil, 0.95, "empty"},
		{"negative", Budget{part("x", -1, 4, 1)}, 0.95, "component 1 (x)"},
		{"not a number", Budget{part("a", 1, 4, 1), part("x", nan, 4, 1)}, 0.95, "component 2 (x)"},
		{"one reading", Budget{Repeatability(Describe([]float64{80}))}, 0.95, "repeatability"},
		{"no freedom", Budget{part("x", 1, 0, 1)}, 0.95, "at least two readings"},
		{"sensitivity", Budget{part("x", 1, 5, math.Inf(1))}, 0.95, "sensitivity"},
		{"level in per cent", Budget{part("x", 1, 5, 1)}, 95, "between 0 and 1"},
	} {
		_, err := c.budget.Evaluate(c.level)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v, expected %q in it", c.name, err, c.says)
		}
	}
	for _, k := range []float64{0, -2, nan, math.Inf(1)} {
		if _, err := (Budget{part("x", 1, 5, 1)}).EvaluateWithFactor(k); err == nil {
			t.Errorf("coverage factor %v was taken", k)
		}
	}
}

// Standard uncertainties of the distributions: GUM 4.3.7 a/sqrt 3, 4.3.9 a/sqrt 6, H.1.3.4 0.5/sqrt 2 = 0.35, F.2.2.1
// 0.29 of a display step; G.4.2: 25 % reliability gives 8 degrees of freedom.
func TestDistributions(t *testing.T) {
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"rectangular", Rectangular("", 1).StandardUncertainty, 0.57735},
		{"triangular", Triangular("", 1).StandardUncertainty, 0.408248},
		{"arcsine", Arcsine("", 0.5).StandardUncertainty, 0.353553},
		{"resolution", Resolution(1).StandardUncertainty, 0.288675},
		{"normal", Normal("", 1, 2).StandardUncertainty, 0.5},
		{"reliability", DegreesFromReliability(0.25), 8},
		{"pooled", PooledRepeatability(3, 10, 9).StandardUncertainty, 1},
		{"texture", TextureBound(3).StandardUncertainty, 1.732051},
		{"shape", Shape(3).StandardUncertainty, 1.732051},
	} {
		if math.Abs(c.got-c.want) > 1e-6 {
			t.Errorf("%s: %v, expected %v", c.name, c.got, c.want)
		}
	}
}

// The weights of an adjustment add up to 1 anywhere, are 0 and 1 at its points, and grow beyond 1 outside the bracket.
// As a check from outside the formula: the weights are the slopes of the interpolated indication itself.
func TestAdjustmentWeights(t *testing.T) {
	five := Describe([]float64{0.1, -0.1, 0.2, 0, -0.2})
	zero := AdjustmentPoint{Name: "zero", Readings: five}
	thin := AdjustmentPoint{Name: "foil 50", ValueUm: 50, Readings: five, CertificateUm: 0.5, CertificateCoverage: 2}
	thick := AdjustmentPoint{Name: "foil 125", ValueUm: 125, Readings: five, CertificateUm: 0.9, CertificateCoverage: 2}
	for _, c := range []struct {
		name    string
		points  []AdjustmentPoint
		at      float64
		weights []float64 // of the components in order
	}{
		{"zero only", []AdjustmentPoint{zero}, 80, []float64{1}},
		{"at zero", []AdjustmentPoint{zero, thin}, 0, []float64{1, 0, 0}},
		{"at the foil", []AdjustmentPoint{zero, thin}, 50, []float64{0, 1, 1}},
		{"half way", []AdjustmentPoint{zero, thin}, 25, []float64{0.5, 0.5, 0.5}},
		{"beyond the foil", []AdjustmentPoint{zero, thin}, 100, []float64{-1, 2, 2}},
		{"between foils", []AdjustmentPoint{zero, thin, thick}, 80, []float64{0.6, 0.6, 0.4, 0.4}},
		{"below the lower foil", []AdjustmentPoint{zero, thin, thick}, 10, []float64{0.8, 0.2, 0.2}},
		{"above both", []AdjustmentPoint{zero, thin, thick}, 200, []float64{-1, -1, 2, 2}},
	} {
		got, err := Adjustment(c.points, c.at)
		if err != nil || len(got) != len(c.weights) {
			t.Errorf("%s: %d components, %v", c.name, len(got), err)
			continue
		}
		for i, w := range c.weights {
			if math.Abs(got[i].Sensitivity-w) > 1e-15 {
				t.Errorf("%s: weight of %s is %v, expected %v", c.name, got[i].Name, got[i].Sensitivity, w)
			}
		}
	}
	for _, points := range [][]AdjustmentPoint{nil, {thick, thin}, {zero, zero}, {zero, {Name: "x", ValueUm: 5, CertificateUm: 1}}} {
		if _, err := Adjustment(points, 80); err == nil {
			t.Errorf("%v was taken", points)
		}
	}
}

func TestRoundUncertainty(t *testing.T) {
	for _, c := range []struct {
		in, want float64
		decimals int
	}{
		{1.0420, 1.0, 1}, {0.5210, 0.52, 2}, {92.47, 92, 0}, {9.96, 10, 0}, {0.0996, 0.10, 2}, {0.996, 1.0, 1},
		{1234, 1200, 0}, {99.6, 100, 0}, {0.00034567, 0.00035, 5}, {12.5, 13, 0}, {0, 0, 0}, {0.1, 0.10, 2},
	} {
		got, decimals := RoundUncertainty(c.in)
		if relative(got, c.want) > 1e-15 || decimals != c.decimals {
			t.Errorf("%v: %v with %d decimals, expected %v with %d", c.in, got, decimals, c.want, c.decimals)
		}
	}
	for _, v := range []float64{1e-310, 1e300, math.Inf(1), -3} {
		RoundUncertainty(v) // must come back
	}
}

func TestCheckFoil(t *testing.T) {
	readings := []float64{124.6, 125.3, 125.1, 124.9, 125.4}
	for _, c := range []struct {
		name      string
		certified float64
		good      bool
	}{
		{"on the certificate", 125, true},
		{"just inside the combined tolerance", 125.06 - math.Sqrt(1.5*1.5+1), true},
		{"outside", 123.2, false},
	} {
		got, err := CheckFoil(readings, c.certified, 1, 2, 0.1, 1.5)
		if err != nil || got.Good != c.good {
			t.Errorf("%s: %+v, %v", c.name, got, err)
		}
	}
	if _, err := CheckFoil(readings[:1], 125, 1, 2, 0.1, 1.5); err == nil {
		t.Error("one reading was taken for a check")
	}
	if _, err := CheckFoil(readings, 125, 1, 0, 0.1, 1.5); err == nil {
		t.Error("a certificate without coverage factor was taken")
	}
}
