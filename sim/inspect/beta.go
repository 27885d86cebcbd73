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

// incompleteBeta returns the regularised incomplete beta function I_x(a, b), with a relative error below 1e-12. The
// caller passes y = 1 - x too, each computed without cancellation, so that x close to 1 keeps its meaning. Domain: a, b
// > 0, 0 <= x <= 1.
//
// Source: A. R. DiDonato, A. H. Morris, Algorithm 708, ACM TOMS 18, 1992, eq. 9 (the continued fraction of Abramowitz
// and Stegun 26.5.8, contracted and written with y).
func incompleteBeta(a, b, x, y float64) float64 {
	switch {
	case x <= 0:
		return 0
	case y <= 0:
		return 1
	case x*(a+b) > a:
		return 1 - betaBelowMean(b, a, y, x)
	}
	return betaBelowMean(a, b, x, y)
}

// betaBelowMean is incompleteBeta for x not above a/(a+b), the mean of the beta distribution, where its fraction
// converges fast and without cancellation.
func betaBelowMean(a, b, x, y float64) float64 {
	front := float64(a*logOf(x, y)) + float64(b*logOf(y, x)) - logBeta(a, b)
	return num.Exp(front) / betaFraction(a, b, x, y)
}

// logOf returns log x given y = 1 - x.
func logOf(x, y float64) float64 {
	if y < 0.25 {
		return num.Log1p(-y)
	}
	return num.Log(x)
}

// betaFraction evaluates the continued fraction b1 + a2/(b2 + a3/(b3 + ...)) of DiDonato and Morris by the method of
// W. J. Lentz, Applied Optics 15, 1976, p. 668.
func betaFraction(a, b, x, y float64) float64 {
	lambda := a - float64((a+b)*x)
	if y < x {
		lambda = float64((a+b)*y) - b
	}
	element := func(n float64) float64 {
		inner := lambda + 1 + float64(n*(1+y))
		return n + float64(n*(b-n)*x/(a+float64(2*n)-1)) + float64((a+n)*inner/(a+float64(2*n)+1))
	}
	fraction := float64(a * (lambda + 1) / (a + 1)) // n = 0, where the general form may be 0/0
	c, d := fraction, 0.0
	for i := 1; i < 20000; i++ {
		n := float64(i)
		root := x / (a + float64(2*n) - 1)
		over := float64((a + n - 1) * (a + b + n - 1) * n * (b - n) * root * root)
		under := element(n)
		d = 1 / (under + float64(over*d))
		c = under + float64(over/c)
		step := float64(c * d)
		fraction *= step
		if math.Abs(step-1) < 2e-16 {
			break
		}
	}
	return fraction
}
