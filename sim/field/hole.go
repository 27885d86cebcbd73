package field

import (
	"math"

	"foilwright/sim/num"
)

// roundMode is one mode of a round hole of radius 1 and one order m: J_m(root r), with root a zero of J_m where the wall
// attracts, of J_m' where it repels.
type roundMode struct {
	root  float64
	slope float64 // J_m'(root), or J_m(root)
}

// roundOrder holds the modes of one order and the system A of the unit hole.
type roundOrder struct {
	modes  []roundMode
	system matrix // A by its Cholesky factor
}

// roundHole is the unit hole of one kind of metal, endlessly deep.
type roundHoleModes struct {
	kind   Ideal
	orders []roundOrder
}

// newRoundHole prepares orders 0 .. count-1 of so many modes each.
//
// K_nn' = int k^2 H_n H_n' dk (attracting) or int H_n H_n' dk (repelling), H_n(k) = int_0^1 J_m(root r) J_m(k r) r dr in closed form;
// lambda is root times the mode's norm, or the norm divided by it.
func newRoundHole(kind Ideal, count, modes int) *roundHoleModes {
	h := &roundHoleModes{kind: kind}
	for m := range count {
		h.orders = append(h.orders, roundOrder{modes: besselZeros(m, modes, kind == Repelling)})
	}
	last := h.orders[count-1].modes[modes-1].root
	panel := gaussLegendre(8, 0, 1)
	end := math.Ceil(4 * last)
	j := make([]float64, count+1)
	for p := range h.orders {
		h.orders[p].system = newMatrix(modes, modes)
	}
	transform := make([]float64, modes)
	for start := 0.0; start < end; start += 2 {
		for i, x := range panel.node {
			k, w := start+2*x, 2*panel.weight[i]
			besselRow(k, j)
			for m := range h.orders {
				o := &h.orders[m]
				for n := range transform {
					transform[n] = h.transform(m, n, k, j)
				}
				f := w
				if kind == Attracting {
					f *= k * k
				}
				for n := range transform {
					for q := range n + 1 {
						o.system.at[n*modes+q] += float64(f * transform[n] * transform[q])
					}
				}
			}
		}
	}
	for m := range h.orders {
		o := &h.orders[m]
		for n, a := range o.modes {
			for q, b := range o.modes[:n+1] {
				// Beyond the end J_m^2 and J_m'^2 average 1/(pi k).
				tail := float64(a.slope * b.slope / (2 * math.Pi * end * end))
				if kind == Attracting {
					tail = float64(tail * a.root * b.root)
				}
				o.system.at[n*modes+q] += tail
				o.system.at[q*modes+n] = o.system.at[n*modes+q]
			}
			norm := a.slope * a.slope / 2
			if kind == Attracting {
				o.system.at[n*modes+n] += float64(a.root * norm)
			} else {
				o.system.at[n*modes+n] += norm * (1 - float64(m*m)/(a.root*a.root)) / a.root
			}
		}
		o.system = o.system.choleskyFactor()
	}
	return h
}

// transform is H of mode n of order m at k, with j the row of J_0 .. at k.
func (h *roundHoleModes) transform(m, n int, k float64, j []float64) float64 {
	mode := h.orders[m].modes[n]
	apart := float64((mode.root - k) * (mode.root + k))
	if math.Abs(apart) < 1e-5*mode.root*mode.root {
		norm := mode.slope * mode.slope / 2
		if h.kind == Repelling {
			norm *= 1 - float64(m*m)/(mode.root*mode.root)
		}
		return norm
	}
	if h.kind == Attracting {
		return -mode.root * mode.slope * j[m] / apart
	}
	return k * mode.slope * besselSlope(m, k, j) / apart
}

