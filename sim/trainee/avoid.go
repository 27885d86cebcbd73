package trainee

import (
	"math"

	"foilwright/sim/bench"
	"foilwright/sim/num"
	"foilwright/sim/part"
)

// avoid moves the planned spots clear of holes, steps, welds, bends and walls:
// to the nearest place in the area where every reading of the spot keeps the
// distance the probe needs.
func (p *plan) avoid(w *bench.World) {
	piece := &w.Exercise.Part.Piece
	var obstacles []part.Obstacle
	var needMm []float64
	for _, o := range part.Obstacles() {
		if o != part.AtEdge && piece.Has(o) {
			obstacles, needMm = append(obstacles, o), append(needMm, w.LimitMm(o))
		}
	}
	if len(obstacles) == 0 {
		return
	}
	spread := float64(p.spreadMm*1.5) + 0.5
	a := w.Exercise.Job.Area
	short := func(at point) float64 {
		most := 0.0
		for i, o := range obstacles {
			most = math.Max(most, needMm[i]+spread-float64(1e3*piece.Distance(o, at.x*1e-3, at.y*1e-3)))
		}
		return most
	}
	for i, from := range p.spots {
		best, least := from, short(from)
		for ring := 1; ring <= 60 && least > 0; ring++ {
			for k := range 24 {
				angle := 2 * math.Pi * float64(k) / 24
				at := point{from.x + float64(2*float64(ring)*num.Cos(angle)), from.y + float64(2*float64(ring)*num.Sin(angle))}
				if !a.Contains(at.x*1e-3, at.y*1e-3) {
					continue
				}
				if s := short(at); s < least {
					best, least = at, s
				}
			}
		}
		p.spots[i] = best
	}
}

// byFeature moves one spot right beside a hole, step, weld or bend of the part.
func (p *plan) byFeature(e *bench.Exercise, h *hand) {
	if p.edgeSpots == nil {
		p.edgeSpots = make([]point, e.Job.Spots)
	}
	f := &e.Part.Piece.Features[h.stream.IntN(len(e.Part.Piece.Features))]
	i := h.stream.IntN(len(p.spots))
	const beside = 1.2 // mm
	switch {
	case f.Kind == part.Hole:
		p.edgeSpots[i] = point{float64(f.X*1e3) + float64(f.Radius*1e3) + beside, float64(f.Y * 1e3)}
	case f.AlongX:
		p.edgeSpots[i] = point{p.spots[i].x, float64(f.At*1e3) + float64(f.Width*500) + beside}
	default:
		p.edgeSpots[i] = point{float64(f.At*1e3) + float64(f.Width*500) + beside, p.spots[i].y}
	}
	p.besideFeature = true
}
