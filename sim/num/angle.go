package num

import "math"

// pi/2 split in three parts; the first two have 33 significant bits, so their product with a whole number below 2^20 is exact.
const (
	halfPiHigh   = 1.57079632673412561417e+00
	halfPiMiddle = 6.07710050630396597660e-11
	halfPiLow    = 2.02226624879595063154e-21
	// MaxAngle is the largest argument, in radians, for which Sin and Cos are defined here.
	MaxAngle = 1e6
)

// reduceAngle returns x minus the nearest multiple of pi/2 as a sum high+low, and the multiple modulo 4.
func reduceAngle(x float64) (high, low float64, quadrant int) {
	n := math.Floor(float64(x*(2/math.Pi)) + 0.5)
	t := x - float64(n*halfPiHigh)
	w := float64(n * halfPiMiddle)
	u := t - w
	tail := (t - u) - w
	w = float64(n * halfPiLow)
	high = u + (tail - w)
	low = (u - high) + (tail - w)
	return high, low, int(n) & 3
}

// sinSeries and cosSeries take |r| <= pi/4 with the rounding error e of r. Their terms are gathered as those of expTail.
func sinSeries(r, e float64) float64 {
	z := float64(r * r)
	z2 := float64(z * z)
	low := (-1.0/6 + float64(1.0/120*z)) + float64(z2*(-1.0/5040+float64(1.0/362880*z)))
	high := (-1.0/39916800 + float64(1.0/6227020800*z)) + float64(z2*(-1.0/1307674368000+float64(1.0/355687428096000*z)))
	z4 := float64(z2 * z2)
	p := low + float64(z4*(high-float64(z4*(1.0/121645100408832000))))
	return r + (float64(r*z*p) + float64(e*(1-z/2)))
}

func cosSeries(r, e float64) float64 {
	z := float64(r * r)
	z2 := float64(z * z)
	low := (1.0/24 - float64(1.0/720*z)) + float64(z2*(1.0/40320-float64(1.0/3628800*z)))
	high := (1.0/479001600 - float64(1.0/87178291200*z)) + float64(z2*(1.0/20922789888000-float64(1.0/6402373705728000*z)))
	z4 := float64(z2 * z2)
	p := low + float64(z4*(high+float64(z4*(1.0/2432902008176640000))))
	half := z / 2
	top := 1 - half
	return top + (((1 - top) - half) + (float64(z*z*p) - float64(r*e)))
}

// Sin returns the sine of x radians with an error below 3e-16 (relative, away from multiples of pi); NaN for |x| > MaxAngle.
func Sin(x float64) float64 {
	if !(math.Abs(x) <= MaxAngle) {
		return math.NaN()
	}
	if x == 0 {
		return x
	}
	r, e, quadrant := reduceAngle(x)
	switch quadrant {
	case 0:
		return sinSeries(r, e)
	case 1:
		return cosSeries(r, e)
	case 2:
		return -sinSeries(r, e)
	}
	return -cosSeries(r, e)
}

// Cos returns the cosine of x radians with an error below 3e-16; NaN for |x| > MaxAngle.
func Cos(x float64) float64 {
	if !(math.Abs(x) <= MaxAngle) {
		return math.NaN()
	}
	r, e, quadrant := reduceAngle(x)
	switch quadrant {
	case 0:
		return cosSeries(r, e)
	case 1:
		return -sinSeries(r, e)
	case 2:
		return -cosSeries(r, e)
	}
	return sinSeries(r, e)
}

// Atan returns the arc tangent in radians with a relative error below 1e-15.
func Atan(x float64) float64 {
	a := math.Abs(x)
	if a != a {
		return x
	}
	base, t := 0.0, a
	switch {
	case a > 2.414213562373095:
		base, t = math.Pi/2, -1/a
	case a > 0.4142135623730950:
		base, t = math.Pi/4, (a-1)/(a+1)
	}
	// Half the angle once more: |t| <= tan(pi/8) becomes <= tan(pi/16).
	t = t / (1 + math.Sqrt(1+float64(t*t)))
	z := t * t
	p := 1.0 / 25
	p = 1.0/23 - float64(p*z)
	p = 1.0/21 - float64(p*z)
	p = 1.0/19 - float64(p*z)
	p = 1.0/17 - float64(p*z)
	p = 1.0/15 - float64(p*z)
	p = 1.0/13 - float64(p*z)
	p = 1.0/11 - float64(p*z)
	p = 1.0/9 - float64(p*z)
	p = 1.0/7 - float64(p*z)
	p = 1.0/5 - float64(p*z)
	p = 1.0/3 - float64(p*z)
	return math.Copysign(base+float64(2*(t-float64(t*z*p))), x)
}

// Atan2 returns the angle in radians of the point (x, y), in [-pi, pi], with a relative error below 1e-15.
func Atan2(y, x float64) float64 {
	switch {
	case x != x || y != y:
		return math.NaN()
	case y == 0:
		if x < 0 || (x == 0 && math.Signbit(x)) {
			return math.Copysign(math.Pi, y)
		}
		return math.Copysign(0, y)
	case x == 0:
		return math.Copysign(math.Pi/2, y)
	case math.IsInf(x, 0) || math.IsInf(y, 0):
		if !math.IsInf(y, 0) {
			if x > 0 {
				return math.Copysign(0, y)
			}
			return math.Copysign(math.Pi, y)
		}
		if !math.IsInf(x, 0) {
			return math.Copysign(math.Pi/2, y)
		}
		if x > 0 {
			return math.Copysign(math.Pi/4, y)
		}
		return math.Copysign(3*math.Pi/4, y)
	}
	angle := Atan(y / x)
	if x > 0 {
		return angle
	}
	if y > 0 {
		return angle + math.Pi
	}
	return angle - math.Pi
}

// Asin returns the arc sine in radians with a relative error below 2e-15; NaN outside [-1, 1].
func Asin(x float64) float64 { return Atan2(x, math.Sqrt(float64((1-x)*(1+x)))) }

// Acos returns the arc cosine in radians with an error below 2e-15; NaN outside [-1, 1].
func Acos(x float64) float64 { return Atan2(math.Sqrt(float64((1-x)*(1+x))), x) }

// Hypot returns sqrt(x^2 + y^2) without overflow, relative error below 4e-16.
func Hypot(x, y float64) float64 {
	x, y = math.Abs(x), math.Abs(y)
	if x < y {
		x, y = y, x
	}
	if x == 0 || math.IsInf(x, 1) {
		return x
	}
	q := y / x
	return float64(x * math.Sqrt(1+float64(q*q)))
}
