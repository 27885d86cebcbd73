package picture

import (
	"math"

	"foilwright/internal/paint"
	"foilwright/sim/bench"
	"foilwright/sim/part"
)

// Plan is where a piece is drawn from above.
type Plan struct {
	Sheet   paint.Rect // all of the drawing, rulers included
	Outline paint.Rect // of the piece
	Width   float64    // of the piece, mm
	Height  float64
	Scale   float64 // pixels per mm
}

// PlanIn fits a piece into a rectangle, leaving room for the rulers.
func PlanIn(r paint.Rect, widthMm, heightMm, size float64) Plan {
	inner := r
	inner.TakeLeft(size * 2.9)
	inner.TakeRight(size * 1.2)
	inner.TakeBottom(size * 2.2)
	inner = inner.InsetXY(size*1.1, size*1.1)
	// In no room at all it is drawn too small to see, but places stay places.
	scale := max(1e-3, min(inner.W/widthMm, inner.H/heightMm))
	w, h := widthMm*scale, heightMm*scale
	return Plan{
		Sheet: r, Width: widthMm, Height: heightMm, Scale: scale,
		Outline: paint.R(math.Round(inner.X+(inner.W-w)/2), math.Round(inner.Y+(inner.H-h)/2), w, h),
	}
}

// At returns where a place on the piece is drawn.
func (p Plan) At(xMm, yMm float64) paint.Point {
	return paint.Point{X: p.Outline.X + xMm*p.Scale, Y: p.Outline.Bottom() - yMm*p.Scale}
}

// Mm returns the place on the piece that is drawn at a point.
func (p Plan) Mm(x, y float64) (xMm, yMm float64) {
	return (x - p.Outline.X) / p.Scale, (p.Outline.Bottom() - y) / p.Scale
}

// Mark is a place where a reading was taken.
type Mark struct {
	X, Y   float64 // mm
	Spot   int     // 0: taken for an adjustment or a verification
	First  bool    // of its spot: it carries the spot's number
	Struck bool    // deleted
	Newest bool
}

// Probe is how the probe is held, for drawing. Angles are degrees.
type Probe struct {
	X, Y, Height float64 // mm
	TiltX, TiltY float64
	Touching     bool
	Beside       bool
	Read         bool    // the present contact has given its reading
	PressN       float64 // N
	BodyRadius   float64 // mm
	TipRadius    float64
}

// Above is what the plan shows.
type Above struct {
	Piece     *part.Piece
	Area      *part.Area // to be measured; nil for none
	AreaName  string
	FoilName  string // foil on the piece; empty for none
	Marks     []Mark
	SpotMm    float64 // diameter of the open spot; 0: not drawn
	SpotX     float64 // its first reading
	SpotY     float64
	Probe     Probe
	EdgeBelow float64 // an edge nearer than this is dimensioned, mm
	Focused   bool
	Foil      bench.FoilSeen // what was seen of the foil
}

// DrawPlan draws a piece from above with everything on it.
func (p *Pen) DrawPlan(pl Plan, a *Above) {
	l, k := p.List, p.Inks
	o := pl.Outline
	l.PushClip(pl.Sheet)
	fill := k.Metal
	if a.Piece.Coating.Present() {
		fill = k.Film
	}
	l.Rect(o, fill)
	if !a.Piece.Coating.Present() {
		// The grain of ground metal.
		for y, i := o.Y+p.Size*0.5, 0; y < o.Bottom(); y, i = y+p.Size*0.5, i+1 {
			in := float64(i*37%5) * p.Size
			l.Line(o.X+in, y, o.Right()-float64(i*53%7)*p.Size, y, 1, k.Soft.Fade(0.16))
		}
	}
	p.shapeAbove(pl, a.Piece)
	p.grid(pl)
	if a.Area != nil {
		p.area(pl, a)
	}
	if a.Piece.Sides == (part.Sides{}) {
		l.Frame(paint.R(o.X-1, o.Y-1, o.W+2, o.H+2), max(1.5, p.line()*1.5), k.Ink)
	}
	p.rulers(pl)
	if s := shapeNote(a.Piece); s != "" && p.font().Width(s) < o.W-p.Size {
		y := o.Bottom() - p.Size*0.5
		if at := paint.R(o.X, y-p.Size, p.font().Width(s)+p.Size, p.Size*1.4); a.Area != nil && crosses(p.areaRect(pl, a.Area), at) && o.Y-pl.Sheet.Y > p.Size*1.8 {
			y = o.Y - p.Size*0.5 // above the piece: below it are the figures of the scale
		}
		p.plate(o.X+p.Size*0.5, y, s, p.font(), k.Soft)
	}
	if a.FoilName != "" {
		p.foilAbove(pl, a.FoilName)
		p.creaseAbove(pl, a)
	}
	if a.SpotMm > 0 {
		c := pl.At(a.SpotX, a.SpotY)
		p.dashRing(c.X, c.Y, a.SpotMm/2*pl.Scale, k.Soft)
	}
	for i := range a.Marks {
		p.mark(pl, &a.Marks[i])
	}
	p.probeAbove(pl, a)
	l.PopClip()
}

