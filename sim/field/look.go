package field

import (
	"math"

	"foilwright/sim/num"
)

// look is one use of the tables: an Over at a gap, its places along the gap axis of fine and coarse tables found.
type look struct {
	t          *Shapes
	o          *Over
	kind       int
	fine, open spot
	gapAt      float64 // coordinate of the flat curves' cells
}

func (l *look) stand(o *Over, gap float64) {
	l.t, l.o = o.shapes, o
	if o.eddy {
		l.kind = int(Repelling)
	}
	l.gapAt = o.shapeScale.coordinate(gap + o.depth)
	l.fine.find(shapeGaps, l.gapAt/gapsPerRow)
	l.open.find(openGaps, l.gapAt/openPerRow)
}

// table is the value of one of a pair of blocks with a row for each gap of the fine tables, openTable of the coarse ones.
func (l *look) table(block int, y *spot) float64 { return l.t.grids[block+l.kind].value(&l.fine, y) }

func (l *look) openTable(block int, y *spot) float64 {
	return l.t.grids[block+l.kind].value(&l.open, y)
}

// add takes a shape into a response.
func (l *look) add(s *shape, r *Response) {
	switch s.form {
	case baseEdge:
		l.baseEdge(s, r)
	case rightEdge:
		l.lose(r, &s.open, l.lossOf(edgeBlock, &s.near), 1, 1)
	case anyEdge:
		sharp := s.angle / (math.Pi / 2)
		l.lose(r, &s.open, l.edgeLoss(s), sharp, 1)
	case corner:
		r.factor *= 1 + l.cornerRise(s)
	case hole, underHole:
		loss, quotient := l.holeLoss(s)
		l.loseRound(r, s, loss, quotient)
	case ledge:
		loss, quotient := l.stepLoss(s)
		l.lose(r, &s.open, loss, s.tall, quotient)
	case foot:
		r.factor *= 1 + l.footRise(s)
	}
}

// lossOf is -log(ratio) of a table that holds log(ratio/(1-ratio)).
func (l *look) lossOf(block int, y *spot) float64 { return num.Log1p(num.Exp(-l.table(block, y))) }

// baseEdge is the square edge of the base as thick as it is.
func (l *look) baseEdge(s *shape, r *Response) {
	o := l.o
	loss := l.lossOf(edgeBlock, &s.near)
	if !math.IsInf(o.thickness, 1) {
		// Lagrange's polynomial through the thicknesses of sheetCoordinate; the last is thick, where the quotient is 1.
		quotient := float64(o.sheetShare[0] * num.Log(l.lossOf(sheetEdgeBlock, &s.near)/loss))
		for i := range sheetThickness {
			quotient += float64(o.sheetShare[i+1] * l.openTable(sheetBlock+2*i, &s.open))
		}
		loss = float64(loss * num.Exp(quotient))
	}
	l.lose(r, &s.open, loss, 1, 1)
}

// crowdingReach is how much of the signal an ideal edge has taken away when the flux that crowds into it is near its most: an
// e-th part short of it. Own rule, by finite elements with the axis up to 2.6 mm beyond an edge.
const crowdingReach = 1.0 / 8

// lose takes the loss at an edge into a response, and what iron lacks more there: flowing and crowding are the shares of what it
// would lack more at a square edge that takes as much. Beside is the distance among the nodes of the shortage.
func (l *look) lose(r *Response, beside *spot, loss, flowing, crowding float64) {
	r.log -= loss
	if l.kind == int(Attracting) {
		taken := 1 - num.Exp(-loss)
		r.lacking[r.short] = lacking{float64(flowing * l.shortage(beside)), float64(crowding * crowdingReach * (1 - num.Exp(-taken/crowdingReach)))}
		r.short++
	}
}

// loseRound is lose for a hole, whose loss is known as a quotient of an edge's too. Flux flows away round it, and the less of its
// rim is near the less it crowds; over its middle flux goes all ways and hardly more is lacking.
func (l *look) loseRound(r *Response, s *shape, loss, quotient float64) {
	if l.kind != int(Attracting) {
		r.log -= loss
		return
	}
	aside := newSpot(besideNodes, max(s.asinh/openStep, 0))
	outside := num.Exp(-loss * l.o.head.Coil.OuterRadius / s.radius)
	l.lose(r, &aside, loss, float64(outside*math.Sqrt(quotient)), float64(outside*quotient))
}

