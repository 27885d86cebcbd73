package picture

import (
	"math"

	"foilwright/internal/paint"
	"foilwright/internal/say"
)

// DrawReadings plots readings in the order they were taken, each with the
// truth beneath it, and the level the job asks for.
func (p *Pen) DrawReadings(r paint.Rect, taken []Taken, levelUm float64, levelName string, figure func(um float64) string) {
	l, k, f := p.List, p.Inks, p.font()
	low, high := levelUm, levelUm
	for _, t := range taken {
		low, high = min(low, t.Um, t.TrueUm), max(high, t.Um, t.TrueUm)
	}
	step := NiceStep((high - low) / 4)
	low, high = math.Floor(low/step-0.3)*step, math.Ceil(high/step+0.3)*step
	axis := f.Width(figure(high)) + p.Size
	plot := paint.R(r.X+axis, r.Y+p.Size*0.6, r.W-axis-p.Size*0.5, r.H-p.Size*3.2)
	y := func(um float64) float64 { return plot.Bottom() - (um-low)/(high-low)*plot.H }
	for v := low; v <= high+step/2; v += step {
		l.Rule(plot.X, y(v), plot.Right(), y(v), 1, k.Faint)
		s := figure(v)
		l.Text(plot.X-p.Size*0.5-f.Width(s), y(v)+f.CapHeight()/2, s, f, k.Soft)
	}
	l.Rule(plot.X, plot.Y, plot.X, plot.Bottom(), 1, k.Soft)
	l.Rule(plot.X, plot.Bottom(), plot.Right(), plot.Bottom(), 1, k.Soft)
	l.DashLine(plot.X, y(levelUm), plot.Right(), y(levelUm), p.line()*1.2, p.Size*0.6, p.Size*0.35, k.Ink)
	p.plate(plot.Right()-f.Width(levelName)-4, y(levelUm)-p.Size*0.35, levelName, f, k.Ink)
	if len(taken) == 0 {
		return
	}
	dx := plot.W / float64(len(taken))
	spot := -1
	for i := range taken {
		t := &taken[i]
		x := plot.X + (float64(i)+0.5)*dx
		if t.Spot != spot {
			spot = t.Spot
			if i > 0 {
				l.Rule(x-dx/2, plot.Y, x-dx/2, plot.Bottom(), 1, k.Faint)
			}
			s := p.Labels.Whole(spot)
			l.Text(x-f.Width(s)/2, plot.Bottom()+p.Size*1.2, s, f, k.Soft)
		}
		w := min(dx*0.32, p.Size)
		l.Line(x-w, y(t.TrueUm), x+w, y(t.TrueUm), p.line()*2.2, k.Truth)
		l.Line(x, y(t.TrueUm), x, y(t.Um), 1, k.Soft)
		c := k.Ink
		if t.Worst {
			c = k.Act
		}
		if t.Deleted {
			l.Ring(x, y(t.Um), p.Size*0.26, p.line(), k.Soft)
		} else {
			l.Disc(x, y(t.Um), p.Size*0.28, c)
		}
	}
	// Key.
	ky := plot.Bottom() + p.Size*2.5
	kx := plot.X
	l.Disc(kx+p.Size*0.3, ky-f.CapHeight()/2, p.Size*0.28, k.Ink)
	read := say.T("reading")
	l.Text(kx+p.Size, ky, read, f, k.Ink)
	kx += p.Size*2 + f.Width(read)
	l.Line(kx, ky-f.CapHeight()/2, kx+p.Size*1.2, ky-f.CapHeight()/2, p.line()*2.2, k.Truth)
	l.Text(kx+p.Size*1.7, ky, say.T("true thickness there"), f, k.Truth)
	s := say.T("spot number")
	l.Text(plot.Right()-f.Width(s), ky, s, f, k.Soft)
}

// NiceStep rounds the step of a scale up to 1, 2 or 5 times a power of ten; it
// is 1 where x is no positive finite number.
func NiceStep(x float64) float64 {
	if !(x > 0) || math.IsInf(x, 0) {
		return 1
	}
	p := math.Pow(10, math.Floor(math.Log10(x)))
	for _, m := range []float64{1, 2, 5} {
		if x <= m*p*1.0001 {
			return m * p
		}
	}
	return 10 * p
}
