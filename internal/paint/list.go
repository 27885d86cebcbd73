package paint

import "math"

type opKind uint8

const (
	opRect opKind = iota
	opRoundRect
	opRoundFrame
	opGradient
	opPolyline
	opRule
	opPolygon
	opDisc
	opArc
	opSector
	opHatch
	opText
	opTextUp
	opTriangles
	opPushClip
	opPopClip
)

// op is one entry of a list. What a..f mean depends on the kind; lo and hi bound its points or its text bytes.
type op struct {
	kind             opKind
	face             Face
	closed           bool
	color, color2    Color
	a, b, c, d, e, f float32
	lo, hi           int32
}

type point32 struct{ x, y float32 }

type shade struct {
	x, y  float32
	color Color
}

// List is a display list in logical pixels. The zero value is ready. Shapes are painted in the order they were added.
// A list that is Reset and filled again with as much does not allocate.
type List struct {
	ops    []op
	points []point32
	shades []shade
	text   []byte
	depth  int
}

// Reset empties the list and keeps its memory.
func (l *List) Reset() {
	l.ops, l.points, l.shades, l.text, l.depth = l.ops[:0], l.points[:0], l.shades[:0], l.text[:0], 0
}

// Len is the number of entries.
func (l *List) Len() int { return len(l.ops) }

// Hash is a digest of all that the list would paint; equal lists have equal hashes within a process and between processes.
func (l *List) Hash() uint64 {
	h := uint64(0x9e3779b97f4a7c15)
	mix := func(v uint64) {
		h = (h ^ v) * 0xff51afd7ed558ccd
		h ^= h >> 32
	}
	two := func(a, b float32) { mix(uint64(math.Float32bits(a))<<32 | uint64(math.Float32bits(b))) }
	for i := range l.ops {
		o := &l.ops[i]
		kind := uint64(o.kind)<<8 | uint64(o.face)<<1
		if o.closed {
			kind |= 1
		}
		mix(kind<<32 ^ uint64(uint32(o.hi-o.lo)))
		mix(uint64(o.color.word())<<32 | uint64(o.color2.word()))
		two(o.a, o.b)
		two(o.c, o.d)
		two(o.e, o.f)
	}
	for _, p := range l.points {
		two(p.x, p.y)
	}
	for _, s := range l.shades {
		two(s.x, s.y)
		mix(uint64(s.color.word()))
	}
	b := l.text
	for ; len(b) >= 8; b = b[8:] {
		mix(uint64(b[0]) | uint64(b[1])<<8 | uint64(b[2])<<16 | uint64(b[3])<<24 |
			uint64(b[4])<<32 | uint64(b[5])<<40 | uint64(b[6])<<48 | uint64(b[7])<<56)
	}
	for _, c := range b {
		mix(uint64(c))
	}
	return h
}

func (c Color) word() uint32 {
	return uint32(c.R)<<24 | uint32(c.G)<<16 | uint32(c.B)<<8 | uint32(c.A)
}

func (l *List) add(o op) { l.ops = append(l.ops, o) }

func (l *List) addPoints(pts []Point) (lo, hi int32) {
	lo = int32(len(l.points))
	for _, p := range pts {
		l.points = append(l.points, point32{float32(p.X), float32(p.Y)})
	}
	return lo, int32(len(l.points))
}

func (l *List) addText(s string) (lo, hi int32) {
	lo = int32(len(l.text))
	l.text = append(l.text, s...)
	return lo, int32(len(l.text))
}

// Texts lists what is written in the list, piece by piece, for tests of what is shown.
func (l *List) Texts() []string {
	var list []string
	for i := range l.ops {
		if o := &l.ops[i]; o.kind == opText {
			list = append(list, string(l.text[o.lo:o.hi]))
		}
	}
	return list
}
