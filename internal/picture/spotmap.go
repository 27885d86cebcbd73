package picture

import (
	"math"

	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/sim/part"
)

// Taken is a reading with the truth beneath it.
type Taken struct {
	X, Y    float64 // mm
	Spot    int
	Deleted bool
	Text    string // what is written beside it
	Um      float64
	TrueUm  float64
	Worst   bool // to be marked as costly
}

// DrawSpotMap draws the piece with its true film thickness as a map and the
// readings on it. low and high are the ends of the scale in µm, figure writes
// a thickness.
func (p *Pen) DrawSpotMap(r paint.Rect, piece *part.Piece, area part.Area, taken []Taken, figure func(um float64) string) {
	l, k := p.List, p.Inks
	legend := r.TakeBottom(p.Size * 2)
	key := r.TakeBottom(p.Size * 2)
	pl := PlanIn(r, piece.Width*1e3, piece.Height*1e3, p.Size)
	low, high := p.truthMap(pl, piece)
	p.area(pl, &Above{Area: &area, AreaName: ""})
	l.Frame(paint.R(pl.Outline.X-1, pl.Outline.Y-1, pl.Outline.W+2, pl.Outline.H+2), p.line()*1.5, k.Ink)
	p.rulers(pl)
	for i := range taken {
		t := &taken[i]
		q := pl.At(t.X, t.Y)
		c := k.Ink
		if t.Worst {
			c = k.Act
			l.Ring(q.X, q.Y, p.Size*0.75, p.line()*1.5, c)
		}
		m := Mark{X: t.X, Y: t.Y, Struck: t.Deleted}
		p.mark(pl, &m)
		if t.Text != "" {
			f := p.font()
			x := min(q.X+p.Size*0.8, pl.Outline.Right()-f.Width(t.Text)-2)
			p.plate(x, q.Y-p.Size*0.6, t.Text, f, c)
		}
	}
	p.key(key, pl, low, high, figure)
	p.legend(legend)
}

// mapColor is the colour of a share 0..1 of the map's scale.
func (p *Pen) mapColor(share float64) paint.Color {
	return p.Inks.Paper.Mix(p.Inks.Truth, 0.08+0.62*share)
}

// truthMap fills the piece with its film thickness.
func (p *Pen) truthMap(pl Plan, piece *part.Piece) (low, high float64) {
	const nx, ny = 36, 24
	um := func(i, j int) float64 {
		return piece.Coating.LocalUm(piece.Width*float64(i)/nx, piece.Height*float64(j)/ny)
	}
	low, high = math.Inf(1), math.Inf(-1)
	for i := range nx + 1 {
		for j := range ny + 1 {
			low, high = min(low, um(i, j)), max(high, um(i, j))
		}
	}
	span := max(high-low, 0.1)
	corner := func(i, j int) paint.Shade {
		q := pl.At(pl.Width*float64(i)/nx, pl.Height*float64(j)/ny)
		return paint.Shade{X: q.X, Y: q.Y, Color: p.mapColor((um(i, j) - low) / span)}
	}
	var t []paint.Shade
	for i := range nx {
		for j := range ny {
			a, b, c, d := corner(i, j), corner(i+1, j), corner(i+1, j+1), corner(i, j+1)
			t = append(t, a, b, c, a, c, d)
		}
	}
	p.List.Triangles(t)
	return low, high
}

func (p *Pen) key(r paint.Rect, pl Plan, low, high float64, figure func(float64) string) {
	l, k, f := p.List, p.Inks, p.font()
	bar := paint.R(pl.Outline.X+f.Width(figure(low))+p.Size*0.5, r.Y+p.Size*0.8, pl.Outline.W*0.3, p.Size*0.8)
	l.Gradient(bar, p.mapColor(0), p.mapColor(1), false)
	l.Frame(bar, 1, k.Soft)
	y := bar.Y + bar.H/2 + f.CapHeight()/2
	l.Text(pl.Outline.X, y, figure(low), f, k.Ink)
	l.Text(bar.Right()+p.Size*0.5, y, figure(high), f, k.Ink)
	note := say.T("true thickness")
	l.Text(bar.Right()+p.Size+f.Width(figure(high))+p.Size*0.5, y, note, f, k.Truth)
}

// legend tells the marks of the map, as many as there is room for.
func (p *Pen) legend(r paint.Rect) {
	l, k, f := p.List, p.Inks, p.font()
	x, y := r.X+p.Size*0.6, r.Y+p.Size*0.9
	for i, text := range [...]string{say.T("a reading"), say.T("its error was large"), say.T("figure: mean error of the spot"), say.T("area to be measured")} {
		lead := p.Size * 1.5
		switch i {
		case 1:
			lead = p.Size * 1.9
		case 2:
			lead = 0
		case 3:
			lead = p.Size * 2.2
		}
		if x+lead+f.Width(text) > r.Right() {
			break
		}
		switch i {
		case 0, 1:
			s := p.Size * 0.38
			c := k.Ink
			if i == 1 {
				c = k.Act
				l.Ring(x+p.Size*0.5, y, p.Size*0.75, p.line()*1.5, c)
			}
			l.Line(x+p.Size*0.5-s, y-s, x+p.Size*0.5+s, y+s, p.line()*1.3, c)
			l.Line(x+p.Size*0.5-s, y+s, x+p.Size*0.5+s, y-s, p.line()*1.3, c)
		case 3:
			l.DashLine(x, y, x+p.Size*1.7, y, p.line(), p.Size*0.5, p.Size*0.3, k.Ink)
		}
		l.Text(x+lead, y+f.CapHeight()/2, text, f, k.Soft)
		x += lead + f.Width(text) + p.Size*1.4
	}
}
