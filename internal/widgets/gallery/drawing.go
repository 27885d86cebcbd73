package gallery

import (
	"math"

	"foilwright/internal/paint"
)

// drawing shows what the list itself can do, in the manner of a sectional drawing.
func (g *Gallery) drawing(r paint.Rect) float64 {
	return g.panels(r, 480, 360, []string{"Section", "Shapes"}, func(i int, r paint.Rect) {
		if i == 0 {
			g.section(r)
		} else {
			g.shapes(r)
		}
	})
}

func (g *Gallery) section(r paint.Rect) {
	u, th, l := g.UI, g.UI.Theme, g.UI.L
	base := r.Y + r.H*0.62
	step := paint.R(r.X+u.Px(20), base, r.W-u.Px(40), u.Px(70))
	l.Hatch(step, u.Px(9), 45, 1, th.Ink)
	l.Frame(step, max(1.6, th.Hairline), th.Ink)
	coat := paint.R(step.X, base-u.Px(14), step.W, u.Px(14))
	l.Rect(coat, th.TruthTint)
	l.Hatch(coat, u.Px(5), 135, 1, th.Truth)
	l.Frame(coat, th.Hairline, th.Truth)
	x := r.X + r.W*0.45
	probe := []paint.Point{{X: x - u.Px(26), Y: r.Y + u.Px(14)}, {X: x + u.Px(26), Y: r.Y + u.Px(14)}, {X: x + u.Px(26), Y: coat.Y - u.Px(40)},
		{X: x + u.Px(8), Y: coat.Y - u.Px(6)}, {X: x - u.Px(8), Y: coat.Y - u.Px(6)}, {X: x - u.Px(26), Y: coat.Y - u.Px(40)}}
	l.Polygon(probe, th.ActTint)
	l.Outline(probe, u.Px(1.6), th.Act)
	l.Sector(x, coat.Y-u.Px(8), u.Px(8), 0, math.Pi, th.Act)
	for k := range 4 {
		rad := u.Px(24 + 17*float64(k))
		l.Arc(x, coat.Y, rad, 0.1, math.Pi-0.1, 1, th.Truth)
	}
	l.DashLine(x, r.Y, x, step.Bottom()+u.Px(16), 1, u.Px(12), u.Px(4), th.InkSoft)
	dim := step.Right() - u.Px(30)
	l.Line(dim, coat.Y-u.Px(30), dim, base+u.Px(20), 1, th.Ink)
	l.Polygon([]paint.Point{{X: dim, Y: coat.Y}, {X: dim - u.Px(4), Y: coat.Y - u.Px(11)}, {X: dim + u.Px(4), Y: coat.Y - u.Px(11)}}, th.Ink)
	u.L.TextUp(dim-u.Px(6), coat.Y-u.Px(14), "84.5 µm", u.Small(), th.Ink)
}

func (g *Gallery) shapes(r paint.Rect) {
	u, th, l := g.UI, g.UI.Theme, g.UI.L
	cx, cy := r.X+r.W*0.25, r.Y+r.H*0.32
	star := g.pts[:0]
	for i := range 14 {
		rad := u.Px(60)
		if i%2 == 1 {
			rad = u.Px(26)
		}
		s, c := math.Sincos(float64(i) * math.Pi / 7)
		star = append(star, paint.Point{X: cx + rad*c, Y: cy + rad*s})
	}
	l.Polygon(star, th.TruthTint)
	l.HatchPolygon(star, u.Px(7), 30, 1, th.Truth)
	l.Outline(star, u.Px(2), th.Ink)
	l.Gradient(paint.R(r.X+r.W*0.5, r.Y, r.W*0.45, u.Px(30)), th.Act, th.Truth, false)
	l.RoundRect(paint.R(r.X+r.W*0.5, r.Y+u.Px(44), r.W*0.2, u.Px(60)), u.Px(12), th.Good)
	l.RoundFrame(paint.R(r.X+r.W*0.75, r.Y+u.Px(44), r.W*0.2, u.Px(60)), u.Px(12), 2, th.Bad)
	for i := range 6 {
		a := float64(i) * math.Pi / 12
		s, c := math.Sincos(a)
		x, y := r.X+r.W*0.5, r.Y+u.Px(130)
		l.Line(x, y, x+u.Px(150)*c, y+u.Px(150)*s, 0.5+0.5*float64(i), th.Ink)
	}
	wave := star[:0]
	for i := range 120 {
		x := float64(i) / 119
		wave = append(wave, paint.Point{X: r.X + x*r.W*0.45, Y: r.Y + r.H*0.8 + u.Px(26)*math.Sin(x*18)})
	}
	l.Polyline(wave, u.Px(1.5), th.Act)
	g.pts = wave
	l.DashPolyline(wave[:60], u.Px(4), u.Px(8), u.Px(5), th.Truth.Fade(0.7))
}
