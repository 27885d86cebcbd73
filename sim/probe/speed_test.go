package probe

import (
	"testing"

	"foilwright/sim/field"
)

// everything is a place with every influence on.
func everything(gap float64) field.Place {
	return field.Place{
		Gap: gap, Tilt: 0.1, EdgeDistance: 6e-3, AirAngle: 5.2, Curvature: [2]float64{1 / 60e-3, 1 / 200e-3}, WallNearness: 1 / 15e-3,
		Beside: [field.MostBeside]field.Feature{field.Hole(9e-3, 3e-3), field.StepDown(8e-3, 2e-3), field.StepUp(12e-3, 1e-3)},
	}
}

func sensorOver(t testing.TB, id string, base field.Base) *field.Over {
	t.Helper()
	d, _ := ByID(id)
	s, err := d.Sensor()
	if err != nil {
		t.Fatal(err)
	}
	if base == nil {
		base = d.Standard
	}
	o, err := s.Over(base)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func TestEverythingAtOnceDoesNotAllocate(t *testing.T) {
	for _, d := range Designs() {
		o := sensorOver(t, d.ID, field.Plate(d.Standard[0].Metal, 1.5*mm))
		if n := testing.AllocsPerRun(20, func() {
			if v := o.Amplitude(everything(1e-4)); !(v > 0) {
				t.Errorf("%s: the signal is %v", d.ID, v)
			}
		}); n != 0 {
			t.Errorf("%s: %v allocations for one reading", d.ID, n)
		}
	}
}

func BenchmarkAmplitudeEverything(b *testing.B) {
	o := sensorOver(b, "ferrous-general", nil)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		o.Amplitude(everything(float64(i&1023) * 1e-6))
	}
}

// BenchmarkAmplitudeEdgeTiltedPipe has on what an ordinary part has: tilt, a square edge, a pipe.
func BenchmarkAmplitudeEdgeTiltedPipe(b *testing.B) {
	o := sensorOver(b, "ferrous-general", nil)
	p := field.Place{Tilt: 0.1, EdgeDistance: 6e-3, Curvature: [2]float64{1 / 60e-3, 0}}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		p.Gap = float64(i&1023) * 1e-6
		o.Amplitude(p)
	}
}

// BenchmarkPrepareProbeAndMetal is all that stands between choosing a probe and its first reading; the shape tables are
// read, not computed.
func BenchmarkPrepareProbeAndMetal(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		sensorOver(b, "ferrous-general", nil)
	}
}

// BenchmarkReferenceIntegrator beside the others gives the ratio in one run: an air-cored head of the general probe's
// winding, to 1e-6.
func BenchmarkReferenceIntegrator(b *testing.B) {
	d, _ := ByID("ferrous-general")
	head := d.Head
	head.Core = nil
	for b.Loop() {
		if _, err := field.ReferenceDeltaL(head, d.Standard, 0.2e-3, 1e-6); err != nil {
			b.Fatal(err)
		}
	}
}
