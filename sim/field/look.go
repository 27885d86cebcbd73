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
	l.fine.within(shapeGaps, float64(l.gapAt*(1/gapsPerRow)))
	l.open.within(openGaps, float64(l.gapAt*(1/openPerRow)))
}

// addFine adds to a column that of one of a pair of blocks with a row for each gap of the fine tables, times a factor;
// addOpen of the coarse ones.
func (l *look) addFine(c *column, factor float64, block int, y *spot) {
	l.t.grids[block+l.kind].addTo(c, factor, l.fine.cell, y)
}

func (l *look) addOpen(c *column, factor float64, block int, y *spot) {
	l.t.grids[block+l.kind].addTo(c, factor, l.open.cell, y)
}

// gather takes from the tables what a shape needs of them for the gaps of the present cells.
func (l *look) gather(s *shape) {
	s.straight, s.quotient, s.shortage = column{}, column{}, column{}
	switch s.form {
	case baseEdge, rightEdge, anyEdge, hole, underHole, ledge:
		l.addFine(&s.straight, 1, edgeBlock, &s.near)
		l.gatherShortage(s)
	case corner, foot:
		l.addFine(&s.straight, 1, wallBlock, &s.near)
	}
	switch s.form {
	case baseEdge:
		if !math.IsInf(l.o.thickness, 1) {
			l.gatherOther(s, 0, sheetEdgeBlock)
			l.o.sheet.addTo(&s.quotient, 1, l.open.cell, &s.aside)
		}
	case anyEdge:
		l.gatherOther(s, 0, bluntEdgeBlock)
		l.gatherOther(s, 1, sheetEdgeBlock)
	case corner:
		if s.share[0] != 0 {
			l.gatherOther(s, 0, openCornerBlock)
		}
	case hole:
		l.gatherSizes(s, holeBlock, &s.open)
	case underHole:
		l.gatherUnder(s)
	case ledge:
		l.gatherSizes(s, stepBlock, &s.aside)
	case foot:
		l.addOpen(&s.quotient, 1, riseBlock, &s.near)
	}
}

// gatherOther takes an edge or wall of another angle.
func (l *look) gatherOther(s *shape, i, block int) {
	s.further[i] = column{}
	l.addFine(&s.further[i], 1, block, &s.near)
}

// gatherShortage takes by what share a sheet lacks more beside an edge than far from it; beyond the table it dies out as the
// square of the distance.
func (l *look) gatherShortage(s *shape) {
	if l.kind != int(Attracting) {
		return
	}
	if s.faded == 1 {
		l.addOpen(&s.shortage, 1, shortageBlock, &s.aside)
		return
	}
	var last spot
	last.within(besideNodes, besideNodes-1)
	l.addOpen(&s.shortage, s.faded, shortageBlock, &last)
}

// gatherSizes takes what lies between the sizes of a feature that the tables hold.
func (l *look) gatherSizes(s *shape, block int, y *spot) {
	z := &s.sizes
	for i, share := range z.share[:z.count] {
		l.addOpen(&s.quotient, share, block+2*(z.first+i), y)
	}
	s.quotient.raise(z.more)
}

// gatherUnder takes what lies over a hole. Over holes of several sizes, places as far from centre to rim are alike.
func (l *look) gatherUnder(s *shape) {
	z := &s.sizes
	for i, share := range z.share[:z.count] {
		var near, open spot
		l.o.rim(&near, &open, s.distance*holeRadii[z.first+i]*l.o.head.Coil.OuterRadius/s.radius)
		s.further[i] = column{}
		l.addFine(&s.further[i], 1, edgeBlock, &near)
		l.addOpen(&s.quotient, share, holeBlock+2*(z.first+i), &open)
	}
	s.quotient.raise(z.more)
}

// add takes a shape into a response.
func (l *look) add(s *shape, r *Response) {
	switch s.form {
	case baseEdge:
		at := logLoss(s.straight.at(&l.fine))
		if !math.IsInf(l.o.thickness, 1) {
			at += float64(l.o.sheetShare[0]*(logLoss(s.further[0].at(&l.fine))-at)) + s.quotient.at(&l.open)
		}
		l.lose(r, s, num.Exp(at), 1, 1)
	case rightEdge:
		l.lose(r, s, num.Exp(logLoss(s.straight.at(&l.fine))), 1, 1)
	case anyEdge:
		l.lose(r, s, l.edgeLoss(s), s.angle/(math.Pi/2), 1)
	case corner:
		r.factor *= 1 + l.cornerRise(s)
	case hole:
		l.loseRound(r, s, logLoss(s.straight.at(&l.fine)), s.quotient.at(&l.open))
	case underHole:
		edge := logLoss(s.straight.at(&l.fine))
		quotient := s.quotient.at(&l.open)
		for i, share := range s.sizes.share[:s.sizes.count] {
			quotient += float64(share * (logLoss(s.further[i].at(&l.fine)) - edge))
		}
		l.loseRound(r, s, edge, quotient)
	case ledge:
		// The tables of heights hold log(-log(quotient)), see Shapes.build: to the last height it falls too fast for a cubic.
		quotient := s.size - num.Exp(s.quotient.at(&l.open))
		l.lose(r, s, num.Exp(logLoss(s.straight.at(&l.fine))+quotient), s.tall, num.Exp(quotient))
	case foot:
		r.factor *= 1 + l.footRise(s)
	}
}

