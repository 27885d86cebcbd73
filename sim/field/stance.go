package field

import (
	"math"

	"foilwright/sim/num"
)

// Stance is a head standing at a place over one stack of metal, but for the gap: what of the place does not change with the
// gap, looked up once. Make it with [Stance.Stand]. It keeps what it took from the tables for the gaps near the last one, so
// two goroutines must not use it at once.
type Stance struct {
	o     *Over
	plain bool    // nothing but the gap distinguishes the place
	lift  float64 // of the tip by a rim that touches first, metres

	tilt         float64 // squared, radians
	bend, apart  float64 // mean of the curvatures and half their difference, squared; times the outer radius
	tilted       spot
	ball, pipe   spot
	shapes       [2 + MostBeside]shape
	shapesBeside int

	// What the tables hold there for gaps in one cell of theirs; shapes hold theirs too.
	gathered   int    // the cell; -1: nothing yet
	bent, open column // of what tilt and curvature add to the logarithm of the signal, by fine and coarse tables
}

// Response is what the shape of the surroundings makes of a signal at one gap: the same for every stack with the same
// apparent surface and thickness.
type Response struct {
	x       float64 // where the flat curve is read
	log     float64 // added to the logarithm of the signal
	factor  float64
	lackAt  float64
	lacking [1 + MostBeside]lacking // by base edge
	short   int
}

// lacking is what the signal lacks more near an edge of the base.
type lacking struct {
	flowing  float64 // by what share of itself a sheet's lack grows
	crowding float64 // what ideal metal's edge takes of the signal
}

// Stand looks up what a place makes of signals over a stack at any gap, and forgets where the stance stood before; the
// place's own gap is not used. It does not allocate.
func (s *Stance) Stand(o *Over, p *Place) {
	// The rest is written where one of these says that it is used.
	s.o, s.lift, s.tilt, s.bend, s.apart, s.shapesBeside, s.gathered = o, 0, 0, 0, 0, 0, -1
	if s.plain = o.silent || p.plain(); s.plain || o.shapes == nil {
		return
	}
	if tilt := min(math.Abs(p.Tilt), MaxTilt); tilt > 0 {
		s.lift = o.head.RimLift(tilt)
		s.tilt = tilt * tilt
		s.tilted.find(tiltNodes, float64(tilt*(1/degree)))
	}
	if c := p.Curvature; c != [2]float64{} {
		s.lift += o.head.BoreLift(min(c[0], c[1]))
		s.curve(c)
	}
	if p.WallNearness > 0 {
		s.next().corner(o, 1/p.WallNearness, math.Pi/2)
	}
	if !math.IsInf(p.EdgeDistance, 1) {
		s.next().edge(o, p.EdgeDistance, p.AirAngle)
	}
	for i := range p.Beside {
		if p.Beside[i].Kind != NoFeature {
			s.next().feature(o, &p.Beside[i])
		}
	}
}

// next is room for a shape.
func (s *Stance) next() *shape {
	shape := &s.shapes[s.shapesBeside]
	shape.form = noShape
	s.shapesBeside++
	return shape
}

// curve looks up two principal curvatures. The tables tell a ball (both equal) and a pipe (one of them zero); what they
// differ by goes as the square of the difference of the curvatures.
func (s *Stance) curve(c [2]float64) {
	r2, mean := s.o.head.Coil.OuterRadius, (c[0]+c[1])/2
	// The plane of reflection lies depth below the surface, so its radius is that much smaller.
	s.bend = float64(mean / (1 - float64(mean*s.o.depth)) * r2)
	s.ball.find(curveNodes, float64((s.bend-curveNear)*(1/curveStep)))
	if c[0] != c[1] {
		apart := (c[0] - c[1]) / 2 * r2
		s.apart = apart * apart
		s.pipe.find(pipeNodes, float64((s.bend-curveNear)*(1/pipeStep)))
	}
}

// At returns the response at a gap in metres. It does not allocate.
//
// The ratios are those of ideal metal whose faces lie where the real metal seems to reflect: at its surface for permeable
// metal, half a skin depth inside it for a conductor. The top face is then farther away, the edge nearer, by that depth;
// three-dimensional finite elements confirm the edge's sign (testdata/fem/eddy_air_edge_3d.csv).
func (s *Stance) At(gap float64) Response {
	o := s.o
	r := Response{x: o.scale.coordinate(gap + s.lift), factor: 1}
	if s.plain {
		return r
	}
	if o.shapes == nil {
		r.factor = math.NaN()
		return r
	}
	var l look
	l.stand(o, gap+s.lift)
	r.lackAt = l.gapAt / lackPerRow
	if l.fine.cell != s.gathered {
		s.gather(&l)
	}
	if s.tilt != 0 || s.bend != 0 || s.apart != 0 {
		r.log = s.bent.at(&l.fine) + s.open.at(&l.open)
	}
	for i := range s.shapes[:s.shapesBeside] {
		l.add(&s.shapes[i], &r)
	}
	return r
}

// gather takes from the tables what they hold for the gaps of a cell.
func (s *Stance) gather(l *look) {
	s.bent, s.open = column{}, column{}
	if s.tilt != 0 {
		l.addFine(&s.bent, s.tilt, tiltBlock, &s.tilted)
	}
	if s.bend != 0 || s.apart != 0 {
		l.addFine(&s.bent, s.bend, curveBlock, &s.ball)
		if s.apart != 0 {
			l.addOpen(&s.open, s.apart, pipeBlock, &s.pipe)
		}
	}
	for i := range s.shapes[:s.shapesBeside] {
		l.gather(&s.shapes[i])
	}
	s.gathered = l.fine.cell
}

// Serves reports whether the stance's responses hold over another stack too.
func (s *Stance) Serves(o *Over) bool {
	if s.o == o {
		return true
	}
	// Shape tables are of one head; without them heads are told by their scales.
	if o.silent || s.o.silent || o.shapes != s.o.shapes || o.shapes == nil && o.scale != s.o.scale {
		return false
	}
	return s.plain || o.depth == s.o.depth && o.eddy == s.o.eddy && o.thickness == s.o.thickness
}

// Under returns the amplitude, as [Over.Amplitude], with the response of a stance that serves the stack.
func (o *Over) Under(r *Response) float64 {
	if o.silent {
		return 0
	}
	size := float64(r.factor * num.Exp(o.size.at(r.x)+r.log))
	if r.short > 0 {
		flowing, crowding := o.flowing.at(r.lackAt), o.crowding.at(r.lackAt)
		for _, l := range r.lacking[:r.short] {
			size = float64(size * max(1-(float64(flowing*l.flowing)+float64(crowding*l.crowding)), 0))
		}
	}
	return size
}
