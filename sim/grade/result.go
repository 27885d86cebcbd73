package grade

import (
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
	StatedUm   float64 `json:"stated_um"`   // U as the trainee put it down; 0: none
	Coverage   float64 `json:"coverage_factor"`
	// AcceptedUm is the largest U that still supports a result: the accuracy
	// statement on the job sheet at the nominal thickness. Without it a
	// trainee could scatter his way inside his own uncertainty.
	AcceptedUm float64 `json:"accepted_um"`
	Within     bool    `json:"within"` // |error| <= U <= AcceptedUm

	Given  string `json:"given"` // verdict
	ByRule string `json:"by_rule"`
	True   string `json:"true"`
	Right  bool   `json:"right"` // Given is True, conditions included
	// TrueGrounds is what decided True, in words; empty when Right.
	TrueGrounds string `json:"true_grounds,omitempty"`

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
		ReportedUm: v.r.Result.MeanUm, StatedUm: v.r.Result.ExpandedUm, TrueUm: v.w.TrueMeanUm, ErrorUm: v.whole.MeanErrorUm,
		Given: v.r.Result.Verdict, ByRule: v.ruleVerdict(&v.whole), True: v.w.TrueVerdict(v.r.HoldingUm()),
	}
	if r.Right = r.Given == r.True; !r.Right {
		r.TrueGrounds = v.w.TrueGrounds(v.r.HoldingUm())
	}
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
// and the display, without knowing the truth.
func (v *evidence) budget() inspect.Budget {
	m := inspect.MeasuredMean{StepUm: v.res, ShapeUm: v.shapeUm(), TextureUm: inspect.TextureBoundUm(v.r.Result.AllowanceUm)}
	for _, s := range v.spots() {
		var values []float64
		for _, i := range s.contacts {
			values = append(values, float64(v.contact(i).Counts)*v.res)
		}
		m.Spots = append(m.Spots, values)
	}
	m.CurveUm = v.e.CurveBoundUm(false, 0)
	if len(v.states) > 0 {
		last := &v.states[len(v.states)-1]
		m.CurveUm = v.e.CurveBoundUm(last.zero >= 0, len(last.foils))
		for _, k := range append([]int{last.zero}, last.foils...) {
			if k >= 0 {
				m.Points = append(m.Points, v.r.Point(&v.r.Adjustings[k]))
			}
		}
	}
	return m.Budget()
}

// shapeUm bounds what the nearness of an edge may still do to the mean of
// readings taken just beyond the least distance: the departure accepted in the
// trial that found it, falling in proportion to the distance, and nothing to
// speak of from twice that distance. Own estimate.
func (v *evidence) shapeUm() float64 {
	sum := 0.0
	for _, i := range v.kept {
		if c := v.tightest(i); c.mm < 2*c.needsMm {
			sum += c.needsMm / math.Max(c.mm, c.needsMm)
		}
	}
	if sum == 0 {
		return 0
	}
	return bench.AcceptedDepartureUm(v.e.Job.NominalUm) * sum / float64(len(v.kept))
}
