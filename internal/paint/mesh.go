package paint

import (
	"image"
	"math"
)

// Vertex is a corner in device pixels. U, V are a place in the atlas in texels; R, G, B, A is the premultiplied colour,
// 0..1, by which the atlas's coverage is multiplied.
type Vertex struct{ X, Y, U, V, R, G, B, A float32 }

// Batch is a run of triangles, three indices each, to be painted in order.
type Batch struct {
	Vertices []Vertex
	Indices  []uint16
}

// batchRoom is how many vertices a batch may hold before a new shape starts another; the rest of the 65536 is room for
// the shape itself and for corners made by clipping.
const batchRoom = 40000

type ink struct{ r, g, b, a float32 }

func premultiply(c Color) ink {
	a := float32(c.A) / 255
	return ink{float32(c.R) / 255 * a, float32(c.G) / 255 * a, float32(c.B) / 255 * a, a}
}

func (i ink) scaled(s float32) ink { return ink{i.r * s, i.g * s, i.b * s, i.a * s} }

type span struct{ v0, v1, i0, i1 int }

type box struct{ x0, y0, x1, y1 float32 }

// Painter turns lists into meshes and pictures. It holds the glyph atlas and its working memory; it is for one goroutine.
type Painter struct {
	atlas   *atlas
	verts   []Vertex
	idx     []uint16
	spans   []span
	batches []Batch
	base    int // first vertex of the open batch

	scale  float32
	clips  []box
	clip   box
	pts    []point32
	ring   []point32
	piece  []point32
	xs     []float32
	ears   []int32
	cutIn  []Vertex
	cutOut []Vertex
	loose  []Vertex
	opV0   int // where the shape in work began
	opI0   int
}

// NewPainter returns a painter with an empty atlas.
func NewPainter() *Painter { return &Painter{atlas: newAtlas(1024)} }

// Mesh returns the triangles that paint the list on a surface of w by h device pixels, with scale device pixels to the
// logical pixel. The result is valid until the next call. Glyphs seen for the first time are added to the atlas: call
// Atlas afterwards.
func (p *Painter) Mesh(l *List, w, h int, scale float64) []Batch {
	for try := 0; ; try++ {
		p.build(l, w, h, scale)
		if !p.atlas.full || try > 3 {
			break
		}
		// A first overflow drops what earlier frames left; only a frame that overflows by itself gets a larger atlas.
		if try > 0 {
			p.atlas.size *= 2
		}
		p.atlas.clear()
	}
	p.batches = p.batches[:0]
	for _, s := range p.spans {
		if s.i1 > s.i0 {
			p.batches = append(p.batches, Batch{p.verts[s.v0:s.v1], p.idx[s.i0:s.i1]})
		}
	}
	return p.batches
}

// Atlas returns the coverage bytes of the square atlas, its side in texels, and the part changed since the last call.
func (p *Painter) Atlas() (coverage []byte, size int, changed image.Rectangle) {
	changed = p.atlas.dirty
	p.atlas.dirty = image.Rectangle{}
	return p.atlas.pix, p.atlas.size, changed
}

func (p *Painter) build(l *List, w, h int, scale float64) {
	p.verts, p.idx, p.spans = p.verts[:0], p.idx[:0], p.spans[:0]
	p.scale = float32(scale)
	p.clips = p.clips[:0]
	p.clip = box{0, 0, float32(w), float32(h)}
	p.base = 0
	p.spans = append(p.spans, span{})
	for i := range l.ops {
		o := &l.ops[i]
		switch o.kind {
		case opPushClip:
			p.clips = append(p.clips, p.clip)
			b := p.snap(o.a, o.b, o.c, o.d)
			p.clip = box{max(p.clip.x0, b.x0), max(p.clip.y0, b.y0), min(p.clip.x1, b.x1), min(p.clip.y1, b.y1)}
			continue
		case opPopClip:
			p.clip = p.clips[len(p.clips)-1]
			p.clips = p.clips[:len(p.clips)-1]
			continue
		}
		if p.clip.x1 <= p.clip.x0 || p.clip.y1 <= p.clip.y0 || p.outside(o) {
			continue
		}
		p.opV0, p.opI0 = len(p.verts), len(p.idx)
		p.room()
		p.shape(l, o)
		p.clipShape()
	}
	p.closeSpan()
}

