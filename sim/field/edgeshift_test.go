package field

import (
	"math"
	"testing"
)

// A conductor's apparent faces lie half a skin depth inside it, so an edge is
// nearer than it is drawn. The judge is an independent three-dimensional
// eddy-current computation with finite skin depth:
// testdata/fem/eddy_air_edge_3d.csv (mesh error 0.03 to 0.2 %), lift-off
// 0.1 mm, 1 MHz, magnitude of the ratio to flat.
func TestEddyEdgeIsNearerByHalfASkinDepth(t *testing.T) {
	head := Head{
		Coil:      Coil{InnerRadius: 0.8e-3, OuterRadius: 1.6e-3, Height: 1e-3, Recess: 0.2e-3, Turns: 40},
		Frequency: 1e6, TipRadius: 1e-3,
	}
	const gap = 0.1e-3
	for _, c := range []struct {
		conductivity, distance, want, limit float64
	}{
		{35e6, 1e-3, 0.83967, 0.004},
		{35e6, 2e-3, 0.98768, 0.004},
		{1.4e6, 1e-3, 0.77073, 0.025}, // a skin depth of 0.43 mm: half the distance
	} {
		half := math.Sqrt(1/(math.Pi*head.Frequency*4e-7*math.Pi*c.conductivity)) / 2
		ratio := func(shift float64) float64 {
			edge, flat, err := IdealAtEdge(head, Repelling, 1.5*math.Pi, gap+half, c.distance+shift)
			if err != nil {
				t.Fatal(err)
			}
			return edge / flat
		}
		nearer, farther := math.Abs(ratio(-half)/c.want-1), math.Abs(ratio(half)/c.want-1)
		if nearer > c.limit {
			t.Errorf("%g S/m, %g m: nearer by half a skin depth gives %.5f, the table %.5f", c.conductivity, c.distance, ratio(-half), c.want)
		}
		if farther < 1.5*nearer {
			t.Errorf("%g S/m, %g m: errors nearer %.4f, farther %.4f: this tells no sign", c.conductivity, c.distance, nearer, farther)
		}
		t.Logf("%g S/m, %g m: nearer %.5f, farther %.5f, table %.5f", c.conductivity, c.distance, ratio(-half), ratio(half), c.want)
	}
}
