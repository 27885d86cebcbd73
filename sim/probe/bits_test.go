package probe

import (
	"fmt"
	"math"
	"testing"

	"foilwright/sim/field"
)

// The digest of many readings' bits is the same on every machine; the same test is to be run with GODEBUG=cpu.fma=off,
// GOAMD64=v3, GOARCH=wasm and GOARCH=arm64. A change of the field model, the designs or the tables changes it, and with
// it every recorded attempt.
func TestBitsAreTheSameEverywhere(t *testing.T) {
	const want = "63e31f1a316bfcd2"
	const prime, offset = 1099511628211, 14695981039346656037
	sum := uint64(offset)
	add := func(v float64) {
		if v != v {
			v = -1 // the bits of a NaN are the machine's own
		}
		bits := math.Float64bits(v)
		for range 8 {
			sum = (sum ^ bits&0xff) * prime
			bits >>= 8
		}
	}
	for _, d := range Designs() {
		s, err := d.Sensor()
		if err != nil {
			t.Fatal(err)
		}
		for _, base := range []field.Base{
			d.Standard, field.Plate(d.Standard[0].Metal, 0.3*mm),
			{{Metal: field.Metal{RelPermeability: 1, Conductivity: 16.6 * mS}, Thickness: 60 * um}, {Metal: field.Metal{RelPermeability: 160, Conductivity: 5.5 * mS}, Thickness: 4 * mm}},
		} {
			o, err := s.Over(base)
			if err != nil {
				t.Fatal(err)
			}
			for i := range 50 {
				gap := float64(i*i) * um
				for _, p := range []field.Place{
					field.Flat(gap), {Gap: gap, Tilt: float64(i) * 0.01, EdgeDistance: float64(i-5) * mm / 3},
					{Gap: gap, EdgeDistance: field.NoEdge, Curvature: [2]float64{float64(i - 20), 0}},
				} {
					change := o.DeltaL(p)
					add(real(change))
					add(imag(change))
				}
				back, _ := o.GapFor(o.Amplitude(field.Flat(gap)))
				add(back)
			}
		}
	}
	if got := fmt.Sprintf("%016x", sum); got != want {
		t.Errorf("digest of readings is %s, recorded %s", got, want)
	}
}
