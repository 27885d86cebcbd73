package picture

import (
	"math"

	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/sim/bench"
	"foilwright/sim/part"
)

// Cut is what the section shows: a cut along x through the tip.
type Cut struct {
	Piece  *part.Piece // nil: nothing under the probe
	FilmUm float64     // thickness the film is drawn with; never the hidden one
	FoilUm float64     // of the foil on the piece, as labelled; 0: none
	Probe  Probe
	Hover  float64 // hover height, mm

	BelowUm  float64 // of a foil under that one, as labelled; 0: none
	Seen     bench.FoilSeen
	Smoothed bool // what lies there was smoothed down
	Tip      bench.TipSeen
	Dusty    bool // dust was seen on the piece
}

// filmScale is how much thicker films and foils are drawn in the section.
const filmScale = 40

// filmNote says what in the section is not to scale.
const filmNote say.Text = "film and foil drawn 40 times thicker"

// DrawSection draws the cut in true proportion, but for film and foil.
func (p *Pen) DrawSection(r paint.Rect, c *Cut) {
	l, k := p.List, p.Inks
	l.PushClip(r)
	defer l.PopClip()
	scale := max(1.2, min(r.H/88, r.W/64)) // pixels per mm
	midX := r.X + r.W*0.46
	base := 3.0
	if c.Piece != nil {
		base = min(c.Piece.Thickness*1e3, 12)
	}
	bench := r.Bottom() - p.Size*1.9
	surface := bench - base*scale
	b := &c.Probe
	if !plainCut(c.Piece) {
		p.shapedSection(r, c, midX, surface, base, scale)
		return
	}
	// Bench top.
	l.Rule(r.X, bench, r.Right(), bench, p.line()*1.2, k.Ink)
	l.Hatch(paint.R(r.X, bench+1, r.W, p.Size*0.5), p.Size*0.5, 60, 1, k.Soft.Fade(0.55))
	note := paint.Font{Face: paint.Regular, Size: p.Size * 0.92}
	if c.Piece != nil && note.Width(say.T(filmNote)) < r.W-p.Size {
		l.Text(r.X+p.Size*0.5, r.Bottom()-p.Size*0.3, say.T(filmNote), note, k.Soft)
	}
	left, right := r.X-20, r.Right()+20
	if c.Piece != nil {
		left = max(left, midX-b.X*scale)
		right = min(right, midX+(c.Piece.Width*1e3-b.X)*scale)
	}
	tipSurface := surface
	if c.Piece != nil && right > left {
		m := paint.R(left, surface, right-left, base*scale)
		p.metal(m, c.Piece, b.X+(left-midX)/scale, scale, 1e-3*filmScale*scale, max(4, p.Size*0.6))
		if c.Piece.Coating.Present() {
			h := max(2, c.FilmUm*1e-3*filmScale*scale)
			f := paint.R(left, surface-h, right-left, h)
			l.Rect(f, k.Film)
			l.Frame(f, p.line(), k.Ink)
			tipSurface -= h
		}
		for _, um := range [2]float64{c.BelowUm, c.FoilUm} {
			if um <= 0 {
				continue
			}
			h := max(2, um*1e-3*filmScale*scale)
			in := 6 * scale
			if right-left > 3*in {
				f := paint.R(left+in, tipSurface-h, right-left-2*in, h)
				if c.curls() && um == c.FoilUm {
					tipSurface -= p.arch(f, k.Foil)
				} else {
					l.Rect(f, k.Foil)
					l.Frame(f, p.line(), k.Ink)
				}
			}
			tipSurface -= h
		}
	}
	if b.Beside {
		tipSurface = bench
		if c.Piece != nil {
			tipSurface = surface
		}
	}
	tipY := tipSurface - b.Height*scale
	p.heightRule(r, tipSurface, tipY, scale, b)
	p.probeAside(midX, tipY, scale, b, r.Y)
}

// hatchMetal draws the section lines of metal.
func (p *Pen) hatchMetal(r paint.Rect, spacing float64) {
	c := corners(r)
	p.List.HatchPolygon(c[:], spacing, 45, 1, p.Inks.Ink.Fade(0.55))
}

