package field

import (
	"errors"
	"fmt"
	"math"
)

// Frame is what a picture shows of the section plane, metres: Half to either side of the tip, Above and Below the
// surface of the metal.
type Frame struct{ Half, Above, Below float64 }

// FrameFor returns a frame that shows the whole head and as much metal as its field fills.
func FrameFor(h Head) Frame {
	r := h.Coil.OuterRadius
	top := h.Coil.Recess + h.Coil.Height
	if h.Core != nil {
		top = max(top, h.Core.Recess+h.Core.Length)
	}
	return Frame{Half: 3.6 * r, Above: top + 0.5*r, Below: 1.2 * r}
}

// Spot is a point of the section, metres: X along it from the point of contact, Z above the surface of the metal there.
type Spot struct{ X, Z float64 }

// Line is one line of flux, in the order in which it leaves the core's lower half.
type Line struct{ first, end int }

// Picture draws the field of a head in the section plane through its axis: lines of flux at the moment of greatest
// current, and the eddy current density. It computes from the head's charges and the metal's reflection as the field core
// does, but no reading passes through it. It keeps its memory: after the first of a kind a picture does not allocate. It
// is for one goroutine.
//
// What it leaves out: the charges of the core are those over the flat, square metal of the stack. What an edge and a tilt
// change in the air is taken from ideal metal, weakened by the factor with which the stack reflects at the mean radius of
// the winding; inside the metal it is the flat field of the upright head, bent round the corner of permeable metal. A curved surface is a
// ball or hollow of the section's curvature in ideal metal weakened likewise, the flat field inside bent with it. A hole, a
// step, what rises between two steps and a wall are ideal metal weakened likewise; what goes on inside them is not drawn, but
// under the probe's own surface. README.md gives the errors measured.
type Picture struct {
	head  *pictureHead
	stack pictureStack

	// Lines of flux; each stands for the same flux.
	Lines []Line
	// Current holds |J| in A/m^2 per ampere in the winding, row after row from the surface down, at X (metres along the
	// surface) and Depth (metres below it). It is empty over metal without conductivity.
	Current  []float64
	X, Depth []float64
	// Section is the curvature of the surface in the section, 1/m; EdgeAt the x of the edge, +Inf for none in the frame;
	// Slant by how much its face goes on outward for each metre down.
	Section, EdgeAt, Slant float64
	// Ground is what holes, steps and walls make of the surface; even where there is an edge.
	Ground Ground

	place   Place
	lift    float64 // of the contact point above the metal
	sin     float64 // of the tilt
	cos     float64
	charges []complex128
	lumps   []lump // the sources as they stand, and as they would upright
	upright []lump
	work    *solver
	answer  []complex128
	mode    []complex128 // amplitude of each wave in the metal at its surface
	back    []float64    // amplitude of each wave that comes back, at the surface, in phase with the current

	air, beside patch
	beyond      patch // the same as beside, at the other side of what the probe stands on
	edge        *edgeTable
	faces       *groundAnswer // of the present ground
	answers     groundAnswers
	grounded    []lump // the sources as they stand over a ground
	change      patch  // what an edge or a tilt changes, on every other node
	whole       patch  // all that comes back where there is an edge, on the same
	metal       fluxPatch
	ring        []float64 // the head's own field but for the charges on the axis, combined
	points      []Spot
	surfaceKick []complex128 // tangential field that the edge adds, by column
}

// lump is a source as the metal sees it.
type lump struct {
	x, y, z float64 // in the frame of the surface
	q       complex128
	edge    polar // about the edge

	mirrored float64 // over a ground: see groundAnswer
}

