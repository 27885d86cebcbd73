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

// look is one use of the tables: an Over at a gap, its places along the gap axis of fine and coarse tables found.
type look struct {
	t          *Shapes
	o          *Over
	kind       int
	fine, open spot
	gapAt      float64 // coordinate of the flat curves' cells
}

func (t *Shapes) look(o *Over, kind Ideal, gap float64) look {
	y := o.shapeScale.coordinate(gap + o.depth)
	return look{t, o, int(kind), newSpot(shapeGaps, y/gapsPerRow), newSpot(openGaps, y/openPerRow), y}
}

// table is the value of one of a pair of blocks with a row for each gap of the fine tables, openTable of the coarse ones.
func (l *look) table(block int, y *spot) float64 { return l.t.grids[block+l.kind].value(&l.fine, y) }

func (l *look) openTable(block int, y *spot) float64 {
	return l.t.grids[block+l.kind].value(&l.open, y)
}

// asinh is the coordinate asinh(2 d/r2) of a distance.
func (l *look) asinh(distance float64) float64 {
	return num.Asinh(2 * distance / l.o.head.Coil.OuterRadius)
}

// beside is the factor of one further feature.
func (l *look) beside(f Feature) float64 {
	if math.IsInf(f.Distance, 1) || f.Kind > edgeLine && !(f.Size > 0) {
		return 1
	}
	switch f.Kind {
	case edgeLine:
		return l.edge(f.Distance, f.Size)
	case roundHole:
		return l.hole(f)
	case stepDown:
		return l.stepDown(f)
	case stepUp:
		return l.stepUp(f)
	}
	return 1
}

// edge is the factor of a straight edge or inner corner of any air angle, by the tables of the angles next to it.
func (l *look) edge(distance, angle float64) float64 {
	if angle == 0 {
		return l.baseEdge(distance)
	}
	angle = min(max(angle, math.Pi/2), 2*math.Pi)
	switch {
	case angle == math.Pi:
		return 1
	case angle < math.Pi:
		return 1 + l.cornerRise(distance, angle)
	}
	return num.Exp(-l.edgeLoss(distance, angle))
}

// edgeSpot finds a distance from an edge in the tables of edges. A conductor's two apparent faces lie o.depth inside it;
// where they meet is that depth times recession farther along the top face.
func (l *look) edgeSpot(distance, recession float64) spot {
	return newSpot(edgeNodes, (l.asinh(distance-float64(l.o.depth*recession))-edgeNear)/edgeStep)
}

// lossOf is -log(ratio) of a table that holds log(ratio/(1-ratio)).
func (l *look) lossOf(block int, y *spot) float64 { return num.Log1p(num.Exp(-l.table(block, y))) }

// edgeLoss is -log(ratio) at an edge of an air angle between pi and 2 pi: its quotient by (angle - pi) is carried from
// 5/4, 3/2 and 2 pi by a parabola of its logarithm.
func (l *look) edgeLoss(distance, angle float64) float64 {
	const blunt, right, sheet = math.Pi / 4, math.Pi / 2, math.Pi
	a := angle - math.Pi
	recession := 1.0 // of a sheet too, which has no second face to recede
	if angle < RightAngleEdge {
		recession = num.Sin(a) / (1 + num.Cos(a)) // tan(a/2)
	}
	y := l.edgeSpot(distance, recession)
	if angle == RightAngleEdge {
		return l.lossOf(edgeBlock, &y)
	}
	sum := float64((a - right) * (a - sheet) / ((blunt - right) * (blunt - sheet)) * num.Log(l.lossOf(bluntEdgeBlock, &y)/blunt))
	sum += float64((a - blunt) * (a - sheet) / ((right - blunt) * (right - sheet)) * num.Log(l.lossOf(edgeBlock, &y)/right))
	sum += float64((a - blunt) * (a - right) / ((sheet - blunt) * (sheet - right)) * num.Log(l.lossOf(sheetEdgeBlock, &y)/sheet))
	return float64(a * num.Exp(sum))
}

// cornerRise is ratio - 1 in an inner corner of an air angle from pi/2 to pi: its quotient by (pi - angle) is carried from
// 1/2 and 3/4 pi by a straight line of its logarithm.
func (l *look) cornerRise(distance, angle float64) float64 {
	recession := 1.0
	if angle > math.Pi/2 {
		recession = num.Sin(math.Pi-angle) / (1 + num.Cos(math.Pi-angle))
	}
	y := l.wallSpot(distance + float64(l.o.depth*recession))
	steep := l.table(wallBlock, &y)
	if angle == math.Pi/2 {
		return num.Exp(steep)
	}
	steep -= num.Log(math.Pi / 2)
	open := l.table(openCornerBlock, &y) - num.Log(math.Pi/4)
	share := (angle - math.Pi/2) / (math.Pi / 4)
	return float64((math.Pi - angle) * num.Exp(steep+float64(share*(open-steep))))
}

// wallSpot finds a distance from a wall's apparent face; nearer than the housing allows counts as touching.
func (l *look) wallSpot(distance float64) spot {
	return newSpot(wallNodes, num.Log(max(distance/(l.o.head.Coil.OuterRadius*wallNear), 1))/wallStep)
}