func corners(r paint.Rect) [4]paint.Point {
	return [4]paint.Point{{X: r.X, Y: r.Y}, {X: r.Right(), Y: r.Y}, {X: r.Right(), Y: r.Bottom()}, {X: r.X, Y: r.Bottom()}}
}

// heightRule draws the height of the tip as a scale beside the probe.
func (p *Pen) heightRule(r paint.Rect, zero, tip, scale float64, b *Probe) {
	l, k, f := p.List, p.Inks, p.font()
	x := r.Right() - p.Size*3.2
	top := max(r.Y+p.Size, zero-60*scale)
	l.Rule(x, top, x, zero, 1, k.Soft)
	for mm := 0; mm <= 60; mm += 5 {
		y := zero - float64(mm)*scale
		if y < top-1 {
			break
		}
		t := p.Size * 0.35
		if mm%25 == 0 {
			t = p.Size * 0.7
			p.plate(x+p.Size, y+f.CapHeight()/2, p.Labels.Whole(mm), f, k.Soft)
		}
		l.Rule(x, y, x+t, y, 1, k.Soft)
	}
	c := k.Ink
	if b.Touching {
		c = k.Act
	}
	y := max(top, tip)
	s := p.Labels.Tenths(b.Height)
	if b.Height >= 10 {
		s = p.Labels.Whole(int(b.Height + 0.5))
	}
	g := p.strong()
	tri := [3]paint.Point{{X: x - 1, Y: y}, {X: x - p.Size*0.7, Y: y - p.Size*0.35}, {X: x - p.Size*0.7, Y: y + p.Size*0.35}}
	l.Polygon(tri[:], c)
	p.plate(x-p.Size*0.95-g.Width(s), y+g.CapHeight()/2, s, g, c)
}

// probeAside draws the probe from the side: tip, sleeve, body and cable stub,
// turned about the tip.
func (p *Pen) probeAside(x, y, scale float64, b *Probe, topY float64) {
	l, k := p.List, p.Inks
	sin, cos := math.Sincos(b.TiltY * math.Pi / 180)
	// at turns a place on the probe, mm right of and above the tip.
	at := func(dx, dy float64) paint.Point {
		return paint.Point{X: x + (dx*cos+dy*sin)*scale, Y: y - (-dx*sin+dy*cos)*scale}
	}
	c := k.Ink
	if b.Touching {
		c = k.Act
	}
	w := p.line() * 1.3
	tip := max(b.TipRadius, 0.8)
	// The sleeve is pushed back into the body by the press.
	push := min(1, b.PressN/2) * 1.6
	if !b.Touching {
		push = 0
	}
	sleeve := [4]paint.Point{at(-4.2, 1.4), at(4.2, 1.4), at(4.2, 13), at(-4.2, 13)}
	body := [6]paint.Point{at(-7, 11-push), at(7, 11-push), at(8, 15-push), at(8, 48), at(-8, 48), at(-8, 15-push)}
	l.Polygon(sleeve[:], k.Paper)
	l.HatchPolygon(sleeve[:], max(3, p.Size*0.35), -45, 1, c.Fade(0.5))
	l.Outline(sleeve[:], w, c)
	l.Polygon(body[:], k.Paper)
	l.Outline(body[:], w, c)
	// Knurling.
	for i := range 5 {
		q0, q1 := at(-8, 20+float64(i)*2.2), at(8, 20+float64(i)*2.2)
		l.Line(q0.X, q0.Y, q1.X, q1.Y, 1, c.Fade(0.45))
	}
	// The axis, as a chain line.
	a0, a1 := at(0, -4), at(0, 56)
	l.DashLine(a0.X, a0.Y, a1.X, a1.Y, 1, p.Size*0.9, p.Size*0.3, c.Fade(0.6))
	// The tip: a ball of the true radius in its holder.
	q := at(0, tip)
	l.Disc(q.X, q.Y, max(2, tip*scale), c)
}

// away says why no tip is to be seen.
const away say.Text = "the tip is above this view"

