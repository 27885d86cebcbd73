package picture

import (
	"math"

	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/sim/part"
)

// plainCut reports whether a piece looks the same in every cut: flat, with free
// edges and nothing on it.
func plainCut(piece *part.Piece) bool {
	return piece == nil || piece.RadiusX == 0 && piece.RadiusY == 0 && piece.Sides == part.Sides{} && len(piece.Features) == 0
}

// alongY reports whether the cut is along y, the way the piece is bent.
func alongY(piece *part.Piece) bool { return piece != nil && piece.RadiusY != 0 && piece.RadiusX == 0 }

// arcSteps is how many chords a bent surface is drawn with.
const arcSteps = 48

// bentCut draws a cut through a bent piece to true proportion, the tip's place at
// (x, y); thickness and radius in mm, film as thick as drawn.
func (p *Pen) bentCut(r paint.Rect, x, y, scale, radius, thickness, before, after, film float64, closed bool) {
	l, k := p.List, p.Inks
	from, to := -before/radius, after/radius
	whole := closed || math.Abs(to-from) >= 2*math.Pi
	if whole {
		from, to = -math.Pi, math.Pi
	}
	if !whole {
		// No farther than can be seen, so that the chords stay short.
		seen := 1.2 * r.W / scale / math.Abs(radius)
		from, to = max(from, -seen), min(to, seen)
	}
	if radius > 0 {
		thickness = min(thickness, 0.98*radius)
	}
	at := func(i int, radiusMm float64) paint.Point {
		sin, cos := math.Sincos(from + (to-from)*float64(i)/arcSteps)
		return paint.Point{X: x + radiusMm*sin*scale, Y: y - (radiusMm*cos-radius)*scale}
	}
	band := func(inner, outer float64, fill paint.Color, hatched bool) {
		var outline [2 * (arcSteps + 1)]paint.Point
		for i := range arcSteps + 1 {
			outline[i], outline[len(outline)-1-i] = at(i, outer), at(i, inner)
		}
		l.Polygon(outline[:], fill)
		if hatched {
			l.HatchPolygon(outline[:], max(4, p.Size*0.6), 45, 1, k.Ink.Fade(0.55))
		}
		for i := range arcSteps {
			a, b, c, d := at(i, inner), at(i+1, inner), at(i, outer), at(i+1, outer)
			l.Line(a.X, a.Y, b.X, b.Y, p.line(), k.Ink)
			l.Line(c.X, c.Y, d.X, d.Y, p.line(), k.Ink)
		}
		if !whole {
			for _, end := range [2]int{0, arcSteps} {
				a, b := at(end, inner), at(end, outer)
				l.Line(a.X, a.Y, b.X, b.Y, p.line(), k.Ink)
			}
		}
	}
	band(radius-thickness, radius, k.Metal, true)
	if film > 0 {
		band(radius, radius+film, k.Film, false)
	}
}

// mostBreaks is how many places a cut can change at.
const mostBreaks = 24

// brokenCut draws a cut along x at y, mm, through a flat piece with holes, steps,
// welds and walls; surface is where the tip's level is drawn, depth and film in
// pixels, midX where x0 is drawn.
func (p *Pen) brokenCut(r paint.Rect, piece *part.Piece, x0, y0, midX, surface, depth, film, scale float64) {
	l, k := p.List, p.Inks
	var breaks [mostBreaks]float64
	n := 0
	add := func(mm float64) {
		if n < mostBreaks && mm >= 0 && mm <= piece.Width*1e3 {
			breaks[n] = mm
			n++
		}
	}
	add(0)
	add(piece.Width * 1e3)
	for i := range piece.Features {
		f := &piece.Features[i]
		switch {
		case f.Kind == part.Hole:
			if half := math.Sqrt(max(0, f.Radius*f.Radius*1e6-(y0-f.Y*1e3)*(y0-f.Y*1e3))); half > 0 {
				add(f.X*1e3 - half)
				add(f.X*1e3 + half)
			}
		case f.Kind == part.Step && !f.AlongX:
			add(f.At * 1e3)
		}
	}
	for i := range n {
		for j := i; j > 0 && breaks[j] < breaks[j-1]; j-- {
			breaks[j], breaks[j-1] = breaks[j-1], breaks[j]
		}
	}
	here := level(piece, x0)
	for i := range n - 1 {
		from, to := breaks[i], breaks[i+1]
		middle := (from + to) / 2
		if piece.Distance(part.AtHole, middle*1e-3, y0*1e-3) < 0 || to <= from {
			continue
		}
		left, right := midX+(from-x0)*scale, midX+(to-x0)*scale
		if i == 0 && piece.Sides.Left == part.GoesOn {
			left = r.X - 20
		}
		if i == n-2 && piece.Sides.Right == part.GoesOn {
			right = r.Right() + 20
		}
		left, right = max(left, r.X-20), min(right, r.Right()+20)
		if right <= left {
			continue
		}
		top := surface - (level(piece, middle)-here)*scale
		m := paint.R(left, top, right-left, surface+depth-top)
		l.Rect(m, k.Metal)
		p.hatchMetal(m, max(4, p.Size*0.6))
		l.Frame(m, p.line(), k.Ink)
		if film > 0 {
			f := paint.R(left, top-film, right-left, film)
			l.Rect(f, k.Film)
			l.Frame(f, p.line(), k.Ink)
		}
	}
	for i := range piece.Features {
		if f := &piece.Features[i]; f.Kind == part.Weld && !f.AlongX {
			p.bead(midX+(f.At*1e3-x0)*scale, surface-(level(piece, f.At*1e3)-here)*scale, f, film, scale)
		}
	}
	p.walls(r, piece, x0, midX, surface, depth, scale)
}

