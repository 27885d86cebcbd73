package field

import (
	"errors"
	"fmt"
	"math"

	"foilwright/sim/num"
)

// IdealOverCylinder returns the change of inductance in henry over an endless cylinder of ideal metal (radius above 0) or
// in an endless bore (radius below 0), the head's axis square to the surface, gap in metres. Slow (0.3 to 2 s): for
// building tables and for checks, not for readings. Error about 3e-4.
//
// Cylindrical harmonics about the cylinder's axis, W. R. Smythe, Static and Dynamic Electricity, 5.353:
//
//	G_s = 1/(2 pi^2) sum_m eps_m cos m(phi-phi') int_0^inf cos k(y-y') T_m X_m(k r) X_m(k r') dk
//
// with X = K_m(kr)/K_m(kR) outside and I_m(kr)/I_m(kR) inside; T = -I K for metal that attracts, -I K (I'/I)/(K'/K) and
// -I K (K'/K)/(I'/I) outside and inside metal that repels, all at kR.
func IdealOverCylinder(h Head, kind Ideal, radius, gap float64) (float64, error) {
	if err := errors.Join(h.Validate(), validateCylinder(h, radius, gap)); err != nil {
		return 0, err
	}
	var core *coreModel
	if h.Core != nil {
		core = newCoreModel(h.Coil, *h.Core, spreadCircles(*h.Core, checkFineness.tip, checkFineness.side, checkFineness.end))
	}
	c := newCylinderModes(h, core, radius, gap)
	return real(c.response(c.answers[kind], nil, newSolver())), nil
}

func validateCylinder(h Head, radius, gap float64) error {
	size := math.Abs(radius)
	if !(gap >= newGapScale(h).least && gap <= FarGap*(1+1e-9)) || !(size > 0) || math.IsInf(size, 0) {
		return fmt.Errorf("field: gap %v m over a cylinder of radius %v m; expected up to %v m, not below the head's least gap, and a finite radius other than 0", gap, radius, FarGap)
	}
	if radius > 0 {
		return nil
	}
	for _, c := range h.corners(gap) {
		if num.Hypot(c.rho, size-c.zeta) >= size {
			return fmt.Errorf("field: the head does not fit into a bore of radius %v m at gap %v m", size, gap)
		}
	}
	return nil
}

// cylinderModes are the modes of a head at one gap from a cylinder, and the answers of both kinds of ideal metal.
type cylinderModes struct {
	modes
	answers [idealKinds][]complex128
}

// cylinderMode is one order and one frequency along the axis.
type cylinderMode struct{ m, k, surface float64 }

