// Package assess is what assessors make of findings: their own score of an
// attempt, and how far two of them agree.
//
// The statistics are those of sim/inspect, which names their sources.
package assess

import (
	"maps"
	"math"
	"slices"

	"foilwright/internal/class/store"
	"foilwright/sim/grade"
	"foilwright/sim/inspect"
)

// Decisions on a finding.
const (
	Confirm  = "confirm"
	Override = "override"
)

// Verdicts on an attempt. They are about this attempt on a simulated bench.
const (
	Competent = "competent on this attempt"
	NotYet    = "not yet competent on this attempt"
)

// Score is the technique score with only the findings left standing that were
// not overridden, by the rules of grading: a group loses no more than it has,
// and a critical finding holds the score at 49 or below.
func Score(s *grade.Sheet, marks map[string]store.Mark) float64 {
	left := map[grade.Group]float64{}
	total, critical := 0.0, false
	for _, g := range s.Groups {
		left[g.Group] = g.Weight
	}
	for _, f := range s.Findings {
		if marks[f.Check].Decision == Override {
			continue
		}
		left[f.Group] -= math.Min(f.Points, left[f.Group])
		critical = critical || f.Severity == grade.Critical
	}
	for _, g := range s.Groups {
		total += left[g.Group]
	}
	if critical {
		total = math.Min(total, 49)
	}
	return total
}

// Pair is what two assessors said of one attempt.
type Pair struct {
	Attempt         string
	Score           [2]float64
	Verdict         [2]string
	Decisions       [][2]string // on the findings both marked
	First, Second   string
	FirstN, SecondN string // their names
}

// Agreement is how far assessors agree over the attempts both have signed.
type Agreement struct {
	Attempts int
	Verdict  inspect.Kappa // on competent or not yet
	Finding  inspect.Kappa // on confirm or override, finding by finding
	Findings int
	ICC      inspect.ICC // of the scores; ICC21 is what counts for any two assessors
	HasICC   bool
	HasKappa bool
	HasFind  bool
}

// Agree computes the agreement of pairs. Which of two is called the first does
// not matter to the coefficients as long as assessors are taken for alike.
func Agree(pairs []Pair) Agreement {
	a := Agreement{Attempts: len(pairs)}
	verdicts := table(2)
	findings := table(2)
	var scores [][]float64
	for _, p := range pairs {
		verdicts[place(p.Verdict[0], Competent)][place(p.Verdict[1], Competent)]++
		for _, d := range p.Decisions {
			findings[place(d[0], Confirm)][place(d[1], Confirm)]++
			a.Findings++
		}
		scores = append(scores, []float64{p.Score[0], p.Score[1]})
	}
	var err error
	if a.Verdict, err = inspect.CohenKappa(verdicts); err == nil && !math.IsNaN(a.Verdict.Kappa) {
		a.HasKappa = true
	}
	if a.Finding, err = inspect.CohenKappa(findings); err == nil && !math.IsNaN(a.Finding.Kappa) {
		a.HasFind = true
	}
	if a.ICC, err = inspect.IntraclassCorrelation(scores); err == nil && !math.IsNaN(a.ICC.ICC21) {
		a.HasICC = true
	}
	return a
}

func table(n int) [][]float64 {
	t := make([][]float64, n)
	for i := range t {
		t[i] = make([]float64, n)
	}
	return t
}

func place(word, first string) int {
	if word == first {
		return 0
	}
	return 1
}

// Cut is a standard set by the modified Angoff method: judges say for each
// item what share of just competent candidates gets it right, discuss, and say
// it again; the last word counts.
type Cut struct {
	Judges  int
	Items   int
	Percent float64 // of the marks
	Spread  float64 // standard deviation between judges, percent; 0 with one judge
}

// CutOf computes the cut from what judges said, percent by judge and item.
// Only judges who went through all items count.
func CutOf(items []string, said map[string]map[string]int64) (Cut, bool) {
	var rows [][]float64
	var sums []float64
	for _, judge := range slices.Sorted(maps.Keys(said)) {
		row := make([]float64, 0, len(items))
		sum := 0.0
		for _, item := range items {
			if p, ok := said[judge][item]; ok {
				row = append(row, float64(p)/100)
				sum += float64(p)
			}
		}
		if len(row) == len(items) {
			rows, sums = append(rows, row), append(sums, sum/float64(len(items)))
		}
	}
	cut, err := inspect.AngoffCut(rows)
	if err != nil || len(items) == 0 {
		return Cut{}, false
	}
	c := Cut{Judges: len(rows), Items: len(items), Percent: 100 * cut / float64(len(items))}
	if len(sums) > 1 {
		c.Spread = inspect.Describe(sums).SD
	}
	return c, true
}
