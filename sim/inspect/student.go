package inspect

import (
	"math"

	"foilwright/sim/num"
)

// normalFrom is the number of degrees of freedom from which Student's distribution is taken as normal; the quantiles
// differ by less than 1e-9 relative there, far less than any table prints.
const normalFrom = 1e9

// studentUpper returns the probability that Student's t with nu degrees of freedom exceeds t >= 0.
//
// Source: Abramowitz and Stegun 26.7.1 with 26.5.27.
func studentUpper(t, nu float64) float64 {
	if nu >= normalFrom {
		return normalUpper(t)
	}
	square := float64(t * t)
	return incompleteBeta(nu/2, 0.5, nu/(nu+square), square/(nu+square)) / 2
}

// StudentCDF returns the probability that Student's t with nu degrees of freedom is at most t. nu need not be whole;
// +Inf means the normal distribution; NaN for nu <= 0.
func StudentCDF(t, nu float64) float64 {
	switch {
	case !(nu > 0) || t != t:
		return math.NaN()
	case t < 0:
		return studentUpper(-t, nu)
	}
	return 1 - studentUpper(t, nu)
}

// studentDensity returns the density of Student's t with nu degrees of freedom.
func studentDensity(t, nu float64) float64 {
	if nu >= normalFrom {
		return normalDensity(t)
	}
	log := float64(-(nu+1)/2*num.Log1p(t*t/nu)) - logBeta(nu/2, 0.5) - float64(num.Log(nu)/2)
	return num.Exp(log)
}

// StudentQuantile returns the t for which StudentCDF(t, nu) = p; -Inf at 0, +Inf at 1, NaN for p outside [0, 1] or nu
// not positive. nu need not be whole; +Inf gives the normal quantile.
//
// The solution is Newton's method: in t from 0 for the middle, where the tail is convex and no step overshoots; on the
// logarithms of tail and t for the outer parts, where their relation is concave and nearly straight.
//
// Source of the distribution: Student, Biometrika 6, 1908. Checked against gonum's distuv and NIST TN 1297 table B.1.
func StudentQuantile(p, nu float64) float64 {
	switch {
	case !(p >= 0 && p <= 1) || !(nu > 0):
		return math.NaN()
	case p == 0.5:
		return 0
	case p < 0.5:
		return -studentUpperQuantile(p, nu)
	}
	return studentUpperQuantile(1-p, nu)
}

// studentUpperQuantile returns the t >= 0 that is exceeded with probability q <= 0.5.
func studentUpperQuantile(q, nu float64) float64 {
	switch {
	case q == 0:
		return math.Inf(1)
	case nu >= normalFrom:
		return normalUpperQuantile(q)
	}
	const middle = 0.05
	target := q
	if target < middle {
		target = middle
	}
	t := 0.0
	for range 100 {
		step := (studentUpper(t, nu) - target) / studentDensity(t, nu)
		t += step
		if math.Abs(step) <= 1e-15*t {
			break
		}
	}
	if q >= middle {
		return t
	}
	logQ := num.Log(q)
	for range 100 {
		tail := studentUpper(t, nu)
		step := (num.Log(tail) - logQ) * tail / (t * studentDensity(t, nu))
		t = float64(t * num.Exp(step))
		if math.Abs(step) <= 4e-16 {
			break
		}
	}
	return t
}

// CoverageFactor returns the k for which y - k u .. y + k u holds the fraction level of Student's distribution with nu
// degrees of freedom, the two-sided Student factor. level 0.9545 with nu = +Inf gives 2.000. NaN for level outside
// [0, 1) or nu not positive.
//
// Source: GUM (JCGM 100:2008) G.3; B. N. Taylor, C. E. Kuyatt, NIST Technical Note 1297, 1994, table B.1.
func CoverageFactor(level, nu float64) float64 {
	if !(level >= 0 && level < 1) || !(nu > 0) {
		return math.NaN()
	}
	if level == 0 {
		return 0
	}
	return studentUpperQuantile((1-level)/2, nu)
}
