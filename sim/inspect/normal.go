package inspect

import (
	"math"

	"foilwright/sim/num"
)

const inverseSqrt2Pi = 0.3989422804014326779399

// normalDensity returns the standard normal density; x^2 is split so that its rounding is not magnified by the
// exponential.
func normalDensity(x float64) float64 {
	coarse := float64(math.Floor(float64(x*16)+0.5) / 16)
	rest := float64((x - coarse) * (x + coarse))
	return inverseSqrt2Pi * num.Exp(-coarse*coarse/2) * num.Exp(-rest/2)
}

// normalUpper returns the probability that a standard normal variable exceeds x, with a relative error below 1e-13.
//
// Source: M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions, 1964, 26.2.11 (series) and 26.2.14
// (continued fraction).
func normalUpper(x float64) float64 {
	switch {
	case x != x:
		return x
	case x < -2:
		return 1 - normalUpper(-x)
	case x > 38.5:
		return 0
	case x <= 2:
		term, sum := x, x
		for n := 3; n < 80; n += 2 {
			term = term * x * x / float64(n)
			sum += term
		}
		return 0.5 - float64(normalDensity(x)*sum)
	}
	fraction := x
	for n := 80; n >= 1; n-- {
		fraction = x + float64(n)/fraction
	}
	return normalDensity(x) / fraction
}

// NormalCDF returns the probability that a standard normal variable is at most x, with a relative error below 1e-13
// down to x = -37.
//
// Source: see normalUpper. Checked against gonum's distuv.
func NormalCDF(x float64) float64 { return normalUpper(-x) }

// NormalQuantile returns the x for which NormalCDF(x) = p; -Inf at 0, +Inf at 1, NaN outside [0, 1]. The error is below
// 1e-13 relative or 1e-15.
//
// Source: Abramowitz and Stegun 26.2.23 as a start, then Newton's method on the logarithm of the tail.
func NormalQuantile(p float64) float64 {
	switch {
	case !(p >= 0 && p <= 1):
		return math.NaN()
	case p == 0.5:
		return 0
	case p < 0.5:
		return -normalUpperQuantile(p)
	}
	return normalUpperQuantile(1 - p)
}

// normalUpperQuantile returns the x >= 0 that is exceeded with probability q <= 0.5.
func normalUpperQuantile(q float64) float64 {
	if q == 0 {
		return math.Inf(1)
	}
	logQ := num.Log(q)
	t := math.Sqrt(-2 * logQ)
	above := 2.515517 + float64(t*(0.802853+float64(t*0.010328)))
	below := 1 + float64(t*(1.432788+float64(t*(0.189269+float64(t*0.001308)))))
	x := t - above/below
	for range 4 {
		tail := normalUpper(x)
		x += float64((num.Log(tail) - logQ) * (tail / normalDensity(x)))
	}
	return x
}
