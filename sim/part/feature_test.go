package part

import (
	"math"
	"testing"

	"foilwright/sim/num"
)

func TestDistancesFromFeatures(t *testing.T) {
	p := Piece{Width: 0.3, Height: 0.2, Sides: Sides{Left: Wall, Top: GoesOn}, Features: []Feature{
		{Kind: Hole, X: 0.1, Y: 0.1, Radius: 0.01},
		{Kind: Step, At: 0.2, Height: 0.003, FarUp: true},
		{Kind: Weld, At: 0.05, AlongX: true, Width: 0.012, Height: 0.002},
		{Kind: Bend, At: 0.25, Width: 0.02, Radius: 0.008},
	}}
	none := math.Inf(1)
	for _, c := range []struct {
		from Obstacle
		x, y float64
		want float64
	}{
		{AtHole, 0.13, 0.14, 0.04},
		{AtHole, 0.1, 0.1, -0.01},
		{AtStep, 0.21, 0.1, 0.01},
		{AtStep, 0.19, 0.1, none},
		{AtFoot, 0.19, 0.1, 0.01},
		{AtFoot, 0.21, 0.1, none},
		{AtWeld, 0.15, 0.06, 0.004},
		{AtWeld, 0.15, 0.05, -0.006},
		{AtBend, 0.23, 0.1, 0.01},
		{AtWall, 0.03, 0.1, 0.03},
		{AtEdge, 0.03, 0.1, 0.1},
		{AtEdge, 0.15, 0.199, 0.15},
	} {
		if got := p.Distance(c.from, c.x, c.y); got != c.want && math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%s from (%g, %g): %g, want %g", c.from, c.x, c.y, got, c.want)
		}
	}
	if near, far := p.Features[2].Flanks(0.1, 0.052); math.Abs(near-0.004) > 1e-12 || math.Abs(far-0.008) > 1e-12 {
		t.Errorf("flanks of the weld at %g and %g", near, far)
	}
	for _, o := range Obstacles() {
		if !p.Has(o) || (&Piece{Width: 1, Height: 1, Sides: Sides{GoesOn, GoesOn, GoesOn, GoesOn}}).Has(o) {
			t.Errorf("%s: is not told apart from none", o)
		}
	}
}

// A patch is whole within its area, half of it at half the fade, nothing beyond,
// and the rest of the film is as without it.
func TestPatchesThinTheFilmInOnePlace(t *testing.T) {
	spec := CoatingSpec{MeanUm: []Range{{100, 100}}, WavinessUm: 3, WavelengthM: Range{0.2, 0.4}}
	plain := spec.Realise(num.NewStream(1, "coating"))
	spec.Patches = []PatchSpec{{Area: Area{X: 0.1, Y: 0.1, Width: 0.05, Height: 0.05}, ByUm: Range{-30, -20}, FadeM: 0.02}}
	patched := spec.Realise(num.NewStream(1, "coating"))
	by := func(x, y float64) float64 { return patched.LocalUm(x, y) - plain.LocalUm(x, y) }
	whole := by(0.12, 0.12)
	if whole < -30 || whole > -20 {
		t.Errorf("thinner by %.1f µm, want 20 to 30", -whole)
	}
	if half := by(0.16, 0.12); math.Abs(half-whole/2) > 1e-9 {
		t.Errorf("half way out %.2f µm, want half of %.2f", half, whole)
	}
	if away := by(0.19, 0.12); away != 0 {
		t.Errorf("%.3f µm beyond the fade", away)
	}
	area := Area{X: 0.1, Y: 0.1, Width: 0.05, Height: 0.05}
	if mean := patched.MeanOverUm(area) - plain.MeanOverUm(area); math.Abs(mean-whole) > 1e-9 {
		t.Errorf("the mean over it differs by %.3f µm, want %.3f", mean, whole)
	}
}