// outside reports whether a shape surely lies above or below the clip, as most
// of a long page that is scrolled does, so that nothing need be made of it.
func (p *Painter) outside(o *op) bool {
	var top, bottom float32
	switch o.kind {
	case opRect, opGradient, opRoundRect, opRoundFrame:
		b := p.snap(o.a, o.b, o.c, o.d)
		top, bottom = b.y0, b.y1
	case opText: // b is the baseline, c the size; no glyph reaches so far from its line
		top, bottom = (o.b-1.5*o.c)*p.scale, (o.b+o.c)*p.scale
	default:
		return false
	}
	return top >= p.clip.y1+1 || bottom <= p.clip.y0-1
}

// room starts a new batch if the open one is nearly full. It must not be called between vertices that belong together.
func (p *Painter) room() {
	if len(p.verts)-p.base <= batchRoom {
		return
	}
	p.clipShape()
	p.closeSpan()
	p.opV0, p.opI0 = len(p.verts), len(p.idx)
}

func (p *Painter) closeSpan() {
	s := &p.spans[len(p.spans)-1]
	s.v1, s.i1 = len(p.verts), len(p.idx)
	p.base = len(p.verts)
	p.spans = append(p.spans, span{s.v1, s.v1, s.i1, s.i1})
}

// snap returns the rectangle at whole device pixels, at least one in each direction that was not zero.
func (p *Painter) snap(x, y, w, h float32) box {
	b := box{round(x * p.scale), round(y * p.scale), round((x + w) * p.scale), round((y + h) * p.scale)}
	if w > 0 && b.x1 <= b.x0 {
		b.x1 = b.x0 + 1
	}
	if h > 0 && b.y1 <= b.y0 {
		b.y1 = b.y0 + 1
	}
	return b
}

func round(v float32) float32 { return float32(math.Floor(float64(v) + 0.5)) }

func (p *Painter) vertex(x, y float32, c ink) uint16 {
	i := len(p.verts) - p.base
	p.verts = append(p.verts, Vertex{x, y, whitePatch / 2.0, whitePatch / 2.0, c.r, c.g, c.b, c.a})
	return uint16(i)
}

func (p *Painter) triangle(a, b, c uint16) { p.idx = append(p.idx, a, b, c) }

func (p *Painter) quad(a, b, c, d uint16) { p.idx = append(p.idx, a, b, c, a, c, d) }

func (p *Painter) plainRect(b box, c, d ink, downward bool) {
	e, f := d, c
	if downward {
		e, f = c, d
	}
	p.quad(p.vertex(b.x0, b.y0, c), p.vertex(b.x1, b.y0, e), p.vertex(b.x1, b.y1, d), p.vertex(b.x0, b.y1, f))
}

func (p *Painter) load(pts []point32) []point32 {
	p.pts = p.pts[:0]
	for _, q := range pts {
		q = point32{q.x * p.scale, q.y * p.scale}
		if n := len(p.pts); n > 0 {
			dx, dy := q.x-p.pts[n-1].x, q.y-p.pts[n-1].y
			if dx*dx+dy*dy < 1e-4 {
				continue
			}
		}
		p.pts = append(p.pts, q)
	}
	return p.pts
}

