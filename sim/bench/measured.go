package bench

import (
	"fmt"
	"slices"

	"foilwright/sim/inspect"
)

// Resets lists the entries at which every adjustment was dropped, in order.
func (r *Record) Resets() []int {
	var list []int
	for i := range r.Entries {
		e := &r.Entries[i]
		if (e.Action.Do == ResetAdjustment || e.Action.Do == ChooseProbe) && !(len(e.Events) > 0 && e.Events[0].Kind == Refused) {
			list = append(list, e.N)
		}
	}
	return list
}

// FoilsAfter adds a foil adjustment to those in force, as the instrument does:
// it says itself which set values are still in. Numbers are of Adjustings.
func (r *Record) FoilsAfter(foils []int, next int) []int {
	a := &r.Adjustings[next]
	var list []int
	for _, k := range append(slices.Clone(foils), next) {
		for _, p := range a.After.Foils {
			if p.SetUm == r.Adjustings[k].SetUm && (k == next || r.Adjustings[k].SetUm != a.SetUm) {
				list = append(list, k)
				break
			}
		}
	}
	return list
}

// InForce returns the numbers of the zero and foil adjustments in force after
// the last entry so far; zero is -1 without one.
func (r *Record) InForce() (zero int, foils []int) {
	since := 0
	if resets := r.Resets(); len(resets) > 0 {
		since = resets[len(resets)-1]
	}
	zero = -1
	for k := range r.Adjustings {
		switch a := &r.Adjustings[k]; {
		case a.Entry < since:
		case a.Mode == Zeroing:
			zero, foils = k, nil
		default:
			foils = r.FoilsAfter(foils, k)
		}
	}
	return zero, foils
}

// Point is an adjustment as a line of an uncertainty budget: its readings as
// displayed and the certificate of its foil.
func (r *Record) Point(a *Adjusting) inspect.AdjustmentPoint {
	res := r.World.Exercise.Instrument.ResolutionUm
	var um []float64
	for _, c := range a.Taken {
		um = append(um, float64(c)*res)
	}
	p := inspect.AdjustmentPoint{Name: "zero", Readings: inspect.Describe(um)}
	if a.Mode == Zeroing {
		return p
	}
	p.Name, p.ValueUm = fmt.Sprintf("foil %.1f µm", a.SetUm), a.SetUm
	if a.Foil == "" {
		p.Name = fmt.Sprintf("coated piece %.1f µm", a.SetUm)
	}
	if known, ok := r.World.Exercise.Known(a.Piece, a.Foil); ok {
		p.CertificateUm, p.CertificateCoverage = known.ExpandedUm, 2
	}
	return p
}

// MeasuredMean is what the trainee knows of the mean of the readings now in
// memory, less an allowance for roughness.
func (b *Bench) MeasuredMean(allowanceUm float64) inspect.MeasuredMean {
	r := &b.record
	m := inspect.MeasuredMean{StepUm: r.World.Exercise.Instrument.ResolutionUm, TextureUm: inspect.TextureBoundUm(allowanceUm)}
	series := Result{Readings: b.session.memory.Readings}
	for _, s := range series.Spots(&Rule{}, m.StepUm) {
		m.Spots = append(m.Spots, s.ReadingsUm)
	}
	zero, foils := r.InForce()
	m.CurveUm = r.World.Exercise.CurveBoundUm(zero >= 0, len(foils))
	for _, k := range append([]int{zero}, foils...) {
		if k >= 0 {
			m.Points = append(m.Points, r.Point(&r.Adjustings[k]))
		}
	}
	return m
}

// BorneOut reports whether a budget of the readings and certificates bears out
// an expanded uncertainty put down, both um: it is not more times larger or
// smaller than the exercise allows, but for a step of the display.
func (e *Exercise) BorneOut(statedUm, budgetUm float64) bool {
	factor, step := e.Limits.UncertaintyFactor, e.Instrument.ResolutionUm
	return statedUm <= float64(budgetUm*factor)+step && statedUm >= budgetUm/factor-step
}

// HoldingUm is the expanded uncertainty that a guard band rests on when nothing
// fixes it: the one put down, as long as the budget bears it out, or else that
// of the budget. So nobody makes a verdict right by stating an uncertainty that
// suits it. It is 0 without a report.
func (r *Record) HoldingUm() float64 {
	if r.Result == nil {
		return 0
	}
	stated, budget := r.Result.ExpandedUm, r.Result.BudgetUm
	if budget == 0 || stated > 0 && r.World.Exercise.BorneOut(stated, budget) {
		return stated
	}
	return budget
}

// CurveBoundUm bounds the error of the instrument's own curve in a result, um:
// nothing where a foil holds the curve, its tolerance where none does. Coated
// pieces in place of zero and foils leave it as well: they hold the curve at
// their own thickness, and without the bare metal its run between and beyond them
// is only the maker's (own estimate).
func (e *Exercise) CurveBoundUm(zeroed bool, foils int) float64 {
	if foils > 0 && (zeroed || !e.Job.OnCoated()) {
		return 0
	}
	return e.Limits.InstrumentUm(e.Job.NominalUm)
}
