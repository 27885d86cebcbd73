package inspect

import (
	"errors"
	"fmt"
	"math"

	"foilwright/sim/num"
)

// CUSUM are the parameters of a cumulative-sum chart of a trainee's attempts at one skill.
type CUSUM struct {
	Acceptable   float64 // p0, failure rate of someone competent
	Unacceptable float64 // p1, failure rate of someone who is not; above p0
	Alpha        float64 // risk of finding a competent trainee wanting
	Beta         float64 // risk of passing one who is not
}

// CUSUMLimits are the step and the decision limits of a chart.
type CUSUMLimits struct {
	Success float64 // s: a success lowers the sum by s, a failure raises it by 1-s
	Pass    float64 // h0: competent when the sum is at or below -h0
	Concern float64 // h1: below the acceptable rate when the sum is at or above h1
}

// Limits returns step and limits of the chart.
//
// Errors: rates not in order 0 < p0 < p1 < 1, risks outside (0, 0.5).
//
// Source: A. Wald, Sequential Analysis, 1947, binomial case, in the form used for learning curves: P = ln(p1/p0), Q =
// ln((1-p0)/(1-p1)), s = Q/(P+Q), a = ln((1-beta)/alpha), b = ln((1-alpha)/beta), h1 = a/(P+Q), h0 = b/(P+Q)
// (formulas from memory).
func (c CUSUM) Limits() (CUSUMLimits, error) {
	if !(c.Acceptable > 0 && c.Acceptable < c.Unacceptable && c.Unacceptable < 1) {
		return CUSUMLimits{}, fmt.Errorf("inspect: cusum failure rates are %v and %v, expected 0 < acceptable < unacceptable < 1", c.Acceptable, c.Unacceptable)
	}
	if !(c.Alpha > 0 && c.Alpha < 0.5 && c.Beta > 0 && c.Beta < 0.5) {
		return CUSUMLimits{}, fmt.Errorf("inspect: cusum risks are %v and %v, expected above 0 and below 0.5", c.Alpha, c.Beta)
	}
	p := num.Log(c.Unacceptable / c.Acceptable)
	q := num.Log((1 - c.Acceptable) / (1 - c.Unacceptable))
	return CUSUMLimits{
		Success: q / (p + q),
		Concern: num.Log((1-c.Beta)/c.Alpha) / (p + q),
		Pass:    num.Log((1-c.Alpha)/c.Beta) / (p + q),
	}, nil
}

// StraightSuccesses returns how many successes without a failure reach the pass limit from the start.
func (l CUSUMLimits) StraightSuccesses() int { return int(math.Ceil(l.Pass/l.Success - 1e-9)) }

// Competence is what a chart says after an attempt.
type Competence string

// The states of a chart.
const (
	Learning      Competence = "learning"
	Competent     Competence = "competent"
	BelowStandard Competence = "below standard"
)

// CUSUMPoint is the chart after one attempt.
type CUSUMPoint struct {
	Sum   float64 // before any restart
	State Competence
}

// Follow returns the chart after each attempt; true is a success. When a limit is crossed the test has decided and a
// new one starts from zero with the next attempt, as Wald's test does; a trainee who began badly is not held back by an
// old sum (own choice; charts in the literature differ).
func (l CUSUMLimits) Follow(successes []bool) []CUSUMPoint {
	points := make([]CUSUMPoint, 0, len(successes))
	sum := 0.0
	for _, ok := range successes {
		if ok {
			sum -= l.Success
		} else {
			sum += 1 - l.Success
		}
		point := CUSUMPoint{Sum: sum, State: Learning}
		switch {
		case sum <= rounding-l.Pass:
			point.State = Competent
			sum = 0
		case sum >= l.Concern-rounding:
			point.State = BelowStandard
			sum = 0
		}
		points = append(points, point)
	}
	return points
}

// AngoffCut returns the cut score in marks: the mean over the judges of the sum over the items of the probability that
// a borderline candidate gets the item right. One row per judge, one column per item.
//
// Errors: no judges, rows of unequal length, a probability outside 0 to 1.
//
// Source: W. H. Angoff, Scales, norms and equivalent scores, in R. L. Thorndike (ed.), Educational Measurement, 1971.
func AngoffCut(judges [][]float64) (float64, error) {
	if len(judges) == 0 || len(judges[0]) == 0 {
		return 0, errors.New("inspect: angoff cut needs at least one judge and one item")
	}
	var sums []float64
	for i, row := range judges {
		if len(row) != len(judges[0]) {
			return 0, fmt.Errorf("inspect: angoff judge %d rated %d items, expected %d", i+1, len(row), len(judges[0]))
		}
		for k, p := range row {
			if !(p >= 0 && p <= 1) {
				return 0, fmt.Errorf("inspect: angoff judge %d item %d is %v, expected a probability from 0 to 1", i+1, k+1, p)
			}
		}
		sums = append(sums, compensatedSum(row))
	}
	return Describe(sums).Mean, nil
}

// The marks of the practical examination of ISO 9712. Source: BINDT note on ISO 9712 table D.1 (read).
const (
	SpecimenMarks    = 85.0 // 10 apparatus, 20 application, 55 detection and report
	InstructionMarks = 15.0 // written instruction, level 2
	practicalPercent = 70.0
)

// PracticalPassMark returns the least marks that pass a part of the practical examination: 70 % of its full marks.
func PracticalPassMark(full float64) float64 { return percentOf(full, practicalPercent) }

// Practical judges a practical examination: every specimen and the instruction must reach 70 % on its own; a good
// specimen does not make up for a bad one. It returns whether it is passed and every part that failed, in words.
//
// Errors: no specimens, marks outside their range.
//
// Source: as PracticalPassMark.
func Practical(specimens []float64, instruction float64) (passed bool, failed []string, err error) {
	if len(specimens) == 0 {
		return false, nil, errors.New("inspect: practical examination has no specimens")
	}
	part := func(name string, marks, full float64) error {
		if !(marks >= 0 && marks <= full) {
			return fmt.Errorf("inspect: practical examination: %s has %v marks, expected 0 to %s", name, marks, figure(full))
		}
		if need := PracticalPassMark(full); below(marks, need) {
			failed = append(failed, fmt.Sprintf("%s has %s of %s marks, %s needed", name, figure(marks), figure(full), figure(need)))
		}
		return nil
	}
	for i, m := range specimens {
		if err := part(fmt.Sprintf("specimen %d", i+1), m, SpecimenMarks); err != nil {
			return false, nil, err
		}
	}
	if err := part("instruction", instruction, InstructionMarks); err != nil {
		return false, nil, err
	}
	return len(failed) == 0, failed, nil
}
