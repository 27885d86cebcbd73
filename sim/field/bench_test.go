package field

import (
	"math"
	"testing"
)

func generalHead() Head {
	return Head{Coil: Coil{1.5e-3, 3.5e-3, 5e-3, 1.2e-3, 500}, Core: &Core{1.25e-3, 10e-3, 50e-6, 1000}, Frequency: 300, TipRadius: 1.5e-3}
}

func BenchmarkNewSensorCored(b *testing.B) {
	for b.Loop() {
		NewSensor(generalHead())
	}
}

func BenchmarkPrepareStackCored(b *testing.B) {
	s, _ := NewSensor(generalHead())
	for b.Loop() {
		s.Over(Thick(Metal{300, 5e6}))
	}
}

func BenchmarkAmplitudeFlat(b *testing.B) {
	s, _ := NewSensor(generalHead())
	o, _ := s.Over(Thick(Metal{300, 5e6}))
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		o.Amplitude(Flat(float64(i&1023) * 1e-6))
	}
}

func BenchmarkGapFor(b *testing.B) {
	s, _ := NewSensor(generalHead())
	o, _ := s.Over(Thick(Metal{300, 5e6}))
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		o.GapFor(0.5 - float64(i&1023)*1e-4)
	}
}

func TestOverAgainstDirect(t *testing.T) {
	s, err := NewSensor(generalHead())
	if err != nil {
		t.Fatal(err)
	}
	o, _ := s.Over(Thick(Metal{300, 5e6}))
	for _, h := range []float64{-25e-6, -10e-6, 0, 3e-6, 50e-6, 123e-6, 250e-6, 500e-6, 1e-3, 2e-3, 10e-3, 20e-3, 30e-3, 55e-3} {
		d, err := s.Flat(Thick(Metal{300, 5e6}), h)
		if err != nil {
			t.Error(err)
		}
		got := o.DeltaL(Flat(h))
		g, ok := o.GapFor(o.Amplitude(Flat(h)))
		t.Logf("h %.3g s %.4f err %.2g gap %.2g %v", h, o.Amplitude(Flat(h)), math.Hypot(real(got-d), imag(got-d))/math.Hypot(real(d), imag(d)), g-h, ok)
	}
}