// DrawDetail draws what is between tip and metal in a round frame. Heights of
// film, foil and gap are drawn larger than widths, by a factor the note gives.
func (p *Pen) DrawDetail(r paint.Rect, c *Cut) {
	l, k := p.List, p.Inks
	l.Rect(r, k.Paper)
	l.PushClip(r)
	scale := min(r.W, r.H) / 5 // pixels per mm across
	heights := detailHeights(c, r.H)
	b := &c.Probe
	metalY := r.Y + r.H*0.72
	top := metalY
	if c.Piece != nil {
		left := max(r.X-10, r.X+r.W/2-b.X*scale)
		right := min(r.Right()+10, r.X+r.W/2+(c.Piece.Width*1e3-b.X)*scale)
		if right > left {
			depth := min(c.Piece.Thickness*1e3*scale, r.H)
			m := paint.R(left, metalY, right-left, depth)
			p.metal(m, c.Piece, b.X+(left-r.X-r.W/2)/scale, scale, heights, p.Size*0.8)
			if c.Piece.Coating.Present() {
				top = p.layer(left, right, top, c.FilmUm*heights, k.Film)
			}
			if c.Dusty {
				p.dust(left, right, top)
			}
			if c.BelowUm > 0 {
				top = p.layer(left, right, top, c.BelowUm*heights, k.Foil)
			}
			if c.FoilUm > 0 {
				top = p.foilLarge(left, right, top, heights, scale, c)
			}
		}
	}
	if c.Tip.Dirty {
		top -= p.dirtHeight(heights)
	}
	gap := b.Height * 1e3 * heights
	if b.Beside {
		gap = r.H
	}
	p.tipLarge(r, top-gap, scale, b)
	p.tipSeen(r, top-gap, scale, heights, c)
	l.PopClip()
}

// detailHeights returns pixels per µm of height, so that what is on the metal
// fills about a quarter of the view.
func detailHeights(c *Cut, h float64) float64 {
	um := c.FoilUm + c.BelowUm
	if c.Piece != nil && c.Piece.Coating.Present() {
		um += c.FilmUm
	}
	return h * 0.22 / max(um, 60)
}

func (p *Pen) layer(left, right, under, h float64, fill paint.Color) (top float64) {
	f := paint.R(left, under-h, right-left, h)
	p.List.Rect(f, fill)
	p.List.Frame(f, p.line(), p.Inks.Ink)
	return under - h
}

func (p *Pen) tipLarge(r paint.Rect, y, scale float64, b *Probe) {
	l, k := p.List, p.Inks
	if y < r.Y-4 {
		f := p.font()
		if w := f.Width(say.T(away)); w < r.W && !b.Beside {
			l.Text(r.X+(r.W-w)/2, r.Y+p.Size*2, say.T(away), f, k.Soft)
		}
		return
	}
	c := k.Ink
	if b.Touching {
		c = k.Act
	}
	x := r.X + r.W/2
	sin, cos := math.Sincos(b.TiltY * math.Pi / 180)
	radius := max(b.TipRadius, 0.8) * scale
	// The ball turns about its own centre; the shank behind it leans.
	cx, cy := x, y-radius
	l.Disc(cx, cy, radius, k.Paper)
	l.Ring(cx, cy, radius, p.line()*1.6, c)
	at := func(dx, dy float64) paint.Point {
		return paint.Point{X: cx + dx*cos + dy*sin, Y: cy + dx*sin - dy*cos}
	}
	w := radius * 0.8
	shank := [4]paint.Point{at(-w, radius*0.62), at(w, radius*0.62), at(w, radius*6), at(-w, radius*6)}
	l.Polygon(shank[:], k.Paper)
	l.HatchPolygon(shank[:], p.Size*0.6, -45, 1, c.Fade(0.5))
	l.Outline(shank[:], p.line()*1.4, c)
	a0, a1 := at(0, -radius*1.3), at(0, radius*3)
	l.DashLine(a0.X, a0.Y, a1.X, a1.Y, 1, p.Size*0.8, p.Size*0.3, c.Fade(0.7))
}
