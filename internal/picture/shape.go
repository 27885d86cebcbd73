package picture

import (
	"math"

	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/sim/part"
)

// shapeAbove draws on a plan what the surface is: bent, rough, holed, stepped,
// welded.
func (p *Pen) shapeAbove(pl Plan, piece *part.Piece) {
	l := p.List
	l.PushClip(pl.Outline)
	p.shade(pl, piece)
	p.grain(pl, piece.Texture)
	for i := range piece.Features {
		p.featureAbove(pl, &piece.Features[i])
	}
	l.PopClip()
	p.sidesAbove(pl, piece)
}

// shade darkens a bent surface away from its middle line, as light from above
// would. The plan shows it unrolled.
func (p *Pen) shade(pl Plan, piece *part.Piece) {
	const strips = 24
	o := pl.Outline
	for _, along := range [2]bool{false, true} {
		radius, length := piece.RadiusY, pl.Height
		if along {
			radius, length = piece.RadiusX, pl.Width
		}
		if radius == 0 {
			continue
		}
		for i := range strips {
			from := (float64(i) + 0.5) / strips
			angle := min(math.Pi/2, math.Abs((from-0.5)*length/(radius*1e3)))
			c := p.Inks.Ink.Fade(0.3 * (1 - math.Cos(angle)))
			if along {
				l, w := o.X+o.W*float64(i)/strips, o.W/strips
				p.List.Rect(paint.R(l, o.Y, w, o.H), c)
			} else {
				t, h := o.Y+o.H*float64(i)/strips, o.H/strips
				p.List.Rect(paint.R(o.X, t, o.W, h), c)
			}
		}
	}
}

// grain strews a blasted or machined surface with dots, denser where it is
// rougher.
func (p *Pen) grain(pl Plan, t part.Texture) {
	if !t.Rough() {
		return
	}
	o := pl.Outline
	step := p.Size * (1.1 - 0.5*min(1, t.RzUm/120))
	dot := max(1, p.Size*(0.06+0.08*min(1, t.RzUm/120)))
	c := p.Inks.Ink.Fade(0.3)
	for y, row := o.Y+step/2, 0; y < o.Bottom(); y, row = y+step, row+1 {
		for x, k := o.X+step/2, 0; x < o.Right(); x, k = x+step, k+1 {
			// Offsets without a pattern the eye would find.
			dx, dy := float64((row*37+k*61)%17)/17-0.5, float64((row*53+k*29)%19)/19-0.5
			p.List.Rect(paint.R(x+dx*step, y+dy*step, dot, dot), c)
		}
	}
}

func (p *Pen) featureAbove(pl Plan, f *part.Feature) {
	l, k, o := p.List, p.Inks, pl.Outline
	if f.Kind == part.Hole {
		c := pl.At(f.X*1e3, f.Y*1e3)
		radius := f.Radius * 1e3 * pl.Scale
		l.Disc(c.X, c.Y, radius, k.Paper)
		l.Ring(c.X, c.Y, radius, p.line()*1.5, k.Ink)
		l.Line(c.X-radius*1.25, c.Y, c.X+radius*1.25, c.Y, 1, k.Soft)
		l.Line(c.X, c.Y-radius*1.25, c.X, c.Y+radius*1.25, 1, k.Soft)
		return
	}
	at, half := pl.At(f.At*1e3, f.At*1e3), f.Width*500*pl.Scale
	band := paint.R(at.X-half, o.Y, 2*half, o.H)
	if f.AlongX {
		band = paint.R(o.X, at.Y-half, o.W, 2*half)
	}
	switch f.Kind {
	case part.Step:
		// The lower level lies in the shadow of the upper one.
		shadow := p.Size * 0.6
		low := paint.R(at.X, o.Y, shadow, o.H)
		switch {
		case f.AlongX && f.FarUp:
			low = paint.R(o.X, at.Y, o.W, shadow)
		case f.AlongX:
			low = paint.R(o.X, at.Y-shadow, o.W, shadow)
		case f.FarUp:
			low = paint.R(at.X-shadow, o.Y, shadow, o.H)
		}
		l.Rect(low, k.Ink.Fade(0.25))
		p.across(f, pl, 0, p.line()*1.5)
	case part.Weld:
		l.Rect(band, k.Ink.Fade(0.14))
		l.Hatch(band, max(4, p.Size*0.5), 60, 1, k.Ink.Fade(0.4))
		p.across(f, pl, -half, p.line())
		p.across(f, pl, half, p.line())
	case part.Bend:
		l.Rect(band, k.Ink.Fade(0.10))
		p.across(f, pl, -half, 1)
		p.across(f, pl, half, 1)
	}
}

