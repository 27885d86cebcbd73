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
	shifted := float64(x*(32*invLn2)) + wholes
	k := shifted - wholes
	high := x - float64(k*(ln2High/32))
	low := float64(k * (ln2Low / 32))
	r := high - low
	rounding := (high - r) - low
	r2 := float64(r * r)
	tail := float64(r2 * ((1.0/2 + float64(1.0/6*r)) + float64(r2*((1.0/24+float64(1.0/120*r))+float64(1.0/720*r2)))))
	n := int(k)
	root := &roots[n&31]
	return scale(root[0]+(root[1]+float64(root[0]*(r+(tail+rounding)))), n>>5)
}

// roots are the powers 2^(i/32), each a number and what it lacks of the power.
var roots = [32][2]float64{
	{0x1.0000000000000p+0, 0x0.0p+0}, {0x1.059b0d3158574p+0, 0x1.d73e2a475b465p-55},
	{0x1.0b5586cf9890fp+0, 0x1.8a62e4adc610bp-54}, {0x1.11301d0125b51p+0, -0x1.6c51039449b3ap-54},
	{0x1.172b83c7d517bp+0, -0x1.19041b9d78a76p-55}, {0x1.1d4873168b9aap+0, 0x1.e016e00a2643cp-54},
	{0x1.2387a6e756238p+0, 0x1.9b07eb6c70573p-54}, {0x1.29e9df51fdee1p+0, 0x1.612e8afad1255p-55},
	{0x1.306fe0a31b715p+0, 0x1.6f46ad23182e4p-55}, {0x1.371a7373aa9cbp+0, -0x1.63aeabf42eae2p-54},
	{0x1.3dea64c123422p+0, 0x1.ada0911f09ebcp-55}, {0x1.44e086061892dp+0, 0x1.89b7a04ef80d0p-59},
	{0x1.4bfdad5362a27p+0, 0x1.d4397afec42e2p-56}, {0x1.5342b569d4f82p+0, -0x1.07abe1db13cadp-55},
	{0x1.5ab07dd485429p+0, 0x1.6324c054647adp-54}, {0x1.6247eb03a5585p+0, -0x1.383c17e40b497p-54},
	{0x1.6a09e667f3bcdp+0, -0x1.bdd3413b26456p-54}, {0x1.71f75e8ec5f74p+0, -0x1.16e4786887a99p-55},
	{0x1.7a11473eb0187p+0, -0x1.41577ee04992fp-55}, {0x1.82589994cce13p+0, -0x1.d4c1dd41532d8p-54},
	{0x1.8ace5422aa0dbp+0, 0x1.6e9f156864b27p-54}, {0x1.93737b0cdc5e5p+0, -0x1.75fc781b57ebcp-57},
	{0x1.9c49182a3f090p+0, 0x1.c7c46b071f2bep-56}, {0x1.a5503b23e255dp+0, -0x1.d2f6edb8d41e1p-54},
	{0x1.ae89f995ad3adp+0, 0x1.7a1cd345dcc81p-54}, {0x1.b7f76f2fb5e47p+0, -0x1.5584f7e54ac3bp-56},
	{0x1.c199bdd85529cp+0, 0x1.11065895048ddp-55}, {0x1.cb720dcef9069p+0, 0x1.503cbd1e949dbp-56},
	{0x1.d5818dcfba487p+0, 0x1.2ed02d75b3707p-55}, {0x1.dfc97337b9b5fp+0, -0x1.1a5cd4f184b5cp-54},
	{0x1.ea4afa2a490dap+0, -0x1.e9c23179c2893p-54}, {0x1.f50765b6e4540p+0, 0x1.9d3e12dd8a18bp-54},
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