// shortage is by what share a sheet lacks more than far from its edge; beyond the table it dies out as the square of the
// distance.
func (l *look) shortage(beside *spot) float64 {
	if beside.beyond > 0 {
		var last spot
		last.find(besideNodes, besideNodes-1)
		return l.openTable(shortageBlock, &last) * num.Exp(-2*openStep*beside.beyond)
	}
	return l.openTable(shortageBlock, beside)
}

// edgeLoss is -log(ratio) at an edge of any air angle.
func (l *look) edgeLoss(s *shape) float64 {
	const blunt, right, sheet = math.Pi / 4, math.Pi / 2, math.Pi
	sum := float64(s.share[0] * num.Log(l.lossOf(bluntEdgeBlock, &s.near)/blunt))
	sum += float64(s.share[1] * num.Log(l.lossOf(edgeBlock, &s.near)/right))
	sum += float64(s.share[2] * num.Log(l.lossOf(sheetEdgeBlock, &s.near)/sheet))
	return float64(s.angle * num.Exp(sum))
}

// Logarithms of the angles, less than pi, at which the tables hold inner corners.
var (
	logSteep = num.Log(math.Pi / 2)
	logOpen  = num.Log(math.Pi / 4)
)

// cornerRise is ratio - 1 in an inner corner.
func (l *look) cornerRise(s *shape) float64 {
	steep := l.table(wallBlock, &s.near)
	if s.share[0] == 0 {
		return num.Exp(steep)
	}
	steep -= logSteep
	open := l.table(openCornerBlock, &s.near) - logOpen
	return float64(s.angle * num.Exp(steep+float64(s.share[0]*(open-steep))))
}

// holeLoss is the loss at an edge as far as the rim, times what the tables of radii hold, and that quotient.
func (l *look) holeLoss(s *shape) (loss, quotient float64) {
	loss = l.lossOf(edgeBlock, &s.near)
	logs := sizes(len(holeRadii), s.size, 3*math.Ln2, math.Ln2, func(i int) float64 {
		if s.form == hole {
			return l.openTable(holeBlock+2*i, &s.open)
		}
		// Over holes of several sizes, places as far from centre to rim are alike.
		var there shape
		there.rim(l.o, s.distance*holeRadii[i]*l.o.head.Coil.OuterRadius/s.radius)
		return l.openTable(holeBlock+2*i, &there.open) + num.Log(l.lossOf(edgeBlock, &there.near)/loss)
	})
	quotient = num.Exp(logs)
	return float64(loss * quotient), quotient
}

// stepLoss is the loss at the edge, times what the tables of heights hold, and that quotient.
func (l *look) stepLoss(s *shape) (loss, quotient float64) {
	// The tables of heights hold log(-log(quotient)), see Shapes.build: to the last height it falls too fast for a cubic.
	node := func(i int) float64 { return l.openTable(stepBlock+2*i, &s.open) }
	logs := 0.0
	switch last := float64(len(stepHeights) - 1); {
	case s.size <= 0:
		logs = sizes(len(stepHeights), s.size, 2*math.Ln2, 0, func(i int) float64 { return -num.Exp(node(i)) })
	case s.size >= last:
		logs = -num.Exp(node(len(stepHeights)-1) - float64((s.size-last)*2*math.Ln2))
	default:
		logs = -num.Exp(sizes(len(stepHeights), s.size, 0, 0, node))
	}
	quotient = num.Exp(logs)
	return float64(l.lossOf(edgeBlock, &s.near) * quotient), quotient
}

// footRise is ratio - 1 at a wall of finite height. A low one raises the signal as its height, by the field that meets the
// raised metal; a high one as an endless wall. Between them the reciprocals add.
func (l *look) footRise(s *shape) float64 {
	low := float64(s.size * num.Exp(l.openTable(riseBlock, &s.near)))
	high := num.Exp(l.table(wallBlock, &s.near))
	return low * high / (low + high)
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
