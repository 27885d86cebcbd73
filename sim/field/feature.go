package field

import (
	"math"

	"foilwright/sim/num"
)

// RightAngleEdge is the angle of the air about the square edge of a thick block, radians.
const RightAngleEdge = 3 * math.Pi / 2

// FeatureKind says what a [Feature] is.
type FeatureKind uint8

// Kinds of features. The zero kind is none.
const (
	NoFeature FeatureKind = iota
	edgeLine
	roundHole
	stepDown
	stepUp
)

// Feature is something of the part near the probe besides the nearest edge. Make it with [Edge], [Hole], [StepDown] or
// [StepUp]; the zero value is none.
type Feature struct {
	Kind FeatureKind
	// Distance in metres from the head's axis to the feature's edge, rim or wall; negative beyond it.
	Distance float64
	// Size is the angle of the air about an edge in radians, the radius of a hole or the height of a step in metres.
	Size float64
}

// Edge is a further straight edge: distance of the axis in metres, negative beyond it; angle of the air about it in
// radians, pi/2 (wall at a right angle) to 2 pi (edge of a sheet thin against the gap), 0 for the square edge of the base.
func Edge(distance, airAngle float64) Feature { return Feature{edgeLine, distance, airAngle} }

// Hole is a round hole, deep against its radius: distance in metres from the head's axis to the rim, negative over the
// hole, and radius in metres.
func Hole(rimDistance, radius float64) Feature { return Feature{roundHole, rimDistance, radius} }

// StepDown is an edge with a floor below it: distance in metres from the axis to the edge and height in metres from the floor
// up to the surface under the probe.
func StepDown(distance, height float64) Feature { return Feature{stepDown, distance, height} }

// StepUp is a wall that ends in an upper level: distance in metres from the axis to the wall and its height in metres
// above the surface under the probe.
func StepUp(distance, height float64) Feature { return Feature{stepUp, distance, height} }

// form is how the tables are used for a shape.
type form uint8

const (
	noShape   form = iota
	baseEdge       // square edge of the base as thick as it is
	rightEdge      // square edge of a thick base
	anyEdge        // air angle between pi and 2 pi
	corner         // air angle from pi/2 to pi
	hole
	underHole // the axis is over the hole
	ledge     // step down
	foot      // step up
)

// shape is something of a place that the tables know, found in them.
type shape struct {
	form     form
	near     spot       // in the tables of edges or walls
	open     spot       // in the tables of holes
	aside    spot       // in the coarse tables of edges and steps
	sizes    sizes      // of a hole or a step down
	size     float64    // of a step up, its height by the outer radius; of a step down lower than any tabled, how much fainter its loss
	angle    float64    // by how much the angle of the air differs from pi
	share    [3]float64 // of the tables of angles
	faded    float64    // what is left beyond its table of the shortage at the table's end; 1: not beyond
	distance float64    // of the rim of a hole, and its radius; as they seem
	radius   float64
	tall     float64 // by how much a step stops the flux that flows away, of what an endless one does

	// What the tables hold for gaps in one cell of theirs.
	straight           column    // of the right edge, or of the wall
	further            [4]column // of edges and walls of other angles; of edges as far as the rims of holes of other sizes
	quotient, shortage column
}

// asinh is the coordinate asinh(2 d/r2) of a distance.
func (o *Over) asinh(distance float64) float64 {
	return num.Asinh(2 * distance / o.head.Coil.OuterRadius)
}

// feature finds a further feature.
func (s *shape) feature(o *Over, f *Feature) {
	if math.IsInf(f.Distance, 1) || f.Kind > edgeLine && !(f.Size > 0) {
		return
	}
	switch f.Kind {
	case edgeLine:
		s.edge(o, f.Distance, f.Size)
	case roundHole:
		s.hole(o, f)
	case stepDown:
		s.stepDown(o, f)
	case stepUp:
		s.form = foot
		s.size = f.Size / o.head.Coil.OuterRadius
		s.wall(o, f.Distance+o.depth)
	}
}

// edge finds a straight edge or inner corner of any air angle.
func (s *shape) edge(o *Over, distance, angle float64) {
	if angle == 0 {
		s.form = baseEdge
		asinh := o.asinh(distance - o.depth)
		s.near.find(edgeNodes, float64((asinh-edgeNear)*(1/edgeStep)))
		s.beside(float64(asinh * (1 / openStep)))
		return
	}
	angle = min(max(angle, math.Pi/2), 2*math.Pi)
	switch {
	case angle == math.Pi:
	case angle < math.Pi:
		s.corner(o, distance, angle)
	default:
		s.anyEdge(o, distance, angle)
	}
}

// beside finds a place among those from an edge on.
func (s *shape) beside(at float64) {
	at = max(at, 0)
	s.aside.find(besideNodes, at)
	if s.faded = 1; at > besideNodes-1 {
		s.faded = num.Exp(-2 * openStep * (at - (besideNodes - 1)))
	}
}

