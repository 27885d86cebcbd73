package paint

import (
	"image"
	"math"
)

// Render paints the list in software on a new picture of w by h logical pixels with scale device pixels each; what the
// list leaves open stays transparent.
func Render(l *List, w, h int, scale float64) *image.RGBA {
	p := NewPainter()
	dst := image.NewRGBA(image.Rect(0, 0, int(math.Ceil(float64(w)*scale)), int(math.Ceil(float64(h)*scale))))
	p.Render(dst, l, scale)
	return dst
}

// Render paints the list over dst, whose bounds must start at 0, 0.
func (p *Painter) Render(dst *image.RGBA, l *List, scale float64) {
	for _, b := range p.Mesh(l, dst.Rect.Dx(), dst.Rect.Dy(), scale) {
		for i := 0; i+2 < len(b.Indices); i += 3 {
			p.rasterTriangle(dst, &b.Vertices[b.Indices[i]], &b.Vertices[b.Indices[i+1]], &b.Vertices[b.Indices[i+2]])
		}
	}
}

// rasterTriangle covers the pixels whose centres lie inside, those on a left or top edge included, so that triangles
// sharing an edge neither overlap nor leave a gap: the rule graphics cards follow.
func (p *Painter) rasterTriangle(dst *image.RGBA, a, b, c *Vertex) {
	if b.Y < a.Y {
		a, b = b, a
	}
	if c.Y < b.Y {
		b, c = c, b
		if b.Y < a.Y {
			a, b = b, a
		}
	}
	det := (b.X-a.X)*(c.Y-a.Y) - (c.X-a.X)*(b.Y-a.Y)
	if det == 0 {
		return
	}
	gradX := func(fa, fb, fc float32) float32 { return ((fb-fa)*(c.Y-a.Y) - (fc-fa)*(b.Y-a.Y)) / det }
	gradY := func(fa, fb, fc float32) float32 { return ((fc-fa)*(b.X-a.X) - (fb-fa)*(c.X-a.X)) / det }
	plain := a.R == b.R && a.R == c.R && a.G == b.G && a.G == c.G && a.B == b.B && a.B == c.B && a.A == b.A && a.A == c.A
	white := a.U == b.U && a.V == b.V && a.U == c.U && a.V == c.V
	y0 := max(int(math.Ceil(float64(a.Y)-0.5)), 0)
	y1 := min(int(math.Ceil(float64(c.Y)-0.5)), dst.Rect.Dy())
	var t tones
	if plain {
		t.fixed(a)
		if t.a == 0 {
			return
		}
	}
	for y := y0; y < y1; y++ {
		fy := float32(y) + 0.5
		xl := edge(a, c, fy)
		xr := xl
		if fy < b.Y {
			xr = edge(a, b, fy)
		} else {
			xr = edge(b, c, fy)
		}
		if xl > xr {
			xl, xr = xr, xl
		}
		x0 := max(int(math.Ceil(float64(xl)-0.5)), 0)
		x1 := min(int(math.Ceil(float64(xr)-0.5)), dst.Rect.Dx())
		if x0 >= x1 {
			continue
		}
		row := dst.Pix[y*dst.Stride+x0*4 : y*dst.Stride+x1*4]
		fx := float32(x0) + 0.5 - a.X
		dy := fy - a.Y
		switch {
		case plain && white:
			t.run(row)
		case plain:
			u := a.U + gradX(a.U, b.U, c.U)*fx + gradY(a.U, b.U, c.U)*dy
			v := a.V + gradX(a.V, b.V, c.V)*fx + gradY(a.V, b.V, c.V)*dy
			p.glyphRun(row, &t, u, v, gradX(a.U, b.U, c.U), gradX(a.V, b.V, c.V))
		default:
			shadeRun(row,
				a.R+gradX(a.R, b.R, c.R)*fx+gradY(a.R, b.R, c.R)*dy, gradX(a.R, b.R, c.R),
				a.G+gradX(a.G, b.G, c.G)*fx+gradY(a.G, b.G, c.G)*dy, gradX(a.G, b.G, c.G),
				a.B+gradX(a.B, b.B, c.B)*fx+gradY(a.B, b.B, c.B)*dy, gradX(a.B, b.B, c.B),
				a.A+gradX(a.A, b.A, c.A)*fx+gradY(a.A, b.A, c.A)*dy, gradX(a.A, b.A, c.A))
		}
	}
}

// edge is where the side between two corners crosses a height; both triangles at the side compute it from the same end.
func edge(a, b *Vertex, y float32) float32 {
	return a.X + (b.X-a.X)*((y-a.Y)/(b.Y-a.Y))
}

// tones is a premultiplied colour in 0..255.
type tones struct{ r, g, b, a uint32 }

func (t *tones) fixed(v *Vertex) {
	*t = tones{tone(v.R), tone(v.G), tone(v.B), tone(v.A)}
}

func tone(f float32) uint32 { return uint32(min(max(f, 0), 1)*255 + 0.5) }

func (t *tones) run(row []byte) {
	if t.a == 255 {
		for i := 0; i+3 < len(row); i += 4 {
			row[i], row[i+1], row[i+2], row[i+3] = byte(t.r), byte(t.g), byte(t.b), 255
		}
		return
	}
	for i := 0; i+3 < len(row); i += 4 {
		over(row[i:i+4:i+4], t.r, t.g, t.b, t.a)
	}
}

func over(px []byte, r, g, b, a uint32) {
	keep := 255 - a
	px[0] = byte(min(r+(uint32(px[0])*keep+127)/255, 255))
	px[1] = byte(min(g+(uint32(px[1])*keep+127)/255, 255))
	px[2] = byte(min(b+(uint32(px[2])*keep+127)/255, 255))
	px[3] = byte(min(a+(uint32(px[3])*keep+127)/255, 255))
}

func (p *Painter) glyphRun(row []byte, t *tones, u, v, du, dv float32) {
	size := p.atlas.size
	for i := 0; i+3 < len(row); i += 4 {
		x, y := int(u), int(v)
		u += du
		v += dv
		if uint(x) >= uint(size) || uint(y) >= uint(size) {
			continue
		}
		cover := uint32(p.atlas.pix[y*size+x])
		if cover == 0 {
			continue
		}
		over(row[i:i+4:i+4], (t.r*cover+127)/255, (t.g*cover+127)/255, (t.b*cover+127)/255, (t.a*cover+127)/255)
	}
}

func shadeRun(row []byte, r, dr, g, dg, b, db, a, da float32) {
	for i := 0; i+3 < len(row); i += 4 {
		over(row[i:i+4:i+4], tone(r), tone(g), tone(b), tone(a))
		r, g, b, a = r+dr, g+dg, b+db, a+da
	}
}
