package part

import (
	"math"

	"foilwright/sim/field"
	"foilwright/sim/num"
)

// saturationT is the flux density at which plain steel is saturated, tesla:
// iron 2.15, low-carbon steel 2.0 to 2.1 (handbooks, from memory).
const saturationT = 2.05

// Magnetised returns the state of a metal with a residual flux density along its surface,
// tesla. A magnetised steel answers a small alternating field with less
// permeability.
//
// Relation: R. Gans, Die Gleichung der Kurve der reversiblen Suszeptibilität,
// Physikalische Zeitschrift 11 (1910) 988 (from memory): with the magnetisation
// M/Ms = coth x - 1/x the reversible susceptibility along it is
// 3 (1/x^2 - 1/sinh^2 x) times that of the demagnetised metal. It falls from 1
// at M = 0 to 0 at saturation. Limits: an isotropic metal, fields far below the
// coercive force, and the field of the probe along the magnetisation; across it
// the fall is less, so that this is the most it can do.
func Magnetised(state field.Metal, remanenceT float64) field.Metal {
	if state.RelPermeability <= 1 || remanenceT == 0 {
		return state
	}
	share := min(math.Abs(remanenceT)/saturationT, 0.99)
	state.RelPermeability = 1 + float64((state.RelPermeability-1)*gans(langevinInverse(share)))
	return state
}

// gans is 3 (1/x^2 - 1/sinh^2 x).
func gans(x float64) float64 {
	if x < 1e-2 {
		return 1 - float64(x*x)/5 // next term 2 x^4 / 63
	}
	if x > 300 {
		return 3 / (x * x)
	}
	sinh := num.Sinh(x)
	return 3 * (1/(x*x) - 1/(sinh*sinh))
}

// langevin is coth x - 1/x.
func langevin(x float64) float64 {
	if x < 1e-2 {
		return x / 3
	}
	e := num.Exp(-2 * x)
	return (1+e)/(1-e) - 1/x
}

// langevinInverse solves langevin(x) = share, 0 <= share < 1, by halving.
func langevinInverse(share float64) float64 {
	low, high := 0.0, 1000.0
	for range 60 {
		if middle := (low + high) / 2; langevin(middle) < share {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}
