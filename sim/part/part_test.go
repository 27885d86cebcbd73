package part

import (
	"math"
	"testing"

	"foilwright/sim/num"
)

func TestEdgeDistance(t *testing.T) {
	p := Piece{Width: 0.3, Height: 0.2}
	for _, c := range []struct {
		name       string
		x, y, want float64
	}{
		{"middle", 0.15, 0.1, 0.1},
		{"near left", 0.01, 0.1, 0.01},
		{"near top", 0.15, 0.195, 0.005},
		{"on the edge", 0, 0.1, 0},
		{"outside", -0.002, 0.1, -0.002},
	} {
		if got := p.EdgeDistance(c.x, c.y); math.Abs(got-c.want) > 1e-15 {
			t.Errorf("%s: got %g, want %g", c.name, got, c.want)
		}
	}
}

// The mean over an area has a closed form for plane cosines: each wave's mean
// over a rectangle is its value at the centre times sinc(kx*w/2)*sinc(ky*h/2).
func TestMeanOverAgreesWithTheClosedIntegral(t *testing.T) {
	spec := CoatingSpec{MeanUm: []Range{{70, 80}}, WavinessUm: 5, WavelengthM: Range{0.1, 0.4}}
	area := Area{X: 0.03, Y: 0.02, Width: 0.24, Height: 0.15}
	sinc := func(x float64) float64 {
		if x == 0 {
			return 1
		}
		return math.Sin(x) / x
	}
	for seed := range uint64(20) {
		c := spec.Realise(num.NewStream(seed, "test"))
		want := c.MeanUm
		for _, w := range c.waves {
			centre := w.kx*(area.X+area.Width/2) + w.ky*(area.Y+area.Height/2) + w.phase
			want += w.amplitudeUm * math.Cos(centre) * sinc(w.kx*area.Width/2) * sinc(w.ky*area.Height/2)
		}
		if got := c.MeanOverUm(area); math.Abs(got-want) > 0.001*spec.WavinessUm {
			t.Errorf("seed %d: got %.5f, want %.5f", seed, got, want)
		}
	}
}

func TestRealiseStaysInBoundsAndVaries(t *testing.T) {
	spec := CoatingSpec{MeanUm: []Range{{60, 65}, {80, 85}}, WavinessUm: 2, WavelengthM: Range{0.1, 0.4}}
	low, high := 0, 0
	var sum, squares float64
	n := 0
	for seed := range uint64(400) {
		c := spec.Realise(num.NewStream(seed, "test"))
		switch {
		case c.MeanUm >= 60 && c.MeanUm <= 65:
			low++
		case c.MeanUm >= 80 && c.MeanUm <= 85:
			high++
		default:
			t.Fatalf("seed %d: mean %g is in neither range", seed, c.MeanUm)
		}
		for i := range 10 {
			d := c.LocalUm(0.37*float64(i), 0.21*float64(i)) - c.MeanUm
			sum += d
			squares += d * d
			n++
		}
	}
	// Fair coin, 400 draws: 200 +- 4 sigma.
	if low < 160 || high < 160 {
		t.Errorf("ranges drawn %d and %d times of 400", low, high)
	}
	if sd := math.Sqrt(squares / float64(n)); sd < 1.8 || sd > 2.2 {
		t.Errorf("waviness %.2f µm, want about 2", sd)
	}
}

func TestFoilTruthStaysInsideItsCertificate(t *testing.T) {
	spec := FoilSpec{CertifiedUm: 50, ExpandedUm: 0.5}
	for seed := range uint64(500) {
		f := spec.Realise(num.NewStream(seed, "foil"))
		if math.Abs(f.TrueUm-50) > 0.5 {
			t.Fatalf("seed %d: true %g", seed, f.TrueUm)
		}
	}
}

func TestEveryMetalHasASource(t *testing.T) {
	for _, m := range Metals {
		if m.Source == "" || m.Name == "" || m.Field.Conductivity <= 0 || m.Field.RelPermeability < 1 {
			t.Errorf("metal %q is not fully described", m.ID)
		}
	}
}