// grid draws the faint 50 mm lines over the piece.
func (p *Pen) grid(pl Plan) {
	o := pl.Outline
	c := p.Inks.Soft.Fade(0.2)
	for x := 50.0; x < pl.Width; x += 50 {
		q := pl.At(x, 0)
		p.List.Rule(q.X, o.Y, q.X, o.Bottom(), 1, c)
	}
	for y := 50.0; y < pl.Height; y += 50 {
		q := pl.At(0, y)
		p.List.Rule(o.X, q.Y, o.Right(), q.Y, 1, c)
	}
}

func (p *Pen) area(pl Plan, a *Above) {
	r := p.areaRect(pl, a.Area)
	p.dashFrame(r, p.Inks.Ink)
	f := p.font()
	if tw := f.Width(a.AreaName); tw < r.W-8 {
		p.List.Text(r.X+p.Size*0.5, p.areaNameY(pl, a, r), a.AreaName, f, p.Inks.Soft)
	}
}

// areaNameY is the baseline of the area's name: at the top of its frame r, or below what is in the way there.
func (p *Pen) areaNameY(pl Plan, a *Above, r paint.Rect) float64 {
	w, y := p.font().Width(a.AreaName), r.Y+p.Size*1.25
	for a.Piece != nil && y < r.Bottom()-p.Size && onFeature(pl, a.Piece, paint.R(r.X+p.Size*0.5, y-p.Size, w, p.Size*1.3)) {
		y += p.Size
	}
	return y
}

func (p *Pen) areaRect(pl Plan, a *part.Area) paint.Rect {
	q := pl.At(a.X*1e3, (a.Y+a.Height)*1e3)
	return paint.R(q.X, q.Y, a.Width*1e3*pl.Scale, a.Height*1e3*pl.Scale)
}

// crosses reports whether a label lies over the frame of an area: neither within it nor away from it.
func crosses(area, label paint.Rect) bool {
	common := area.Intersect(label)
	return common.W > 0 && common.H > 0 && (common.W < label.W || common.H < label.H)
}

// onFeature reports whether a label would lie on a hole, or on the line of a step or weld.
func onFeature(pl Plan, piece *part.Piece, label paint.Rect) bool {
	for i := range piece.Features {
		f := &piece.Features[i]
		var at paint.Rect
		switch half := f.Width * 500; {
		case f.Kind == part.Hole:
			c, r := pl.At(f.X*1e3, f.Y*1e3), f.Radius*1e3*pl.Scale
			at = paint.R(c.X-r, c.Y-r, 2*r, 2*r)
		case f.AlongX:
			y := pl.At(0, f.At*1e3).Y
			at = paint.R(label.X, y-half*pl.Scale-1, label.W, 2*half*pl.Scale+2)
		default:
			x := pl.At(f.At*1e3, 0).X
			at = paint.R(x-half*pl.Scale-1, label.Y, 2*half*pl.Scale+2, label.H)
		}
		if common := at.Intersect(label); common.W > 0 && common.H > 0 {
			return true
		}
	}
	return false
}

