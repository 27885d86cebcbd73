package num

import "math"

// atanhTail returns s^2/3 + s^4/5 + s^6/7 + ... given z = s^2 <= 0.0295. Its terms are gathered as those of expTail.
func atanhTail(z float64) float64 {
	z2 := float64(z * z)
	z4 := float64(z2 * z2)
	low := (1.0/3 + float64(1.0/5*z)) + float64(z2*(1.0/7+float64(1.0/9*z)))
	middle := (1.0/11 + float64(1.0/13*z)) + float64(z2*(1.0/15+float64(1.0/17*z)))
	high := (1.0/19 + float64(1.0/21*z)) + float64(z2*(1.0/23+float64(1.0/25*z)))
	return float64(z * (low + float64(z4*(middle+float64(z4*high)))))
}

// Bits of the least normal number, of infinity and of the square root of 1/2.
const (
	leastBits = 1 << 52
	infBits   = 0x7ff << 52
	rootBits  = 0x3fe6a09e667f3bcd
)

// Log returns the natural logarithm with a relative error below 5e-16; -Inf at 0, NaN below 0.
func Log(x float64) float64 {
	bits, exponent := math.Float64bits(x), 0
	if bits-leastBits >= infBits-leastBits { // subnormal, below zero, infinite, NaN
		switch {
		case x != x || math.IsInf(x, 1):
			return x
		case x < 0:
			return math.NaN()
		case x == 0:
			return math.Inf(-1)
		}
		bits, exponent = math.Float64bits(x*0x1p54), -54
	}
	// x = m 2^exponent with m from sqrt(1/2) to sqrt 2, found without a branch.
	bits += 1023<<52 - rootBits
	exponent += int(bits>>52) - 1023
	f := math.Float64frombits(bits&(1<<52-1)+rootBits) - 1
	s := f / (2 + f)
	k := float64(exponent)
	// log m = 2s + 2s(s^2/3 + ...), written f - s f + ... so that the leading term f is exact.
	tail := float64(s * (float64(2*atanhTail(s*s)) - f))
	return float64(k*ln2High) + (f + (tail + float64(k*ln2Low)))
}

// Log1p returns log(1+x) with a relative error below 1e-15, also for small x; -Inf at -1, NaN below -1.
func Log1p(x float64) float64 {
	if x > -0.25 && x < 0.4 {
		s := x / (2 + x)
		return x + float64(s*(float64(2*atanhTail(s*s))-x))
	}
	if x == -1 || x < -1 || x != x || math.IsInf(x, 1) {
		return Log(1 + x)
	}
	u := 1 + x
	lost := x - (u - 1)
	if u > 2 {
		lost = 1 - (u - x)
	}
	return Log(u) + lost/u
}

// Asinh returns the inverse hyperbolic sine with a relative error below 2e-15.
func Asinh(x float64) float64 {
	a := math.Abs(x)
	if a > 1e100 {
		return math.Copysign(Log(a)+math.Ln2, x)
	}
	square := float64(a * a)
	if a > 0.5 {
		return math.Copysign(Log(a+math.Sqrt(1+square)), x)
	}
	return math.Copysign(Log1p(a+square/(1+math.Sqrt(1+square))), x)
}

// Pow returns x^y for x >= 0 with a relative error below 3e-16 (4 + |y log x|); whole y up to 64 in size are done by
// repeated multiplication, also for negative x. It returns NaN for negative x and other y.
func Pow(x, y float64) float64 {
	if math.Floor(y) == y && math.Abs(y) <= 64 {
		n := int(math.Abs(y))
		result, square := 1.0, x
		for ; n > 0; n >>= 1 {
			if n&1 == 1 {
				result *= square
			}
			square *= square
		}
		if y < 0 {
			return 1 / result
		}
		return result
	}
	if x == 0 {
		if y > 0 {
			return 0
		}
		return math.Inf(1)
	}
	return Exp(y * Log(x))
}