// across draws a line over the whole piece, beside the line of a feature.
func (p *Pen) across(f *part.Feature, pl Plan, by, width float64) {
	o, at := pl.Outline, pl.At(f.At*1e3, f.At*1e3)
	if f.AlongX {
		p.List.Line(o.X, at.Y+by, o.Right(), at.Y+by, width, p.Inks.Ink)
	} else {
		p.List.Line(at.X+by, o.Y, at.X+by, o.Bottom(), width, p.Inks.Ink)
	}
}

// sidesAbove draws the outline: a line where the metal ends, a broken one where
// it goes on, a hatched band where a wall rises.
func (p *Pen) sidesAbove(pl Plan, piece *part.Piece) {
	if piece.Sides == (part.Sides{}) {
		return // the frame of a plain piece
	}
	o := pl.Outline
	p.sideAbove(piece.Sides.Left, paint.Point{X: o.X, Y: o.Y}, paint.Point{X: o.X, Y: o.Bottom()}, -1, 0)
	p.sideAbove(piece.Sides.Right, paint.Point{X: o.Right(), Y: o.Y}, paint.Point{X: o.Right(), Y: o.Bottom()}, 1, 0)
	p.sideAbove(piece.Sides.Top, paint.Point{X: o.X, Y: o.Y}, paint.Point{X: o.Right(), Y: o.Y}, 0, -1)
	p.sideAbove(piece.Sides.Bottom, paint.Point{X: o.X, Y: o.Bottom()}, paint.Point{X: o.Right(), Y: o.Bottom()}, 0, 1)
}

func (p *Pen) sideAbove(e part.Ending, from, to paint.Point, outX, outY float64) {
	l, k := p.List, p.Inks
	switch e {
	case part.GoesOn:
		l.DashLine(from.X, from.Y, to.X, to.Y, p.line(), p.Size*0.35, p.Size*0.45, k.Soft)
	case part.Wall:
		w := p.Size * 0.45
		band := paint.R(min(from.X, from.X+outX*w), min(from.Y, from.Y+outY*w), max(to.X-from.X, w), max(to.Y-from.Y, w))
		l.Rect(band, k.Metal)
		l.Hatch(band, max(3, p.Size*0.3), 45, 1, k.Ink)
		l.Frame(band, p.line(), k.Ink)
	default:
		l.Line(from.X, from.Y, to.X, to.Y, max(1.5, p.line()*1.5)+0.5, k.Ink)
	}
}

// shapeNote says in words what a plan cannot show to scale; empty for a flat,
// smooth piece.
func shapeNote(piece *part.Piece) string {
	switch {
	case piece.RadiusX != 0 && piece.RadiusY != 0:
		return say.T("surface shown unrolled: bent both ways")
	case piece.RadiusX != 0:
		return say.T("surface shown unrolled: bent along x")
	case piece.RadiusY != 0:
		return say.T("surface shown unrolled: bent along y")
	case piece.Texture.Grade == part.Machined:
		return say.T("machined surface")
	case piece.Texture.Rough():
		return say.T(blastNotes[piece.Texture.Grade])
	}
	return ""
}

var blastNotes = map[part.Grade]say.Text{
	part.Fine: "blast-cleaned, fine", part.Medium: "blast-cleaned, medium", part.Coarse: "blast-cleaned, coarse",
}
