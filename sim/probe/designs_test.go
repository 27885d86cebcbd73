package probe

import (
	"math"
	"testing"

	"foilwright/sim/field"
)

func TestDesignsAreSoundAndTabled(t *testing.T) {
	seen := map[string]bool{}
	for _, d := range Designs() {
		if seen[d.ID] {
			t.Errorf("id %s is given twice", d.ID)
		}
		seen[d.ID] = true
		if got, ok := ByID(d.ID); !ok || got.ID != d.ID {
			t.Errorf("%s is not found by its id", d.ID)
		}
		if _, err := d.Sensor(); err != nil {
			t.Errorf("%s: %v", d.ID, err)
		}
	}
	if _, ok := ByID("no such"); ok {
		t.Error("a design was found that is not there")
	}
}

// What every design must do over its own standard metal: fall with the gap, fall towards an edge, ignore an edge far
// away, lose its sense beyond the edge, and read back its own curve.
func TestDesignsBehave(t *testing.T) {
	for _, d := range Designs() {
		t.Run(d.ID, func(t *testing.T) {
			s, err := d.Sensor()
			if err != nil {
				t.Fatal(err)
			}
			o, err := s.Over(d.Standard)
			if err != nil {
				t.Fatal(err)
			}
			reach := d.Head.Coil.OuterRadius
			for gap := 0.0; gap <= 1.2*d.RangeUm*1e-6; gap += d.RangeUm * 1e-6 / 40 {
				flat := o.Amplitude(field.Flat(gap))
				if next := o.Amplitude(field.Flat(gap + 1e-6)); next >= flat {
					t.Errorf("gap %v: the signal does not fall", gap)
				}
				if back, ok := o.GapFor(flat); !ok || math.Abs(back-gap) > 1e-15 {
					t.Errorf("gap %v reads back as %v, %v", gap, back, ok)
				}
				if far := o.Amplitude(field.Place{Gap: gap, EdgeDistance: field.NoEdge}); far != flat {
					t.Errorf("gap %v: no edge changes the signal", gap)
				}
				if far := o.Amplitude(field.Place{Gap: gap, EdgeDistance: 1}); math.Abs(far/flat-1) > 1e-4 {
					t.Errorf("gap %v: an edge a metre away changes the signal by %v", gap, far/flat-1)
				}
				before := flat
				for distance := 12 * reach; distance >= -3*reach; distance -= reach / 10 {
					here := o.Amplitude(field.Place{Gap: gap, EdgeDistance: distance})
					if !(here < before) {
						t.Errorf("gap %v, edge at %v: signal %v does not fall towards the edge, before %v", gap, distance, here, before)
						break
					}
					before = here
				}
				if before > 0.3*flat {
					t.Errorf("gap %v: beyond the edge there is still %.3g of the signal", gap, before/flat)
				}
			}
		})
	}
}

func TestReadingsDoNotAllocate(t *testing.T) {
	d, _ := ByID("ferrous-general")
	s, err := d.Sensor()
	if err != nil {
		t.Fatal(err)
	}
	o, err := s.Over(d.Standard)
	if err != nil {
		t.Fatal(err)
	}
	if n := testing.AllocsPerRun(100, func() { o.Amplitude(field.Place{Gap: 1e-4, Tilt: 0.1, EdgeDistance: 3e-3}) }); n != 0 {
		t.Errorf("%v allocations for one reading", n)
	}
}

func BenchmarkAmplitudeFlat(b *testing.B) { benchmarkAmplitude(b, field.NoEdge, 0) }

func BenchmarkAmplitudeTiltedAtEdge(b *testing.B) { benchmarkAmplitude(b, 3e-3, 0.1) }

func benchmarkAmplitude(b *testing.B, edge, tilt float64) {
	d, _ := ByID("ferrous-general")
	s, err := d.Sensor()
	if err != nil {
		b.Fatal(err)
	}
	o, err := s.Over(d.Standard)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		o.Amplitude(field.Place{Gap: float64(i&1023) * 1e-6, Tilt: tilt, EdgeDistance: edge})
	}
}
