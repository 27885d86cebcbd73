package picture

import (
	"math"

	"foilwright/internal/paint"
	"foilwright/sim/part"
)

// mostPeaks is how many corners a rough surface is drawn with at most.
const mostPeaks = 240

// metal draws metal in section. A rough surface is drawn with its peaks along the
// top of m and valleys as deep as the texture at heights pixels per um; what lies
// in the valleys is film, where there is any. x0 is where on the piece m begins,
// mm, so that the surface goes along with the piece.
func (p *Pen) metal(m paint.Rect, piece *part.Piece, x0, scale, heights, hatch float64) {
	l, k := p.List, p.Inks
	t := piece.Texture
	deepest := min(t.RzUm*heights, m.H*0.6)
	if !t.Rough() || deepest < 1.5 {
		l.Rect(m, k.Metal)
		p.hatchMetal(m, hatch)
		l.Frame(m, p.line(), k.Ink)
		return
	}
	if piece.Coating.Present() {
		l.Rect(paint.R(m.X, m.Y, m.W, deepest), k.Film)
	}
	// Peaks stand a correlation length apart, or as near as can be told apart.
	apart := max(t.Correlation*1e3, 3.5/scale, m.W/scale/(mostPeaks-4))
	var outline [mostPeaks]paint.Point
	n := 0
	add := func(x, y float64) {
		outline[n] = paint.Point{X: x, Y: y}
		n++
	}
	for i := math.Floor(x0/apart) + 1; i*apart < x0+m.W/scale; i++ {
		if n == 0 {
			add(m.X, m.Y+deepest*valley(i-1))
		}
		add(m.X+(i*apart-x0)*scale, m.Y+deepest*valley(i))
	}
	if n == 0 {
		add(m.X, m.Y)
	}
	add(m.Right(), outline[n-1].Y)
	top := n
	add(m.Right(), m.Bottom())
	add(m.X, m.Bottom())
	l.Polygon(outline[:n], k.Metal)
	l.HatchPolygon(outline[:n], hatch, 45, 1, k.Ink.Fade(0.55))
	for i := range top - 1 {
		l.Line(outline[i].X, outline[i].Y, outline[i+1].X, outline[i+1].Y, p.line(), k.Ink)
	}
	l.Rule(m.X, m.Bottom(), m.Right(), m.Bottom(), p.line(), k.Ink)
}

// valley is how deep a drawn surface lies at its i-th corner, 0 to 1: a drawing
// of the texture, not the relief that readings come from, which stays hidden.
func valley(i float64) float64 {
	_, f := math.Modf(math.Abs(math.Sin(i*12.9898) * 43758.5453))
	return f
}
