package picture

import (
	"math"

	"foilwright/internal/paint"
)

// Bar is one cause in a waterfall.
type Bar struct {
	Name string
	Um   float64
	Text string // the figure as written, with its sign
}

// WaterfallHeight is the height DrawWaterfall needs for n causes and the total.
func (p *Pen) WaterfallHeight(n int) float64 { return float64(n+1)*p.barHeight() + p.Size*1.2 }

func (p *Pen) barHeight() float64 { return math.Round(p.Size * 1.75) }

// DrawWaterfall draws how causes add up to the total, from zero, one bar each.
func (p *Pen) DrawWaterfall(r paint.Rect, bars []Bar, total Bar) {
	l, k, f := p.List, p.Inks, p.font()
	h := p.barHeight()
	names := f.Width(total.Name)
	figures := p.strong().Width(total.Text)
	low, high, at := min(0, total.Um), max(0, total.Um), 0.0
	for _, b := range bars {
		names, figures = max(names, f.Width(b.Name)), max(figures, p.strong().Width(b.Text))
		at += b.Um
		low, high = min(low, at), max(high, at)
	}
	names = min(names, r.W*0.45)
	span := max(high-low, 1e-9)
	x0 := r.X + names + p.Size
	w := r.Right() - x0 - 2*(figures+p.Size*0.8)
	if w < p.Size {
		w = p.Size
	}
	x0 += figures + p.Size*0.8
	x := func(um float64) float64 { return x0 + (um-low)/span*w }
	l.Rule(x(0), r.Y, x(0), r.Y+h*float64(len(bars)+1), p.line(), k.Soft)
	at = 0
	for i, b := range append(bars[:len(bars):len(bars)], total) {
		row := paint.R(r.X, r.Y+float64(i)*h, r.W, h)
		from, to := at, at+b.Um
		c := k.Act
		if i == len(bars) {
			from, to, c = 0, b.Um, k.Ink
			l.Rule(r.X, row.Y, r.Right(), row.Y, 1, k.Soft)
		}
		l.TextIn(paint.R(row.X, row.Y, names, h), b.Name, f, k.Ink, paint.Left)
		bx, bw := min(x(from), x(to)), math.Abs(x(to)-x(from))
		bar := paint.R(bx, row.Y+h*0.2, max(bw, 1.5), h*0.6)
		l.Rect(bar, c.Fade(0.85))
		l.Frame(bar, 1, c)
		g := p.strong()
		if b.Um >= 0 {
			l.TextIn(paint.R(bx+bw+p.Size*0.4, row.Y, figures+p.Size, h), b.Text, g, k.Ink, paint.Left)
		} else {
			l.TextIn(paint.R(bx-p.Size*0.4-figures-p.Size, row.Y, figures+p.Size, h), b.Text, g, k.Ink, paint.Right)
		}
		if i < len(bars) {
			l.Rule(x(to), row.Y+h*0.8, x(to), row.Y+h*1.2, 1, k.Soft)
		}
		at = to
	}
}
