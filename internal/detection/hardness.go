package detection

import (
	"math"

	"foilwright/sim/inspect"
)

// Hardness tells whether the seeds of an exercise are equally hard for a
// competent trainee, whose technique score says nothing about it: by how large
// the errors of the result are against their uncertainty, and by how far the
// true mean is from the limit of the rule.
type Hardness struct {
	Exercise string `json:"exercise"`
	Seeds    int    `json:"seeds"`
	Attempts int    `json:"attempts"` // of each seed
	// Mean of |error|/U, over all seeds and of the easiest and hardest one.
	MeanErrorU float64 `json:"mean_error_u"`
	EasiestU   float64 `json:"easiest_u"`
	HardestU   float64 `json:"hardest_u"`
	// OfSeed is the part of the variation of |error|/U that comes with the
	// seed: the intraclass correlation ICC(1,1) of Shrout and Fleiss, 0 where
	// seeds do not differ. Film and foils stay the same within a seed, so it is
	// above 0 in any real measurement.
	OfSeed float64 `json:"of_seed"`
	// LeastMarginU is the smallest distance of a true mean from the limit of
	// the rule, in units of U: above 1 no verdict hangs on luck.
	LeastMarginU float64 `json:"least_margin_u"`
}

// addHardness compares the seeds of each exercise.
func (t *Table) addHardness(jobs []job, results []tally) error {
	for k := range t.Hardness {
		h := &t.Hardness[k]
		h.EasiestU, h.LeastMarginU = math.Inf(1), math.Inf(1)
		var ratings [][]float64
		var all []float64
		for i := range results {
			r := &results[i]
			if jobs[i].exercise != k || len(r.errors) == 0 {
				continue
			}
			ratings, all = append(ratings, r.errors), append(all, r.errors...)
			mean := inspect.Describe(r.errors).Mean
			h.EasiestU, h.HardestU = math.Min(h.EasiestU, mean), math.Max(h.HardestU, mean)
			h.LeastMarginU = math.Min(h.LeastMarginU, r.marginU)
			h.Attempts = len(r.errors)
		}
		h.Seeds, h.MeanErrorU = len(ratings), inspect.Describe(all).Mean
		if h.Seeds < 2 || h.Attempts < 2 {
			continue
		}
		icc, err := inspect.IntraclassCorrelation(ratings)
		if err != nil {
			return err
		}
		h.OfSeed = icc.ICC11
	}
	return nil
}
