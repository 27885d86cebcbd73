package inspect

import (
	"fmt"
	"math"
	"sort"
)

// Grubbs returns the largest deviation from the mean in standard deviations and the index of the value it belongs to.
// Fewer than three values or no variation give NaN and -1.
//
// A statistical outlier is a hint to look for a technique reason, never by itself a reason to discard a reading.
//
// Source: F. E. Grubbs, Procedures for detecting outlying observations in samples, Technometrics 11, 1969.
func Grubbs(values []float64) (statistic float64, index int) {
	s := Describe(values)
	if s.N < 3 || !(s.SD > 0) {
		return math.NaN(), -1
	}
	for i, v := range values {
		if g := math.Abs(v-s.Mean) / s.SD; i == 0 || g > statistic {
			statistic, index = g, i
		}
	}
	return statistic, index
}

// GrubbsCritical returns the value that Grubbs's statistic exceeds with probability alpha when all n values come from
// one normal distribution. Two-sided: an outlier on either side; one-sided: the side was named beforehand. NaN for
// n < 3 or alpha outside (0, 1).
//
// Source: Grubbs 1969; NIST/SEMATECH e-Handbook 1.3.5.17.1: (n-1)/sqrt(n) sqrt(t^2/(n-2+t^2)) with the upper
// alpha/(2n) (two-sided) or alpha/n point of Student's t, n-2 degrees of freedom.
func GrubbsCritical(n int, alpha float64, twoSided bool) float64 {
	if n < 3 || !(alpha > 0 && alpha < 1) {
		return math.NaN()
	}
	q := alpha / float64(n)
	if twoSided {
		q /= 2
	}
	t := studentUpperQuantile(q, float64(n-2))
	square := float64(t * t)
	return float64(n-1) / math.Sqrt(float64(n)) * math.Sqrt(square/(float64(n-2)+square))
}

// DixonQ returns Dixon's ratio r10, the gap between an extreme value and its neighbour over the range, for the end with
// the larger gap, and the index of that value. Fewer than three values or no range give NaN and -1.
//
// Source: R. B. Dean, W. J. Dixon, Simplified statistics for small numbers of observations, Analytical Chemistry 23,
// 1951.
func DixonQ(values []float64) (q float64, index int) {
	n := len(values)
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return values[order[a]] < values[order[b]] })
	if n < 3 || !(values[order[n-1]] > values[order[0]]) {
		return math.NaN(), -1
	}
	width := values[order[n-1]] - values[order[0]]
	low := values[order[1]] - values[order[0]]
	high := values[order[n-1]] - values[order[n-2]]
	if low > high {
		return low / width, order[0]
	}
	return high / width, order[n-1]
}

// dixonTable holds the critical values of r10, two-sided, for n = 3 to 10 at 90, 95 and 99 %. Tables headed 5 %
// one-sided equal the 90 % column. Source: D. B. Rorabacher, Analytical Chemistry 63, 1991, table as printed in
// LibreTexts, appendix 6.
var dixonTable = [8][3]float64{
	{0.941, 0.970, 0.994},
	{0.765, 0.829, 0.926},
	{0.642, 0.710, 0.821},
	{0.560, 0.625, 0.740},
	{0.507, 0.568, 0.680},
	{0.468, 0.526, 0.634},
	{0.437, 0.493, 0.598},
	{0.412, 0.466, 0.568},
}

// DixonCritical returns the critical value of DixonQ for n = 3 to 10 values and a two-sided confidence of 90, 95 or
// 99 per cent. Errors: another n or confidence, for which there is no table.
func DixonCritical(n, percent int) (float64, error) {
	column := -1
	for i, p := range [3]int{90, 95, 99} {
		if p == percent {
			column = i
		}
	}
	if n < 3 || n > 10 || column < 0 {
		return 0, fmt.Errorf("inspect: no critical value of Dixon's Q for %d values at %d %%, expected 3 to 10 values at 90, 95 or 99 %%", n, percent)
	}
	return dixonTable[n-3][column], nil
}