// from returns the aperture, with its factors, for a head whose axis is so far (metres) from the axis of a hole of the radius.
func (h *roundHoleModes) from(head Head, core *coreModel, radius, rimDistance float64) (aperture, []matrix) {
	centre := radius + rimDistance
	r2 := head.Coil.OuterRadius
	end := headReach(head)
	blur := 0.0
	if rimDistance > r2/4 {
		blur = rimDistance / 30
		end = min(end, 90/rimDistance)
	}
	nodes := 120 + int(0.8*end*centre/math.Pi+float64(0.8*end*radius/math.Pi))
	q := powerRule(min(nodes, 2400), 2, end)
	waves := newWaves(head, core, q.node)
	near := max(rimDistance, 0) + float64(0.15*r2)
	count := min(len(h.orders), 6+int(4*radius/near))
	overlaps := make([]matrix, count)
	modes := len(h.orders[0].modes)
	for m := range overlaps {
		overlaps[m] = newMatrix(modes, len(q.node))
	}
	inner, outer := make([]float64, count+1), make([]float64, count+1)
	for i, k := range q.node {
		besselRow(k*radius, inner)
		besselRow(k*centre, outer)
		w := q.weight[i] * num.Exp(-float64(k*blur)*float64(k*blur))
		if h.kind == Attracting {
			w *= k
		}
		for m := range overlaps {
			f := w * radius * radius * outer[m]
			for n := range modes {
				overlaps[m].row(n)[i] = f * h.transform(m, n, k*radius, inner)
			}
		}
	}
	var a aperture
	var factors []matrix
	for m := range overlaps {
		weight := 1 / math.Pi
		if m == 0 {
			weight = 1 / (2 * math.Pi)
		}
		// The unit hole's system grows with the radius, or with its cube.
		scale := radius
		if h.kind == Repelling {
			scale = radius * radius * radius
		}
		a = append(a, apertureOrder{weight / scale, &waves, q.node, overlaps[m]})
		factors = append(factors, h.orders[m].system)
	}
	return a, factors
}

// headReach is the largest spatial frequency that leaves the head, 1/m.
func headReach(h Head) float64 {
	if h.Core == nil {
		return 16 / h.Coil.Recess
	}
	return 14 / (float64(chargeStart*h.Core.Radius) + h.Core.Recess)
}

// besselRow fills j with J_0(x) .. by recurrence, upward where that is stable, else downward after J. C. P. Miller;
// Abramowitz and Stegun 9.1.27 and 9.12.
func besselRow(x float64, j []float64) {
	last := len(j) - 1
	if x > float64(last) {
		j0, j1 := num.J01(x)
		j[0], j[1] = j0, j1
		for m := 1; m < last; m++ {
			j[m+1] = float64(2*float64(m)/x*j[m]) - j[m-1]
		}
		return
	}
	for i := range j {
		j[i] = 0
	}
	if x < 1e-8 {
		j[0] = 1
		return
	}
	start := 2 * ((last + 20 + int(x)) / 2)
	above, here, sum := 0.0, 1e-280, 0.0
	for m := start; m >= 0; m-- {
		if m <= last {
			j[m] = here
		}
		if m%2 == 0 {
			if m > 0 {
				sum += float64(2 * here)
			} else {
				sum += here
			}
		}
		above, here = here, float64(2*float64(m)/x*here)-above
		if math.Abs(here) > 1e200 {
			above, here, sum = float64(above*1e-200), float64(here*1e-200), float64(sum*1e-200)
			for i := range j {
				j[i] *= 1e-200
			}
		}
	}
	for i := range j {
		j[i] /= sum
	}
}

// besselSlope is J_m'(x), with j the row of J_0 .. J_m+1 at x.
func besselSlope(m int, x float64, j []float64) float64 {
	if m == 0 {
		return -j[1]
	}
	return (j[m-1] - j[m+1]) / 2
}

// besselZeros returns the first positive zeros of J_m, or of J_m' (without that of J_0' at 0), found by steps and halving.
func besselZeros(m, count int, slope bool) []roundMode {
	row := make([]float64, m+2)
	at := func(x float64) float64 {
		besselRow(x, row)
		if slope {
			return besselSlope(m, x, row)
		}
		return row[m]
	}
	var found []roundMode
	x := max(float64(m)*0.99, 0.5)
	before := at(x)
	for len(found) < count {
		next := x + 0.4
		here := at(next)
		if (before > 0) != (here > 0) {
			low, high := x, next
			for range 52 {
				if middle := (low + high) / 2; (at(middle) > 0) == (before > 0) {
					low = middle
				} else {
					high = middle
				}
			}
			root := (low + high) / 2
			besselRow(root, row)
			value := besselSlope(m, root, row)
			if slope {
				value = row[m]
			}
			found = append(found, roundMode{root, value})
		}
		x, before = next, here
	}
	return found
}
