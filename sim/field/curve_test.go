package field

import (
	"math"
	"testing"
)

func TestSplineReproducesCubicsAndInverts(t *testing.T) {
	cubic := func(x float64) float64 { return 3 - 0.5*x + 0.02*x*x - 0.001*x*x*x }
	v := make([]float64, 21)
	for i := range v {
		v[i] = cubic(float64(i))
	}
	s := newSpline(v)
	if !s.falls() {
		t.Error("a falling cubic is said not to fall")
	}
	for x := 0.0; x <= 20; x += 0.37 {
		if got := s.at(x); math.Abs(got-cubic(x)) > 1e-12 {
			t.Errorf("at %v: got %v, want %v", x, got, cubic(x))
		}
		if back := s.find(s.at(x)); math.Abs(back-x) > 1e-12 {
			t.Errorf("%v is found at %v", x, back)
		}
	}
	slope := s.at(21) - s.at(20)
	if math.Abs(s.at(25)-s.at(20)-5*slope) > 1e-12 {
		t.Error("beyond the end the spline is not straight")
	}
	v[10] += 5
	if bent := newSpline(v); bent.falls() {
		t.Error("a bump is said to fall")
	}
}

func TestGridReproducesNodesAndPlanes(t *testing.T) {
	const nx, ny = 6, 7
	nodes, plane := make([]float64, nx*ny), make([]float64, nx*ny)
	for i := range nx {
		for j := range ny {
			nodes[i*ny+j] = math.Sin(float64(i*i + 3*j))
			plane[i*ny+j] = 2 + 3*float64(i) - 5*float64(j)
		}
	}
	rough, flat := newGrid(nx, ny, nodes), newGrid(nx, ny, plane)
	for i := range nx {
		for j := range ny {
			if got := rough.at(float64(i), float64(j)); math.Abs(got-nodes[i*ny+j]) > 1e-13 {
				t.Errorf("node %d, %d: got %v, want %v", i, j, got, nodes[i*ny+j])
			}
		}
	}
	for x := 0.0; x <= nx-1; x += 0.3 {
		for y := -3.0; y <= ny+3; y += 0.3 {
			if got, want := flat.at(x, y), 2+3*x-5*y; math.Abs(got-want) > 1e-12 {
				t.Errorf("plane at %v, %v: got %v, want %v", x, y, got, want)
			}
		}
	}
	if got, want := flat.at(-1, 2), flat.at(0, 2); got != want {
		t.Errorf("below the first row: got %v, want the first row's %v", got, want)
	}
}

func TestOverProperties(t *testing.T) {
	s := mustSensor(t, generalHead())
	steel := mustOver(t, s, Thick(Metal{300, 5e6}))
	for name, c := range map[string]struct{ got, want float64 }{
		"gap below the least is held":              {steel.Amplitude(Flat(-1)), steel.Amplitude(Flat(-25e-6))},
		"no metal in reach":                        {steel.Amplitude(Flat(math.Inf(1))), 0},
		"plastic is silent":                        {mustOver(t, s, Thick(Metal{1, 0})).Amplitude(Flat(0)), 0},
		"square and far from edges needs no table": {steel.Amplitude(Place{Gap: 1e-4, EdgeDistance: NoEdge}), steel.Amplitude(Flat(1e-4))},
	} {
		if c.got != c.want {
			t.Errorf("%s: got %v, want %v", name, c.got, c.want)
		}
	}
	if got := steel.Amplitude(Place{}); got == got {
		t.Errorf("at an edge without tables: got %v, want NaN", got)
	}
	if a, b := steel.Amplitude(Flat(FarGap)), steel.Amplitude(Flat(2*FarGap)); !(b > 0 && b < a/4) {
		t.Errorf("twice as far than the curve reaches: %v after %v", b, a)
	}
	for _, c := range []struct {
		name      string
		amplitude float64
		gap       float64
		ok        bool
	}{
		{"stronger than contact", 2, -25e-6, false}, {"nothing", 0, FarGap, false}, {"negative", -1, FarGap, false},
		{"contact", steel.Amplitude(Flat(0)), 0, true}, {"worn", steel.Amplitude(Flat(-10e-6)), -10e-6, false},
	} {
		gap, ok := steel.GapFor(c.amplitude)
		if ok != c.ok || math.Abs(gap-c.gap) > 1e-15 {
			t.Errorf("%s: got %v, %v, want %v, %v", c.name, gap, ok, c.gap, c.ok)
		}
	}
	if gap, ok := steel.GapFor(math.NaN()); ok || gap == gap {
		t.Errorf("NaN: got %v, %v", gap, ok)
	}
	if _, err := s.Flat(Thick(Metal{300, 5e6}), -1); err == nil {
		t.Error("a gap of -1 m is computed")
	}
}

