package probe

import (
	"math"

	"foilwright/sim/num"
)

// MostWearUm is by how much the tip of a design may be worn: half its wear cap,
// down to which the field core knows its signal.
func (d Design) MostWearUm() float64 {
	recess := d.Head.Coil.Recess
	if d.Head.Core != nil {
		recess = d.Head.Core.Recess
	}
	return min(50, recess/2*1e6)
}

// Landing describes how the tip came down and how long ago.
type Landing struct {
	SpeedMmPerS float64 // speed at touch-down
	HeldMs      float64 // time since touch-down
	PressN      float64 // force along the probe axis
}

// Seating constants. They are training assumptions (common practice, no
// source): a spring-loaded sleeve settles within a few tenths of a second, a
// hard landing bounces longer, and a probe that is not pressed home does not
// sit down.
const (
	settleTimeMs      = 80.0 // time constant of the sleeve
	settleStartUm     = 8.0  // gap left by a gentle landing at touch-down
	settlePerSpeedUm  = 0.25 // more gap per mm/s of landing speed
	settleMostUm      = 60.0
	pressHomeN        = 1.0 // force from which the sleeve is fully home
	pressLightUm      = 6.0 // gap left at no force at all
	ReadableAfterMs   = 120 // an instrument needs this long to see a contact
	CaptureAfterMs    = 600 // the instrument takes its reading here
	SettledResidualUm = 0.5 // a reading is "settled" below this residual
)

// SettlingUm returns the gap in um still left by settling. It falls
// exponentially with the time held.
func (l Landing) SettlingUm() float64 {
	start := settleStartUm + float64(settlePerSpeedUm*math.Abs(l.SpeedMmPerS))
	if start > settleMostUm {
		start = settleMostUm
	}
	return float64(start * num.Exp(-l.HeldMs/settleTimeMs))
}

// PressUm returns the gap in um left because the sleeve is not pressed home;
// it is 0 from pressHomeN upward.
func (l Landing) PressUm() float64 {
	if l.PressN >= pressHomeN {
		return 0
	}
	missing := 1 - max(l.PressN, 0)/pressHomeN
	return float64(pressLightUm * missing * missing)
}
