package inspect

import "math"

// Statistics describes a series of readings, in the unit of the readings.
type Statistics struct {
	N    int
	Mean float64 // NaN when N = 0
	SD   float64 // sample standard deviation, divisor N-1; NaN when N < 2
	Min  float64 // NaN when N = 0
	Max  float64 // NaN when N = 0
}

// Describe returns the statistics of the values. A NaN among the values makes all results but N NaN.
//
// The mean is a compensated sum divided once; the standard deviation is the two-pass form corrected for the rounding
// of the mean.
//
// Source: A. Neumaier, Rundungsfehleranalyse einiger Verfahren zur Summation endlicher Summen, ZAMM 54, 1974; T. F.
// Chan, G. H. Golub, R. J. LeVeque, Algorithms for computing the sample variance, The American Statistician 37, 1983,
// eq. 1.7. Checked by the NIST StRD univariate data sets.
func Describe(values []float64) Statistics {
	nan := math.NaN()
	s := Statistics{N: len(values), Mean: nan, SD: nan, Min: nan, Max: nan}
	if s.N == 0 {
		return s
	}
	s.Mean = compensatedSum(values) / float64(s.N)
	if s.Mean != s.Mean {
		return s
	}
	s.Min, s.Max = values[0], values[0]
	for _, v := range values[1:] {
		if v < s.Min {
			s.Min = v
		}
		if v > s.Max {
			s.Max = v
		}
	}
	// Rounding can carry the mean of equal values past them by one unit in the last place.
	if s.Mean < s.Min {
		s.Mean = s.Min
	}
	if s.Mean > s.Max {
		s.Mean = s.Max
	}
	if s.N >= 2 {
		s.SD = math.Sqrt(squaresAbout(s.Mean, values) / float64(s.N-1))
	}
	return s
}

// compensatedSum adds the values in order and carries the rounding of each addition along.
func compensatedSum(values []float64) float64 {
	total, lost := 0.0, 0.0
	for _, v := range values {
		next := total + v
		if math.Abs(total) >= math.Abs(v) {
			lost += (total - next) + v
		} else {
			lost += (v - next) + total
		}
		total = next
	}
	return total + lost
}

// squaresAbout returns the sum of squared deviations from the mean, corrected for the rounding of the mean.
func squaresAbout(mean float64, values []float64) float64 {
	squares, sum := 0.0, 0.0
	for _, v := range values {
		d := v - mean
		squares += float64(d * d)
		sum += d
	}
	corrected := squares - float64(sum*sum)/float64(len(values))
	if corrected < 0 {
		return 0
	}
	return corrected
}

// Lag1 returns the lag-1 autocorrelation coefficient of the values in their order: the sum of products of neighbouring
// deviations from the mean over the sum of squared deviations. NaN for fewer than two values or no variation.
//
// Source: G. E. P. Box, G. M. Jenkins, Time Series Analysis, 1976, ch. 2; the definition NIST StRD certifies.
func Lag1(values []float64) float64 {
	s := Describe(values)
	products, squares := 0.0, 0.0
	for i, v := range values {
		d := v - s.Mean
		squares += float64(d * d)
		if i > 0 {
			products += float64(d * (values[i-1] - s.Mean))
		}
	}
	if squares == 0 {
		return math.NaN()
	}
	return products / squares
}

// PooledSD returns the standard deviation within the groups and its degrees of freedom: each group about its own mean,
// weighted by its degrees of freedom. Groups of fewer than two values add nothing. NaN and 0 when no group has two.
//
// Source: ISO 5725-2:2019, repeatability variance of unequal groups (from memory); GUM 2008, H.3.6 uses the same form.
func PooledSD(groups ...[]float64) (sd float64, degreesOfFreedom int) {
	squares := 0.0
	for _, g := range groups {
		if len(g) < 2 {
			continue
		}
		squares += squaresAbout(Describe(g).Mean, g)
		degreesOfFreedom += len(g) - 1
	}
	if degreesOfFreedom == 0 {
		return math.NaN(), 0
	}
	return math.Sqrt(squares / float64(degreesOfFreedom)), degreesOfFreedom
}
