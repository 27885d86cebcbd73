package authoring

import (
	"math"
	"slices"

	"foilwright/sim/bench"
	"foilwright/sim/grade"
	"foilwright/sim/trainee"
)

// Coverage is what an exercise gives room for.
type Coverage struct {
	Exercise string `json:"exercise"`
	// Checks that find a fault planted in this exercise.
	Checks []string `json:"checks"`
	// Influences that move the mean or a reading of an attempt, competent or
	// with one planted fault, by at least leastEffectUm.
	Influences []string `json:"influences"`
}

// An influence that moves a figure by less is not felt by a trainee.
const leastEffectUm = 0.05

// Cover plays an exercise with each fault it gives room for, and tells which
// checks and influences came into play.
func Cover(e *bench.Exercise, seed uint64) (*Coverage, error) {
	w, err := bench.NewWorld(e, seed)
	if err != nil {
		return nil, err
	}
	found, felt := map[string]bool{}, map[string]bool{}
	feel := func(r *bench.Record) {
		for _, i := range bench.Influences() {
			if !felt[i.String()] && moves(r, i) {
				felt[i.String()] = true
			}
		}
	}
	b, err := trainee.Play(w, seed)
	if err != nil {
		return nil, err
	}
	feel(b.Record())
	for _, f := range trainee.Faults() {
		if !f.Applies(e) {
			continue
		}
		b, err := trainee.Play(w, seed, f.ID)
		if err != nil {
			continue // the trial of the exercise tells of it
		}
		if grade.Grade(b.Record()).Found(f.Check) {
			found[f.Check] = true
		}
		feel(b.Record())
	}
	c := &Coverage{Exercise: e.ID}
	for _, check := range grade.Checks() {
		if found[check.ID] {
			c.Checks = append(c.Checks, check.ID)
		}
	}
	for _, i := range bench.Influences() {
		if felt[i.String()] {
			c.Influences = append(c.Influences, i.String())
		}
	}
	return c, nil
}

// moves reports whether an influence moves the reported mean of an attempt or
// one of its readings, from the world as it was or from an ideal one.
func moves(r *bench.Record, i bench.Influence) bool {
	c := r.Counterfactual()
	differ := func(a, b bench.Influence) bool {
		one := c.Run(a)
		mean, reported, readings := one.MeanErrorUm, one.Reported, slices.Clone(one.ReadingUm)
		other := c.Run(b)
		if reported && other.Reported && math.Abs(mean-other.MeanErrorUm) >= leastEffectUm {
			return true
		}
		for k := range readings {
			if math.Abs(readings[k]-other.ReadingUm[k]) >= leastEffectUm {
				return true
			}
		}
		return false
	}
	return differ(bench.All, bench.All&^i) || differ(i, 0)
}

// CoverageNames returns the rows of a coverage table: every check, then every
// influence.
func CoverageNames() (checks, influences []string) {
	for _, c := range grade.Checks() {
		checks = append(checks, c.ID)
	}
	for _, i := range bench.Influences() {
		influences = append(influences, i.String())
	}
	return checks, influences
}
