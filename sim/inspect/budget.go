package inspect

import (
	"errors"
	"fmt"
	"math"

	"foilwright/sim/num"
)

// Component is one line of an uncertainty budget.
type Component struct {
	Name                string
	Evaluation          string  // how it was found, in words: "standard deviation of the mean of 5 readings"
	StandardUncertainty float64 // of the input quantity, in the input's unit
	DegreesOfFreedom    float64 // +Inf when the standard uncertainty is taken as known
	Sensitivity         float64 // change of the result per unit of the input
}

// Contribution returns the standard uncertainty that the component brings into the result: |sensitivity| times its
// standard uncertainty, in the unit of the result.
func (c Component) Contribution() float64 { return math.Abs(c.Sensitivity * c.StandardUncertainty) }

// Budget is a list of independent components.
type Budget []Component

// Uncertainty is an evaluated budget, in the unit of the result. Keep it unrounded; round only what is printed, with
// RoundUncertainty.
type Uncertainty struct {
	Combined         float64 // combined standard uncertainty
	DegreesOfFreedom float64 // effective, not yet cut to a whole number; may be +Inf
	Level            float64 // coverage probability asked for; 0 when the coverage factor was given
	CoverageFactor   float64
	Expanded         float64
}

// Evaluate returns the combined and expanded uncertainty for a coverage probability such as 0.95. The coverage factor
// is Student's for the effective degrees of freedom cut to the next lower whole number.
//
// Errors: an empty budget, a negative or non-finite uncertainty, degrees of freedom below 1, a level outside (0, 1).
//
// Source: GUM (JCGM 100:2008) eq. 10, 11a (independent inputs), G.2b (Welch-Satterthwaite), G.4.1 note 1 (cutting).
// Checked by GUM example H.1.
func (b Budget) Evaluate(level float64) (Uncertainty, error) {
	if !(level > 0 && level < 1) {
		return Uncertainty{}, fmt.Errorf("inspect: coverage probability %v must lie between 0 and 1, such as 0.95", level)
	}
	u, err := b.combine()
	if err != nil {
		return Uncertainty{}, err
	}
	u.Level = level
	u.CoverageFactor = CoverageFactor(level, math.Floor(u.DegreesOfFreedom))
	u.Expanded = u.CoverageFactor * u.Combined
	return u, nil
}

// EvaluateWithFactor returns the combined and expanded uncertainty for a coverage factor agreed beforehand, mostly 2.
//
// Source: GUM 6.2.1. Errors as Evaluate, and a factor that is not positive.
func (b Budget) EvaluateWithFactor(k float64) (Uncertainty, error) {
	if !(k > 0) || math.IsInf(k, 1) {
		return Uncertainty{}, fmt.Errorf("inspect: coverage factor %v must be above 0, such as 2", k)
	}
	u, err := b.combine()
	if err != nil {
		return Uncertainty{}, err
	}
	u.CoverageFactor = k
	u.Expanded = k * u.Combined
	return u, nil
}

// combine fills the combined uncertainty and the effective degrees of freedom.
func (b Budget) combine() (Uncertainty, error) {
	if len(b) == 0 {
		return Uncertainty{}, errors.New("inspect: the uncertainty budget is empty; name at least one component")
	}
	largest := 0.0
	for i, c := range b {
		if err := c.check(); err != nil {
			return Uncertainty{}, fmt.Errorf("inspect: budget component %d (%s): %w", i+1, c.Name, err)
		}
		if u := c.Contribution(); u > largest {
			largest = u
		}
	}
	if largest == 0 {
		return Uncertainty{DegreesOfFreedom: math.Inf(1)}, nil
	}
	// Contributions are taken relative to the largest so that fourth powers neither overflow nor vanish.
	squares, fourths := 0.0, 0.0
	for _, c := range b {
		ratio := c.Contribution() / largest
		square := float64(ratio * ratio)
		squares += square
		fourths += float64(square*square) / c.DegreesOfFreedom
	}
	u := Uncertainty{Combined: largest * math.Sqrt(squares), DegreesOfFreedom: math.Inf(1)}
	if fourths > 0 {
		u.DegreesOfFreedom = wholeWhenClose(squares * squares / fourths)
	}
	return u, nil
}

// wholeWhenClose takes away the rounding that would let 4 degrees of freedom computed as 3.9999999999 be cut to 3.
func wholeWhenClose(nu float64) float64 {
	whole := math.Floor(nu + 0.5)
	if math.Abs(nu-whole) <= 1e-9*whole {
		return whole
	}
	return nu
}

func (c Component) check() error {
	switch {
	case !(c.StandardUncertainty >= 0) || math.IsInf(c.StandardUncertainty, 1):
		return fmt.Errorf("standard uncertainty is %v, expected a number of 0 or above", c.StandardUncertainty)
	case math.IsNaN(c.Sensitivity) || math.IsInf(c.Sensitivity, 0):
		return fmt.Errorf("sensitivity is %v, expected a finite number", c.Sensitivity)
	case !(c.DegreesOfFreedom >= 1):
		return fmt.Errorf("degrees of freedom are %v, expected 1 or above, +Inf when known; take at least two readings", c.DegreesOfFreedom)
	}
	return nil
}

// RoundUncertainty rounds an expanded uncertainty to two significant digits and tells how many decimals the value
// beside it should have (never below 0). Rounding is to the nearest, half away from zero, and is for printing only:
// a figure computed from rounded figures is another figure (GUM H.1.6: 2.92 times a rounded 32 nm is 93 nm, unrounded
// 92 nm).
//
// Source: GUM 7.2.6.
func RoundUncertainty(expanded float64) (rounded float64, decimals int) {
	if !(expanded > 0) || math.IsInf(expanded, 1) {
		return expanded, 0
	}
	scaled, shift := expanded, 0
	for ; scaled < 9.95 && shift < 300; shift++ {
		scaled = float64(expanded * tenTo(shift+1))
	}
	for ; scaled >= 99.5 && shift > -300; shift-- {
		scaled = expanded / tenTo(1-shift)
	}
	digits := math.Floor(scaled + 0.5)
	if shift > 0 {
		return digits / tenTo(shift), shift
	}
	return digits * tenTo(-shift), 0
}

// tenTo returns 10^n for n >= 0.
func tenTo(n int) float64 {
	if n > 64 {
		return num.Pow(10, 64) * tenTo(n-64)
	}
	return num.Pow(10, float64(n))
}
