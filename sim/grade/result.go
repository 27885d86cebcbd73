package grade

import (
	"fmt"
	"math"

	"foilwright/sim/bench"
	"foilwright/sim/inspect"
)

// Result is how right the reported result is, apart from how it was come by.
type Result struct {
	ReportedUm float64 `json:"reported_um"`
	TrueUm     float64 `json:"true_um"`
	ErrorUm    float64 `json:"error_um"`
	ExpandedUm float64 `json:"expanded_um"` // U at 95 %, from the budget
	Coverage   float64 `json:"coverage_factor"`
	// AcceptedUm is the largest U that still supports a result: the accuracy
	// statement on the job sheet at the nominal thickness. Without it a
	// trainee could scatter his way inside his own uncertainty.
	AcceptedUm float64 `json:"accepted_um"`
	Within     bool    `json:"within"` // |error| <= U <= AcceptedUm

	Given  string `json:"given"` // verdict
	ByRule string `json:"by_rule"`
	True   string `json:"true"`
	Right  bool   `json:"right"` // Given is True

	Grounds     Grounds             `json:"grounds"` // of ByRule
	Budget      []BudgetLine        `json:"budget"`
	Uncertainty inspect.Uncertainty `json:"-"`
}

// BudgetLine is one line of the uncertainty budget, um.
type BudgetLine struct {
	Name         string  `json:"name"`
	Evaluation   string  `json:"evaluation"`
	StandardUm   float64 `json:"standard_um"`
	Sensitivity  float64 `json:"sensitivity"`
	Freedom      float64 `json:"degrees_of_freedom,omitempty"` // 0: known
	Contribution float64 `json:"contribution_um"`
}

// result is nil when nothing was reported, or nothing of this job.
func (v *evidence) result() *Result {
	if v.r.Result == nil || !v.whole.Reported {
		return nil
	}
	r := &Result{
		ReportedUm: v.r.Result.MeanUm, TrueUm: v.w.TrueMeanUm, ErrorUm: v.whole.MeanErrorUm,
		Given: v.r.Result.Verdict, ByRule: v.ruleVerdict(&v.whole), True: v.w.TrueVerdict(),
	}
	r.Right = bench.Accepts(r.Given) == bench.Accepts(r.True)
	budget := v.budget()
	u, err := budget.Evaluate(0.95)
	if err != nil {
		// Nothing to estimate a scatter from: a single reading in all.
		u = inspect.Uncertainty{Combined: math.NaN()}
	}
	r.Uncertainty, r.ExpandedUm, r.Coverage = u, u.Expanded, u.CoverageFactor
	for _, c := range budget {
		line := BudgetLine{
			Name: c.Name, Evaluation: c.Evaluation, StandardUm: c.StandardUncertainty,
			Sensitivity: c.Sensitivity, Contribution: c.Contribution(),
		}
		if !math.IsInf(c.DegreesOfFreedom, 1) {
			line.Freedom = c.DegreesOfFreedom
		}
		r.Budget = append(r.Budget, line)
	}
	r.AcceptedUm = v.e.Job.Rule.Tolerance().At(v.e.Job.NominalUm)
	r.Grounds = v.grounds()
	r.Within = math.Abs(r.ErrorUm) <= r.ExpandedUm && r.ExpandedUm <= r.AcceptedUm
	return r
}

// budget is what an inspector can state from the readings, the certificates
// and the display, without knowing the truth: scatter of the spots, readings
// and certificates of the adjustment, and resolution.
//
// Source: GUM (JCGM 100:2008) 4.2, 4.3 and 5.1, as sim/inspect.
func (v *evidence) budget() inspect.Budget {
	var groups [][]float64
	var means, all []float64
	for _, s := range v.spots() {
		var values []float64
		for _, i := range s.contacts {
			values = append(values, float64(v.contact(i).Counts)*v.res)
		}
		groups, means, all = append(groups, values), append(means, inspect.Describe(values).Mean), append(all, values...)
	}
	pooled, freedom := inspect.PooledSD(groups...)
	var b inspect.Budget
	switch {
	case len(means) >= 2:
		b = append(b, inspect.MeanOf("spots", inspect.Describe(means)))
		b[0].Evaluation = fmt.Sprintf("standard deviation of the mean of %d spot means: film, instrument and hand", len(means))
	case freedom > 0:
		b = append(b, inspect.PooledRepeatability(pooled, freedom, len(all)))
	}
	at := inspect.Describe(all).Mean
	b = append(b, v.adjustmentBudget(at, pooled, freedom)...)
	return append(b, inspect.Resolution(v.res))
}

// adjustmentBudget is what zero and foils bring in. A point of a single
// reading borrows the scatter of the readings on the part.
func (v *evidence) adjustmentBudget(atUm, pooled float64, freedom int) []inspect.Component {
	readings := func(a *bench.Adjusting) (inspect.Statistics, bool) {
		var values []float64
		for _, c := range a.Taken {
			values = append(values, float64(c)*v.res)
		}
		s := inspect.Describe(values)
		if s.N >= 2 {
			return s, true
		}
		if freedom < 1 {
			return s, false
		}
		// Taken so that standard deviation over root n and degrees of freedom
		// come out as those of one reading of the pooled scatter.
		return inspect.Statistics{N: freedom + 1, Mean: s.Mean, SD: pooled * math.Sqrt(float64(freedom+1))}, true
	}
	var points []inspect.AdjustmentPoint
	if len(v.states) == 0 {
		return nil
	}
	s := v.states[len(v.states)-1]
	if s.zero >= 0 {
		if stats, ok := readings(&v.r.Adjustings[s.zero]); ok {
			points = append(points, inspect.AdjustmentPoint{Name: "zero", Readings: stats})
		}
	}
	for _, i := range s.foils {
		a := &v.r.Adjustings[i]
		stats, ok := readings(a)
		if !ok {
			continue
		}
		p := inspect.AdjustmentPoint{Name: fmt.Sprintf("foil %.1f µm", a.SetUm), ValueUm: a.SetUm, Readings: stats}
		if f := v.foil(a.Foil); f != nil {
			p.CertificateUm, p.CertificateCoverage = f.ExpandedUm, 2
		}
		points = append(points, p)
	}
	for i := range points {
		for j := i; j > 0 && points[j].ValueUm < points[j-1].ValueUm; j-- {
			points[j], points[j-1] = points[j-1], points[j]
		}
	}
	list, err := inspect.Adjustment(points, atUm)
	if err != nil {
		return nil
	}
	return list
}
