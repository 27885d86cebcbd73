package probe

import (
	"math"
	"testing"

	"foilwright/sim/field"
)

func TestLimitsOfDesigns(t *testing.T) {
	for _, d := range Designs() {
		t.Run(d.ID, func(t *testing.T) {
			t.Parallel()
			film, allowed := d.Trial()
			l, err := d.Limits(film, allowed)
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("%+v", l)
			sheet := d.Sheet()
			for _, of := range [][2]float64{
				{sheet.EdgeDistanceMm, l.EdgeDistanceMm}, {sheet.HoleDistanceMm, l.HoleDistanceMm}, {sheet.AreaMm, l.AreaMm},
				{sheet.ConvexRadiusMm, l.ConvexRadiusMm}, {sheet.ConcaveRadiusMm, l.ConcaveRadiusMm}, {sheet.BaseThicknessMm, l.BaseThicknessMm},
				{sheet.FilmUm, film}, {sheet.AllowedUm, allowed},
			} {
				// Rounding up to two figures adds at most a tenth.
				if !(of[0] >= of[1] && of[0] < 1.1*of[1]) {
					t.Errorf("the data sheet says %v, the trial %v", of[0], of[1])
				}
			}
			r2 := d.Head.Coil.OuterRadius / mm
			// Plausibility only: an edge matters within a few coil radii, a pipe within a hundred or so, a sheet below a few
			// millimetres of steel or three skin depths of aluminium.
			if l.EdgeDistanceMm < 0.5*r2 || l.EdgeDistanceMm > 8*r2 {
				t.Errorf("edge distance %v mm for a coil radius of %v mm", l.EdgeDistanceMm, r2)
			}
			// A hole takes away less than all metal beyond an edge as far; a square has four edges.
			if l.HoleDistanceMm > l.EdgeDistanceMm || l.AreaMm < 2*l.EdgeDistanceMm {
				t.Errorf("edge distance %v mm, from a hole %v mm, square of %v mm", l.EdgeDistanceMm, l.HoleDistanceMm, l.AreaMm)
			}
			if l.ConvexRadiusMm < r2 || l.ConvexRadiusMm > 150*r2 || l.ConcaveRadiusMm < r2 || l.ConcaveRadiusMm > 150*r2 {
				t.Errorf("radii %v and %v mm for a coil radius of %v mm", l.ConvexRadiusMm, l.ConcaveRadiusMm, r2)
			}
			if most := 2.0; l.BaseThicknessMm > most {
				t.Errorf("base thickness %v mm, expected below %v", l.BaseThicknessMm, most)
			}
			if d.Principle == EddyCurrent {
				delta := d.Standard[0].Metal.SkinDepth(d.Head.Frequency) / mm
				if l.BaseThicknessMm > 3.5*delta {
					t.Errorf("base thickness %v mm, skin depth %v mm", l.BaseThicknessMm, delta)
				}
			}
			wider, err := d.Limits(film, 2*allowed)
			if err != nil {
				t.Fatal(err)
			}
			if wider.EdgeDistanceMm >= l.EdgeDistanceMm || wider.ConvexRadiusMm >= l.ConvexRadiusMm || wider.HoleDistanceMm > l.HoleDistanceMm || wider.AreaMm >= l.AreaMm || wider.BaseThicknessMm > l.BaseThicknessMm {
				t.Errorf("twice the departure allowed gives %+v after %+v", wider, l)
			}
		})
	}
	d := Designs()[0]
	if _, err := d.Limits(-1, 1); err == nil {
		t.Error("a film of -1 um is tried")
	}
	if _, err := d.Limits(10, math.NaN()); err == nil {
		t.Error("a departure of NaN is tried")
	}
}

// The composition with real metal, for the bench's heads on balls, against the exact series
// of multipoles with the metal's own permeability and conductivity. Limits: eddy 0.2 %, steel with
// radii of 10 mm and more 1 %.
func TestCurvatureAgainstExactSphere(t *testing.T) {
	for _, d := range Designs() {
		t.Run(d.ID, func(t *testing.T) {
			t.Parallel()
			s, err := d.Sensor()
			if err != nil {
				t.Fatal(err)
			}
			o, err := s.Over(d.Standard)
			if err != nil {
				t.Fatal(err)
			}
			r2 := d.Head.Coil.OuterRadius
			for _, radius := range []float64{math.Max(10*mm, 4*r2), 17 * r2, 45 * r2, -12 * r2, -45 * r2} {
				for _, gap := range []float64{0, 60 * um, 300 * um, 1 * mm} {
					exact, err := field.OverSphere(d.Head, d.Standard[0].Metal, radius, gap)
					if err != nil {
						t.Fatal(err)
					}
					want := math.Hypot(real(exact), imag(exact)) / s.AirInductance()
					got := o.Amplitude(field.Place{Gap: gap, EdgeDistance: field.NoEdge, Curvature: [2]float64{1 / radius, 1 / radius}})
					limit := 0.01
					if d.Principle == EddyCurrent {
						limit = 0.002
					}
					if e := got/want - 1; math.Abs(e) > limit {
						t.Errorf("radius %v m, gap %v m: amplitude off by %.2g", radius, gap, e)
					}
				}
			}
		})
	}
}
