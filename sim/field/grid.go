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

// spot is a place along one coordinate of a grid: its cell and the four B-spline weights there. Grids with as many nodes
// share it.
type spot struct {
	cell   int
	weight [4]float64
}

const sixth = 1.0 / 6

// within finds a coordinate among n nodes, held inside them; t is how far it lies into its cell, beyond how far outside the
// nodes, NaN for NaN.
func (s *spot) within(n int, at float64) (t, beyond float64) {
	inside := at
	if last := float64(n - 1); inside > last {
		inside = last
	} else if !(inside > 0) {
		inside = 0
	}
	s.cell = min(int(inside), n-2)
	t = inside - float64(s.cell)
	u := 1 - t
	t2, u2 := float64(t*t), float64(u*u)
	s.weight = [4]float64{float64(u2 * u * sixth), 2.0/3 - float64(t2*(1-t/2)), 2.0/3 - float64(u2*(1-u/2)), float64(t2 * t * sixth)}
	return t, at - inside
}

// find finds a coordinate among n nodes; outside them the weights go on in a straight line.
func (s *spot) find(n int, at float64) {
	if t, beyond := s.within(n, at); beyond != 0 {
		u := 1 - t
		for i, slope := range [4]float64{-u * u / 2, t * (float64(1.5*t) - 2), u * (2 - float64(1.5*u)), t * t / 2} {
			s.weight[i] += float64(beyond * slope)
		}
	}
}

// column is what a grid holds at one place along y, for x in one cell: its four B-spline coefficients.
type column [4]float64

// column returns the column of a place along y for the x in a cell.
func (g *grid) column(cell int, y *spot) (c column) {
	g.addTo(&c, 1, cell, y)
	return c
}

// addTo adds the column of a place along y for the x in a cell, times a factor.
func (g *grid) addTo(c *column, factor float64, cell int, y *spot) {
	width := g.ny + 2
	rows := g.coefficient[cell*width+y.cell:]
	a, b, d, e := (*[4]float64)(rows), (*[4]float64)(rows[width:]), (*[4]float64)(rows[2*width:]), (*[4]float64)(rows[3*width:])
	w0, w1, w2, w3 := factor*y.weight[0], factor*y.weight[1], factor*y.weight[2], factor*y.weight[3]
	c[0] += (float64(a[0]*w0) + float64(a[1]*w1)) + (float64(a[2]*w2) + float64(a[3]*w3))
	c[1] += (float64(b[0]*w0) + float64(b[1]*w1)) + (float64(b[2]*w2) + float64(b[3]*w3))
	c[2] += (float64(d[0]*w0) + float64(d[1]*w1)) + (float64(d[2]*w2) + float64(d[3]*w3))
	c[3] += (float64(e[0]*w0) + float64(e[1]*w1)) + (float64(e[2]*w2) + float64(e[3]*w3))
}

// at returns the value at a place of the column's cell.
func (c *column) at(x *spot) float64 {
	w := &x.weight
	return (float64(c[0]*w[0]) + float64(c[1]*w[1])) + (float64(c[2]*w[2]) + float64(c[3]*w[3]))
}

// raise adds a number to the value everywhere: the weights of a spot add up to 1.
func (c *column) raise(by float64) {
	for i := range c {
		c[i] += by
	}
}

// at returns the value at (x, y).
func (g *grid) at(x, y float64) float64 {
	if x != x {
		return math.NaN()
	}
	var across, along spot
	across.within(g.nx, x)
	along.find(g.ny, y)
	return g.value(&across, &along)
}

// value is at for places found before.
func (g *grid) value(x, y *spot) float64 {
	c := g.column(x.cell, y)
	return c.at(x)
}

// mixed returns the sum of grids of one size, each times its factor.
func mixed(factors []float64, grids func(i int) *grid) grid {
	first := grids(0)
	sum := grid{first.nx, first.ny, make([]float64, len(first.coefficient))}
	for i, f := range factors {
		for k, c := range grids(i).coefficient {
			sum.coefficient[k] += float64(f * c)
		}
	}
	return sum
}
