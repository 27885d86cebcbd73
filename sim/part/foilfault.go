package part

import (
	"math"

	"foilwright/sim/num"
)

// FoilCondition is what a look at a foil shows.
type FoilCondition string

// The conditions of a foil; the zero value counts as good.
const (
	FoilGood    FoilCondition = "good"
	FoilCreased FoilCondition = "creased"
	FoilBurred  FoilCondition = "burred" // a cut edge stands up
	FoilWorn    FoilCondition = "worn"   // thinner in the middle
)

// FoilConditions lists the conditions an exercise may name.
func FoilConditions() []FoilCondition {
	return []FoilCondition{FoilGood, FoilCreased, FoilBurred, FoilWorn}
}

// FoilFault is the realised fault of a foil. Places are metres from the middle
// of the foil, which is laid on the middle of the piece.
type FoilFault struct {
	DepthUm float64 // height of crease or burr, depth of wear
	OffsetM float64 // of crease or burr from the middle, along its normal
	// Cos and Sin give the normal; beyond a burr the foil stands at its height.
	Cos, Sin float64
}

// Shapes of the faults. All are training assumptions (common practice, no
// source): a crease is a ridge of Gaussian section that touches nothing a
// centimetre away; a burr lifts the foil beside its edge; wear is a hollow
// where probes have stood most often; a curled foil is an arch that the probe
// presses down, but not flat.
const (
	foilHalfM     = 25e-3 // from the middle to a burred edge
	creaseReachM  = 4e-3
	creaseMiddleM = 3e-3 // a crease runs at most this far from the middle
	burrReachM    = 12e-3
	wornReachM    = 10e-3
	curlPressN    = 4.0
)

// fault draws the fault of a foil; it draws nothing for a good one.
func (spec FoilSpec) fault(s *num.Stream) FoilFault {
	if !spec.Damaged() {
		return FoilFault{}
	}
	f := FoilFault{DepthUm: spec.FaultUm.Low + float64((spec.FaultUm.High-spec.FaultUm.Low)*s.Float64())}
	f.OffsetM = float64(creaseMiddleM * (2*s.Float64() - 1))
	if spec.Condition == FoilBurred {
		f.OffsetM = foilHalfM
	}
	direction := 2 * math.Pi * s.Float64()
	f.Cos, f.Sin = num.Cos(direction), num.Sin(direction)
	return f
}

// Damaged reports whether a look at the foil shows a crease, a burr or wear.
func (spec FoilSpec) Damaged() bool { return spec.Condition != "" && spec.Condition != FoilGood }

// Fit reports whether look and certificate speak for using the foil.
func (spec FoilSpec) Fit() bool { return spec.Valid && !spec.Damaged() }

// DamageUm is what crease, burr or wear add to the distance between tip and
// metal at a place, um: negative where the foil is worn. x and y are metres
// from the middle of the foil.
func (f *Foil) DamageUm(x, y float64) float64 {
	across := float64(x*f.Fault.Cos) + float64(y*f.Fault.Sin)
	switch f.Condition {
	case FoilCreased:
		d := (across - f.Fault.OffsetM) / creaseReachM
		return float64(f.Fault.DepthUm * num.Exp(-d*d))
	case FoilBurred:
		d := max(0, f.Fault.OffsetM-across) / burrReachM
		return float64(f.Fault.DepthUm * num.Exp(-d))
	case FoilWorn:
		d := (float64(x*x) + float64(y*y)) / (wornReachM * wornReachM)
		return -float64(f.Fault.DepthUm * num.Exp(-d))
	}
	return 0
}

// CurlGapUm is the air under a foil that was not smoothed down, um, with the
// probe pressed on it.
func (spec FoilSpec) CurlGapUm(pressN float64) float64 {
	return float64(spec.CurlUm * num.Exp(-max(pressN, 0)/curlPressN))
}

// WrongUm is by how much the foil in the sleeve is thicker than the foil that
// belongs there.
func (spec FoilSpec) WrongUm() float64 {
	if spec.ActualUm <= 0 {
		return 0
	}
	return spec.ActualUm - spec.CertifiedUm
}