// NewPicture prepares pictures of a head with a core in a frame; some 20 ms.
func (s *Sensor) NewPicture(f Frame) (*Picture, error) {
	if s.head.Core == nil {
		return nil, errors.New("field: pictures are drawn of heads with a core only")
	}
	if !(f.Half > 0 && f.Above > 0 && f.Below > 0) || math.IsInf(f.Half+f.Above+f.Below, 0) {
		return nil, fmt.Errorf("field: picture frame %+v needs finite lengths above 0", f)
	}
	p := &Picture{head: newPictureHead(s, f)}
	p.prepare()
	return p, nil
}

// Another returns a second picture of the same head and frame, for use beside the first.
func (p *Picture) Another() *Picture {
	q := &Picture{head: p.head}
	q.prepare()
	return q
}

// Frame returns what the picture shows.
func (p *Picture) Frame() Frame { return p.head.frame }

// Points returns the points of a line; valid until the next picture.
func (p *Picture) Points(l Line) []Spot { return p.points[l.first:l.end] }

func (p *Picture) prepare() {
	p.work = newSolver()
	p.charges = make([]complex128, chargeCount)
	p.lumps, p.upright = make([]lump, len(p.head.lumps)), make([]lump, len(p.head.lumps))
	p.grounded = make([]lump, len(p.head.lumps))
	p.edge = &p.head.edge
	p.answer = make([]complex128, len(p.head.sensor.spectrum.a))
	p.mode = make([]complex128, len(p.head.a))
	p.back = make([]float64, len(p.head.a))
	p.air = newPatch(columns, airRows)
	p.beside, p.beyond = newPatch(besideColumns, besideRows), newPatch(besideColumns, besideRows)
	p.change = newPatch(coarseColumns, coarseRows)
	for i := range p.change.x {
		p.change.x[i] = p.head.airX[2*i]
	}
	for j := range p.change.z {
		p.change.z[j] = p.head.airZ[2*j]
	}
	p.whole = newPatch(coarseColumns, coarseRows)
	copy(p.whole.x, p.change.x)
	copy(p.whole.z, p.change.z)
	p.metal = newFluxPatch(len(p.head.metalZ))
	p.ring = make([]float64, len(p.head.windingField))
	p.X = p.head.airX
	p.Depth = make([]float64, currentRows)
	p.Current = make([]float64, 0, columns*currentRows)
	p.surfaceKick = make([]complex128, columns)
	p.stack.prepare(p.head)
}

// On prepares the metal to be drawn; some milliseconds, and nothing when it is the same as before.
func (p *Picture) On(b Base) error {
	if p.stack.is(b) {
		return nil
	}
	if err := b.Validate(); err != nil {
		return err
	}
	p.stack.set(p.head, b)
	return nil
}

// At computes the picture of the head standing at a place on the metal of the last On. The section runs at a right angle to
// the edge, which lies at +x; a positive tilt leans the head towards +x. Where there is no edge in the frame the section runs
// through the first of Beside, at +x: a hole or a step. A step down that comes after a step up is the far side of what
// rises, one after a step down lies at -x. What is beyond the frame is left out, and so is all that is beside a round surface.
func (p *Picture) At(place Place) error {
	if p.stack.base == nil {
		return errors.New("field: picture without metal; call On first")
	}
	if place.Gap != place.Gap || math.IsInf(place.Gap, 0) || place.Tilt != place.Tilt || place.EdgeDistance != place.EdgeDistance {
		return fmt.Errorf("field: picture of the place %+v, expected numbers", place)
	}
	h := p.head
	p.place = place
	p.place.Gap = max(place.Gap, h.sensor.scale.least)
	tilt := max(-MaxTilt, min(MaxTilt, place.Tilt))
	p.sin, p.cos = math.Sincos(tilt)
	p.lift = p.place.Gap + h.sensor.head.RimLift(math.Abs(tilt))
	p.Section = place.Curvature[0]
	p.EdgeAt = math.Inf(1)
	p.Slant, p.Ground = 0, Even()
	switch {
	case p.Section != 0:
	case place.EdgeDistance < h.frame.Half:
		p.EdgeAt = max(place.EdgeDistance, 0)
		p.setEdge(place.AirAngle)
	default:
		p.setGround(&place.Beside)
	}
	p.solve()
	p.enter()
	p.scatter()
	p.flow()
	p.trace()
	return nil
}

