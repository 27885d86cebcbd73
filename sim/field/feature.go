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

// besideFactor is the factor of one further feature at gap coordinate x.
func (t *Shapes) besideFactor(o *Over, kind Ideal, x float64, f Feature) float64 {
	switch f.Kind {
	case edgeLine:
		return t.edgeFactor(o, kind, x, f.Distance, f.Size)
	case roundHole:
		return t.holeFactor(o, kind, x, f)
	case stepDown:
		return t.stepDownFactor(o, kind, x, f)
	case stepUp:
		return t.stepUpFactor(o, kind, x, f)
	}
	return 1
}

// edgeFactor is the factor of a straight edge or inner corner of any air angle, by the tables of the angles next to it.
func (t *Shapes) edgeFactor(o *Over, kind Ideal, x, distance, angle float64) float64 {
	if angle == 0 && !math.IsInf(distance, 1) {
		return t.baseEdgeFactor(o, kind, x, distance)
	}
	if !t.has(openCornerBlock) {
		return math.NaN()
	}
	angle = math.Min(math.Max(angle, math.Pi/2), 2*math.Pi)
	switch {
	case angle == math.Pi || math.IsInf(distance, 1):
		return 1
	case angle < math.Pi:
		return 1 + t.cornerRise(o, kind, x, distance, angle)
	}
	return num.Exp(-t.edgeLoss(o, kind, x, distance, angle))
}

// edgeLogit is log(ratio/(1-ratio)) at an edge by one table. A conductor's two apparent faces lie o.depth inside it; where
// they meet is that depth times recession farther along the top face.
func (t *Shapes) edgeLogit(o *Over, kind Ideal, block int, x, distance, recession float64) float64 {
	return t.grids[block+int(kind)].at(x, edgeCoordinate(distance-float64(o.depth*recession), o.head.Coil.OuterRadius))
}

// edgeLoss is -log(ratio) at an edge of an air angle between pi and 2 pi: its quotient by (angle - pi) is carried from
// 5/4, 3/2 and 2 pi by a parabola of its logarithm.
func (t *Shapes) edgeLoss(o *Over, kind Ideal, x, distance, angle float64) float64 {
	recession := num.Sin(angle-math.Pi) / (1 + num.Cos(angle-math.Pi)) // tan((angle-pi)/2)
	if angle > RightAngleEdge {
		recession = 1 // a sheet has no second face to recede
	}
	const blunt, right, sheet = math.Pi / 4, math.Pi / 2, math.Pi
	a := angle - math.Pi
	log := func(block int, at float64) float64 {
		return num.Log(num.Log1p(num.Exp(-t.edgeLogit(o, kind, block, x, distance, recession))) / at)
	}
	sum := float64((a - right) * (a - sheet) / ((blunt - right) * (blunt - sheet)) * log(bluntEdgeBlock, blunt))
	sum += float64((a - blunt) * (a - sheet) / ((right - blunt) * (right - sheet)) * log(edgeBlock, right))
	sum += float64((a - blunt) * (a - right) / ((sheet - blunt) * (sheet - right)) * log(sheetEdgeBlock, sheet))
	return float64(a * num.Exp(sum))
}

// cornerRise is ratio - 1 in an inner corner of an air angle from pi/2 to pi: its quotient by (pi - angle) is carried from
// 1/2 and 3/4 pi by a straight line of its logarithm.
func (t *Shapes) cornerRise(o *Over, kind Ideal, x, distance, angle float64) float64 {
	recession := num.Sin(math.Pi-angle) / (1 + num.Cos(math.Pi-angle))
	reach := o.head.Coil.OuterRadius * wallNear
	y := num.Log(math.Max((distance+float64(o.depth*recession))/reach, 1)) / wallStep
	if angle == math.Pi/2 {
		return num.Exp(t.grids[wallBlock+int(kind)].at(x, y))
	}
	steep, open := t.grids[wallBlock+int(kind)].at(x, y), t.grids[openCornerBlock+int(kind)].at(x, y)
	steep -= num.Log(math.Pi / 2)
	open -= num.Log(math.Pi / 4)
	share := (angle - math.Pi/2) / (math.Pi / 4)
	return float64((math.Pi - angle) * num.Exp(steep+float64(share*(open-steep))))
}

// openCoordinate maps a distance to the y of the tables of openings.
func (o *Over) openCoordinate(distance, near float64) float64 {
	return (num.Asinh(2*distance/o.head.Coil.OuterRadius) - near) / openStep
}

// edgeLossOf is -log(ratio) at a right-angle edge.
func (t *Shapes) edgeLossOf(o *Over, kind Ideal, x, distance float64) float64 {
	return num.Log1p(num.Exp(-t.edgeLogit(o, kind, edgeBlock, x, distance, 1)))
}

