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
	// EdgeDistance in metres from the axis to the nearest straight edge of the part; negative beyond the edge, [NoEdge] for none.
	EdgeDistance float64
	// AirAngle is the angle of the air about that edge, radians: 0 stands for the square edge of the base, as thick as it is
	// (3/2 pi where it is thick, 2 pi where it is thin); pi/2 is a wall at a right angle,
	// 2 pi the edge of a sheet. Below pi the edge is the foot of a wall, and nearer than the housing allows counts as touching.
	AirAngle float64
	// Curvature holds the two principal curvatures of the surface, 1/m, positive where it bulges towards the probe: a pipe
	// of radius R has {1/R, 0}, a ball {1/R, 1/R}, a bore {-1/R, 0}. Zero is flat.
	Curvature [2]float64
	// WallNearness is 1/distance in 1/m from the axis to a wall that rises at a right angle from the surface (inner corner,
	// foot of a step); 0 for no wall. Nearer than the winding is wide counts as touching it.
	WallNearness float64
	// Beside holds further features; their factors multiply. README.md states the error of that.
	Beside [MostBeside]Feature
}

// MostBeside is how many features a place may have besides its nearest edge.
const MostBeside = 3

// plain reports whether nothing but the gap distinguishes the place.
func (p *Place) plain() bool {
	return p.Tilt == 0 && p.Curvature == [2]float64{} && p.WallNearness == 0 && p.Beside == [MostBeside]Feature{} && math.IsInf(p.EdgeDistance, 1)
}
