package picture

import (
	"math"

	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/sim/field"
)

// FieldPanel is one section through the field as it is drawn.
type FieldPanel struct {
	Field  *field.Picture
	Head   field.Head
	Base   field.Base
	FilmUm float64 // of the film in the section; 0: bare
	FoilUm float64
	Height float64 // of the tip above film and foil, m
	Tilt   float64 // in the section, radians
	Left   bool    // the edge lies at the left
	Most   float64 // the current density drawn darkest, A/m^2 per ampere
	Edge   string  // distance of the edge, rim, step or wall, written; empty: none shown
	EdgeAt float64 // where it is, x of the section, m
	Touch  bool
}

// fieldScale returns the place of the contact point and pixels per metre.
type fieldScale struct {
	x, y, k float64
	flip    float64
}

func (s fieldScale) at(q field.Spot) paint.Point {
	return paint.Point{X: s.x + s.flip*q.X*s.k, Y: s.y - q.Z*s.k}
}

// DrawField draws a section through the field to scale: metal, film and foil, the eddy current by its colour, the lines of
// flux, and the head.
func (p *Pen) DrawField(r paint.Rect, f *FieldPanel) {
	l := p.List
	l.PushClip(r)
	defer l.PopClip()
	frame := f.Field.Frame()
	s := fieldScale{flip: 1}
	s.k = min(r.W/(2*frame.Half), r.H/(frame.Above+frame.Below))
	s.x, s.y = r.X+r.W/2, r.Bottom()-frame.Below*s.k
	if spare := r.H - (frame.Above+frame.Below)*s.k; spare > 0 {
		s.y -= spare * 0.35
	}
	if f.Left {
		s.flip = -1
	}
	// Nothing is known beyond the frame.
	r = r.Intersect(paint.R(s.x-frame.Half*s.k, r.Y, 2*frame.Half*s.k, r.H))
	l.PushClip(r)
	defer l.PopClip()
	deep := max((r.Bottom()-s.y)/s.k, frame.Below)
	p.fieldMetal(s, f, deep)
	p.fieldCurrent(s, f)
	p.fieldLayers(s, f)
	if f.Height > frame.Above {
		if g := p.font(); g.Width(say.T(away)) < r.W {
			l.Text(r.X+(r.W-g.Width(say.T(away)))/2, r.Y+p.Size*2, say.T(away), g, p.Inks.Soft)
		}
		return
	}
	p.fieldLines(s, f)
	p.fieldHead(s, f)
	p.fieldEdge(r, s, f)
}

// strip draws what lies between two heights above the surface of the metal.
func (p *Pen) strip(s fieldScale, f *FieldPanel, from, to float64, fill paint.Color, hatch bool) {
	left, right := p.sides(f)
	if c := f.Field.Section; c != 0 {
		// No farther round than to the sides.
		round := 0.49 * math.Pi / math.Abs(c)
		left, right = max(left, -round), min(right, round)
	}
	n := 1
	if f.Field.Section != 0 {
		n = 24
	}
	pts := p.spots[:0]
	end := func(height float64) float64 {
		if f.Field.Slant == 0 || height > 0 || math.IsInf(f.Field.EdgeAt, 1) {
			return right
		}
		return f.Field.FaceAt(height)
	}
	for i := range n + 1 {
		pts = append(pts, s.at(f.Field.Bent(left+(end(to)-left)*float64(i)/float64(n), to)))
	}
	for i := range n + 1 {
		pts = append(pts, s.at(f.Field.Bent(end(from)-(end(from)-left)*float64(i)/float64(n), from)))
	}
	p.spots = pts
	p.List.Polygon(pts, fill)
	if hatch {
		p.List.HatchPolygon(pts, max(5, p.Size*0.8), 45, 1, p.Inks.Ink.Fade(0.22))
	}
	p.List.Outline(pts, p.line(), p.Inks.Ink.Fade(0.8))
}

// sides are how far the drawing goes, to an edge or well out of sight.
func (p *Pen) sides(f *FieldPanel) (left, right float64) {
	far := 3 * f.Field.Frame().Half
	return -far, min(f.Field.EdgeAt, far)
}

func (p *Pen) fieldMetal(s fieldScale, f *FieldPanel, deep float64) {
	if !f.Field.Ground.Even() {
		p.groundMetal(s, f, deep)
		return
	}
	from := 0.0
	for i := range f.Base {
		b := &f.Base[i]
		to := from + b.Thickness
		if to > deep {
			to = deep + 3/s.k
		}
		if c := f.Field.Section; c > 0 {
			to = min(to, 0.98/c)
		}
		p.strip(s, f, -to, -from, p.Inks.Metal, true)
		from = to
		if from >= deep {
			return
		}
	}
}