// anyEdge finds an edge of an air angle between pi and 2 pi. A conductor's two apparent faces lie o.depth inside it; where
// they meet is that depth times recession farther along the top face. The quotient of -log(ratio) by (angle - pi) is
// carried from 5/4, 3/2 and 2 pi by a parabola of its logarithm.
func (s *shape) anyEdge(o *Over, distance, angle float64) {
	const blunt, right, sheet = math.Pi / 4, math.Pi / 2, math.Pi
	a := angle - math.Pi
	recession := 1.0 // of a sheet too, which has no second face to recede
	if angle < RightAngleEdge {
		recession = num.Sin(a) / (1 + num.Cos(a)) // tan(a/2)
	}
	s.near.find(edgeNodes, float64((o.asinh(distance-float64(o.depth*recession))-edgeNear)*(1/edgeStep)))
	s.beside(float64(o.asinh(distance) * (1 / openStep)))
	s.form, s.angle = anyEdge, a
	if angle == RightAngleEdge {
		s.form = rightEdge
	}
	s.share = [3]float64{
		(a - right) * (a - sheet) / ((blunt - right) * (blunt - sheet)),
		(a - blunt) * (a - sheet) / ((right - blunt) * (right - sheet)),
		(a - blunt) * (a - right) / ((sheet - blunt) * (sheet - right)),
	}
}

// corner finds an inner corner of an air angle from pi/2 to pi: the quotient of ratio - 1 by (pi - angle) is carried from
// 1/2 and 3/4 pi by a straight line of its logarithm.
func (s *shape) corner(o *Over, distance, angle float64) {
	recession := 1.0
	if angle > math.Pi/2 {
		recession = num.Sin(math.Pi-angle) / (1 + num.Cos(math.Pi-angle))
	}
	s.form, s.angle = corner, math.Pi-angle
	s.share[0] = (angle - math.Pi/2) / (math.Pi / 4)
	s.wall(o, distance+float64(o.depth*recession))
}

// wall finds a distance from a wall's apparent face; nearer than the housing allows counts as touching.
func (s *shape) wall(o *Over, distance float64) {
	s.near.find(wallNodes, float64(num.Log(max(distance/(o.head.Coil.OuterRadius*wallNear), 1))*(1/wallStep)))
}

// hole finds a round hole.
func (s *shape) hole(o *Over, f *Feature) {
	// The hole of a conductor seems larger by the depth, but no more than twice as large; what lies across its axis is on
	// the other side.
	shift := float64(o.depth * f.Size / (o.depth + f.Size))
	s.radius = f.Size + shift
	s.distance = math.Abs(s.radius+f.Distance-shift) - s.radius
	size := float64(num.Log(s.radius/(holeRadii[0]*o.head.Coil.OuterRadius)) * (1 / math.Ln2))
	s.sizes.find(len(holeRadii), size, 3*math.Ln2, math.Ln2)
	asinh := o.rim(&s.near, &s.open, s.distance)
	if !o.eddy {
		s.beside(float64(asinh * (1 / openStep)))
	}
	if s.form = hole; s.distance < 0 {
		s.form = underHole
	}
}

// rim finds a distance in the tables of edges and of holes, and returns its coordinate.
func (o *Over) rim(near, open *spot, distance float64) (asinh float64) {
	asinh = o.asinh(distance)
	near.find(edgeNodes, float64((asinh-edgeNear)*(1/edgeStep)))
	open.find(holeNodes, float64((asinh-holeNear)*(1/openStep)))
	return asinh
}

// stepDown finds an edge with a floor below.
func (s *shape) stepDown(o *Over, f *Feature) {
	s.form = ledge
	asinh := o.asinh(f.Distance - o.depth)
	s.near.find(edgeNodes, float64((asinh-edgeNear)*(1/edgeStep)))
	s.beside(float64(asinh * (1 / openStep)))
	const last = float64(len(stepHeights) - 1)
	size := float64(num.Log(f.Size/(stepHeights[0]*o.head.Coil.OuterRadius)) * (1 / (2 * math.Ln2)))
	s.sizes.find(len(stepHeights), size, 0, 0)
	// The loss of a lower step than any tabled falls as its height; what a higher one lacks of a deep edge's does.
	if s.size = 0; size <= 0 {
		s.size = float64(max(size, -60) * 2 * math.Ln2)
	} else if size >= last {
		s.sizes.more = -float64((min(size, last+60) - last) * 2 * math.Ln2)
	}
	s.tall = 1 - sheetness(f.Size/o.head.Coil.OuterRadius)
}

// sheetness is how much of what iron lacks grows at its edge as a sheet's does, by the thickness in r2: 1 where it is thin, 0
// where it is thick. Own rule.
func sheetness(thickness float64) float64 {
	if math.IsInf(thickness, 1) {
		return 0
	}
	return num.Exp(-thickness - float64(thickness*thickness))
}

// sheetShares are the weights of Lagrange's polynomial through sheetCoordinate for a thickness in r2.
func sheetShares(thickness float64) (shares [len(sheetCoordinate)]float64) {
	if math.IsInf(thickness, 1) {
		shares[len(shares)-1] = 1
		return shares
	}
	at := thickness / (thickness + 0.25)
	for i, u := range sheetCoordinate {
		shares[i] = 1
		for j, v := range sheetCoordinate {
			if i != j {
				shares[i] = float64(shares[i] * (at - v) / (u - v))
			}
		}
	}
	return shares
}
