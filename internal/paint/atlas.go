package paint

import (
	"image"
	"image/draw"
	"math"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// Glyphs are rasterised once for each face, size, rune and quarter-pixel of horizontal place, and kept in one square of
// coverage bytes beside a white patch for plain shapes, so that a whole frame is painted from one texture.

type glyphKey struct {
	r     rune
	size  uint16 // device pixels per em, in quarters
	face  Face
	phase uint8 // quarters of a pixel
}

type glyph struct {
	u, v, w, h   int // place and size in the atlas; w 0 for blanks
	left, ascent int // from the pen to the left edge; from the baseline up to the top edge
}

const whitePatch = 3

type atlas struct {
	size          int
	pix           []byte
	glyphs        map[glyphKey]glyph
	x, y, shelf   int
	dirty         image.Rectangle
	full          bool
	buf           sfnt.Buffer
	raster        vector.Rasterizer
	scratch       image.Alpha
	uniform       *image.Uniform
	scratchBuffer []byte
}

func newAtlas(size int) *atlas {
	a := &atlas{size: size, uniform: image.Opaque}
	a.clear()
	a.dirty = image.Rect(0, 0, whitePatch, whitePatch) // the rest is empty, as a new texture is
	return a
}

// clear forgets all glyphs.
func (a *atlas) clear() {
	a.pix = make([]byte, a.size*a.size)
	a.glyphs = make(map[glyphKey]glyph, 512)
	for y := range whitePatch {
		for x := range whitePatch {
			a.pix[y*a.size+x] = 255
		}
	}
	a.x, a.y, a.shelf = whitePatch+1, 0, whitePatch+1
	a.dirty = image.Rect(0, 0, a.size, a.size)
	a.full = false
}

func (a *atlas) glyph(k glyphKey) glyph {
	if g, ok := a.glyphs[k]; ok {
		return g
	}
	g, ok := a.rasterise(k)
	if ok {
		a.glyphs[k] = g
	}
	return g
}

// rasterise draws a glyph into a free place; ok is false when the atlas is full.
func (a *atlas) rasterise(k glyphKey) (g glyph, ok bool) {
	lf := k.face.load()
	index, err := lf.font.GlyphIndex(&a.buf, shown(k.r))
	if err != nil {
		return glyph{}, true
	}
	segments, err := lf.font.LoadGlyph(&a.buf, index, fixed.Int26_6(int(k.size)*16), nil)
	if err != nil || len(segments) == 0 {
		return glyph{}, true
	}
	bounds := segments.Bounds()
	shift := float32(k.phase) / 4
	left := int(math.Floor(float64(bounds.Min.X)/64 + float64(shift)))
	right := int(math.Ceil(float64(bounds.Max.X)/64 + float64(shift)))
	top := int(math.Floor(float64(bounds.Min.Y) / 64))
	bottom := int(math.Ceil(float64(bounds.Max.Y) / 64))
	w, h := right-left, bottom-top
	if w <= 0 || h <= 0 {
		return glyph{}, true
	}
	if a.x+w+1 > a.size {
		a.x, a.y, a.shelf = 0, a.y+a.shelf, 0
	}
	if a.y+h+1 > a.size || w+1 > a.size {
		a.full = true
		return glyph{}, false
	}
	dx, dy := shift-float32(left), -float32(top)
	x := func(p fixed.Point26_6) float32 { return float32(p.X)/64 + dx }
	y := func(p fixed.Point26_6) float32 { return float32(p.Y)/64 + dy }
	a.raster.Reset(w, h)
	a.raster.DrawOp = draw.Src
	for _, s := range segments {
		p := s.Args
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			a.raster.MoveTo(x(p[0]), y(p[0]))
		case sfnt.SegmentOpLineTo:
			a.raster.LineTo(x(p[0]), y(p[0]))
		case sfnt.SegmentOpQuadTo:
			a.raster.QuadTo(x(p[0]), y(p[0]), x(p[1]), y(p[1]))
		case sfnt.SegmentOpCubeTo:
			a.raster.CubeTo(x(p[0]), y(p[0]), x(p[1]), y(p[1]), x(p[2]), y(p[2]))
		}
	}
	a.raster.ClosePath()
	if len(a.scratchBuffer) < w*h {
		a.scratchBuffer = make([]byte, w*h)
	}
	a.scratch = image.Alpha{Pix: a.scratchBuffer[:w*h], Stride: w, Rect: image.Rect(0, 0, w, h)}
	a.raster.Draw(&a.scratch, a.scratch.Rect, a.uniform, image.Point{})
	for row := range h {
		copy(a.pix[(a.y+row)*a.size+a.x:][:w], a.scratch.Pix[row*w:][:w])
	}
	g = glyph{u: a.x, v: a.y, w: w, h: h, left: left, ascent: -top}
	a.dirty = a.dirty.Union(image.Rect(a.x, a.y, a.x+w, a.y+h))
	a.x += w + 1
	a.shelf = max(a.shelf, h+1)
	return g, true
}
