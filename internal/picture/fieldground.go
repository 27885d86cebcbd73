package picture

import (
	"math"

	"foilwright/internal/paint"
	"foilwright/sim/field"
)

// levels calls do with each stretch of the ground that is in sight and has metal: from where to where, and its height.
func (p *Pen) levels(f *FieldPanel, do func(x0, x1, level float64)) {
	g := &f.Field.Ground
	far := 3 * f.Field.Frame().Half
	at := [4]float64{-far, min(max(g.Breaks[0], -far), far), min(max(g.Breaks[1], -far), far), far}
	for i, level := range g.Levels {
		if at[i+1] > at[i] && !math.IsInf(level, -1) {
			do(at[i], at[i+1], level)
		}
	}
}

// groundMetal draws the metal of a ground with its layers, each as deep below its own level; what is thick has one back.
func (p *Pen) groundMetal(s fieldScale, f *FieldPanel, deep float64) {
	k := p.Inks
	lowest := 0.0
	p.levels(f, func(_, _, level float64) { lowest = min(lowest, level) })
	p.levels(f, func(x0, x1, level float64) {
		from := level
		for i := range f.Base {
			to := from - f.Base[i].Thickness
			if i == len(f.Base)-1 {
				to -= level - lowest
			}
			to = max(to, -deep-3/s.k)
			box := [4]paint.Point{s.at(field.Spot{X: x0, Z: from}), s.at(field.Spot{X: x1, Z: from}),
				s.at(field.Spot{X: x1, Z: to}), s.at(field.Spot{X: x0, Z: to})}
			p.List.Polygon(box[:], k.Metal)
			p.List.HatchPolygon(box[:], max(5, p.Size*0.8), 45, 1, k.Ink.Fade(0.22))
			p.List.Line(box[2].X, box[2].Y, box[3].X, box[3].Y, p.line(), k.Ink.Fade(0.8))
			if from = to; from <= -deep {
				break
			}
		}
	})
	p.groundProfile(s, f, deep)
}

// groundProfile draws the line of the surface, over its corners.
func (p *Pen) groundProfile(s fieldScale, f *FieldPanel, deep float64) {
	pts := p.spots[:0]
	g := &f.Field.Ground
	far := 3 * f.Field.Frame().Half
	floor := -deep - 3/s.k
	add := func(x, level float64) { pts = append(pts, s.at(field.Spot{X: x, Z: max(level, floor)})) }
	add(-far, g.Levels[0])
	for i, at := range g.Breaks {
		if math.Abs(at) < far {
			add(at, g.Levels[i])
			add(at, g.Levels[i+1])
		}
	}
	add(far, g.Level(far))
	p.spots = pts
	p.List.Polyline(pts, p.line(), p.Inks.Ink.Fade(0.8))
}

// groundFilm draws the film on every level.
func (p *Pen) groundFilm(s fieldScale, f *FieldPanel, h float64) {
	p.levels(f, func(x0, x1, level float64) { p.slab(s, x0, x1, level, h, p.Inks.Film) })
}

// groundFoil draws the foil on the level under the probe, as far as nothing rises.
func (p *Pen) groundFoil(s fieldScale, f *FieldPanel, under, h float64) {
	g := &f.Field.Ground
	x0, x1 := -3*f.Field.Frame().Half, 3*f.Field.Frame().Half
	for i, at := range g.Breaks {
		switch {
		case at > 0 && g.Levels[i+1] > 0:
			x1 = min(x1, at)
		case at < 0 && g.Levels[i] > 0:
			x0 = max(x0, at)
		}
	}
	p.slab(s, x0, x1, under, h, p.Inks.Foil)
}

func (p *Pen) slab(s fieldScale, x0, x1, z, h float64, fill paint.Color) {
	box := [4]paint.Point{s.at(field.Spot{X: x0, Z: z}), s.at(field.Spot{X: x1, Z: z}), s.at(field.Spot{X: x1, Z: z + h}), s.at(field.Spot{X: x0, Z: z + h})}
	p.List.Polygon(box[:], fill)
	p.List.Outline(box[:], p.line(), p.Inks.Ink.Fade(0.8))
}

// column is how much of a column of the current lies in metal at the level under the probe, and whether it begins or ends
// the metal.
func (p *Pen) column(q *field.Picture, i int) (low, high float64, begins, ends bool) {
	low, high = q.X[i], q.X[i+1]
	if q.Ground.Even() {
		return low, min(high, q.EdgeAt), false, high > q.EdgeAt
	}
	here, next := q.Ground.Level(low) == 0, q.Ground.Level(high) == 0
	for _, at := range q.Ground.Breaks {
		switch {
		case at <= low || at >= high:
		case here:
			high, ends = at, true
		case next:
			low, begins = at, true
		}
	}
	if !here && !next {
		return low, low, false, false
	}
	return low, high, begins, ends
}