// crowdingReach is how much of the signal an ideal edge has taken away when the flux that crowds into it is near its most: an
// e-th part short of it. Own rule, by finite elements with the axis up to 2.6 mm beyond an edge.
const crowdingReach = 1.0 / 8

// lose takes the loss at an edge into a response, and what iron lacks more there: flowing and crowding are the shares of what it
// would lack more at a square edge that takes as much.
func (l *look) lose(r *Response, s *shape, loss, flowing, crowding float64) {
	r.log -= loss
	if l.kind == int(Attracting) {
		taken := 1 - num.Exp(-loss)
		r.lacking[r.short] = lacking{
			float64(flowing * s.shortage.at(&l.open)),
			float64(crowding * crowdingReach * (1 - num.Exp(-float64(taken*(1/crowdingReach))))),
		}
		r.short++
	}
}

// loseRound is lose for a hole, by the logarithms of the loss at an edge as far as its rim and of the quotient by it. Flux flows
// away round it, and the less of its rim is near the less it crowds; over its middle flux goes all ways and hardly more is
// lacking.
func (l *look) loseRound(r *Response, s *shape, edge, quotient float64) {
	loss := num.Exp(edge + quotient)
	if l.kind != int(Attracting) {
		r.log -= loss
		return
	}
	outside := num.Exp(-loss * l.o.head.Coil.OuterRadius / s.radius)
	share := num.Exp(quotient)
	l.lose(r, s, loss, float64(outside*math.Sqrt(share)), float64(outside*share))
}

// Logarithms of the angles, less than pi, at which the tables hold inner corners, and beyond pi, at which they hold edges.
var (
	logSteep, logOpen          = num.Log(math.Pi / 2), num.Log(math.Pi / 4)
	logBlunt, logRight, logFin = num.Log(math.Pi / 4), num.Log(math.Pi / 2), num.Log(math.Pi)
)

// edgeLoss is -log(ratio) at an edge of any air angle.
func (l *look) edgeLoss(s *shape) float64 {
	sum := float64(s.share[0] * (logLoss(s.further[0].at(&l.fine)) - logBlunt))
	sum += float64(s.share[1] * (logLoss(s.straight.at(&l.fine)) - logRight))
	sum += float64(s.share[2] * (logLoss(s.further[1].at(&l.fine)) - logFin))
	return float64(s.angle * num.Exp(sum))
}

// cornerRise is ratio - 1 in an inner corner.
func (l *look) cornerRise(s *shape) float64 {
	steep := s.straight.at(&l.fine)
	if s.share[0] == 0 {
		return num.Exp(steep)
	}
	steep -= logSteep
	open := s.further[0].at(&l.fine) - logOpen
	return float64(s.angle * num.Exp(steep+float64(s.share[0]*(open-steep))))
}

// footRise is ratio - 1 at a wall of finite height. A low one raises the signal as its height, by the field that meets the
// raised metal; a high one as an endless wall. Between them the reciprocals add.
func (l *look) footRise(s *shape) float64 {
	low := float64(s.size * num.Exp(s.quotient.at(&l.open)))
	high := num.Exp(s.straight.at(&l.fine))
	return low * high / (low + high)
}

// sizes is a place between 0 and last of the logarithm of a quotient known at whole numbers, one for each size of a
// feature: the sum of count of them from first, each times its share, and more.
type sizes struct {
	first, count int
	share        [4]float64
	more         float64
}

// find finds a place: a cubic through the four nodes about it. Below the first it goes on with the slope below; above the
// last it dies out as e^(-fade) per node.
func (z *sizes) find(count int, at, below, fade float64) {
	last := float64(count - 1)
	switch {
	case !(at > 0):
		*z = sizes{count: 1, share: [4]float64{1}, more: float64(max(at, -60) * below)}
	case at >= last:
		*z = sizes{first: count - 1, count: 1, share: [4]float64{num.Exp(-float64((min(at, last+60) - last) * fade))}}
	default:
		first := min(max(int(at)-1, 0), count-4)
		u := at - float64(first)
		*z = sizes{first: first, count: 4, share: [4]float64{
			(u - 1) * (u - 2) * (u - 3) * -sixth, u * (u - 2) * (u - 3) / 2, u * (u - 1) * (u - 3) / -2, u * (u - 1) * (u - 2) * sixth,
		}}
	}
}
