package inspect

import (
	"math"

	"foilwright/sim/num"
)

// stirlingTail returns what Stirling's formula leaves out: log gamma(x) - ((x-1/2) log x - x + log(2 pi)/2), x >= 10.
//
// Source: Abramowitz and Stegun 6.1.41.
func stirlingTail(x float64) float64 {
	z := 1 / (x * x)
	p := -3617.0 / 122400
	p = float64(p*z) + 1.0/156
	p = float64(p*z) - 691.0/360360
	p = float64(p*z) + 1.0/1188
	p = float64(p*z) - 1.0/1680
	p = float64(p*z) + 1.0/1260
	p = float64(p*z) - 1.0/360
	p = float64(p*z) + 1.0/12
	return p / x
}

// logGamma returns the natural logarithm of the gamma function for x > 0, with an absolute error of a few 1e-15 of the
// larger of 1 and the result: Stirling's series after moving the argument to 10 or above.
func logGamma(x float64) float64 {
	product := 1.0
	for x < 10 {
		product *= x
		x++
	}
	const halfLog2Pi = 0.91893853320467274178
	return float64((x-0.5)*num.Log(x)) - x + halfLog2Pi + stirlingTail(x) - num.Log(product)
}

// logGammaRatio returns log gamma(a+b) - log gamma(a) for a >= 10 without the cancellation of two large numbers.
func logGammaRatio(a, b float64) float64 {
	return float64((a-0.5)*num.Log1p(b/a)) + float64(b*num.Log(a+b)) - b + stirlingTail(a+b) - stirlingTail(a)
}

// logBeta returns the logarithm of the beta function for a, b > 0.
func logBeta(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	if a >= 10 {
		return logGamma(b) - logGammaRatio(a, b)
	}
	return logGamma(a) + logGamma(b) - logGamma(a+b)
}

// incompleteBeta returns the regularised incomplete beta function I_x(a, b). The caller passes y = 1 - x too, each
// computed without cancellation. Domain: a, b > 0, 0 <= x <= 1.
//
// Source: Abramowitz and Stegun 26.5.8 (continued fraction), evaluated by the method of W. J. Lentz, Applied Optics 15,
// 1976, p. 668.
func incompleteBeta(a, b, x, y float64) float64 {
	switch {
	case x <= 0:
		return 0
	case y <= 0:
		return 1
	case x > (a+1)/(a+b+2):
		return 1 - incompleteBeta(b, a, y, x)
	}
	front := float64(a*logOf(x, y)) + float64(b*logOf(y, x)) - logBeta(a, b)
	return num.Exp(front) * betaFraction(a, b, x) / a
}

// logOf returns log x given y = 1 - x.
func logOf(x, y float64) float64 {
	if y < 0.25 {
		return num.Log1p(-y)
	}
	return num.Log(x)
}

// betaFraction is the continued fraction of the incomplete beta function.
func betaFraction(a, b, x float64) float64 {
	const tiny = 1e-300
	apart := func(v float64) float64 {
		if math.Abs(v) < tiny {
			return tiny
		}
		return v
	}
	c, d := 1.0, 1/apart(1-(a+b)*x/(a+1))
	fraction := d
	for i := 1; i < 20000; i++ {
		m := float64(i)
		even := m * (b - m) * x / ((a + float64(2*m) - 1) * (a + float64(2*m)))
		d = 1 / apart(1+float64(even*d))
		c = apart(1 + even/c)
		fraction *= d * c
		odd := -(a + m) * (a + b + m) * x / ((a + float64(2*m)) * (a + float64(2*m) + 1))
		d = 1 / apart(1+float64(odd*d))
		c = apart(1 + odd/c)
		step := float64(d * c)
		fraction *= step
		if math.Abs(step-1) < 2e-16 {
			break
		}
	}
	return fraction
}
