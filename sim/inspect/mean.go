package inspect

import (
	"fmt"
	"math"
	"slices"
)

// MeasuredMean is what an inspector knows of the mean of a series without knowing the truth. Readings in um.
type MeasuredMean struct {
	Spots  [][]float64       // readings by spot
	Points []AdjustmentPoint // zero and foils in force, in any order
	StepUm float64           // of the display
	// TextureUm bounds the error of an allowance for a rough base that was taken from a table; 0: none was subtracted.
	TextureUm float64
	// ShapeUm bounds what is left of edge, curvature and thin base; 0: nothing to speak of.
	ShapeUm float64
	// CurveUm bounds the error of the built-in curve where only a zero, or nothing, was adjusted; 0: a foil holds it.
	CurveUm float64
}

// TextureBoundUm bounds the error of an allowance for roughness taken from a table: a fifth of it. Own estimate; the table
// of ISO 19840 (from memory) gives one value for a whole grade, whose neighbours differ by 15 um.
func TextureBoundUm(allowanceUm float64) float64 { return allowanceUm / 5 }

// Budget is the uncertainty budget of the mean: scatter of the spots (film, instrument and hand), readings and
// certificates of the adjustment, resolution, texture and shape.
//
// A point of the adjustment with a single reading borrows the scatter within the spots. One spot alone is judged by the
// scatter of its readings. Components that nothing is known of are left out; with no scatter at all the budget is of
// the rest and cannot be evaluated.
//
// Source: GUM (JCGM 100:2008) 4.2, 4.3 and 5.1.
func (m MeasuredMean) Budget() Budget {
	var means, all []float64
	for _, s := range m.Spots {
		if len(s) > 0 {
			means, all = append(means, Describe(s).Mean), append(all, s...)
		}
	}
	pooled, freedom := PooledSD(m.Spots...)
	var b Budget
	switch {
	case len(means) >= 2:
		spots := MeanOf("spots", Describe(means))
		spots.Evaluation = fmt.Sprintf("standard deviation of the mean of %d spot means: film, instrument and hand", len(means))
		b = append(b, spots)
	case freedom > 0:
		b = append(b, PooledRepeatability(pooled, freedom, len(all)))
	}
	var points []AdjustmentPoint
	for _, p := range m.Points {
		switch {
		case p.Readings.N >= 2:
		case freedom < 1:
			continue
		default:
			// Taken so that standard deviation over root n and degrees of freedom come out as those of one reading of the
			// pooled scatter.
			p.Readings = Statistics{N: freedom + 1, Mean: p.Readings.Mean, SD: pooled * math.Sqrt(float64(freedom+1))}
		}
		points = append(points, p)
	}
	slices.SortStableFunc(points, func(p, q AdjustmentPoint) int {
		switch {
		case p.ValueUm < q.ValueUm:
			return -1
		case p.ValueUm > q.ValueUm:
			return 1
		}
		return 0
	})
	if list, err := Adjustment(points, Describe(all).Mean); err == nil {
		b = append(b, list...)
	}
	b = append(b, Resolution(m.StepUm))
	if m.TextureUm > 0 {
		b = append(b, TextureBound(m.TextureUm))
	}
	if m.ShapeUm > 0 {
		b = append(b, Shape(m.ShapeUm))
	}
	if m.CurveUm > 0 {
		b = append(b, Curve(m.CurveUm))
	}
	return b
}
