package inspect

import (
	"math"
	"strings"
	"testing"
)

// One place read five times on a foil of U = 1.0 (k = 2), display step 0.1:
// u_A 0.1435, certificate 0.5, resolution 0.0289, combined 0.5210 µm. The
// worked example FOIL-U of the reference table.
func TestABudgetOfOneSpotIsTheWorkedExample(t *testing.T) {
	m := MeasuredMean{
		Spots: [][]float64{{124.6, 125.3, 125.1, 124.9, 125.4}}, StepUm: 0.1,
		Points: []AdjustmentPoint{{Name: "foil", ValueUm: 125, Readings: Statistics{N: 2, Mean: 125}, CertificateUm: 1, CertificateCoverage: 2}},
	}
	u, err := m.Budget().EvaluateWithFactor(2)
	if err != nil || math.Abs(u.Combined-0.5210) > 1e-4 || math.Abs(u.Expanded-1.04) > 5e-3 {
		t.Errorf("combined %.4f, expanded %.3f, %v; want 0.5210 and 1.04", u.Combined, u.Expanded, err)
	}
}

// The components are those of the work: means of spots where there are several,
// a lone reading of an adjustment borrows the scatter within the spots, and
// texture and shape come in where they are bounded.
func TestABudgetNamesWhatTheWorkBrings(t *testing.T) {
	spots := [][]float64{{80, 81, 82}, {84, 85, 86}, {79, 80, 81}}
	names := func(m MeasuredMean) string {
		var list []string
		for _, c := range m.Budget() {
			list = append(list, c.Name)
		}
		return strings.Join(list, ", ")
	}
	zero := AdjustmentPoint{Name: "zero", Readings: Describe([]float64{0.1, -0.1, 0})}
	foil := AdjustmentPoint{Name: "foil", ValueUm: 77, Readings: Describe([]float64{77}), CertificateUm: 0.6, CertificateCoverage: 2}
	for _, c := range []struct {
		name string
		m    MeasuredMean
		want string
	}{
		{"spots alone", MeasuredMean{Spots: spots, StepUm: 0.1}, "spots, resolution"},
		{"foil given before zero", MeasuredMean{Spots: spots, StepUm: 0.1, Points: []AdjustmentPoint{foil, zero}},
			"spots, adjustment, zero readings, adjustment, foil readings, certificate of foil, resolution"},
		{"rough and near an edge", MeasuredMean{Spots: spots, StepUm: 0.1, TextureUm: 5, ShapeUm: 1}, "spots, resolution, texture of the base, shape of the part"},
		{"a lone reading with nothing to borrow", MeasuredMean{Spots: [][]float64{{80}}, StepUm: 0.1, Points: []AdjustmentPoint{foil}}, "resolution"},
	} {
		if got := names(c.m); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
	// The lone foil reading carries the scatter within the spots, 1 µm, not less.
	for _, x := range (MeasuredMean{Spots: spots, StepUm: 0.1, Points: []AdjustmentPoint{foil}}).Budget() {
		if x.Name == "adjustment, foil readings" && math.Abs(x.StandardUncertainty-1) > 1e-9 {
			t.Errorf("a lone reading counts with %.3f µm", x.StandardUncertainty)
		}
	}
}
