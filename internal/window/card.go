package window

import (
	"image"
	"slices"

	"github.com/hajimehoshi/ebiten/v2"

	"foilwright/internal/paint"
)

// card brings meshes and the glyph atlas to the graphics card.
type card struct {
	atlas    *ebiten.Image
	size     int
	vertices []ebiten.Vertex
	texels   []byte
}

func (c *card) paint(screen *ebiten.Image, p *paint.Painter, l *paint.List, scale float64) {
	b := screen.Bounds()
	batches := p.Mesh(l, b.Dx(), b.Dy(), scale)
	c.upload(p.Atlas())
	screen.Clear()
	o := &ebiten.DrawTrianglesOptions{ColorScaleMode: ebiten.ColorScaleModePremultipliedAlpha, DisableMipmaps: true}
	for _, batch := range batches {
		c.vertices = c.vertices[:0]
		for _, v := range batch.Vertices {
			c.vertices = append(c.vertices, ebiten.Vertex{DstX: v.X, DstY: v.Y, SrcX: v.U, SrcY: v.V,
				ColorR: v.R, ColorG: v.G, ColorB: v.B, ColorA: v.A})
		}
		screen.DrawTriangles(c.vertices, batch.Indices, c.atlas, o)
	}
}

// upload sends the changed part of the atlas, whole rows of it, as white of that coverage.
func (c *card) upload(coverage []byte, size int, changed image.Rectangle) {
	switch {
	case c.atlas == nil:
		c.atlas, c.size = ebiten.NewImage(size, size), size
	case c.size != size:
		c.atlas.Deallocate()
		c.atlas, c.size = ebiten.NewImage(size, size), size
		changed = image.Rect(0, 0, size, size)
	}
	if changed.Empty() {
		return
	}
	n := 4 * changed.Dx() * changed.Dy()
	c.texels = slices.Grow(c.texels[:0], n)[:n]
	rest := c.texels
	for y := changed.Min.Y; y < changed.Max.Y; y++ {
		for _, a := range coverage[y*size+changed.Min.X : y*size+changed.Max.X] {
			rest[0], rest[1], rest[2], rest[3] = a, a, a, a
			rest = rest[4:]
		}
	}
	c.atlas.SubImage(changed).(*ebiten.Image).WritePixels(c.texels)
}
