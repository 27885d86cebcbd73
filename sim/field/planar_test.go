package field

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"
)

const mmm = 1e-3

// The two coils of the finite-element tables, without cores.
var (
	magneticCoil = Head{Coil: Coil{1.5 * mmm, 3.5 * mmm, 4 * mmm, 0.3 * mmm, 500}, Frequency: 300}
	eddyCoil     = Head{Coil: Coil{0.8 * mmm, 1.6 * mmm, 1 * mmm, 0.2 * mmm, 40}, Frequency: 1e6}
)

func relativeError(got, want complex128) float64 { return cmplx.Abs(got-want) / cmplx.Abs(want) }

func mustSensor(t testing.TB, h Head) *Sensor {
	t.Helper()
	s, err := NewSensor(h)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func mustOver(t testing.TB, s *Sensor, b Base) *Over {
	t.Helper()
	o, err := s.Over(b)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// The fast path (48 nodes, then a spline) against the adaptive reference integrator.
func TestFastPathAgainstReference(t *testing.T) {
	aluminium, steel := Metal{1, 35e6}, Metal{300, 5e6}
	zinc := Metal{1, 16.6e6}
	cases := []struct {
		name string
		head Head
		base Base
	}{
		{"steel half-space", magneticCoil, Thick(steel)},
		{"steel 0.25 mm", magneticCoil, Plate(steel, 0.25*mmm)},
		{"zinc on steel", magneticCoil, Base{{zinc, 80e-6}, {steel, math.Inf(1)}}},
		{"static ferrite", magneticCoil, Thick(Metal{10, 0})},
		{"aluminium half-space", eddyCoil, Thick(aluminium)},
		{"aluminium 0.05 mm", eddyCoil, Plate(aluminium, 0.05*mmm)},
		{"aluminium on steel", eddyCoil, Base{{aluminium, 40e-6}, {steel, 1 * mmm}}},
		{"titanium", eddyCoil, Thick(Metal{1, 0.6e6})},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s := mustSensor(t, c.head)
			o := mustOver(t, s, c.base)
			for _, lift := range []float64{0, 0.05, 0.2, 1, 5, 10, 25} {
				want, err := ReferenceDeltaL(c.head, c.base, lift*mmm, 1e-9)
				if err != nil {
					t.Fatal(err)
				}
				direct, err := s.Flat(c.base, lift*mmm)
				if err != nil {
					t.Fatal(err)
				}
				// 1e-6 is the limit the project set for 48 nodes; physics.md measured 5e-8 against 1200 nodes.
				if e := relativeError(direct, want); e > 1e-6 {
					t.Errorf("lift %v mm: 48 nodes off by %.2g", lift, e)
				}
				if e := relativeError(o.DeltaL(Flat(lift*mmm)), want); e > 3e-5 {
					t.Errorf("lift %v mm: spline off by %.2g", lift, e)
				}
			}
			// Far away the signal is below a thousandth of that at contact; there 1e-3 of it is enough.
			want, err := ReferenceDeltaL(c.head, c.base, FarGap, 1e-9)
			if err != nil {
				t.Fatal(err)
			}
			if e := relativeError(o.DeltaL(Flat(FarGap)), want); e > 1e-3 {
				t.Errorf("lift 60 mm: off by %.2g", e)
			}
		})
	}
}

func TestReferenceRefuses(t *testing.T) {
	good := Thick(Metal{1, 35e6})
	for name, call := range map[string]func() (complex128, error){
		"cored":     func() (complex128, error) { return ReferenceDeltaL(generalHead(), good, 0, 1e-6) },
		"lift":      func() (complex128, error) { return ReferenceDeltaL(eddyCoil, good, -1, 1e-6) },
		"tolerance": func() (complex128, error) { return ReferenceDeltaL(eddyCoil, good, 0, 1e-20) },
		"base":      func() (complex128, error) { return ReferenceDeltaL(eddyCoil, nil, 0, 1e-6) },
		"head":      func() (complex128, error) { return ReferenceDeltaL(Head{}, good, 0, 1e-6) },
	} {
		if _, err := call(); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// The finite-element table testdata/ref/eddy_air_half.csv has 0.341 - 3.744i here.
func ExampleReferenceDeltaL() {
	coil := Head{Coil: Coil{InnerRadius: 0.8e-3, OuterRadius: 1.6e-3, Height: 1e-3, Recess: 0.2e-3, Turns: 40}, Frequency: 1e6}
	aluminium := Thick(Metal{RelPermeability: 1, Conductivity: 35e6})
	d, _ := ReferenceDeltaL(coil, aluminium, 0.1e-3, 1e-6)
	fmt.Printf("%.3f ohm\n", d*complex(0, 2*math.Pi*1e6))
	// Output: (0.341-3.744i) ohm
}
