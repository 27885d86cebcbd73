package field

import (
	"math"

	"foilwright/sim/num"
)

// Reach of the prepared curves.
const (
	// FarGap is the largest gap, metres, up to which a curve is computed; beyond it the signal falls on by its last power.
	FarGap = 60e-3
	// deepestGap is how far a tip may be worn below its contact point at most, metres.
	deepestGap = 50e-6
	curveCells = 120
)

// gapScale maps gaps to the curve's coordinate y = log(1 + (gap - least)/unit), in which the response is smooth from
// contact to far away.
type gapScale struct {
	least, unit float64
	step        float64 // of y between nodes
	perUnit     float64 // 1/unit, 1/step
	perStep     float64
}

// newGapScale is the scale of the flat curves.
func newGapScale(h Head) gapScale {
	if h.Core == nil {
		return gapScaleOf(h.Coil.Recess, h.Coil.Recess+float64(0.3*h.Coil.InnerRadius))
	}
	return gapScaleOf(h.Core.Recess, h.Core.Recess+float64(0.1*h.Core.Radius))
}

// newShapeScale is the scale of the shape tables, denser at contact, where edge and tilt change most with the gap.
func newShapeScale(h Head) gapScale {
	if h.Core == nil {
		return gapScaleOf(h.Coil.Recess, h.Coil.Recess+float64(0.1*h.Coil.InnerRadius))
	}
	return gapScaleOf(h.Core.Recess, h.Core.Recess)
}

func gapScaleOf(recess, unit float64) gapScale {
	s := gapScale{least: -min(deepestGap, recess/2), unit: unit}
	s.step = num.Log1p((FarGap-s.least)/s.unit) / curveCells
	s.perUnit, s.perStep = 1/s.unit, 1/s.step
	return s
}

// coordinate returns y/step for a gap; gaps below the least are held there.
func (s gapScale) coordinate(gap float64) float64 {
	if gap <= s.least {
		return 0
	}
	return num.Log(1+float64((gap-s.least)*s.perUnit)) * s.perStep
}

// gap is the inverse of coordinate.
func (s gapScale) gap(x float64) float64 {
	return s.least + float64(s.unit*num.Expm1(x*s.step))
}

// spline is a cubic spline on the nodes 0, 1, .. n, continuous up to its second derivative.
type spline struct {
	// cell[i] holds value, slope and the two higher coefficients on (i, i+1).
	cell [][4]float64
}

// newSpline fits the values; the end slopes come from five-point one-sided differences.
func newSpline(v []float64) spline {
	n := len(v) - 1
	slope := make([]float64, n+1)
	edge := func(a, b, c, d, e float64) float64 {
		return float64(-25*a)/12 + 4*b - float64(3*c) + float64(4*d)/3 - e/4
	}
	slope[0] = edge(v[0], v[1], v[2], v[3], v[4])
	slope[n] = -edge(v[n], v[n-1], v[n-2], v[n-3], v[n-4])
	// s[i-1] + 4 s[i] + s[i+1] = 3 (v[i+1] - v[i-1]), Thomas algorithm.
	ratio, right := make([]float64, n+1), make([]float64, n+1)
	right[0] = slope[0]
	for i := 1; i < n; i++ {
		d := 4 - ratio[i-1]
		ratio[i] = 1 / d
		right[i] = (float64(3*(v[i+1]-v[i-1])) - right[i-1]) / d
	}
	for i := n - 1; i > 0; i-- {
		slope[i] = right[i] - float64(ratio[i]*slope[i+1])
	}
	s := spline{make([][4]float64, n)}
	for i := range s.cell {
		rise := v[i+1] - v[i]
		s.cell[i] = [4]float64{v[i], slope[i], float64(3*rise) - 2*slope[i] - slope[i+1], slope[i] + slope[i+1] - 2*rise}
	}
	return s
}

// at returns the value at x; outside the nodes it goes on in a straight line.
func (s spline) at(x float64) float64 {
	n := len(s.cell)
	// Compared as floats first: converting what does not fit an int differs between machines.
	if !(x < float64(n)) {
		c := &s.cell[n-1]
		end := c[0] + c[1] + c[2] + c[3]
		return end + float64((x-float64(n))*(c[1]+2*c[2]+float64(3*c[3])))
	}
	if x < 0 {
		return s.cell[0][0] + float64(x*s.cell[0][1])
	}
	i := int(x)
	c, t := &s.cell[i], x-float64(i)
	return c[0] + float64(t*(c[1]+float64(t*(c[2]+float64(t*c[3])))))
}

// falls reports whether the spline falls everywhere.
func (s spline) falls() bool {
	for _, c := range s.cell {
		// The slope c1 + 2 c2 t + 3 c3 t^2 must stay below zero on [0, 1]: at both ends and at its own extremum.
		if c[1] >= 0 || c[1]+2*c[2]+float64(3*c[3]) >= 0 {
			return false
		}
		if c[3] != 0 {
			if t := -c[2] / (3 * c[3]); t > 0 && t < 1 && c[1]+float64(c[2]*t) >= 0 {
				return false
			}
		}
	}
	return true
}

// find returns where a falling spline has the value, for values between those of the end nodes.
func (s spline) find(value float64) float64 {
	low, high := 0, len(s.cell)
	for high-low > 1 {
		if middle := (low + high) / 2; s.cell[middle][0] >= value {
			low = middle
		} else {
			high = middle
		}
	}
	// Newton's method held inside the bracket.
	c := &s.cell[low]
	from, to, t := 0.0, 1.0, 0.5
	for range 60 {
		f := (c[0] - value) + float64(t*(c[1]+float64(t*(c[2]+float64(t*c[3])))))
		if f > 0 {
			from = t
		} else {
			to = t
		}
		slope := c[1] + float64(t*(2*c[2]+float64(3*t*c[3])))
		next := t - f/slope
		if !(next > from && next < to) {
			next = (from + to) / 2
		}
		if next == t || math.Abs(next-t) < 1e-16 {
			break
		}
		t = next
	}
	return float64(low) + t
}

// inverse finds where a falling spline has a value without a search: a spline the other way round, over evenly spread
// values, comes near, and two steps of Newton's method come to the place itself.
type inverse struct {
	of          spline
	first, last float64 // values at its ends
	perValue    float64 // nodes of near
	near        spline
}

// inverseCells is how many cells the other way round has; near is then good to a millionth of a cell or better.
const inverseCells = 4 * curveCells

func newInverse(of spline) inverse {
	n := len(of.cell)
	v := inverse{of: of, first: of.cell[0][0], last: of.at(float64(n))}
	v.perValue = inverseCells / (v.last - v.first)
	places := make([]float64, inverseCells+1)
	for i := range places {
		places[i] = of.find(v.first + float64(i)/v.perValue)
	}
	v.near = newSpline(places)
	return v
}

// find returns where the spline has the value, for values between those of its end nodes.
func (v *inverse) find(value float64) float64 {
	x := v.near.at((value - v.first) * v.perValue)
	i := min(max(int(x), 0), len(v.of.cell)-1)
	c, t := &v.of.cell[i], x-float64(i)
	slope := 1 / (c[1] + float64(t*(2*c[2]+float64(3*t*c[3]))))
	for range 2 {
		f := (c[0] - value) + float64(t*(c[1]+float64(t*(c[2]+float64(t*c[3])))))
		t -= float64(f * slope)
	}
	return float64(i) + t
}
