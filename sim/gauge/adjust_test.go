package gauge

import (
	"math"
	"testing"

	"foilwright/sim/field"
	"foilwright/sim/probe"
)

// curves returns a sensor's built-in curve and the response over some base.
func curves(t testing.TB, id string, base field.Base) (Curve, *field.Over, *field.Over) {
	t.Helper()
	d, ok := probe.ByID(id)
	if !ok {
		t.Fatalf("no design %s", id)
	}
	s, err := field.NewSensor(d.Head)
	if err != nil {
		t.Fatal(err)
	}
	std, err := s.Over(d.Standard)
	if err != nil {
		t.Fatal(err)
	}
	if base == nil {
		return NewCurve(std), std, std
	}
	over, err := s.Over(base)
	if err != nil {
		t.Fatal(err)
	}
	return NewCurve(std), std, over
}

func at(o *field.Over, um float64) float64 { return o.Amplitude(field.Flat(um * 1e-6)) }

// Every adjustment on the standard base itself is the identity.
func TestAdjustmentOnTheStandardBaseIsTheIdentity(t *testing.T) {
	for _, d := range probe.Designs() {
		curve, std, _ := curves(t, d.ID, nil)
		low, high := d.RangeUm/20, d.RangeUm/2
		zero := func() Adjustment {
			a, err := Adjustment{}.WithZero([]float64{at(std, 0), at(std, 0)})
			if err != nil {
				t.Fatal(err)
			}
			return a
		}
		one, err := zero().WithFoil(curve, []float64{at(std, low)}, low)
		if err != nil {
			t.Fatal(err)
		}
		two, err := one.WithFoil(curve, []float64{at(std, high)}, high)
		if err != nil {
			t.Fatal(err)
		}
		for name, a := range map[string]Adjustment{"built-in": {}, "zero": zero(), "one foil": one, "two foils": two} {
			for i := 0; i <= 100; i++ {
				want := d.RangeUm * float64(i) / 100
				if got := a.ThicknessUm(curve, at(std, want)); math.Abs(got-want) > 1e-7 {
					t.Errorf("%s, %s at %g µm: got %.9f", d.ID, name, want, got)
				}
			}
		}
	}
}

// An adjustment makes the instrument right where it was made, whatever the base.
func TestAdjustmentIsExactAtItsPoints(t *testing.T) {
	thin := field.Base{{Metal: field.Metal{RelPermeability: 120, Conductivity: 5.5e6}, Thickness: 0.4e-3}}
	curve, _, over := curves(t, "ferrous-general", thin)
	raw := Adjustment{}.ThicknessUm(curve, at(over, 0))
	if math.Abs(raw) < 2 {
		t.Fatalf("the thin base reads %.2f µm unadjusted: it does not test anything", raw)
	}
	a, err := Adjustment{}.WithZero([]float64{at(over, 0)})
	if err != nil {
		t.Fatal(err)
	}
	for _, um := range []float64{50, 250} {
		if a, err = a.WithFoil(curve, []float64{at(over, um)}, um); err != nil {
			t.Fatal(err)
		}
	}
	for _, um := range []float64{0, 50, 250} {
		if got := a.ThicknessUm(curve, at(over, um)); math.Abs(got-um) > 1e-6 {
			t.Errorf("at %g µm: got %.9f", um, got)
		}
	}
	// Between its foils two-foil adjustment must beat no adjustment by far.
	if got := a.ThicknessUm(curve, at(over, 120)); math.Abs(got-120) > 1 {
		t.Errorf("between the foils, at 120 µm: got %.3f", got)
	}
}

func TestAdjustmentRefusesWhatCannotBe(t *testing.T) {
	curve, std, _ := curves(t, "ferrous-general", nil)
	if _, err := (Adjustment{}).WithZero(nil); err == nil {
		t.Error("zero from nothing: no error")
	}
	if _, err := (Adjustment{}).WithFoil(curve, []float64{at(std, 50)}, 0); err == nil {
		t.Error("foil without a set value: no error")
	}
	if _, err := (Adjustment{}).WithFoil(curve, []float64{at(std, 0)}, 50); err == nil {
		t.Error("foil reading of zero: no error")
	}
	if _, err := (Adjustment{}).WithFoil(curve, []float64{0}, 50); err == nil {
		t.Error("foil in free air: no error")
	}
}

// A foil close to one already stored replaces it; a third distinct foil
// replaces the oldest.
func TestFoilsReplaceEachOther(t *testing.T) {
	curve, std, _ := curves(t, "ferrous-general", nil)
	a := Adjustment{}
	var err error
	for _, um := range []float64{75, 80, 250, 500} {
		if a, err = a.WithFoil(curve, []float64{at(std, um)}, um); err != nil {
			t.Fatal(err)
		}
	}
	if len(a.Foils) != 2 || a.Foils[0].SetUm != 250 || a.Foils[1].SetUm != 500 {
		t.Errorf("foils in force: %+v", a.Foils)
	}
	if z, _ := a.WithZero([]float64{at(std, 0)}); len(z.Foils) != 0 {
		t.Error("a new zero kept the old foils")
	}
}

func TestMemoryStatistics(t *testing.T) {
	var m Memory
	m.Spot = 1
	if s := m.Statistics(); s.N != 0 {
		t.Errorf("empty memory: %+v", s)
	}
	for i, c := range []int64{750, 760, 740, 755, 745} {
		m.Add(c, float64(c)/10, i+1)
	}
	s := m.Statistics()
	// 750 mean; squares 0,100,100,25,25 = 250; s = sqrt(62.5).
	if s.N != 5 || s.Mean != 750 || math.Abs(s.SD-math.Sqrt(62.5)) > 1e-12 || s.Min != 740 || s.Max != 760 {
		t.Errorf("statistics: %+v", s)
	}
	if last, ok := m.DeleteLast(); !ok || last.Counts != 745 {
		t.Errorf("delete last: %+v, %v", last, ok)
	}
	m.Clear()
	if _, ok := m.DeleteLast(); ok || m.Spot != 1 {
		t.Error("cleared memory still gives readings")
	}
}
