package num

import "math"

// Split of ln 2: the high part has 33 significant bits, so its product with an integer below 2^20 is exact.
const (
	ln2High = 6.93147180369123816490e-01
	ln2Low  = 1.90821492927058770002e-10
	invLn2  = 1.44269504088896338700e+00
)

// Reciprocal factorials 1/2! .. 1/14!, the Taylor coefficients of exp after the linear term.
var inverseFactorial = [...]float64{
	1.0 / 2, 1.0 / 6, 1.0 / 24, 1.0 / 120, 1.0 / 720, 1.0 / 5040, 1.0 / 40320, 1.0 / 362880, 1.0 / 3628800,
	1.0 / 39916800, 1.0 / 479001600, 1.0 / 6227020800, 1.0 / 87178291200,
}

// expTail returns r^2/2! + r^3/3! + ... for |r| <= 0.36, to about one rounding of the result. Terms are gathered in pairs
// and pairs of pairs (G. Estrin, 1960), so that a processor need not wait for each sum before the next.
func expTail(r float64) float64 {
	c := &inverseFactorial
	r2 := float64(r * r)
	r4 := float64(r2 * r2)
	low := (c[0] + float64(c[1]*r)) + float64(r2*(c[2]+float64(c[3]*r)))
	middle := (c[4] + float64(c[5]*r)) + float64(r2*(c[6]+float64(c[7]*r)))
	high := (c[8] + float64(c[9]*r)) + float64(r2*(c[10]+float64(c[11]*r))) + float64(r4*c[12])
	return float64(r2 * (low + float64(r4*(middle+float64(r4*high)))))
}

// wholes added to a number below 2^51 in size leaves it rounded to a whole one, which stands in the last bits.
const wholes = 0x1.8p52

// Exp returns e^x with a relative error below 3e-16; 0 below -745.14, +Inf above 709.79, NaN for NaN.
func Exp(x float64) float64 {
	if !(x < 709.782712893384) || x < -745.1332191019412 {
		switch {
		case x != x:
			return x
		case x > 709.782712893384:
			return math.Inf(1)
		case x < 0:
			return 0
		}
	}
	shifted := float64(x*invLn2) + wholes
	k := shifted - wholes
	high := x - float64(k*ln2High)
	low := float64(k * ln2Low)
	r := high - low
	rounding := (high - r) - low
	return scale(1+(r+(expTail(r)+rounding)), int(k))
}

// Expm1 returns e^x - 1 with a relative error below 1e-15, also for small x.
func Expm1(x float64) float64 {
	if math.Abs(x) < 0.35 {
		return x + expTail(x)
	}
	return Exp(x) - 1
}

// scale returns x 2^k for x of order one, rounding once when the result is subnormal.
func scale(x float64, k int) float64 {
	switch {
	case k > 1023:
		return float64(x * math.Float64frombits(uint64(2046)<<52) * math.Float64frombits(uint64(k-1023+1023)<<52))
	case k < -1000:
		return float64(x * math.Float64frombits(uint64(k+1000+1023)<<52) * math.Float64frombits(uint64(23)<<52))
	}
	return float64(x * math.Float64frombits(uint64(k+1023)<<52))
}

// Sinh returns (e^x - e^-x)/2 with a relative error below 2e-15.
func Sinh(x float64) float64 {
	e := Expm1(math.Abs(x))
	if math.IsInf(e, 1) {
		return math.Copysign(Exp(math.Abs(x)/2)/2*Exp(math.Abs(x)/2), x)
	}
	return math.Copysign((e+e/(e+1))/2, x)
}

// Cosh returns (e^x + e^-x)/2 with a relative error below 1e-15.
func Cosh(x float64) float64 {
	half := Exp(math.Abs(x) / 2)
	e := float64(half * half)
	if math.IsInf(e, 1) {
		return half / 2 * half
	}
	return (e + 1/e) / 2
}

// Tanh returns the hyperbolic tangent with a relative error below 2e-15.
func Tanh(x float64) float64 {
	a := math.Abs(x)
	if a > 20 {
		return math.Copysign(1, x)
	}
	e := Expm1(2 * a)
	return math.Copysign(e/(e+2), x)
}
