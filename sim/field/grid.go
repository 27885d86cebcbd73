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

// weights returns the four B-spline weights at t in [0, 1] of a cell, and their slopes.
func weights(t float64) (w, slope [4]float64) {
	s := 1 - t
	w = [4]float64{s * s * s / 6, 2.0/3 - float64(t*t*(2-t))/2, 2.0/3 - float64(s*s*(2-s))/2, t * t * t / 6}
	slope = [4]float64{-s * s / 2, t * (float64(1.5*t) - 2), s * (2 - float64(1.5*s)), t * t / 2}
	return w, slope
}

// at returns the value at (x, y).
func (g *grid) at(x, y float64) float64 {
	if x != x || y != y {
		return math.NaN()
	}
	x = math.Min(math.Max(x, 0), float64(g.nx-1))
	inside := math.Min(math.Max(y, 0), float64(g.ny-1))
	i, j := min(int(x), g.nx-2), min(int(inside), g.ny-2)
	wx, _ := weights(x - float64(i))
	wy, slope := weights(inside - float64(j))
	value, rise := 0.0, 0.0
	beyond := y - inside
	for k, w := range wx {
		row := g.coefficient[(i+k)*(g.ny+2)+j:]
		row = row[:4]
		value += float64(w * (float64(row[0]*wy[0]) + float64(row[1]*wy[1]) + float64(row[2]*wy[2]) + float64(row[3]*wy[3])))
		if beyond != 0 {
			rise += float64(w * (float64(row[0]*slope[0]) + float64(row[1]*slope[1]) + float64(row[2]*slope[2]) + float64(row[3]*slope[3])))
		}
	}
	if beyond == 0 {
		return value
	}
	return value + float64(beyond*rise)
}