func newCylinderModes(h Head, core *coreModel, radius, gap float64) *cylinderModes {
	size := math.Abs(radius)
	clearance := gap + h.Coil.Recess
	if core != nil {
		clearance = gap + core.core.Recess + float64(chargeStart/2*core.core.Radius)
	}
	c := &cylinderModes{modes: modes{core: core}}
	var list []cylinderMode
	orders, weights := cylinderOrders(int(10 * size / clearance))
	waves := powerRule(60, 2, 10/clearance)
	for i, m := range orders {
		for j, k := range waves.node {
			if num.Hypot(m/size, k)*clearance > 10 {
				break // e^-20 of what matters
			}
			metal := newModified(m, k*size)
			surface := metal.logK
			if radius < 0 {
				surface = metal.logI
			}
			attract := -float64(weights[i] * waves.weight[j] * num.Exp(metal.logI+metal.logK) / (2 * math.Pi * math.Pi))
			quotient := metal.slopeI / metal.slopeK
			if radius < 0 {
				quotient = 1 / quotient
			}
			list = append(list, cylinderMode{m, k, surface})
			c.answers[Attracting] = append(c.answers[Attracting], complex(-attract, 0))
			c.answers[Repelling] = append(c.answers[Repelling], complex(-attract*quotient, 0))
		}
	}
	at := logModifiedOutside
	if radius < 0 {
		at = logModifiedInside
	}
	// circle adds the mean amplitude of a circle about the head's axis in each mode; its four quadrants answer alike.
	circle := func(q circle, height float64, quarter int, take func(mode int, amplitude float64)) {
		if q.rho == 0 {
			quarter = 1
		}
		for n := range quarter {
			angle := math.Pi / 2 * (float64(n) + 0.5) / float64(quarter)
			x, y := q.rho*num.Cos(angle), q.rho*num.Sin(angle)
			axial := size + height
			if radius < 0 {
				axial = size - height
			}
			r, phi := num.Hypot(axial, x), num.Atan2(x, axial)
			for i, mode := range list {
				if e := at(mode.m, mode.k*r) - mode.surface; e > -40 {
					take(i, num.Exp(e)*num.Cos(mode.m*phi)*num.Cos(mode.k*y)/float64(quarter))
				}
			}
		}
	}
	c.coil = make([]float64, len(list))
	// Of the points that stand for one ring of the winding the first counts for all; the upper disc needs half as many.
	wind := windingPoints(h.Coil, 2, false)
	for i := 0; i < len(wind.at); {
		ring, q := circleOf(wind.at[i]), 0.0
		for ; i < len(wind.at) && math.Abs(circleOf(wind.at[i]).rho-ring.rho) < 1e-12 && wind.at[i].z == ring.zeta; i++ {
			q += wind.weight[i]
		}
		quarter := 6
		if ring.zeta > h.Coil.Recess {
			quarter = 3
		}
		circle(ring, gap+ring.zeta, quarter, func(mode int, amplitude float64) { c.coil[mode] += float64(q * amplitude) })
	}
	if core == nil {
		return c
	}
	c.cast, c.feel = newMatrix(len(list), chargeCount), newMatrix(len(list), chargeCount)
	lift := gap + core.core.Recess
	for j, q := range core.charges {
		circle(q, lift+q.zeta, 3, func(mode int, amplitude float64) {
			row := c.cast.row(mode)
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
		circle(p, lift+p.zeta, 3, func(mode int, amplitude float64) { core.feelAt(t, amplitude, c.feel.row(mode)) })
	}
	return c
}

func circleOf(p point) circle { return circle{num.Hypot(p.x, p.y), p.z} }

// cylinderOrders returns the orders m with their weights: every whole one up to 100, above that three Gauss points for
// each block of eight, since the terms then change slowly from one m to the next. The factor eps_m is included.
func cylinderOrders(last int) (orders, weights []float64) {
	block := gaussLegendre(3, -0.5, 7.5)
	for m := 0; m <= last; {
		if m <= 100 {
			weight := 2.0
			if m == 0 {
				weight = 1
			}
			orders, weights = append(orders, float64(m)), append(weights, weight)
			m++
			continue
		}
		for i, x := range block.node {
			orders, weights = append(orders, float64(m)+x), append(weights, 2*block.weight[i])
		}
		m += 8
	}
	return orders, weights
}

// modified holds the modified Bessel functions of one order at one argument: logarithms and logarithmic derivatives.
type modified struct{ logI, logK, slopeI, slopeK float64 }

// newModified uses Debye's uniform expansions for orders of 10 and more (Abramowitz and Stegun 9.7.7 to 9.7.11, error
// below 1e-6) and integrals for the whole orders below.
func newModified(m, x float64) modified {
	if m < 10 {
		return lowModified(int(m), x)
	}
	z := x / m
	root := math.Sqrt(1 + float64(z*z))
	eta := root + num.Log(z/(1+root))
	p := 1 / root
	p2 := p * p
	u1 := p * (3 - float64(5*p2)) / 24
	u2 := p2 * (81 - float64(p2*(462-float64(385*p2)))) / 1152
	u3 := p * p2 * (30375 - float64(p2*(369603-float64(p2*(765765-float64(425425*p2)))))) / 414720
	v1 := p * (-9 + float64(7*p2)) / 24
	v2 := p2 * (-135 + float64(p2*(594-float64(455*p2)))) / 1152
	v3 := p * p2 * (-42525 + float64(p2*(451737-float64(p2*(883575-float64(475475*p2)))))) / 414720
	even, odd := 1+u2/(m*m), u1/m+u3/(m*m*m)
	evenSlope, oddSlope := 1+v2/(m*m), v1/m+v3/(m*m*m)
	return modified{
		logI:   float64(m*eta) - num.Log(2*math.Pi*m*root)/2 + num.Log(even+odd),
		logK:   -float64(m*eta) + num.Log(math.Pi/(2*m*root))/2 + num.Log(even-odd),
		slopeI: root / z * (evenSlope + oddSlope) / (even + odd),
		slopeK: -root / z * (evenSlope - oddSlope) / (even - odd),
	}
}

// logModifiedOutside and logModifiedInside are log K_m(x) and log I_m(x) as in newModified, without what else that finds.
func logModifiedOutside(m, x float64) float64 {
	if m < 10 {
		return logModifiedK(m, x)
	}
	return -debyeExponent(m, x) + num.Log(debyeSeries(-m, x)) + 0.2257913526447274 // log(pi/2)/2
}

func logModifiedInside(m, x float64) float64 {
	if m < 10 {
		return logModifiedI(int(m), x)
	}
	return debyeExponent(m, x) + num.Log(debyeSeries(m, x)) - 0.9189385332046727 // log(2 pi)/2
}

func debyeExponent(m, x float64) float64 {
	z := x / m
	root := math.Sqrt(1 + float64(z*z))
	return float64(m * (root + num.Log(z/(1+root))))
}

// debyeSeries returns (1 + u1/m + u2/m^2 + u3/m^3)/sqrt(|m| sqrt(1+z^2)), for m of either sign.
func debyeSeries(m, x float64) float64 {
	z := x / m
	p := 1 / math.Sqrt(1+float64(z*z))
	p2 := p * p
	u1 := p * (3 - float64(5*p2)) / 24
	u2 := p2 * (81 - float64(p2*(462-float64(385*p2)))) / 1152
	u3 := p * p2 * (30375 - float64(p2*(369603-float64(p2*(765765-float64(425425*p2)))))) / 414720
	return (1 + (u1+(u2+u3/m)/m)/m) * math.Sqrt(p/math.Abs(m))
}

// lowModified computes K_m = int_0^inf e^(-x cosh t) cosh(mt) dt and I_m from its power series or from
// (1/pi) int_0^pi e^(x cos t) cos(mt) dt, both by the trapezoidal rule; derivatives from the neighbouring order.
func lowModified(m int, x float64) modified {
	logK, nextK := logModifiedK(float64(m), x), logModifiedK(float64(m+1), x)
	logI, nextI := logModifiedI(m, x), logModifiedI(m+1, x)
	return modified{
		logI: logI, logK: logK,
		slopeI: float64(m)/x + num.Exp(nextI-logI),
		slopeK: float64(m)/x - num.Exp(nextK-logK),
	}
}

func logModifiedK(m, x float64) float64 {
	const points = 48
	reach := num.Log(2*(1+(45+4*m)/x)) + 0.5
	step := reach / points
	sum := 0.0
	for i := 0; i <= points; i++ {
		t := float64(i) * step
		s := num.Sinh(t / 2)
		f := float64(num.Exp(-2*x*s*s) * num.Cosh(m*t))
		if i == 0 {
			f /= 2
		}
		sum += f
	}
	return num.Log(sum*step) - x
}

func logModifiedI(m int, x float64) float64 {
	if x < 12 {
		term, sum, quarter := 1.0, 1.0, x*x/4
		for k := 1; k < 80; k++ {
			term = float64(term * quarter / float64(k*(k+m)))
			sum += term
		}
		log := num.Log(sum)
		for k := 1; k <= m; k++ {
			log += num.Log(x / float64(2*k))
		}
		return log
	}
	points := 24 + int(6*math.Sqrt(x))
	sum := 0.0
	for i := 0; i <= points; i++ {
		t := math.Pi * float64(i) / float64(points)
		f := float64(num.Exp(-x*versine(t)) * num.Cos(float64(m)*t))
		if i == 0 || i == points {
			f /= 2
		}
		sum += f
	}
	return num.Log(sum/float64(points)) + x
}
