package inspect

import (
	"errors"
	"fmt"
	"math"
	"sort"
)

// Wilson returns the score interval for a proportion of successes among trials at a confidence level such as 0.95. It
// never leaves 0 to 1 and stays useful at none or all. No trials give 0 and 1.
//
// Errors: counts that are negative or exceed the trials, a level outside (0, 1).
//
// Source: E. B. Wilson, Probable inference, the law of succession, and statistical inference, JASA 22, 1927.
func Wilson(successes, trials int, level float64) (low, high float64, err error) {
	if successes < 0 || trials < successes {
		return 0, 0, fmt.Errorf("inspect: %d successes of %d trials make no proportion", successes, trials)
	}
	if !(level > 0 && level < 1) {
		return 0, 0, fmt.Errorf("inspect: confidence level %v must lie between 0 and 1, such as 0.95", level)
	}
	if trials == 0 {
		return 0, 1, nil
	}
	z := normalUpperQuantile((1 - level) / 2)
	n := float64(trials)
	p := float64(successes) / n
	square := float64(z*z) / n
	middle := p + float64(square/2)
	half := math.Sqrt((float64(p*(1-p)) + float64(square/4)) * square)
	low, high = (middle-half)/(1+square), (middle+half)/(1+square)
	// At none and at all the bound is exactly 0 or 1; rounding must not leave it beside.
	if successes == 0 {
		low = 0
	}
	if successes == trials {
		high = 1
	}
	return low, high, nil
}

// ROCArea returns the area under the receiver operating characteristic: the probability that a score drawn from higher
// exceeds one drawn from lower, ties counting half. 0.5 means the score does not tell the groups apart, 1 that it
// always does.
//
// Errors: an empty group, a score that is not a number.
//
// Source: J. A. Hanley, B. J. McNeil, Radiology 143, 1982; equal to the Mann-Whitney statistic over the number of
// pairs.
func ROCArea(lower, higher []float64) (float64, error) {
	if len(lower) == 0 || len(higher) == 0 {
		return 0, errors.New("inspect: area under the curve needs at least one score in each group")
	}
	sorted := append([]float64(nil), lower...)
	sort.Float64s(sorted)
	if sorted[0] != sorted[0] {
		return 0, errors.New("inspect: a score of the lower group is not a number")
	}
	wins := 0 // in halves
	for _, h := range higher {
		if h != h {
			return 0, errors.New("inspect: a score of the higher group is not a number")
		}
		beaten := sort.SearchFloat64s(sorted, h)
		notAbove := sort.Search(len(sorted), func(i int) bool { return sorted[i] > h })
		wins += beaten + notAbove
	}
	return float64(wins) / 2 / float64(len(lower)) / float64(len(higher)), nil
}