func (p *Painter) shape(l *List, o *op) {
	c := premultiply(o.color)
	s := p.scale
	switch o.kind {
	case opRect:
		p.plainRect(p.snap(o.a, o.b, o.c, o.d), c, c, true)
	case opGradient:
		p.plainRect(p.snap(o.a, o.b, o.c, o.d), c, premultiply(o.color2), o.closed)
	case opRoundRect:
		b := p.snap(o.a, o.b, o.c, o.d)
		if o.e <= 0 {
			p.plainRect(b, c, c, true)
			return
		}
		p.fillConvex(p.roundedRing(b, o.e*s, 0), c)
	case opRoundFrame:
		b := p.snap(o.a, o.b, o.c, o.d)
		w := max(round(o.f*s), 1)
		w = min(w, (b.x1-b.x0)/2, (b.y1-b.y0)/2)
		if o.e <= 0 {
			p.plainRect(box{b.x0, b.y0, b.x1, b.y0 + w}, c, c, true)
			p.plainRect(box{b.x0, b.y1 - w, b.x1, b.y1}, c, c, true)
			p.plainRect(box{b.x0, b.y0 + w, b.x0 + w, b.y1 - w}, c, c, true)
			p.plainRect(box{b.x1 - w, b.y0 + w, b.x1, b.y1 - w}, c, c, true)
			return
		}
		p.stroke(p.roundedRing(b, o.e*s, w/2), true, w, c)
	case opRule:
		p.rule(o, c)
	case opPolyline:
		pts := p.load(l.points[o.lo:o.hi])
		if o.b > 0 {
			p.dashes(pts, o.a*s, o.b*s, max(o.c*s, 1), c)
			return
		}
		p.longStroke(pts, o.closed, o.a*s, c)
	case opPolygon:
		pts := p.load(l.points[o.lo:o.hi])
		if n := len(pts); n > 1 && pts[0] == pts[n-1] {
			pts = pts[:n-1]
		}
		p.fill(pts, c)
	case opDisc:
		p.fillConvex(p.arcPoints(o.a*s, o.b*s, o.c*s, 0, 2*math.Pi, true), c)
	case opArc:
		full := o.e-o.d >= 2*math.Pi-1e-4
		p.stroke(p.arcPoints(o.a*s, o.b*s, o.c*s, o.d, o.e, full), full, o.f*s, c)
	case opSector:
		pts := p.arcPoints(o.a*s, o.b*s, o.c*s, o.d, o.e, false)
		p.ring = append(pts, point32{o.a * s, o.b * s})
		p.fill(p.ring, c)
	case opHatch:
		p.hatch(l.points[o.lo:o.hi], o.a*s, o.b, o.c*s, c)
	case opText:
		p.writeText(l.text[o.lo:o.hi], o, c, false)
	case opTextUp:
		p.writeText(l.text[o.lo:o.hi], o, c, true)
	case opTriangles:
		sh := l.shades[o.lo:o.hi]
		for ; len(sh) >= 3; sh = sh[3:] {
			a := p.vertex(sh[0].x*s, sh[0].y*s, premultiply(sh[0].color))
			b := p.vertex(sh[1].x*s, sh[1].y*s, premultiply(sh[1].color))
			d := p.vertex(sh[2].x*s, sh[2].y*s, premultiply(sh[2].color))
			p.triangle(a, b, d)
			p.room()
		}
	}
}

func (p *Painter) rule(o *op, c ink) {
	s := p.scale
	w := max(round(o.e*s), 1)
	x0, y0, x1, y1 := min(o.a, o.c)*s, min(o.b, o.d)*s, max(o.a, o.c)*s, max(o.b, o.d)*s
	if x1-x0 >= y1-y0 {
		y := round((y0+y1)/2 - w/2)
		p.plainRect(box{round(x0), y, round(x1), y + w}, c, c, true)
		return
	}
	x := round((x0+x1)/2 - w/2)
	p.plainRect(box{x, round(y0), x + w, round(y1)}, c, c, true)
}

// arcPoints returns points on a circle close enough together that no chord is seen.
func (p *Painter) arcPoints(x, y, r, from, to float32, full bool) []point32 {
	sweep := float64(to - from)
	n := int(math.Ceil(math.Abs(sweep) / (2 * math.Acos(1-min(0.1/float64(max(r, 1)), 0.5)))))
	n = min(max(n, 8), 400)
	p.ring = p.ring[:0]
	last := n
	if full {
		last = n - 1
	}
	for i := 0; i <= last; i++ {
		sin, cos := math.Sincos(float64(from) + sweep*float64(i)/float64(n))
		p.ring = append(p.ring, point32{x + r*float32(cos), y + r*float32(sin)})
	}
	return p.ring
}

// roundedRing is the contour of a rounded rectangle moved inward by inset.
func (p *Painter) roundedRing(b box, radius, inset float32) []point32 {
	radius = min(radius, (b.x1-b.x0)/2, (b.y1-b.y0)/2)
	b = box{b.x0 + inset, b.y0 + inset, b.x1 - inset, b.y1 - inset}
	radius = max(radius-inset, 0.01)
	n := min(max(int(radius), 2), 16)
	p.ring = p.ring[:0]
	corner := func(x, y float32, from float64) {
		for i := 0; i <= n; i++ {
			sin, cos := math.Sincos(from + math.Pi/2*float64(i)/float64(n))
			p.ring = append(p.ring, point32{x + radius*float32(cos), y + radius*float32(sin)})
		}
	}
	corner(b.x1-radius, b.y0+radius, -math.Pi/2)
	corner(b.x1-radius, b.y1-radius, 0)
	corner(b.x0+radius, b.y1-radius, math.Pi/2)
	corner(b.x0+radius, b.y0+radius, math.Pi)
	return p.ring
}