// Monotonic in what must be: more metal, more permeability, more conductivity never weaken the response.
func TestMoreMetalMoreSignal(t *testing.T) {
	general, fine := mustSensor(t, generalHead()), mustSensor(t, eddyCoil)
	rising := func(name string, s *Sensor, bases []Base) {
		before := 0.0
		for i, b := range bases {
			here := mustOver(t, s, b).Amplitude(Flat(100e-6))
			if here <= before {
				t.Errorf("%s: step %d gives %v after %v", name, i, here, before)
			}
			before = here
		}
	}
	var permeability, conductivity, thickness []Base
	for _, mu := range []float64{2, 10, 50, 100, 300, 1000} {
		permeability = append(permeability, Thick(Metal{mu, 0}))
	}
	for _, sigma := range []float64{0.1, 0.6, 1.4, 15, 35, 58} {
		conductivity = append(conductivity, Thick(Metal{1, sigma * 1e6}))
	}
	for _, mm := range []float64{0.05, 0.1, 0.2, 0.4, 0.8} {
		thickness = append(thickness, Plate(Metal{300, 0}, mm*1e-3))
	}
	rising("permeability", general, permeability)
	rising("conductivity", fine, conductivity)
	rising("thickness", general, thickness)
}

func BenchmarkNewSensorCored(b *testing.B) {
	for b.Loop() {
		mustSensor(b, generalHead())
	}
}

func BenchmarkPrepareStackCored(b *testing.B) {
	s := mustSensor(b, generalHead())
	for b.Loop() {
		mustOver(b, s, Thick(Metal{300, 5e6}))
	}
}

func BenchmarkAmplitude(b *testing.B) {
	o := mustOver(b, mustSensor(b, generalHead()), Thick(Metal{300, 5e6}))
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		o.Amplitude(Flat(float64(i&1023) * 1e-6))
	}
}

func BenchmarkDeltaL(b *testing.B) {
	o := mustOver(b, mustSensor(b, generalHead()), Thick(Metal{300, 5e6}))
	for i := 0; b.Loop(); i++ {
		o.DeltaL(Flat(float64(i&1023) * 1e-6))
	}
}

func BenchmarkGapFor(b *testing.B) {
	o := mustOver(b, mustSensor(b, generalHead()), Thick(Metal{300, 5e6}))
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		o.GapFor(0.5 - float64(i&1023)*1e-4)
	}
}

// The ratio of these two is what the tables save.
func BenchmarkAmplitudeAirCore(b *testing.B) {
	o := mustOver(b, mustSensor(b, magneticCoil), Thick(Metal{300, 5e6}))
	for i := 0; b.Loop(); i++ {
		o.Amplitude(Flat(float64(i&1023) * 1e-6))
	}
}

func BenchmarkReferenceIntegrator(b *testing.B) {
	for b.Loop() {
		if _, err := ReferenceDeltaL(magneticCoil, Thick(Metal{300, 5e6}), 0.2e-3, 1e-6); err != nil {
			b.Fatal(err)
		}
	}
}