// solve finds the charges of the core over the flat stack at the gap.
func (p *Picture) solve() {
	h, s := p.head, p.head.sensor.spectrum
	over := p.overMetal()
	for k, a := range s.a {
		f := over * s.w[k] * math.Exp(-2*a*p.lift) / (4 * math.Pi)
		p.answer[k] = complex(f*real(p.stack.gamma[k]), f*imag(p.stack.gamma[k]))
	}
	s.solveCharges(p.answer, nil, p.work)
	sum := complex(0, 0)
	for j := range chargeCount - 1 {
		p.charges[j] = p.work.unknowns[j]
		sum += p.charges[j]
	}
	p.charges[chargeCount-1] = -sum
	n := copy(p.ring, h.windingField)
	for j := range ringCharges {
		q := real(p.charges[j])
		for i, f := range h.ringField[j][:n] {
			p.ring[i] += q * f
		}
	}
	for i := range p.lumps {
		l, from := &p.lumps[i], &h.lumps[i]
		l.q = complex(from.weight, 0)
		if from.node >= 0 {
			for j, share := range h.spread[from.node*chargeCount : (from.node+1)*chargeCount] {
				l.q += complex(share*real(p.charges[j]), share*imag(p.charges[j]))
			}
		}
		l.x, l.z = p.toSurface(from.at.x, from.at.z)
		l.y = from.at.y
		p.upright[i] = lump{x: from.at.x, y: from.at.y, z: from.at.z + p.lift, q: l.q}
	}
}

// toSurface turns a place in the head (x across, z above the contact point) into the frame of the surface: the head
// rolls on its tip sphere.
func (p *Picture) toSurface(x, z float64) (float64, float64) {
	r := p.head.sensor.head.TipRadius
	z -= r
	return x*p.cos + z*p.sin, p.lift + r + z*p.cos - x*p.sin
}

// toHead is the inverse of toSurface.
func (p *Picture) toHead(x, z float64) (float64, float64) {
	r := p.head.sensor.head.TipRadius
	z -= p.lift + r
	return x*p.cos - z*p.sin, z*p.cos + x*p.sin + r
}

// bend turns a place along and above the surface into the section: the same thing over flat metal.
func (p *Picture) bend(s, n float64) (x, z float64) {
	if p.Section == 0 {
		return s, n
	}
	r := 1 / p.Section
	sin, cos := math.Sincos(s * p.Section)
	return (r + n) * sin, (r+n)*cos - r
}

// Bent returns where a place along and above the surface lies in the section: the same thing over flat metal.
func (p *Picture) Bent(along, above float64) Spot {
	x, z := p.bend(along, above)
	return Spot{x, z}
}

// unbend is the inverse of bend.
func (p *Picture) unbend(x, z float64) (s, n float64) {
	if p.Section == 0 {
		return x, z
	}
	r := 1 / p.Section
	size, sign := math.Abs(r), 1.0
	if r < 0 {
		sign = -1
	}
	away := math.Hypot(x, z+r)
	return math.Atan2(x, sign*(z+r)) * size, sign * (away - size)
}

// inMetal tells whether a place along and above the surface is below it.
func (p *Picture) inMetal(s, n float64) bool {
	if !p.Ground.Even() {
		return n < p.Ground.Level(s)
	}
	return n < 0 && s < p.FaceAt(n)
}

// FaceAt returns the x of the edge's face at a height, at most 0, over the surface.
func (p *Picture) FaceAt(height float64) float64 { return p.EdgeAt - p.Slant*height }

// even reports whether there is neither an edge nor a ground in the frame.
func (p *Picture) even() bool { return math.IsInf(p.EdgeAt, 1) && p.Ground.Even() }
