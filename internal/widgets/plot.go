package widgets

import (
	"math"

	"foilwright/internal/paint"
)

// Axis is a linear scale. Ticks are laid at round numbers.
type Axis struct {
	Lo, Hi float64
	Label  string // with its unit, such as "thickness, µm"
}

// Plot is a framed chart with its scales; it maps values to places.
type Plot struct {
	Area paint.Rect // the inside of the axes
	x, y Axis
	u    *UI
}

// Step is a round distance of ticks (1, 2 or 5 times a power of ten) that gives at most n of them over a span, and the
// decimals needed to write them.
func Step(span float64, n int) (step float64, decimals int) {
	if !(span > 0) || n < 1 {
		return 1, 0
	}
	raw := span / float64(n)
	power := math.Floor(math.Log10(raw))
	unit := math.Pow(10, power)
	for _, m := range []float64{1, 2, 5, 10} {
		if raw <= m*unit*(1+1e-9) {
			step = m * unit
			if m == 10 {
				power++
			}
			break
		}
	}
	return step, max(int(-power), 0)
}

// NewPlot draws the frame, grid, ticks and labels of a chart in r.
func (u *UI) NewPlot(r paint.Rect, x, y Axis) Plot {
	if !(x.Hi > x.Lo) {
		x.Hi = x.Lo + 1
	}
	if !(y.Hi > y.Lo) {
		y.Hi = y.Lo + 1
	}
	th, l, f := u.Theme, u.L, paint.Font{Face: paint.Regular, Size: u.Px(12)}
	stepY, decY := Step(y.Hi-y.Lo, max(int(r.H/u.Px(44)), 2))
	wide := 0.0
	for v := math.Ceil(y.Lo/stepY-1e-9) * stepY; v <= y.Hi+stepY*1e-9; v += stepY {
		wide = math.Max(wide, f.Width(u.Num(v, decY)))
	}
	area := r
	area.TakeBottom(u.Px(22))
	if x.Label != "" {
		area.TakeBottom(u.Px(18))
	}
	area.TakeTop(u.Px(8))
	if y.Label != "" {
		area.TakeTop(u.Px(18))
		l.TextIn(paint.R(r.X, r.Y, r.W, u.Px(18)), y.Label, f, th.InkSoft, paint.Left)
	}
	area.TakeLeft(wide + u.Px(12))
	area.TakeRight(u.Px(12))
	p := Plot{area, x, y, u}
	l.Rect(area, th.Well)
	for v := math.Ceil(y.Lo/stepY-1e-9) * stepY; v <= y.Hi+stepY*1e-9; v += stepY {
		py := p.Y(v)
		l.Rule(area.X, py, area.Right(), py, th.Hairline, th.Line)
		l.Rule(area.X-u.Px(4), py, area.X, py, th.Hairline, th.Ink)
		l.TextIn(paint.R(r.X, py-u.Px(8), area.X-u.Px(7)-r.X, u.Px(16)), u.Num(v, decY), f, th.InkSoft, paint.Right)
	}
	stepX, decX := Step(x.Hi-x.Lo, max(int(area.W/u.Px(80)), 2))
	for v := math.Ceil(x.Lo/stepX-1e-9) * stepX; v <= x.Hi+stepX*1e-9; v += stepX {
		px := p.X(v)
		l.Rule(px, area.Y, px, area.Bottom(), th.Hairline, th.Line)
		l.Rule(px, area.Bottom(), px, area.Bottom()+u.Px(4), th.Hairline, th.Ink)
		l.TextIn(paint.R(px-u.Px(40), area.Bottom()+u.Px(5), u.Px(80), u.Px(16)), u.Num(v, decX), f, th.InkSoft, paint.Center)
	}
	if x.Label != "" {
		l.TextIn(paint.R(area.X, r.Bottom()-u.Px(17), area.W, u.Px(16)), x.Label, f, th.InkSoft, paint.Right)
	}
	w := math.Max(1.5, th.Hairline)
	l.Rule(area.X, area.Y, area.X, area.Bottom()+w/2, w, th.Ink)
	l.Rule(area.X-w/2, area.Bottom(), area.Right(), area.Bottom(), w, th.Ink)
	return p
}