func (p *Pen) dashFrame(r paint.Rect, c paint.Color) {
	l, w, on, off := p.List, p.line(), p.Size*0.7, p.Size*0.4
	l.DashLine(r.X, r.Y, r.Right(), r.Y, w, on, off, c)
	l.DashLine(r.Right(), r.Y, r.Right(), r.Bottom(), w, on, off, c)
	l.DashLine(r.X, r.Bottom(), r.Right(), r.Bottom(), w, on, off, c)
	l.DashLine(r.X, r.Y, r.X, r.Bottom(), w, on, off, c)
}

func (p *Pen) dashRing(x, y, radius float64, c paint.Color) {
	const n = 24
	for i := range n {
		from := 2 * math.Pi * float64(i) / n
		p.List.Arc(x, y, radius, from, from+math.Pi/n, p.line(), c)
	}
}

// rulers draws mm scales along the left and lower edges.
func (p *Pen) rulers(pl Plan) {
	l, k, f := p.List, p.Inks, p.font()
	o := pl.Outline
	gap, short, long := p.Size*0.5, p.Size*0.3, p.Size*0.6
	every := 10.0
	if pl.Scale*10 < 5 {
		every = 50
	}
	numbers := 50.0
	if pl.Scale*50 < p.Size*3 {
		numbers = 100
	}
	y := o.Bottom() + gap
	for x := 0.0; x <= pl.Width+1e-9; x += every {
		q := pl.At(x, 0)
		t := short
		if math.Mod(x, numbers) == 0 {
			t = long
			s := p.Labels.Whole(int(x))
			l.Text(q.X-f.Width(s)/2, y+long+p.Size*0.95, s, f, k.Soft)
		}
		l.Rule(q.X, y, q.X, y+t, 1, k.Soft)
	}
	l.Rule(o.X, y, o.Right(), y, 1, k.Soft)
	x := o.X - gap
	for v := 0.0; v <= pl.Height+1e-9; v += every {
		q := pl.At(0, v)
		t := short
		if math.Mod(v, numbers) == 0 {
			t = long
			s := p.Labels.Whole(int(v))
			l.Text(x-long-p.Size*0.25-f.Width(s), q.Y+f.CapHeight()/2, s, f, k.Soft)
		}
		l.Rule(x-t, q.Y, x, q.Y, 1, k.Soft)
	}
	l.Rule(x, o.Y, x, o.Bottom(), 1, k.Soft)
	l.Text(o.Right()+p.Size*0.3, y+p.Size*0.3, "mm", f, k.Soft)
}

// foilAbove lays the foil over the piece; it is clear enough to see through.
func (p *Pen) foilAbove(pl Plan, name string) {
	l, k := p.List, p.Inks
	r := pl.Outline.Inset(min(pl.Outline.W, pl.Outline.H) * 0.05)
	l.RoundRect(r, p.Size*0.6, k.Foil.Fade(0.5))
	l.RoundFrame(r, p.Size*0.6, p.line(), k.Ink.Fade(0.7))
	l.Text(r.X+p.Size*0.7, r.Bottom()-p.Size*0.7, name, p.strong(), k.Ink)
}

func (p *Pen) mark(pl Plan, m *Mark) {
	l, k := p.List, p.Inks
	q := pl.At(m.X, m.Y)
	c, s := k.Ink, p.Size*0.38
	switch {
	case m.Struck, m.Spot == 0:
		c = k.Soft
	case m.Newest:
		c = k.Act
	}
	w := p.line() * 1.3
	l.Line(q.X-s, q.Y-s, q.X+s, q.Y+s, w, c)
	l.Line(q.X-s, q.Y+s, q.X+s, q.Y-s, w, c)
	if m.Struck {
		l.Line(q.X-s*1.8, q.Y, q.X+s*1.8, q.Y, w, c)
	} else if m.First {
		l.Text(q.X-s*1.4-p.font().Width(p.Labels.Whole(m.Spot)), q.Y-s*0.9, p.Labels.Whole(m.Spot), p.font(), c)
	}
}

