package inspect

import (
	"fmt"
	"math"
)

// Kappa is the agreement of two raters beyond chance.
type Kappa struct {
	Observed float64 // fraction of cases on which the raters agree
	Chance   float64 // fraction expected from their marginal totals
	Kappa    float64 // NaN when chance agreement is complete
}

// CohenKappa returns the agreement from a square table of counts: rows one rater, columns the other.
//
// Errors: a table that is empty, not square, has a negative count or no cases.
//
// Source: J. Cohen, A coefficient of agreement for nominal scales, Educational and Psychological Measurement 20, 1960.
func CohenKappa(counts [][]float64) (Kappa, error) {
	n := len(counts)
	rows, columns := make([]float64, n), make([]float64, n)
	total, agreed := 0.0, 0.0
	for i, row := range counts {
		if len(row) != n {
			return Kappa{}, fmt.Errorf("inspect: agreement table row %d has %d columns, expected %d", i+1, len(row), n)
		}
		for k, c := range row {
			if !(c >= 0) {
				return Kappa{}, fmt.Errorf("inspect: agreement table row %d column %d is %v, expected a count", i+1, k+1, c)
			}
			rows[i] += c
			columns[k] += c
			total += c
		}
		agreed += row[i]
	}
	if !(total > 0) {
		return Kappa{}, fmt.Errorf("inspect: agreement table holds no cases")
	}
	k := Kappa{Observed: agreed / total}
	for i := range rows {
		k.Chance += float64(rows[i] / total * (columns[i] / total))
	}
	k.Kappa = (k.Observed - k.Chance) / (1 - k.Chance)
	if k.Chance == 1 {
		k.Kappa = math.NaN()
	}
	return k, nil
}

// ICC holds the six intraclass correlations of Shrout and Fleiss. The first number is the model (1: each target rated
// by other raters; 2: the same raters, drawn from many, absolute agreement; 3: the same raters and no others,
// consistency), the second tells a single rating from the mean of all k. They differ hugely: always say which.
type ICC struct {
	Targets, Raters  int
	ICC11, ICC21     float64
	ICC31            float64
	ICC1k, ICC2k     float64
	ICC3k            float64
	BetweenTargets   float64 // mean square
	WithinTargets    float64 // mean square
	BetweenRaters    float64 // mean square
	ResidualVariance float64 // mean square
}

// IntraclassCorrelation returns the six coefficients from a table of ratings: one row per target, one column per rater.
// Ratings without any variation give NaN.
//
// Errors: fewer than two targets or raters, rows of unequal length.
//
// Source: P. E. Shrout, J. L. Fleiss, Intraclass correlations: uses in assessing rater reliability, Psychological
// Bulletin 86, 1979.
func IntraclassCorrelation(ratings [][]float64) (ICC, error) {
	n := len(ratings)
	if n < 2 || len(ratings[0]) < 2 {
		return ICC{}, fmt.Errorf("inspect: intraclass correlation needs at least 2 targets and 2 raters")
	}
	k := len(ratings[0])
	var all, targetMeans []float64
	for i, row := range ratings {
		if len(row) != k {
			return ICC{}, fmt.Errorf("inspect: ratings of target %d have %d columns, expected %d", i+1, len(row), k)
		}
		all = append(all, row...)
		targetMeans = append(targetMeans, Describe(row).Mean)
	}
	var raterMeans []float64
	for c := range k {
		var column []float64
		for _, row := range ratings {
			column = append(column, row[c])
		}
		raterMeans = append(raterMeans, Describe(column).Mean)
	}
	grand := Describe(all).Mean
	fn, fk := float64(n), float64(k)
	total := squaresAbout(grand, all)
	targets := float64(squaresAbout(grand, targetMeans) * fk)
	raters := float64(squaresAbout(grand, raterMeans) * fn)
	r := ICC{
		Targets: n, Raters: k,
		BetweenTargets:   targets / (fn - 1),
		WithinTargets:    (total - targets) / (fn * (fk - 1)),
		BetweenRaters:    raters / (fk - 1),
		ResidualVariance: (total - targets - raters) / ((fn - 1) * (fk - 1)),
	}
	b, w, j, e := r.BetweenTargets, r.WithinTargets, r.BetweenRaters, r.ResidualVariance
	r.ICC11 = (b - w) / (b + float64((fk-1)*w))
	r.ICC21 = (b - e) / (b + float64((fk-1)*e) + float64(fk*(j-e))/fn)
	r.ICC31 = (b - e) / (b + float64((fk-1)*e))
	r.ICC1k = (b - w) / b
	r.ICC2k = (b - e) / (b + (j-e)/fn)
	r.ICC3k = (b - e) / b
	return r, nil
}
