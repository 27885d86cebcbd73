package field

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A wedge of air of angle pi/2 has three mirror images, one of pi a single one: elementary physics, independent of the
// Macdonald integral.
func TestWedgeAgainstImages(t *testing.T) {
	free := func(p, q point) float64 {
		return 1 / (4 * math.Pi * math.Sqrt((p.x-q.x)*(p.x-q.x)+(p.y-q.y)*(p.y-q.y)+(p.z-q.z)*(p.z-q.z)))
	}
	for _, c := range []struct {
		nodes int
		limit float64
	}{{61, 1e-11}, {41, 1e-9}, {33, 1e-7}, {25, 1e-6}, {21, 1e-5}, {17, 1e-4}} {
		corner, plane := newWedge(math.Pi/2, c.nodes), newWedge(math.Pi, c.nodes)
		r := rand.New(rand.NewPCG(7, 8))
		worst := 0.0
		for range 400 {
			p := point{r.Float64() * 5, r.NormFloat64() * 3, r.Float64() * 5}
			q := point{r.Float64() * 5, r.NormFloat64() * 3, r.Float64() * 5}
			attract, repel := corner.excess(p, q)
			attractBack, repelBack := corner.excess(q, p)
			flatA, flatR := plane.excess(p, q)
			for _, c := range []struct{ sign, got, back, flat float64 }{
				{-1, attract, attractBack, flatA}, {1, repel, repelBack, flatR},
			} {
				sign, got := c.sign, c.got
				want := sign*free(p, point{-q.x, q.y, q.z}) + free(p, point{-q.x, q.y, -q.z})
				if e := math.Abs(got-want) / free(p, q); e > worst {
					worst = e
				}
				if math.Abs(c.back-got) > 1e-12*free(p, q) {
					t.Fatalf("reciprocity: %v there, %v back", got, c.back)
				}
				if math.Abs(c.flat) > 1e-13*free(p, q) {
					t.Errorf("plane differs from itself by %v", c.flat)
				}
			}
		}
		if worst > c.limit {
			t.Errorf("%d nodes: worst error %.2g of the direct term, limit %g", c.nodes, worst, c.limit)
		}
		t.Logf("%d nodes: worst error %.2g of the direct term", c.nodes, worst)
	}
}

// Half a plane (angle 2 pi) has Sommerfeld's closed form: G = (1/4 pi) [S(phi-phi') -+ S(phi+phi')],
// S(psi) = (1/R)(1/2 + (1/pi) arcsin(cos(psi/2)/cosh(eta/2))); A. Sommerfeld, Proc. London Math. Soc. 28 (1897) 395.
func TestWedgeAgainstSommerfeldHalfPlane(t *testing.T) {
	screen := newWedge(2*math.Pi, 61)
	r := rand.New(rand.NewPCG(9, 10))
	worst := 0.0
	for range 400 {
		p := point{r.NormFloat64() * 3, r.NormFloat64() * 3, r.Float64() * 4}
		q := point{r.NormFloat64() * 3, r.NormFloat64() * 3, r.Float64() * 4}
		rp, rq := math.Hypot(p.x, p.z), math.Hypot(q.x, q.z)
		cosh := (rp*rp + rq*rq + (p.y-q.y)*(p.y-q.y)) / (2 * rp * rq)
		half := math.Sqrt((cosh + 1) / 2)
		rem := func(psi float64) float64 {
			distance := math.Sqrt(2 * rp * rq * (cosh - math.Cos(psi)))
			return (0.5 + math.Asin(math.Cos(psi/2)/half)/math.Pi - 1) / distance
		}
		a, b := math.Atan2(p.z, p.x), math.Atan2(q.z, q.x)
		attract, repel := screen.excess(p, q)
		for sign, got := range map[float64]float64{-1: attract, 1: repel} {
			want := (rem(a-b) + sign*rem(a+b)) / (4 * math.Pi)
			if e := math.Abs(got-want) * 4 * math.Pi * math.Sqrt(2*rp*rq*(cosh-math.Cos(a-b))); e > worst {
				worst = e
			}
		}
	}
	if worst > 1e-9 {
		t.Errorf("worst error %.2g of the direct term, limit 1e-9", worst)
	}
	t.Logf("worst error %.2g of the direct term", worst)
}

func BenchmarkWedgePair(b *testing.B) {
	w := newWedge(3*math.Pi/2, 33)
	for b.Loop() {
		w.excess(point{1, 2, 3}, point{2, 1, 0.5})
	}
}
