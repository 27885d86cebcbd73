package field

import "math"

// NoEdge is the EdgeDistance of a place far from any edge.
var NoEdge = math.Inf(1)

// Flat returns the place of a square head on a wide flat part, gap in metres.
func Flat(gap float64) Place { return Place{Gap: gap, EdgeDistance: NoEdge} }

// Place says how the head stands over the metal. The zero value of a length is zero: a place far from any edge needs
// EdgeDistance [NoEdge].
type Place struct {
	// Gap in metres from the metal to the lowest point of the tip sphere: coating plus whatever else lies between.
	Gap float64
	// Tilt of the axis from the surface normal, radians, 0 .. 25 degrees; beyond that it is held at the limit.
	Tilt float64
	// EdgeDistance in metres from the axis to a straight right-angle edge of the part; negative beyond the edge, [NoEdge] for none.
	EdgeDistance float64
}