// level is the height of the surface at x, mm, by the steps across x.
func level(piece *part.Piece, xMm float64) float64 {
	mm := 0.0
	for i := range piece.Features {
		if f := &piece.Features[i]; f.Kind == part.Step && !f.AlongX && f.Above(xMm*1e-3, 0) {
			mm += f.Height * 1e3
		}
	}
	return mm
}

// bead draws a weld in section: a low arch, and the film over it.
func (p *Pen) bead(x, y float64, f *part.Feature, film, scale float64) {
	var arch [13]paint.Point
	for pass, grow := range [2]float64{film, 0} {
		fill := p.Inks.Film
		if pass == 1 {
			fill = p.Inks.Metal
		} else if film == 0 {
			continue
		}
		for i := range arch {
			t := float64(i)/float64(len(arch)-1)*2 - 1
			arch[i] = paint.Point{X: x + t*f.Width*500*scale, Y: y - (1-t*t)*f.Height*1e3*scale - grow}
		}
		p.List.Polygon(arch[:], fill)
		if pass == 1 {
			p.List.HatchPolygon(arch[:], max(4, p.Size*0.6), 45, 1, p.Inks.Ink.Fade(0.55))
		}
		p.List.Outline(arch[:], p.line(), p.Inks.Ink)
	}
}

// walls draws the walls that rise at the left and right sides.
func (p *Pen) walls(r paint.Rect, piece *part.Piece, x0, midX, surface, depth, scale float64) {
	const tallMm, thickMm = 30, 6
	for _, side := range [2]struct {
		ending part.Ending
		at     float64
	}{{piece.Sides.Left, -thickMm}, {piece.Sides.Right, piece.Width * 1e3}} {
		if side.ending != part.Wall {
			continue
		}
		m := paint.R(midX+(side.at-x0)*scale, surface-tallMm*scale, thickMm*scale, tallMm*scale+depth)
		if m.Right() < r.X || m.X > r.Right() {
			continue
		}
		p.List.Rect(m, p.Inks.Metal)
		p.hatchMetal(m, max(4, p.Size*0.6))
		p.List.Frame(m, p.line(), p.Inks.Ink)
	}
}

// shapedSection draws the section of a piece that is not plain.
func (p *Pen) shapedSection(r paint.Rect, c *Cut, midX, surface, base, scale float64) {
	l, k, b := p.List, p.Inks, &c.Probe
	piece := c.Piece
	film := 0.0
	if piece.Coating.Present() {
		film = max(2, c.FilmUm*1e-3*filmScale*scale)
	}
	held, note := *b, say.T(filmNote)
	noteTop := r.Bottom() - p.Size*1.5
	l.PushClip(paint.R(r.X, r.Y, r.W, noteTop-r.Y))
	if bent := piece.RadiusX != 0 || piece.RadiusY != 0; bent {
		radius, at, length, ends := piece.RadiusX, b.X, piece.Width, [2]part.Ending{piece.Sides.Left, piece.Sides.Right}
		if alongY(piece) {
			radius, at, length, ends = piece.RadiusY, b.Y, piece.Height, [2]part.Ending{piece.Sides.Bottom, piece.Sides.Top}
			held.TiltY, note = b.TiltX, say.T("cut along y; film and foil drawn 40 times thicker")
		}
		before, after := at, length*1e3-at
		const on = 200 // mm that are drawn where the metal goes on
		if ends[0] == part.GoesOn {
			before += on
		}
		if ends[1] == part.GoesOn {
			after += on
		}
		if radius > 0 {
			// A dome is lifted, so that its sides can be seen to fall.
			half := min(max(before, after), r.W/2/scale, 0.8e3*radius)
			sag := 1e3*radius - math.Sqrt(1e6*radius*radius-half*half)
			surface -= min(sag*scale, r.H*0.15)
		}
		closed := ends[0] == part.GoesOn && ends[1] == part.GoesOn && length >= 6*math.Abs(radius)
		p.bentCut(r, midX, surface, scale, radius*1e3, min(piece.Thickness*1e3, 12), before, after, film/scale, closed)
	} else {
		p.brokenCut(r, piece, b.X, b.Y, midX, surface, base*scale, film, scale)
	}
	tipSurface := surface - film
	if c.FoilUm > 0 {
		h := max(2, c.FoilUm*1e-3*filmScale*scale)
		f := paint.R(midX-12*scale, tipSurface-h, 24*scale, h)
		l.Rect(f, k.Foil)
		l.Frame(f, p.line(), k.Ink)
		tipSurface -= h
	}
	if b.Beside {
		tipSurface = surface
	}
	l.PopClip()
	small := paint.Font{Face: paint.Regular, Size: p.Size * 0.92}
	if small.Width(note) < r.W-p.Size {
		l.Text(r.X+p.Size*0.5, r.Bottom()-p.Size*0.3, note, small, k.Soft)
	}
	tipY := tipSurface - b.Height*scale
	p.heightRule(r, tipSurface, tipY, scale, b)
	p.probeAside(midX, tipY, scale, &held, r.Y)
}
