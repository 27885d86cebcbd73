package part

import (
	"foilwright/sim/num"
)

// The dent of a soft film is a stated linear compliance with creep, not a
// contact law: dent = SoftUmPerN * F * (1 - e^(-t/creepS)), at most
// deepestShare of the film. A training assumption (common practice, no source).
// A sphere on a thin bonded elastic film would sink in with the square root of
// the force (K. L. Johnson, Contact Mechanics, 1985, section 5.8, from memory),
// on a film much thicker than the contact is wide with its 2/3 power (Hertz):
// both rise more steeply at a light touch than is shown here.
const (
	creepS       = 0.3
	deepestShare = 0.8
)

// DentUm is how far a tip sinks into the film, um, after a time of contact in
// seconds, where the film is filmUm thick.
func (c *Coating) DentUm(pressN, heldS, filmUm float64) float64 {
	if c.SoftUmPerN <= 0 {
		return 0
	}
	dent := float64(c.SoftUmPerN * max(pressN, 0) * -num.Expm1(-max(heldS, 0)/creepS))
	return min(dent, float64(deepestShare*filmUm))
}

// LeftUm is what is left of a dent after a time in seconds.
func (c *Coating) LeftUm(dentUm, afterS float64) float64 {
	if c.RecoverS <= 0 {
		return 0
	}
	return float64(dentUm * num.Exp(-max(afterS, 0)/c.RecoverS))
}
