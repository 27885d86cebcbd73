package field

import (
	"math"

	"foilwright/sim/num"
)

// aperture is an opening in the plane face of ideal metal, seen by one head at one place: the field in the opening is
// resolved into modes of the space behind it, orders of which do not mix. What the opening adds to the scattered Green's
// function of the endless plane is, in each order,
//
//	G(p,q) = +-weight sum over modes n, n' of v_n(p) (A^-1)_nn' v_n'(q),  A = K + lambda
//
// with + for metal that attracts and - for metal that repels. v are the mode's overlaps with the source's wave, K with the
// half-space above and lambda the mode's own stiffness behind: Galerkin's method for the potential in the opening
// (attracting) or for the flux through it (repelling). Averaged over the head's circles, a wave e^(i k r) leaves J0, so
// that the head enters by its own waves alone.
type aperture []apertureOrder

// apertureOrder is one order of an aperture.
type apertureOrder struct {
	weight  float64
	waves   *modes    // the head at the frequencies below
	a       []float64 // spatial frequencies, 1/m
	overlap matrix    // v by mode and frequency, quadrature weight included
}

// crossing is what one order passes of a head at one gap.
type crossing struct {
	weight     float64
	sent, felt matrix // mode x source (charges less the last, then the winding); mode x unknown
}

// at returns what passes at a gap in metres.
func (ap aperture) at(gap float64) []crossing {
	var all []crossing
	for _, o := range ap {
		all = append(all, o.at(gap))
	}
	return all
}

func (o *apertureOrder) at(gap float64) crossing {
	modes, cored := o.overlap.rows, o.waves.core != nil
	c := crossing{weight: o.weight, sent: newMatrix(modes, 1)}
	if cored {
		c.sent, c.felt = newMatrix(modes, chargeCount), newMatrix(modes, chargeCount)
	}
	fade := make([]float64, len(o.a))
	for k, a := range o.a {
		fade[k] = num.Exp(-a * gap)
	}
	for n := range modes {
		sent := c.sent.row(n)
		for k, v := range o.overlap.row(n) {
			v *= fade[k]
			if v == 0 {
				continue
			}
			sent[len(sent)-1] += float64(v * o.waves.coil[k])
			if !cored {
				continue
			}
			for j, f := range o.waves.cast.row(k)[:chargeCount-1] {
				sent[j] += float64(v * f)
			}
			felt := c.felt.row(n)
			for i, f := range o.waves.feel.row(k) {
				felt[i] += float64(v * f)
			}
		}
	}
	return c
}

// apertureExcess returns what an aperture adds to the head's system, for metal of a kind: what passes each order, and the
// order's system A by Cholesky's factor.
func apertureExcess(kind Ideal, through []crossing, factors []matrix) *excess {
	e := &excess{}
	for i, c := range through {
		weight := c.weight
		if kind == Repelling {
			weight = -weight
		}
		answer := factors[i].solveFactored(c.sent)
		last := c.sent.cols - 1
		if last > 0 && e.drive == nil {
			e.charge, e.drive, e.coilCharge = newMatrix(chargeCount, last), make([]float64, chargeCount), make([]float64, last)
		}
		for n := range answer.rows {
			coil, from := weight*c.sent.row(n)[last], answer.row(n)
			e.coilCoil += float64(coil * from[last])
			for j := range e.coilCharge {
				e.coilCharge[j] += float64(coil * from[j])
			}
			if last == 0 {
				continue
			}
			for i, f := range c.felt.row(n) {
				f *= weight
				row := e.charge.row(i)
				for j, x := range from[:last] {
					row[j] += float64(f * x)
				}
				e.drive[i] -= float64(f * from[last])
			}
		}
	}
	return e
}

// ratioWith returns the response with an excess relative to the endless plane.
func (s *spectrum) ratioWith(kind Ideal, gap float64, extra *excess) float64 {
	if kind == Attracting {
		flat, _ := s.overIdeal(gap, nil, nil)
		with, _ := s.overIdeal(gap, extra, nil)
		return with / flat
	}
	_, flat := s.overIdeal(gap, nil, nil)
	_, with := s.overIdeal(gap, nil, extra)
	return with / flat
}

// choleskyFactor returns the lower factor of a positive definite symmetric matrix; G. H. Golub and C. F. Van Loan, Matrix
// Computations, 4.2.
func (m matrix) choleskyFactor() matrix {
	n := m.rows
	l := newMatrix(n, n)
	for i := range n {
		for j := 0; j <= i; j++ {
			sum := m.at[i*n+j]
			for k := range j {
				sum -= float64(l.at[i*n+k] * l.at[j*n+k])
			}
			if i == j {
				l.at[i*n+i] = math.Sqrt(sum)
			} else {
				l.at[i*n+j] = sum / l.at[j*n+j]
			}
		}
	}
	return l
}

// solveFactored solves for several right-hand sides, the matrix being a lower Cholesky factor.
func (m matrix) solveFactored(right matrix) matrix {
	n := m.rows
	x := newMatrix(n, right.cols)
	copy(x.at, right.at)
	for i := range n {
		to := x.row(i)
		for k := range i {
			f := m.at[i*n+k]
			for c, v := range x.row(k) {
				to[c] -= float64(f * v)
			}
		}
		for c := range to {
			to[c] /= m.at[i*n+i]
		}
	}
	for i := n - 1; i >= 0; i-- {
		to := x.row(i)
		for k := i + 1; k < n; k++ {
			f := m.at[k*n+i]
			for c, v := range x.row(k) {
				to[c] -= float64(f * v)
			}
		}
		for c := range to {
			to[c] /= m.at[i*n+i]
		}
	}
	return x
}
