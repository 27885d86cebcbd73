package field

import "math"

// grid is a smooth function of two coordinates, known on whole numbers: a cubic B-spline surface through its nodes,
// continuous up to its second derivatives. Outside it goes on in a straight line along
// y and stays constant along x.
type grid struct {
	nx, ny int
	// coefficient has one more row and column on every side than there are nodes.
	coefficient []float64
}

// newGrid fits nodes given row after row, x counting rows.
func newGrid(nx, ny int, nodes []float64) grid {
	g := grid{nx, ny, make([]float64, (nx+2)*(ny+2))}
	along := func(n int, get func(i int) float64, set func(i int, v float64)) {
		c := bsplineCoefficients(n, get)
		for i, v := range c {
			set(i, v)
		}
	}
	half := make([]float64, nx*(ny+2))
	for i := range nx {
		along(ny, func(j int) float64 { return nodes[i*ny+j] }, func(j int, v float64) { half[i*(ny+2)+j] = v })
	}
	for j := range ny + 2 {
		along(nx, func(i int) float64 { return half[i*(ny+2)+j] }, func(i int, v float64) { g.coefficient[i*(ny+2)+j] = v })
	}
	return g
}

// bsplineCoefficients returns the n+2 coefficients of the uniform cubic B-spline through n >= 4 values:
// c[i-1] + 4 c[i] + c[i+1] = 6 v[i], with the second derivative at each end from four-point differences;
// C. de Boor, A Practical Guide to Splines, 1978.
func bsplineCoefficients(n int, value func(int) float64) []float64 {
	c := make([]float64, n+2)
	ratio := make([]float64, n)
	bend := func(i, step int) float64 {
		return 2*value(i) - float64(5*value(i+step)) + 4*value(i+2*step) - value(i+3*step)
	}
	low, high := bend(0, 1), bend(n-1, -1)
	c[1], c[n] = value(0)-low/6, value(n-1)-high/6
	for i := 1; i < n-1; i++ {
		d := 4 - ratio[i-1]
		ratio[i] = 1 / d
		c[i+1] = (float64(6*value(i)) - c[i]) / d
	}
	for i := n - 2; i > 0; i-- {
		c[i+1] -= float64(ratio[i] * c[i+2])
	}
	c[0], c[n+1] = low+2*c[1]-c[2], high+2*c[n]-c[n-1]
	return c
}

// spot is a place along one coordinate of a grid: its cell, the four B-spline weights there and their slopes, and how far
// it lies beyond the nodes. Grids with as many nodes share it.
type spot struct {
	cell          int
	weight, slope [4]float64 // slope only beyond the nodes
	beyond        float64
}

// newSpot finds a coordinate among n nodes.
func newSpot(n int, at float64) (s spot) {
	s.find(n, at)
	return s
}

// find is newSpot in place.
func (s *spot) find(n int, at float64) {
	inside := min(max(at, 0), float64(n-1))
	s.beyond = at - inside
	if at != at {
		s.cell = 0
		return // the NaN stays in beyond
	}
	s.cell = min(int(inside), n-2)
	t := inside - float64(s.cell)
	u := 1 - t
	s.weight = [4]float64{u * u * u / 6, 2.0/3 - float64(t*t*(2-t))/2, 2.0/3 - float64(u*u*(2-u))/2, t * t * t / 6}
	if s.beyond != 0 {
		s.slope = [4]float64{-u * u / 2, t * (float64(1.5*t) - 2), u * (2 - float64(1.5*u)), t * t / 2}
	}
}

// at returns the value at (x, y).
func (g *grid) at(x, y float64) float64 {
	if x != x {
		return math.NaN()
	}
	across, along := newSpot(g.nx, x), newSpot(g.ny, y)
	return g.value(&across, &along)
}

// value is at for spots found before.
func (g *grid) value(x, y *spot) float64 {
	width := g.ny + 2
	rows := g.coefficient[x.cell*width+y.cell:]
	a, b, c, d := row(rows, 0), row(rows, width), row(rows, 2*width), row(rows, 3*width)
	w := &x.weight
	value := float64(w[0]*dot(a, &y.weight)) + float64(w[1]*dot(b, &y.weight)) + float64(w[2]*dot(c, &y.weight)) + float64(w[3]*dot(d, &y.weight))
	if y.beyond == 0 {
		return value
	}
	rise := float64(w[0]*dot(a, &y.slope)) + float64(w[1]*dot(b, &y.slope)) + float64(w[2]*dot(c, &y.slope)) + float64(w[3]*dot(d, &y.slope))
	return value + float64(y.beyond*rise)
}

func row(coefficients []float64, from int) *[4]float64 {
	return (*[4]float64)(coefficients[from : from+4])
}

func dot(c, w *[4]float64) float64 {
	return float64(c[0]*w[0]) + float64(c[1]*w[1]) + float64(c[2]*w[2]) + float64(c[3]*w[3])
}
