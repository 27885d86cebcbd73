package paint

import (
	"math"
	"unicode/utf8"
)

// writeText places a quad for each rune, at quarter pixels along the line and whole pixels across it.
func (p *Painter) writeText(text []byte, o *op, c ink, up bool) {
	size := float64(o.c) * float64(p.scale)
	step := size / unitsPerEm
	key := glyphKey{face: o.face, size: uint16(min(math.Round(size*4), 8000))}
	pen := float64(o.a) * float64(p.scale)
	line := math.Round(float64(o.b) * float64(p.scale))
	if up {
		pen = -float64(o.b) * float64(p.scale)
		line = math.Round(float64(o.a) * float64(p.scale))
	}
	for len(text) > 0 {
		r, n := utf8.DecodeRune(text)
		text = text[n:]
		quarter := math.Floor(pen*4 + 0.5)
		whole := math.Floor(quarter / 4)
		key.r, key.phase = r, uint8(quarter-whole*4)
		g := p.atlas.glyph(key)
		if g.w > 0 {
			p.glyphQuad(g, float32(whole)+float32(g.left), float32(line), c, up)
		}
		pen += float64(o.face.advance(r)) * step
	}
}

func (p *Painter) glyphQuad(g glyph, along, line float32, c ink, up bool) {
	p.room()
	u0, v0 := float32(g.u), float32(g.v)
	u1, v1 := u0+float32(g.w), v0+float32(g.h)
	a0, a1 := along, along+float32(g.w)
	b0 := line - float32(g.ascent)
	b1 := b0 + float32(g.h)
	i := uint16(len(p.verts) - p.base)
	add := func(a, b, u, v float32) {
		x, y := a, b
		if up {
			x, y = b, -a
		}
		p.verts = append(p.verts, Vertex{x, y, u, v, c.r, c.g, c.b, c.a})
	}
	add(a0, b0, u0, v0)
	add(a1, b0, u1, v0)
	add(a1, b1, u1, v1)
	add(a0, b1, u0, v1)
	p.quad(i, i+1, i+2, i+3)
}
