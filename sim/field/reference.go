package field

import (
	"errors"
	"fmt"
	"math"

	"foilwright/sim/num"
)

// ReferenceDeltaL returns the inductance change in henry of an air-cored coil over flat layered metal, computed slowly
// and independently of the fast path to the relative tolerance asked for (1e-12 .. 1e-3): adaptive Gauss-Kronrod
// integration over the spatial frequency, the winding's moment from its power series or an adaptive integral of
// its own, the reflection from a product of transfer matrices instead of a recursion of reflections. It is the
// judge of the fast path, not for use in readings. LiftOff in metres from metal to the tip's contact point, at least 0.
//
// Source: C. V. Dodd and W. E. Deeds, J. Appl. Phys. 39 (1968) 2829, eq. for a coil above layered conductors; Kronrod
// nodes from R. Piessens et al., QUADPACK, 1983.
func ReferenceDeltaL(h Head, b Base, liftOff, relTol float64) (complex128, error) {
	if err := errors.Join(h.Validate(), b.Validate()); err != nil {
		return 0, err
	}
	switch {
	case h.Core != nil:
		return 0, errors.New("field: the reference integrator knows air-cored coils only; for a cored head compare with the finite-element tables in testdata/ref")
	case !(liftOff >= 0):
		return 0, fmt.Errorf("field: lift-off is %v m, expected at least 0", liftOff)
	case !(relTol >= 1e-12 && relTol <= 1e-3):
		return 0, fmt.Errorf("field: relative tolerance is %v, expected 1e-12 to 1e-3", relTol)
	}
	c := h.Coil
	n := c.density()
	integrand := func(a float64) complex128 {
		if a == 0 {
			return 0
		}
		m := referenceMoment(c, a, relTol/20)
		fill := num.Expm1(-a*c.Height) / a
		return num.Scale(m*m*fill*fill*num.Exp(-2*a*(liftOff+c.Recess)), transferReflection(b, h.Frequency, a))
	}
	// Panels of half a swing of the winding's moment; stop when four in a row add nothing.
	step := math.Pi / (c.InnerRadius + c.OuterRadius)
	total, quiet := complex(0, 0), 0
	for p := 0; quiet < 4; p++ {
		if p > 20000 {
			return 0, errors.New("field: the reference integral does not end; lift-off plus recess may be too small")
		}
		start := float64(p) * step
		part := adaptiveKronrod(integrand, start, start+step, relTol*num.Abs(total)/50, 0)
		total += part
		if num.Abs(part) <= relTol/100*num.Abs(total) {
			quiet++
		} else {
			quiet = 0
		}
	}
	return num.Scale(math.Pi*Mu0*n*n, total), nil
}

// referenceMoment integrates r J1(a r) over the winding's radius: the power series of J1 term by term for small a r2,
// adaptive integration otherwise.
func referenceMoment(c Coil, a, relTol float64) float64 {
	if a*c.OuterRadius < 6 {
		// J1(x) = sum (-1)^k (x/2)^(2k+1) / (k! (k+1)!), Abramowitz and Stegun 9.1.10.
		sum := 0.0
		term1 := a / 2 * c.InnerRadius * c.InnerRadius * c.InnerRadius
		term2 := a / 2 * c.OuterRadius * c.OuterRadius * c.OuterRadius
		for k := 0; k < 60; k++ {
			kf := float64(k)
			sum += (term2 - term1) / (2*kf + 3)
			next := -a * a / (4 * (kf + 1) * (kf + 2))
			term1 *= next * c.InnerRadius * c.InnerRadius
			term2 *= next * c.OuterRadius * c.OuterRadius
		}
		return sum
	}
	f := func(r float64) complex128 { return complex(r*num.J1(a*r), 0) }
	width := c.OuterRadius - c.InnerRadius
	panels := 1 + int(a*width/math.Pi)
	sum, largest := complex(0, 0), c.OuterRadius*width/math.Sqrt(a*c.OuterRadius)
	for p := range panels {
		start := c.InnerRadius + width*float64(p)/float64(panels)
		sum += adaptiveKronrod(f, start, start+width/float64(panels), relTol*largest/float64(panels), 0)
	}
	return real(sum)
}

// transferReflection carries potential and flux from the deepest medium up through the layers by their 2 x 2 transfer
// matrices and compares them with the incoming wave.
func transferReflection(b Base, frequency, a float64) complex128 {
	// Below the last interface only the wave that dies out downward: potential 1, flux decay/mur.
	potential, flux := complex(1, 0), complex(a, 0)
	for i := len(b) - 1; i >= 0; i-- {
		l := b[i]
		decay := l.Metal.decay(frequency, a)
		admittance := num.Scale(1/l.Metal.RelPermeability, decay)
		if math.IsInf(l.Thickness, 1) {
			potential, flux = 1, admittance
			continue
		}
		// tanh keeps thick layers finite; the common factor cosh drops out of the ratio.
		e := num.CExp(num.Scale(-2*min(l.Thickness, 60/real(decay)), decay))
		tanh := num.Div(1-e, 1+e)
		potential, flux = potential+num.Mul(tanh, num.Div(flux, admittance)), flux+num.Mul(tanh, num.Mul(admittance, potential))
	}
	air := num.Scale(a, potential)
	return num.Div(air-flux, air+flux)
}

// Nodes and weights of the 7-point Gauss and 15-point Kronrod rules on (-1, 1), from the centre outward.
var (
	kronrodNode   = [8]float64{0, 0.207784955007898467600689403773245, 0.405845151377397166906606412076961, 0.586087235467691130294144691258555, 0.741531185599394439863864773280788, 0.864864423359769072789712788640926, 0.949107912342758524526189684047851, 0.991455371120812639206854697526329}
	kronrodWeight = [8]float64{0.209482141084727828012999174891714, 0.204432940075298892414161999234649, 0.190350578064785409913256402421014, 0.169004726639267902826583426598550, 0.140653259715525918745189590510238, 0.104790010322250183839876322541518, 0.063092092629978553290700663189204, 0.022935322010529224963732008058970}
	gaussWeight   = [8]float64{0.417959183673469387755102040816327, 0, 0.381830050505118944950369775488975, 0, 0.279705391489276667901467771423780, 0, 0.129484966168869693270611432679082, 0}
)

// adaptiveKronrod integrates f over (low, high), halving intervals until Gauss and Kronrod agree to the tolerance.
func adaptiveKronrod(f func(float64) complex128, low, high, tolerance float64, depth int) complex128 {
	middle, half := (low+high)/2, (high-low)/2
	centre := f(middle)
	kronrod, gauss := num.Scale(kronrodWeight[0], centre), num.Scale(gaussWeight[0], centre)
	for i := 1; i < 8; i++ {
		pair := f(middle-half*kronrodNode[i]) + f(middle+half*kronrodNode[i])
		kronrod += num.Scale(kronrodWeight[i], pair)
		gauss += num.Scale(gaussWeight[i], pair)
	}
	difference := half * num.Abs(kronrod-gauss)
	// Kronrod's own error is far below the difference; the usual estimate is its 3/2 power.
	size := half * num.Abs(kronrod)
	if depth >= 12 || difference <= tolerance || difference <= 1e-14*size || (size > 0 && size*num.Pow(200*difference/size, 1.5) <= tolerance) {
		return num.Scale(half, kronrod)
	}
	return adaptiveKronrod(f, low, middle, tolerance/2, depth+1) + adaptiveKronrod(f, middle, high, tolerance/2, depth+1)
}
