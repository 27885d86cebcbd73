package picture

import (
	"math"

	"foilwright/internal/paint"
	"foilwright/sim/part"
)

// How large what was seen of dirt and faults is drawn. Nobody sees how large it
// is; the picture says only that it is there.
const (
	dirtUm  = 15.0
	ridgeUm = 18.0
	curlUm  = 40.0
)

// dirtHeight is how thick dirt is drawn, pixels.
func (p *Pen) dirtHeight(heights float64) float64 { return max(dirtUm*heights, p.Size*0.7) }

// curls reports whether the foil is seen to stand off.
func (c *Cut) curls() bool { return c.Seen.Curled && !c.Smoothed }

// arch draws a foil that stands off in its middle and returns by how much.
func (p *Pen) arch(f paint.Rect, fill paint.Color) (rise float64) {
	const steps = 24
	rise = max(3, f.H*1.5)
	p.band(f.X, f.Right(), f.Bottom(), f.H, fill, func(t float64) float64 { return rise * math.Sin(math.Pi*t) }, steps)
	return rise
}

// band draws a layer of even thickness whose underside is lifted; t goes from 0
// at the left to 1 at the right.
func (p *Pen) band(left, right, under, h float64, fill paint.Color, lift func(t float64) float64, steps int) {
	l := p.List
	at := func(i int) (x, y float64) {
		t := float64(i) / float64(steps)
		return left + (right-left)*t, under - lift(t)
	}
	for i := range steps {
		x0, y0 := at(i)
		x1, y1 := at(i + 1)
		// A little over, so that no seam shows.
		q := [4]paint.Point{{X: x0, Y: y0}, {X: x1 + 0.7, Y: y1}, {X: x1 + 0.7, Y: y1 - h}, {X: x0, Y: y0 - h}}
		l.Polygon(q[:], fill)
	}
	for i := range steps {
		x0, y0 := at(i)
		x1, y1 := at(i + 1)
		l.Line(x0, y0, x1, y1, p.line(), p.Inks.Ink)
		l.Line(x0, y0-h, x1, y1-h, p.line(), p.Inks.Ink)
	}
}

// foilLarge draws the upper foil in the detail with what was seen of it and
// returns where its top is under the tip.
func (p *Pen) foilLarge(left, right, under, heights, scale float64, c *Cut) (top float64) {
	h := c.FoilUm * heights
	middle := (c.Piece.Width * 1e3) / 2
	// mm from the middle of the foil at a share of the width drawn.
	mm := func(t float64) float64 { return c.Probe.X + (left+(right-left)*t-(left+right)/2)/scale - middle }
	lift := func(float64) float64 { return 0 }
	switch {
	case c.curls():
		lift = func(float64) float64 { return curlUm * heights }
	case c.Seen.Condition == part.FoilCreased && math.Abs(c.Seen.Cos) > 0.2:
		// Where the crease crosses the cut.
		y := c.Probe.Y - c.Piece.Height*1e3/2
		x := (c.Seen.OffsetM*1e3 - y*c.Seen.Sin) / c.Seen.Cos
		lift = func(t float64) float64 {
			d := (mm(t) - x) * c.Seen.Cos / 1.5
			return ridgeUm * heights * math.Exp(-d*d)
		}
	case c.Seen.Condition == part.FoilBurred:
		lift = func(t float64) float64 { return ridgeUm * heights * t * t * t }
	case c.Seen.Condition == part.FoilWorn:
		h *= 0.85
	}
	p.band(left, right, under, h, p.Inks.Foil, lift, 40)
	if c.Seen.Dusty {
		p.dust(left, right, under-h)
	}
	return under - h - lift(0.5)
}

// dust draws grains on a surface.
func (p *Pen) dust(left, right, y float64) {
	for i := range 14 {
		x := left + (right-left)*(float64(i)+0.2+float64(i*7%5)/8)/14
		p.List.Disc(x, y-p.Size*0.12, p.Size*(0.10+float64(i*5%4)*0.03), p.Inks.Ink)
	}
}

// tipSeen draws dirt and wear on the enlarged tip; y is its lowest point.
func (p *Pen) tipSeen(r paint.Rect, y, scale, heights float64, c *Cut) {
	if y < r.Y-4 {
		return
	}
	x := r.X + r.W/2
	if c.Tip.Worn {
		w := 0.3 * max(c.Probe.TipRadius, 0.8) * scale
		p.List.Rect(paint.R(x-w, y-p.line()*2, 2*w, p.line()*4), p.Inks.Ink)
	}
	if c.Tip.Dirty {
		h := p.dirtHeight(heights)
		blot := [6]paint.Point{
			{X: x - 1.1*p.Size, Y: y - h*0.2}, {X: x - 0.5*p.Size, Y: y + h}, {X: x + 0.1*p.Size, Y: y + h*0.8},
			{X: x + 0.6*p.Size, Y: y + h}, {X: x + 1.2*p.Size, Y: y - h*0.1}, {X: x, Y: y - h*0.6},
		}
		p.List.Polygon(blot[:], p.Inks.Soft)
		p.List.Outline(blot[:], p.line(), p.Inks.Ink)
	}
}

// creaseAbove draws the crease or the burred edge of a foil that was looked at,
// on the plan.
func (p *Pen) creaseAbove(pl Plan, a *Above) {
	if a.Foil.Condition != part.FoilCreased && a.Foil.Condition != part.FoilBurred {
		return
	}
	cx, cy := a.Piece.Width*1e3/2+a.Foil.OffsetM*1e3*a.Foil.Cos, a.Piece.Height*1e3/2+a.Foil.OffsetM*1e3*a.Foil.Sin
	const half = 25.0
	q0 := pl.At(cx-half*a.Foil.Sin, cy+half*a.Foil.Cos)
	q1 := pl.At(cx+half*a.Foil.Sin, cy-half*a.Foil.Cos)
	p.List.Line(q0.X, q0.Y, q1.X, q1.Y, p.line()*2, p.Inks.Ink)
	p.List.Line(q0.X+2, q0.Y+2, q1.X+2, q1.Y+2, p.line(), p.Inks.Paper)
}