// baseEdge is the factor of the square edge of the base as thick as it is.
func (l *look) baseEdge(distance float64) float64 {
	o := l.o
	y := l.edgeSpot(distance, 1)
	loss := l.lossOf(edgeBlock, &y)
	if math.IsInf(o.thickness, 1) {
		return num.Exp(-loss)
	}
	beside := newSpot(besideNodes, max(l.asinh(distance-o.depth)/openStep, 0))
	// Lagrange's polynomial through the thicknesses of sheetCoordinate; the last is thick, where the quotient is 1.
	quotient := float64(o.sheetShare[0] * num.Log(l.lossOf(sheetEdgeBlock, &y)/loss))
	for i := range sheetThickness {
		quotient += float64(o.sheetShare[i+1] * l.openTable(sheetBlock+2*i, &beside))
	}
	factor := num.Exp(-float64(loss * num.Exp(quotient)))
	if l.kind == int(Attracting) {
		lack := o.lack.at(l.gapAt / lackPerRow)
		factor *= 1 - float64(lack*l.openTable(shortageBlock, &beside))
	}
	return factor
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

// hole is the factor of a round hole: the loss at an edge as far, times what the tables of radii hold.
func (l *look) hole(f Feature) float64 {
	o, r2 := l.o, l.o.head.Coil.OuterRadius
	// The hole of a conductor seems larger by the depth, but no more than twice as large; what lies across its axis is on
	// the other side.
	shift := float64(o.depth * f.Size / (o.depth + f.Size))
	radius, distance := f.Size+shift, f.Distance-shift
	distance = math.Abs(radius+distance) - radius
	at := num.Log(radius/(holeRadii[0]*r2)) / math.Ln2
	loss, rim := l.atRim(distance)
	logs := sizes(len(holeRadii), at, 3*math.Ln2, math.Ln2, func(i int) float64 {
		if distance >= 0 {
			return l.openTable(holeBlock+2*i, &rim)
		}
		// Over holes of several sizes, places as far from centre to rim are alike.
		there, rim := l.atRim(distance * holeRadii[i] * r2 / radius)
		return l.openTable(holeBlock+2*i, &rim) + num.Log(there/loss)
	})
	return num.Exp(-float64(loss * num.Exp(logs)))
}

// atRim is -log(ratio) at a right-angle edge so far away, and the place in the tables of holes.
func (l *look) atRim(distance float64) (loss float64, rim spot) {
	asinh := l.asinh(distance)
	edge := newSpot(edgeNodes, (asinh-edgeNear)/edgeStep)
	return l.lossOf(edgeBlock, &edge), newSpot(holeNodes, (asinh-holeNear)/openStep)
}

// stepDown is the factor of an edge with a floor below: the loss at the edge, times what the tables of heights hold.
func (l *look) stepDown(f Feature) float64 {
	asinh := l.asinh(f.Distance - l.o.depth)
	beside := newSpot(besideNodes, max(asinh/openStep, 0))
	at := num.Log(f.Size/(stepHeights[0]*l.o.head.Coil.OuterRadius)) / (2 * math.Ln2)
	// The tables of heights hold log(-log(quotient)), see Shapes.build: to the last height it falls too fast for a cubic.
	node := func(i int) float64 { return l.openTable(stepBlock+2*i, &beside) }
	logs := 0.0
	switch last := float64(len(stepHeights) - 1); {
	case at <= 0:
		logs = sizes(len(stepHeights), at, 2*math.Ln2, 0, func(i int) float64 { return -num.Exp(node(i)) })
	case at >= last:
		logs = -num.Exp(node(len(stepHeights)-1) - float64((at-last)*2*math.Ln2))
	default:
		logs = -num.Exp(sizes(len(stepHeights), at, 0, 0, node))
	}
	edge := newSpot(edgeNodes, (asinh-edgeNear)/edgeStep)
	return num.Exp(-float64(l.lossOf(edgeBlock, &edge) * num.Exp(logs)))
}

// sizes is the value at a place between 0 and count-1 of the logarithm of a quotient known at whole numbers, one for each
// size of a feature: a cubic through the four nodes about it. Below the first it goes on with the slope below; above the
// last it dies out as e^(-fade) per node.
func sizes(count int, at, below, fade float64, node func(i int) float64) float64 {
	last := float64(count - 1)
	switch {
	case !(at > 0):
		return node(0) + float64(max(at, -60)*below)
	case at >= last:
		return float64(node(count-1) * num.Exp(-float64((min(at, last+60)-last)*fade)))
	}
	first := min(max(int(at)-1, 0), count-4)
	u := at - float64(first)
	return float64((u-1)*(u-2)*(u-3)/-6*node(first)) + float64(u*(u-2)*(u-3)/2*node(first+1)) +
		float64(u*(u-1)*(u-3)/-2*node(first+2)) + float64(u*(u-1)*(u-2)/6*node(first+3))
}

// stepUp is the factor of a wall of finite height. A low one raises the signal as its height, by the field that meets
// the raised metal; a high one as an endless wall. Between them the reciprocals add.
func (l *look) stepUp(f Feature) float64 {
	y := l.wallSpot(f.Distance + l.o.depth)
	low := float64(f.Size / l.o.head.Coil.OuterRadius * num.Exp(l.openTable(riseBlock, &y)))
	high := num.Exp(l.table(wallBlock, &y))
	return 1 + low*high/(low+high)
}
