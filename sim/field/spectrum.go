package field

import (
	"math"

	"foilwright/sim/num"
)

// spectrum is a head resolved into axisymmetric waves J0(a rho) e^(-a z), all that flat layered metal can see of it.
type spectrum struct {
	head Head
	a    []float64 // spatial frequencies, 1/m
	w    []float64 // their quadrature weights
	coil []float64 // amplitude of the winding's charges at the tip's contact point, A m
	core *coreModel
	// For a cored head, per frequency: tip[k] = e^(-a recess); cast[k] row of each charge's amplitude at the core's
	// lowest point (less the last charge's), lastCast the last one's; feel the projected response of the surface.
	tip  []float64
	cast matrix // frequency x unknown
	feel matrix // frequency x unknown
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
		// Measured: 48 nodes reach 5e-8 of 1200 nodes for gaps of 0 to 25 mm.
		q = powerRule(airNodes, 2, 40/(h.Coil.InnerRadius+h.Coil.OuterRadius))
	} else {
		q = powerRule(coreNodes, 3, 18/(float64(chargeStart*h.Core.Radius)+h.Core.Recess))
	}
	s.a, s.w = q.node, q.weight
	s.coil = windingSpectrum(h.Coil, s.a)
	if h.Core == nil {
		return s
	}
	s.core = newCoreModel(h.Coil, *h.Core, surface)
	n := len(s.a)
	s.tip = make([]float64, n)
	s.cast, s.feel = newMatrix(n, chargeCount), newMatrix(n, chargeCount)
	for k, a := range s.a {
		s.tip[k] = num.Exp(-a * h.Core.Recess)
		cast, feel := s.cast.row(k), s.feel.row(k)
		last := s.core.charges[chargeCount-1].wave(a)
		for j := range chargeCount - 1 {
			cast[j] = s.core.charges[j].wave(a) - last
		}
		for t, p := range s.core.surface {
			if a*p.zeta > 50 {
				continue
			}
			response := p.wave(a)
			for j := range chargeCount {
				feel[j] += float64(s.core.project.at[j*len(s.core.surface)+t] * response)
			}
		}
	}
	return s
}

// wave is the amplitude at the core's lowest point of the wave of spatial frequency a that unit charge on c sends down.
func (c circle) wave(a float64) float64 { return num.J0(a*c.rho) * num.Exp(-a*c.zeta) }

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

// solver holds the working space of one flat solution.
type solver struct {
	re, im   []float64
	unknowns []complex128
	weight   []complex128
}

func newSolver() *solver {
	return &solver{
		re: make([]float64, chargeCount*(chargeCount+1)), im: make([]float64, chargeCount*(chargeCount+1)),
		unknowns: make([]complex128, chargeCount),
	}
}

// response returns the change of inductance in henry over flat metal whose reflection factor at each spatial frequency
// is given, at one gap. Extra is what a shape other than flat adds, nil for none.
//
// Every source with amplitude Q(a) at the metal's surface has its mirror field there, so that
// dL = mu0/(4 pi) int Gamma C(a) Q(a) da - mu0 sum (q - q_free) psi_winding, with C the winding's part of Q.
func (s *spectrum) response(reflection []complex128, gap float64, extra *excess, work *solver) complex128 {
	if cap(work.weight) < len(s.a) {
		work.weight = make([]complex128, len(s.a))
	}
	g := work.weight[:len(s.a)]
	total := complex(0, 0)
	for k, a := range s.a {
		g[k] = num.Scale(s.w[k]*num.Exp(-2*a*gap)/(4*math.Pi), reflection[k])
		total += num.Scale(s.coil[k]*s.coil[k], g[k])
	}
	if extra != nil {
		total -= complex(extra.coilCoil, 0)
	}
	if s.core == nil {
		return num.Scale(Mu0, total)
	}
	n, width := chargeCount, chargeCount+1
	re, im := work.re, work.im
	for i := range re {
		re[i], im[i] = 0, 0
	}
	for k := range s.a {
		tip := s.tip[k]
		gr, gi := real(g[k])*tip, imag(g[k])*tip
		if math.Abs(gr)+math.Abs(gi) == 0 {
			continue
		}
		cast, feel := s.cast.row(k), s.feel.row(k)
		for i, f := range feel {
			fr, fi := float64(gr*f), float64(gi*f)
			row, rowIm := re[i*width:(i+1)*width], im[i*width:(i+1)*width]
			for j := range n - 1 {
				c := cast[j] * tip
				row[j] -= float64(fr * c)
				rowIm[j] -= float64(fi * c)
			}
			row[n] += float64(fr * s.coil[k])
			rowIm[n] += float64(fi * s.coil[k])
		}
	}
	for i := range n {
		re[i*width+i]++
		re[i*width+n] += s.core.drive[i]
	}
	if extra != nil {
		for i := range n {
			for j, c := range extra.charge.row(i) {
				re[i*width+j] += c
			}
			re[i*width+n] += extra.drive[i]
		}
	}
	solve(re, im, n, work.unknowns)
	// Charges less their free values.
	moved := complex(0, 0)
	sum := complex(0, 0)
	for j := range n - 1 {
		change := work.unknowns[j] - complex(s.core.free[j], 0)
		sum += change
		moved += num.Scale(s.core.winding[j], change)
	}
	moved -= num.Scale(s.core.winding[n-1], sum)
	for k := range s.a {
		amplitude := complex(0, 0)
		for j, c := range s.cast.row(k)[:n-1] {
			amplitude += num.Scale(c, work.unknowns[j])
		}
		total += num.Mul(num.Scale(s.coil[k]*s.tip[k], g[k]), amplitude)
	}
	if extra != nil {
		for j, c := range extra.coilCharge {
			total -= num.Scale(c, work.unknowns[j])
		}
	}
	return num.Scale(Mu0, total-moved)
}

// reflections returns the reflection factor of a stack at the spectrum's frequencies.
func (s *spectrum) reflections(b Base) []complex128 {
	gamma := make([]complex128, len(s.a))
	for k, a := range s.a {
		gamma[k] = b.reflection(s.head.Frequency, a)
	}
	return gamma
}