// X is the place of a value on the x axis, in logical pixels.
func (p *Plot) X(v float64) float64 { return p.Area.X + (v-p.x.Lo)/(p.x.Hi-p.x.Lo)*p.Area.W }

// Y is the place of a value on the y axis.
func (p *Plot) Y(v float64) float64 { return p.Area.Bottom() - (v-p.y.Lo)/(p.y.Hi-p.y.Lo)*p.Area.H }

// AtX is the value at a place on the x axis.
func (p *Plot) AtX(x float64) float64 { return p.x.Lo + (x-p.Area.X)/p.Area.W*(p.x.Hi-p.x.Lo) }

// Line draws a curve; values that are not numbers break it.
func (p *Plot) Line(xs, ys []float64, width float64, c paint.Color) {
	u := p.u
	u.L.PushClip(p.Area)
	u.points = u.points[:0]
	for i := range xs {
		x, y := p.X(xs[i]), p.Y(ys[i])
		if math.IsNaN(x+y) || math.IsInf(x+y, 0) {
			u.L.Polyline(u.points, width, c)
			u.points = u.points[:0]
			continue
		}
		u.points = append(u.points, paint.Point{X: x, Y: y})
	}
	u.L.Polyline(u.points, width, c)
	u.L.PopClip()
}

// Dots draws a mark of the tone's shape at each place.
func (p *Plot) Dots(xs, ys []float64, size float64, t Tone) {
	for i := range xs {
		if x, y := p.X(xs[i]), p.Y(ys[i]); p.Area.Inset(-1).Contains(x, y) {
			p.u.Mark(t, x, y, size)
		}
	}
}

// Crosses draws a small cross at each place, the plain mark of a reading.
func (p *Plot) Crosses(xs, ys []float64, size float64, c paint.Color) {
	for i := range xs {
		if x, y := p.X(xs[i]), p.Y(ys[i]); p.Area.Inset(-1).Contains(x, y) {
			h := size / 2
			p.u.L.Line(x-h, y-h, x+h, y+h, p.u.Px(1.6), c)
			p.u.L.Line(x-h, y+h, x+h, y-h, p.u.Px(1.6), c)
		}
	}
}

// Level draws a labelled dashed line across at a y value, such as a limit.
func (p *Plot) Level(y float64, label string, c paint.Color) {
	py := p.Y(y)
	if py < p.Area.Y-1 || py > p.Area.Bottom()+1 {
		return
	}
	p.u.L.DashLine(p.Area.X, py, p.Area.Right(), py, p.u.Px(1.5), p.u.Px(7), p.u.Px(4), c)
	f := paint.Font{Face: paint.Medium, Size: p.u.Px(12)}
	w := math.Min(f.Width(label)+p.u.Px(8), p.Area.W)
	box := paint.R(p.Area.Right()-w, py-p.u.Px(17), w, p.u.Px(16))
	if box.Y < p.Area.Y {
		box.Y = py + 1
	}
	p.u.L.TextIn(box.InsetXY(p.u.Px(4), 0), label, f, c, paint.Right)
}

// Band shades the span between two y values, such as tolerance or uncertainty, with section lines.
func (p *Plot) Band(lo, hi float64, c paint.Color) {
	y0, y1 := p.Y(hi), p.Y(lo)
	r := paint.R(p.Area.X, y0, p.Area.W, y1-y0).Intersect(p.Area)
	if r.Empty() {
		return
	}
	p.u.L.Rect(r, c.Fade(0.08))
	p.u.L.Hatch(r, p.u.Px(9), 45, 1, c.Fade(0.35))
}