// fieldCurrent fills the metal with the density of the current, darker for more.
func (p *Pen) fieldCurrent(s fieldScale, f *FieldPanel) {
	q := f.Field
	cols := len(q.X)
	if len(q.Current) == 0 || f.Most <= 0 {
		return
	}
	shade := func(r, i int, low, high float64) paint.Shade {
		at := s.at(q.Bent(min(max(q.X[i], low), high, q.FaceAt(-q.Depth[r])), -q.Depth[r]))
		t := math.Sqrt(min(q.Current[r*cols+i]/f.Most, 1))
		return paint.Shade{X: at.X, Y: at.Y, Color: p.Inks.Current.Fade(0.9 * t)}
	}
	p.shades = p.shades[:0]
	for i := range cols - 1 {
		if q.X[i] >= q.EdgeAt {
			break
		}
		low, high, begins, ends := p.column(q, i)
		if low >= high {
			continue
		}
		for r := range len(q.Depth) - 1 {
			a, b, c, d := shade(r, i, low, high), shade(r, i+1, low, high), shade(r+1, i+1, low, high), shade(r+1, i, low, high)
			// The last column carries what the one before it does, up to the edge.
			if ends {
				b.Color, c.Color = a.Color, d.Color
			}
			if begins {
				a.Color, d.Color = b.Color, c.Color
			}
			if a.Color.A|b.Color.A|c.Color.A|d.Color.A == 0 {
				continue
			}
			p.shades = append(p.shades, a, b, c, a, c, d)
		}
	}
	p.List.Triangles(p.shades)
}

func (p *Pen) fieldLayers(s fieldScale, f *FieldPanel) {
	under := 0.0
	for i, l := range [2]struct {
		um   float64
		fill paint.Color
	}{{f.FilmUm, p.Inks.Film}, {f.FoilUm, p.Inks.Foil}} {
		if l.um <= 0 {
			continue
		}
		// To scale, but never thinner than can be seen.
		h := max(l.um*1e-6, 2/s.k)
		switch {
		case f.Field.Ground.Even():
			p.strip(s, f, under, under+h, l.fill, false)
		case i == 0:
			p.groundFilm(s, f, h)
		default:
			p.groundFoil(s, f, under, h)
		}
		under += h
	}
}

func (p *Pen) fieldLines(s fieldScale, f *FieldPanel) {
	w := max(1.1, p.Size/10)
	for _, line := range f.Field.Lines {
		pts := p.spots[:0]
		for _, q := range f.Field.Points(line) {
			at := s.at(q)
			if n := len(pts); n > 0 {
				dx, dy := at.X-pts[n-1].X, at.Y-pts[n-1].Y
				if dx*dx+dy*dy < 2.5 {
					continue
				}
			}
			pts = append(pts, at)
		}
		p.spots = pts
		if len(pts) > 1 {
			p.List.Polyline(pts, w, p.Inks.Truth)
		}
	}
}

// fieldHead draws core and winding, leaning as they do.
func (p *Pen) fieldHead(s fieldScale, f *FieldPanel) {
	sin, cos := math.Sincos(f.Tilt)
	r := f.Head.TipRadius
	lift := f.Height + (f.FilmUm+f.FoilUm)*1e-6 + f.Head.RimLift(math.Abs(f.Tilt))
	at := func(x, z float64) paint.Point {
		z -= r
		return s.at(field.Spot{X: x*cos + z*sin, Z: lift + r + z*cos - x*sin})
	}
	ink := p.Inks.Ink
	if f.Touch {
		ink = p.Inks.Act
	}
	w := p.line() * 1.4
	c := f.Head.Coil
	for _, side := range [2]float64{-1, 1} {
		box := [4]paint.Point{at(side*c.InnerRadius, c.Recess), at(side*c.OuterRadius, c.Recess),
			at(side*c.OuterRadius, c.Recess+c.Height), at(side*c.InnerRadius, c.Recess+c.Height)}
		p.List.Polygon(box[:], p.Inks.Paper.Fade(0.55))
		p.List.Outline(box[:], w, ink)
		// The cross of a winding in section.
		p.List.Line(box[0].X, box[0].Y, box[2].X, box[2].Y, 1, ink.Fade(0.6))
		p.List.Line(box[1].X, box[1].Y, box[3].X, box[3].Y, 1, ink.Fade(0.6))
	}
	if core := f.Head.Core; core != nil {
		pts := append(p.spots[:0], at(core.Radius, core.Recess+core.Length), at(-core.Radius, core.Recess+core.Length))
		for i := range 13 {
			a := math.Pi * (1 + float64(i)/12)
			pts = append(pts, at(core.Radius*math.Cos(a), core.Recess+core.Radius*(1+math.Sin(a))))
		}
		p.spots = pts
		p.List.Polygon(pts, p.Inks.Paper)
		p.List.HatchPolygon(pts, max(3, p.Size*0.35), -45, 1, ink.Fade(0.55))
		p.List.Outline(pts, w, ink)
	}
}

// fieldEdge dimensions the distance from the axis to the edge, below the surface.
func (p *Pen) fieldEdge(r paint.Rect, s fieldScale, f *FieldPanel) {
	if f.Edge == "" || r.H < 9*p.Size {
		return
	}
	l, k, g := p.List, p.Inks, p.strong()
	a, b := s.x, s.x+s.flip*f.EdgeAt*s.k
	y := r.Bottom() - p.Size*0.7
	l.Rule(a, s.y+2, a, y+4, 1, k.Ink)
	l.Rule(b, s.y+2, b, y+4, 1, k.Ink)
	l.Rule(a, y, b, y, 1, k.Ink)
	w := g.Width(f.Edge)
	x := (a + b - w) / 2
	if math.Abs(b-a) < w+8 {
		x = max(a, b) + 6
	}
	p.plate(min(max(x, r.X+4), r.Right()-w-4), y+g.CapHeight()/2, f.Edge, g, k.Ink)
}
