package num

import "math"

// A full turn in 64 steps: pi/32 split in three parts. The first two have 28 significant bits, so that their product with a
// whole number below 2^25 is exact.
const (
	stepHigh   = 0x1.921fb54p-4
	stepMiddle = 0x1.10b461p-34
	stepLow    = 0x1.a62633145c06ep-62
	steps      = 64
	// MaxAngle is the largest argument, in radians, for which Sin and Cos are defined here.
	MaxAngle = 1e6
)

// reduceAngle returns x minus the nearest multiple of pi/32 as a sum high+low, and the multiple.
func reduceAngle(x float64) (high, low float64, multiple int) {
	n := float64(x*(steps/2/math.Pi)) + wholes - wholes
	t := x - float64(n*stepHigh)
	w := float64(n * stepMiddle)
	u := t - w
	tail := (t - u) - w
	w = float64(n * stepLow)
	high = u + (tail - w)
	low = (u - high) + (tail - w)
	return high, low, int(n)
}

// quarterTurn are the sines of the multiples of pi/32, each a number and what it lacks of the sine.
var quarterTurn = [steps/4 + 1][2]float64{
	{0x0.0p+0, 0x0.0p+0}, {0x1.917a6bc29b42cp-4, -0x1.e2718d26ed688p-60},
	{0x1.8f8b83c69a60bp-3, -0x1.26d19b9ff8d82p-57}, {0x1.294062ed59f06p-2, -0x1.5d28da2c4612dp-56},
	{0x1.87de2a6aea963p-2, -0x1.72cedd3d5a610p-57}, {0x1.e2b5d3806f63bp-2, 0x1.e0d891d3c6841p-58},
	{0x1.1c73b39ae68c8p-1, 0x1.b25dd267f6600p-55}, {0x1.44cf325091dd6p-1, 0x1.8076a2cfdc6b3p-57},
	{0x1.6a09e667f3bcdp-1, -0x1.bdd3413b26456p-55}, {0x1.8bc806b151741p-1, -0x1.2c5e12ed1336dp-55},
	{0x1.a9b66290ea1a3p-1, 0x1.9f630e8b6dac8p-60}, {0x1.c38b2f180bdb1p-1, -0x1.6e0b1757c8d07p-56},
	{0x1.d906bcf328d46p-1, 0x1.457e610231ac2p-56}, {0x1.e9f4156c62ddap-1, 0x1.760b1e2e3f81ep-55},
	{0x1.f6297cff75cb0p-1, 0x1.562172a361fd3p-56}, {0x1.fd88da3d12526p-1, -0x1.87df6378811c7p-55},
	{0x1.0000000000000p+0, 0x0.0p+0},
}

// turn are the cosines of the multiples of pi/32, in two parts, and minus their sines.
var turn = func() (all [steps]struct{ cos, cosRest, minusSin float64 }) {
	for i, sine := range quarterTurn {
		for _, q := range []struct {
			at   int
			sign float64
		}{{i, 1}, {steps/2 - i, 1}, {steps/2 + i, -1}, {steps - i, -1}} {
			all[q.at%steps].minusSin = -q.sign * sine[0]
			of := &all[(q.at+3*steps/4)%steps]
			of.cos, of.cosRest = q.sign*sine[0], q.sign*sine[1]
		}
	}
	return all
}()

// cosBeside returns the cosine of a multiple of pi/32 plus r, for |r| <= pi/64 with the rounding error e of r.
func cosBeside(multiple int, r, e float64) float64 {
	z := float64(r * r)
	sin := r + (float64(r*z*((-1.0/6+float64(1.0/120*z))-float64(1.0/5040*z*z))) + e)
	less := float64(z * ((-1.0/2 + float64(1.0/24*z)) + float64(z*z*(-1.0/720+float64(1.0/40320*z)))))
	at := &turn[multiple&(steps-1)]
	return at.cos + (float64(at.minusSin*sin) + (at.cosRest + float64(at.cos*(less-float64(r*e)))))
}

// Sin returns the sine of x radians with an error below 3e-16 (relative, away from multiples of pi); NaN for |x| > MaxAngle.
func Sin(x float64) float64 {
	if !(math.Abs(x) <= MaxAngle) {
		return math.NaN()
	}
	if x == 0 {
		return x
	}
	r, e, multiple := reduceAngle(x)
	return cosBeside(multiple-steps/4, r, e)
}

// Cos returns the cosine of x radians with an error below 3e-16; NaN for |x| > MaxAngle.
func Cos(x float64) float64 {
	if !(math.Abs(x) <= MaxAngle) {
		return math.NaN()
	}
	r, e, multiple := reduceAngle(x)
	return cosBeside(multiple, r, e)
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
