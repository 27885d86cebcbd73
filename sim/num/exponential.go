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

// expTail returns r^2/2! + r^3/3! + ... for |r| <= 0.36, to about one rounding of the result.
func expTail(r float64) float64 {
	c := &inverseFactorial
	p := c[12]
	p = float64(p*r) + c[11]
	p = float64(p*r) + c[10]
	p = float64(p*r) + c[9]
	p = float64(p*r) + c[8]
	p = float64(p*r) + c[7]
	p = float64(p*r) + c[6]
	p = float64(p*r) + c[5]
	p = float64(p*r) + c[4]
	p = float64(p*r) + c[3]
	p = float64(p*r) + c[2]
	p = float64(p*r) + c[1]
	p = float64(p*r) + c[0]
	return float64(r * r * p)
}

// Exp returns e^x with a relative error below 3e-16; 0 below -745.14, +Inf above 709.79, NaN for NaN.
func Exp(x float64) float64 {
	switch {
	case x != x:
		return x
	case x > 709.782712893384:
		return math.Inf(1)
	case x < -745.1332191019412:
		return 0
	}
	k := math.Floor(float64(x*invLn2) + 0.5)
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
