package grade

import (
	"math"

	"foilwright/sim/bench"
	"foilwright/sim/inspect"
)

// Thresholds that an exercise does not set. Common practice, no source, unless
// a source is given.
const (
	pressLowN      = 1.0  // below it the sleeve is not home
	pressHighN     = 15.0 // above it the tip marks paint
	landMmPerS     = 80.0 // faster is a rough landing
	overdueMin     = 60.0 // between a verification and the readings after it
	clusteredShare = 0.35 // of the diagonal of the area that the spots must reach across
	clusteredFew   = 0.25 // the same where spots are missing, which is another check's matter
	areaGraceMm    = 1.0  // beyond the rim of the area, for an unsteady hand
	discardShare   = 0.2  // of the readings that may be repeated; ISO 19840, from memory
	repeated       = 2    // times from which a slip of the hand counts as a habit
)

// instrumentToleranceUm is how far the instrument itself may be off at a
// thickness: 3 %, at least 1.5 µm. The floor is that of ISO 2178:1982, clause 8
// (from memory); the percentage is common practice, no source.
func instrumentToleranceUm(um float64) float64 { return math.Max(1.5, 0.03*um) }

// VerificationToleranceUm is how far the mean of a verification may be from the
// foil's certified value: instrument and certificate combined, um.
func VerificationToleranceUm(certifiedUm, expandedUm float64) float64 {
	return inspect.CombinedTolerance(instrumentToleranceUm(certifiedUm), expandedUm)
}

// ZeroScatterLimitUm is the widest spread of zero readings that may be stored
// in a world, um.
func ZeroScatterLimitUm(w *bench.World) float64 { return scatterLimitUm(w.RepeatabilityUm(0)) }

// scatterLimitUm is the widest spread of zero readings, from highest to
// lowest, that may be stored: seven times the instrument's repeatability, at
// least 2 µm. For five to seven normal readings a wider spread comes up less
// than once in a thousand.
func scatterLimitUm(repeatabilityUm float64) float64 { return math.Max(2, 7*repeatabilityUm) }
