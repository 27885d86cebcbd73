package field

import (
	"errors"
	"fmt"
	"math"

	"foilwright/sim/num"
)

// OverSphere returns the change of inductance in henry over a solid ball (radius above 0) or inside a spherical cavity
// (radius below 0, the head being wholly inside), head square to the surface, gap in metres. Exact in the metal's
// permeability and conductivity. Slow (10 to 100 ms): for building tables and for checks.
//
// Multipole series about the centre: each multipole n of the sources is answered by the sphere with the factor B_n of
// a permeable conductor in a uniform, alternating multipole field; W. R. Smythe, Static and Dynamic Electricity, ch. 10.
func OverSphere(h Head, m Metal, radius, gap float64) (complex128, error) {
	return overSphere(h, radius, gap, func(n int) []complex128 { return sphereAnswers(m, h.Frequency, radius, n) })
}

// IdealOverSphere is OverSphere for ideal metal of the given kind.
func IdealOverSphere(h Head, kind Ideal, radius, gap float64) (float64, error) {
	d, err := overSphere(h, radius, gap, func(n int) []complex128 { return idealSphereAnswers(kind, radius, n) })
	return real(d), err
}

func overSphere(h Head, radius, gap float64, answers func(n int) []complex128) (complex128, error) {
	if err := errors.Join(h.Validate(), validateSphere(h, radius, gap)); err != nil {
		return 0, err
	}
	return newSphereModes(h, newSpectrum(h).core, radius, gap).over(answers), nil
}

func validateSphere(h Head, radius, gap float64) error {
	if !(gap >= newGapScale(h).least) || math.IsInf(gap, 1) {
		return fmt.Errorf("field: gap is %v m, expected a finite one not below the head's least gap", gap)
	}
	if radius == 0 || radius != radius || math.IsInf(radius, 0) {
		return fmt.Errorf("field: sphere radius is %v m, expected a finite number, negative for a cavity", radius)
	}
	if radius > 0 {
		return nil
	}
	for _, c := range h.corners(gap) {
		if num.Hypot(c.rho, -radius-c.zeta) >= -radius {
			return fmt.Errorf("field: the head does not fit into a cavity of radius %v m at gap %v m", -radius, gap)
		}
	}
	return nil
}

// corners are the circles of the head that touch the wall of a hollow first, heights above the hollow's lowest point.
func (h Head) corners(gap float64) []circle {
	top := h.Coil.Recess + h.Coil.Height
	if h.Core != nil {
		top = max(top, h.Core.Recess+h.Core.Length)
	}
	return []circle{{h.Coil.OuterRadius, gap + h.Coil.Recess}, {h.Coil.OuterRadius, gap + h.Coil.Recess + h.Coil.Height}, {0, gap + top}}
}

// sphereModes are the modes of a head at one gap from a sphere.
type sphereModes struct {
	modes
	radius float64
}

// newSphereModes resolves a head into multipoles about the sphere's centre. The core's model may be nil (air core).
func newSphereModes(h Head, core *coreModel, radius, gap float64) *sphereModes {
	// The slowest multipoles come from where the head is nearest.
	nearest := 2 * (gap + h.Coil.Recess)
	if core != nil {
		nearest = 2*(gap+h.Core.Recess) + float64(chargeStart*h.Core.Radius)
	}
	count := 20 + int(28*math.Abs(radius)/nearest)
	s := &sphereModes{radius: radius}
	s.core = core
	s.coil = make([]float64, count)
	wind := windingPoints(h.Coil, 2, false)
	// Each circle was made of points; their heights and radii are all that counts here.
	for i, p := range wind.at {
		q := wind.weight[i]
		s.multipoles(num.Hypot(p.x, p.y), gap+p.z, count, func(n int, amplitude float64) { s.coil[n-1] += float64(q * amplitude) })
	}
	if core == nil {
		return s
	}
	s.cast, s.feel = newMatrix(count, chargeCount), newMatrix(count, chargeCount)
	lift := gap + core.core.Recess
	for j, q := range core.charges {
		s.multipoles(q.rho, lift+q.zeta, count, func(n int, amplitude float64) {
			row := s.cast.row(n - 1)
			if j < chargeCount-1 {
				row[j] += amplitude
				return
			}
			for i := range chargeCount - 1 {
				row[i] -= amplitude
			}
		})
	}
	for t, p := range core.surface {
		s.multipoles(p.rho, lift+p.zeta, count, func(n int, amplitude float64) {
			if math.Abs(amplitude) > 1e-25 {
				core.feelAt(t, amplitude, s.feel.row(n-1))
			}
		})
	}
	return s
}