// probeAbove draws the probe from above: its shadow, its sleeve shifted by the
// tilt, and the tip's cross hairs.
func (p *Pen) probeAbove(pl Plan, a *Above) {
	l, k, b := p.List, p.Inks, &a.Probe
	tip := pl.At(b.X, b.Y)
	radius := max(b.BodyRadius*pl.Scale, p.Size*0.9)
	c := k.Ink
	if b.Touching {
		c = k.Act
	}
	if !b.Beside && b.Height < a.EdgeBelow*4 {
		p.edge(pl, a, tip, radius)
	}
	// The top of the probe leans over: 60 mm of body at the tilt.
	const bodyMm = 60
	top := paint.Point{
		X: tip.X + bodyMm*math.Sin(b.TiltY*math.Pi/180)*pl.Scale,
		Y: tip.Y - bodyMm*math.Sin(b.TiltX*math.Pi/180)*pl.Scale,
	}
	lift := min(b.Height, 60) * 0.12 * pl.Scale
	l.Disc(tip.X+lift, tip.Y+lift, radius, k.Ink.Fade(0.10))
	l.Disc(tip.X, tip.Y, radius, k.Paper.Fade(0.55))
	l.Ring(tip.X, tip.Y, radius, p.line()*1.6, c)
	l.Line(tip.X, tip.Y, top.X, top.Y, p.line()*1.2, c.Fade(0.8))
	l.Ring(top.X, top.Y, radius*0.72, p.line(), c.Fade(0.8))
	h := radius * 1.35
	for _, d := range [4]paint.Point{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}} {
		l.Line(tip.X+d.X*radius*0.35, tip.Y+d.Y*radius*0.35, tip.X+d.X*h, tip.Y+d.Y*h, p.line(), c)
	}
	l.Disc(tip.X, tip.Y, max(1.5, p.Size*0.16), c)
}

// edge dimensions the distance to the nearest edge when it is small.
func (p *Pen) edge(pl Plan, a *Above, tip paint.Point, radius float64) {
	b := &a.Probe
	o := pl.Outline
	best, end := math.Inf(1), tip
	side := func(e part.Ending, d, x, y float64) {
		if e != part.GoesOn && d < best {
			best, end = d, paint.Point{X: x, Y: y}
		}
	}
	sides := a.Piece.Sides
	side(sides.Left, b.X, o.X, tip.Y)
	side(sides.Right, pl.Width-b.X, o.Right(), tip.Y)
	side(sides.Bottom, b.Y, tip.X, o.Bottom())
	side(sides.Top, pl.Height-b.Y, tip.X, o.Y)
	for i := range a.Piece.Features {
		f := &a.Piece.Features[i]
		d := f.Distance(b.X*1e-3, b.Y*1e-3) * 1e3
		if d < 0 || d >= best {
			continue
		}
		best = d
		switch at := pl.At(f.At*1e3, f.At*1e3); {
		case f.Kind == part.Hole:
			whole := d + f.Radius*1e3
			end = pl.At(b.X+(f.X*1e3-b.X)*d/whole, b.Y+(f.Y*1e3-b.Y)*d/whole)
		case f.AlongX:
			end = paint.Point{X: tip.X, Y: at.Y + math.Copysign(f.Width*500*pl.Scale, tip.Y-at.Y)}
		default:
			end = paint.Point{X: at.X + math.Copysign(f.Width*500*pl.Scale, tip.X-at.X), Y: tip.Y}
		}
	}
	if best < 0 || best > a.EdgeBelow {
		return
	}
	p.List.Line(tip.X, tip.Y, end.X, end.Y, p.line(), p.Inks.Act)
	s := p.Labels.Millimetres(best)
	f := p.strong()
	// Beside the probe, on the side away from the edge.
	x, y := tip.X+radius*1.6, tip.Y-radius*1.2
	if end.X > tip.X {
		x = tip.X - radius*1.6 - f.Width(s)
	}
	if end.Y < tip.Y {
		y = tip.Y + radius*1.2 + f.CapHeight()
	}
	p.plate(x, y, s, f, p.Inks.Act)
	t := p.Size * 0.35
	p.List.Line(end.X-t, end.Y+t, end.X+t, end.Y-t, p.line()*1.3, p.Inks.Act)
}