// holeFactor is the factor of a round hole.
func (t *Shapes) holeFactor(o *Over, kind Ideal, x float64, f Feature) float64 {
	if !(f.Size > 0) {
		return 1
	}
	// The hole of a conductor seems larger by the depth; what lies across its axis is on the other side.
	radius, distance := f.Size+o.depth, f.Distance-o.depth
	distance = math.Abs(radius+distance) - radius
	at := float64(num.Log(radius/o.head.Coil.OuterRadius)/math.Ln2) + 3
	quotient := nodeCurve(at, len(holeRadii), 3*math.Ln2, func(i int) float64 {
		y := o.openCoordinate(math.Max(distance, -holeRadii[i]*o.head.Coil.OuterRadius), holeNear)
		return t.grids[holeBlock+2*i+int(kind)].at(x*gapsPerRow/openPerRow, y)
	}, math.Ln2)
	return num.Exp(-float64(t.edgeLossOf(o, kind, x, distance+o.depth) * num.Exp(quotient)))
}

// stepDownFactor is the factor of an edge with a floor below.
func (t *Shapes) stepDownFactor(o *Over, kind Ideal, x float64, f Feature) float64 {
	if !(f.Size > 0) || math.IsInf(f.Distance, 1) {
		return 1
	}
	y := math.Max(o.openCoordinate(f.Distance-o.depth, 0), 0)
	at := num.Log(f.Size/(stepHeights[0]*o.head.Coil.OuterRadius)) / (2 * math.Ln2)
	quotient := nodeCurve(at, len(stepHeights), 2*math.Ln2, func(i int) float64 {
		return t.grids[stepBlock+2*i+int(kind)].at(x*gapsPerRow/openPerRow, y)
	}, 2*math.Ln2)
	return num.Exp(-float64(t.edgeLossOf(o, kind, x, f.Distance) * num.Exp(quotient)))
}

// stepUpFactor is the factor of a wall of finite height. A low one raises the signal as its height, by the field that meets
// the raised metal; a high one as an endless wall. Between them the reciprocals add.
func (t *Shapes) stepUpFactor(o *Over, kind Ideal, x float64, f Feature) float64 {
	if !(f.Size > 0) || math.IsInf(f.Distance, 1) {
		return 1
	}
	r2 := o.head.Coil.OuterRadius
	y := num.Log(math.Max((f.Distance+o.depth)/(r2*wallNear), 1)) / wallStep
	low := float64(f.Size / r2 * num.Exp(t.grids[riseBlock+int(kind)].at(x*gapsPerRow/openPerRow, y)))
	high := t.cornerRise(o, kind, x, f.Distance, math.Pi/2)
	return 1 + low*high/(low+high)
}

// nodeCurve is the value at a place between 0 and count-1 of a function known at whole numbers: a cubic through the four
// nodes about it. Below the first it goes on with the slope below; above the last it dies out as e^(-fade) per node.
func nodeCurve(at float64, count int, below float64, node func(i int) float64, fade float64) float64 {
	last := float64(count - 1)
	switch {
	case !(at > 0):
		return node(0) + float64(math.Max(at, -60)*below)
	case at >= last:
		return node(count-1) * num.Exp(-float64((math.Min(at, last+60)-last)*fade))
	}
	first := min(max(int(at)-1, 0), count-4)
	u := at - float64(first)
	a, b, c, d := node(first), node(first+1), node(first+2), node(first+3)
	return float64((u-1)*(u-2)*(u-3)/-6*a) + float64(u*(u-2)*(u-3)/2*b) + float64(u*(u-1)*(u-3)/-2*c) + float64(u*(u-1)*(u-2)/6*d)
}

// baseEdgeFactor is the factor of the right-angle edge of the base as thick as it is.
func (t *Shapes) baseEdgeFactor(o *Over, kind Ideal, x, distance float64) float64 {
	if math.IsInf(o.thickness, 1) || !t.has(shortageBlock) {
		return 1 / (1 + num.Exp(-t.edgeLogit(o, kind, edgeBlock, x, distance, 1)))
	}
	r2 := o.head.Coil.OuterRadius
	y, across := math.Max(o.openCoordinate(distance-o.depth, 0), 0), x*gapsPerRow/openPerRow
	loss := t.edgeLossOf(o, kind, x, distance)
	thin := num.Log1p(num.Exp(-t.edgeLogit(o, kind, sheetEdgeBlock, x, distance, 1)))
	// Lagrange's polynomial through the thicknesses of sheetCoordinate.
	at := o.thickness / (o.thickness + r2/4)
	quotient := 0.0
	for i, u := range sheetCoordinate {
		share := 1.0
		for j, v := range sheetCoordinate {
			if i != j {
				share *= (at - v) / (u - v)
			}
		}
		switch i {
		case 0:
			quotient += float64(share * num.Log(thin/loss))
		case len(sheetCoordinate) - 1: // thick: no difference
		default:
			quotient += float64(share * t.grids[sheetBlock+2*(i-1)+int(kind)].at(across, y))
		}
	}
	factor := num.Exp(-float64(loss * num.Exp(quotient)))
	if kind == Attracting {
		lack := o.lack.at(x * gapsPerRow / lackPerRow)
		factor *= 1 - float64(lack*t.grids[shortageBlock].at(across, y))
	}
	return factor
}
