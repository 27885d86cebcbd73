package field

import (
	"math"

	"foilwright/sim/num"
)

// spectrum is a head resolved into axisymmetric waves J0(a rho) e^(-a z) at the tip's contact point: all that flat
// layered metal can see of it.
type spectrum struct {
	modes
	head Head
	a    []float64 // spatial frequencies, 1/m
	w    []float64 // their quadrature weights
}

const (
	airNodes  = 48
	coreNodes = 96
)

func newSpectrum(h Head) *spectrum {
	if h.Core == nil {
		return newSpectrumOn(h, nil)
	}
	return newSpectrumOn(h, coreSurface(*h.Core))
}

// newSpectrumOn is newSpectrum with the circles on which the core's potential is matched.
func newSpectrumOn(h Head, surface []circle) *spectrum {
	s := &spectrum{head: h}
	var q rule
	if h.Core == nil {
		q = powerRule(airNodes, 2, 40/(h.Coil.InnerRadius+h.Coil.OuterRadius))
	} else {
		q = powerRule(coreNodes, 3, 18/(float64(chargeStart*h.Core.Radius)+h.Core.Recess))
	}
	s.a, s.w = q.node, q.weight
	var core *coreModel
	if h.Core != nil {
		core = newCoreModel(h.Coil, *h.Core, surface)
	}
	s.modes = newWaves(h, core, s.a)
	return s
}

// newWaves resolves a head into the waves of given spatial frequencies; the core's model is nil for an air core.
func newWaves(h Head, core *coreModel, a []float64) modes {
	m := modes{core: core, coil: windingSpectrum(h.Coil, a)}
	if core == nil {
		return m
	}
	m.cast, m.feel = newMatrix(len(a), chargeCount), newMatrix(len(a), chargeCount)
	for k, a := range a {
		tip := num.Exp(-a * h.Core.Recess)
		cast := m.cast.row(k)
		last := core.charges[chargeCount-1].wave(a)
		for j := range chargeCount - 1 {
			cast[j] = tip * (core.charges[j].wave(a) - last)
		}
		for t, p := range core.surface {
			if a*p.zeta < 50 {
				core.feelAt(t, tip*p.wave(a), m.feel.row(k))
			}
		}
	}
	return m
}

// feelAt adds a potential on surface circle t, projected to the unknowns, to a sum.
func (m *coreModel) feelAt(t int, potential float64, sum []float64) {
	for i := range sum {
		sum[i] += float64(m.project.at[i*m.project.cols+t] * potential)
	}
}

// wave is the amplitude at the core's lowest point of the wave of spatial frequency a that unit charge on c sends down.
func (c circle) wave(a float64) float64 {
	return float64(num.J0(a*c.rho) * num.Exp(-a*c.zeta))
}

// windingSpectrum returns -2 pi n (c(a)/a) (1 - e^(-aH)) e^(-a recess) for each a.
func windingSpectrum(c Coil, as []float64) []float64 {
	unit := gaussLegendre(16, 0, 1)
	amplitudes := make([]float64, len(as))
	for k, a := range as {
		if a*c.Recess > 50 {
			continue
		}
		amplitudes[k] = 2 * math.Pi * c.density() * c.moment(a, unit) / a * num.Expm1(-a*c.Height) * num.Exp(-a*c.Recess)
	}
	return amplitudes
}

// over returns the change of inductance in henry over flat metal with the given reflection factors, at one gap.
func (s *spectrum) over(reflection []complex128, gap float64, extra *excess, work *solver) complex128 {
	answer := work.answers(len(s.a))
	for k, a := range s.a {
		answer[k] = num.Scale(s.w[k]*num.Exp(-2*a*gap)/(4*math.Pi), reflection[k])
	}
	return s.response(answer, extra, work)
}

// reflections returns the reflection factor of a stack at the spectrum's frequencies.
func (s *spectrum) reflections(b Base) []complex128 {
	gamma := make([]complex128, len(s.a))
	for k, a := range s.a {
		gamma[k] = b.reflection(s.head.Frequency, a)
	}
	return gamma
}

// overIdeal returns the response over ideal metal of both kinds, with an extra for each.
func (s *spectrum) overIdeal(gap float64, attract, repel *excess) (attracted, repelled float64) {
	work := newSolver()
	ones := make([]complex128, len(s.a))
	for i := range ones {
		ones[i] = 1
	}
	attracted = real(s.over(ones, gap, attract, work))
	for i := range ones {
		ones[i] = -1
	}
	return attracted, real(s.over(ones, gap, repel, work))
}