// multipoles calls take with the amplitudes of unit charge on a circle (radius, height above the surface) for n = 1 ..
// count: (R/s)^(n+1) P_n(cos) outside a ball, (s/R)^n P_n(cos) inside a cavity, s being the distance from the centre.
func (s *sphereModes) multipoles(rho, z float64, count int, take func(n int, amplitude float64)) {
	size := math.Abs(s.radius)
	axial := size + z
	if s.radius < 0 {
		axial = size - z
	}
	distance := num.Hypot(rho, axial)
	cos := axial / distance
	ratio := size / distance
	power := ratio * ratio
	if s.radius < 0 {
		ratio = distance / size
		power = ratio
	}
	p0, p1 := 1.0, cos
	for n := 1; n <= count; n++ {
		take(n, power*p1)
		nf := float64(n)
		p0, p1 = p1, (float64((2*nf+1)*cos*p1)-float64(nf*p0))/(nf+1)
		power *= ratio
	}
}

// over returns the response for the sphere's answers.
func (s *sphereModes) over(answers func(n int) []complex128) complex128 {
	return s.response(answers(len(s.coil)), nil, newSolver())
}

// idealSphereAnswers are the answers of ideal metal: -1 on every multipole when attracting; n/(n+1) outside and (n+1)/n
// inside when repelling.
func idealSphereAnswers(kind Ideal, radius float64, count int) []complex128 {
	answers := make([]complex128, count)
	for i := range answers {
		b, n := -1.0, float64(i+1)
		if kind == Repelling {
			b = n / (n + 1)
			if radius < 0 {
				b = 1 / b
			}
		}
		answers[i] = complex(-b/(4*math.Pi*math.Abs(radius)), 0)
	}
	return answers
}

// sphereAnswers are the answers of a permeable conductor:
//
//	ball:   B_n = -(n/(n+1)) (n+1-Q)/(n+Q),   Q = (1 + x i_n'(x)/i_n(x))/mur
//	cavity: B_n = -((n+1)/n) (n+Q)/(n+1-Q),   Q = (1 + x k_n'(x)/k_n(x))/mur
//
// with x = R sqrt(j w mu0 mur sigma) and the modified spherical Bessel functions i_n, k_n; their quotients come from
// i_{n+1}/i_n = 1/((2n+3)/x + i_{n+2}/i_{n+1}) downward and k_n/k_{n-1} = (2n-1)/x + k_{n-2}/k_{n-1} upward.
func sphereAnswers(m Metal, frequency, radius float64, count int) []complex128 {
	size := math.Abs(radius)
	x := num.Scale(size, m.decay(frequency, 0))
	log := make([]complex128, count+1) // x f'/f for n = 0 .. count
	switch {
	case x == 0 && radius > 0:
		for n := range log {
			log[n] = complex(float64(n), 0)
		}
	case x == 0:
		for n := range log {
			log[n] = complex(-float64(n+1), 0)
		}
	case radius > 0:
		quotient := complex(0, 0)
		for n := count + 200 + int(1.5*num.Abs(x)); n >= 0; n-- {
			quotient = num.Div(1, num.Div(complex(float64(2*n+3), 0), x)+quotient)
			if n <= count {
				log[n] = complex(float64(n), 0) + num.Mul(x, quotient)
			}
		}
	default:
		// x k_n'/k_n = -(n+1) - x k_{n-1}/k_n, and k_{-1} = k_0.
		quotient := complex(1, 0) // k_{n-1}/k_n
		for n := range log {
			if n > 0 {
				quotient = num.Div(1, num.Div(complex(float64(2*n-1), 0), x)+quotient)
			}
			log[n] = complex(-float64(n+1), 0) - num.Mul(x, quotient)
		}
	}
	answers := make([]complex128, count)
	for i := range answers {
		n := float64(i + 1)
		q := num.Scale(1/m.RelPermeability, 1+log[i+1])
		fraction := num.Div(complex(n+1, 0)-q, complex(n, 0)+q)
		b := num.Scale(-n/(n+1), fraction)
		if radius < 0 {
			b = num.Div(complex(-(n+1)/n, 0), fraction)
		}
		answers[i] = num.Scale(-1/(4*math.Pi*size), b)
	}
	return answers
}
