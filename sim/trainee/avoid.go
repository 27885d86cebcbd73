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
	for i, from := range p.spots {
		p.spots[i] = clear(w, &w.Exercise.Part.Piece, w.Exercise.Job.Area, from, float64(p.spreadMm*1.5)+0.5)
	}
}

// clear is the place nearest to another, within an area of a piece, from which a
// circle of some radius, mm, keeps clear of everything beside which the probe
// reads wrongly; where there is none, the one that comes closest to that.
func clear(w *bench.World, piece *part.Piece, area part.Area, from point, radiusMm float64) point {
	var obstacles []part.Obstacle
	var needMm []float64
	for _, o := range part.Obstacles() {
		if o != part.AtEdge && piece.Has(o) {
			obstacles, needMm = append(obstacles, o), append(needMm, w.LimitMm(o))
		}
	}
	short := func(at point) float64 {
		most := 0.0
		for i, o := range obstacles {
			most = math.Max(most, needMm[i]+radiusMm-float64(1e3*piece.Distance(o, at.x*1e-3, at.y*1e-3)))
		}
		return most
	}
	const step, rings, directions = 2, 60, 24 // mm
	best, least := from, short(from)
	for ring := 1; ring <= rings && least > 0; ring++ {
		for k := range directions {
			angle := 2 * math.Pi * float64(k) / directions
			at := point{from.x + float64(step*float64(ring)*num.Cos(angle)), from.y + float64(step*float64(ring)*num.Sin(angle))}
			if s := short(at); s < least && area.Contains(at.x*1e-3, at.y*1e-3) {
				best, least = at, s
			}
		}
	}
	return best
}

// byFeature moves one spot right beside a hole, step, weld or bend of the part.
func (p *plan) byFeature(e *bench.Exercise, h *hand) {
	if p.edgeSpots == nil {
		p.edgeSpots = make([]point, e.Job.Spots)
	}
	f := &e.Part.Piece.Features[h.stream.IntN(len(e.Part.Piece.Features))]
	i := h.stream.IntN(len(p.spots))
	const besideMm = 1.2
	switch {
	case f.Kind == part.Hole:
		p.edgeSpots[i] = point{float64(f.X*1e3) + float64(f.Radius*1e3) + besideMm, float64(f.Y * 1e3)}
	case f.AlongX:
		p.edgeSpots[i] = point{p.spots[i].x, float64(f.At*1e3) + float64(f.Width*500) + besideMm}
	default:
		p.edgeSpots[i] = point{float64(f.At*1e3) + float64(f.Width*500) + besideMm, p.spots[i].y}
	}
	p.besideFeature = true
}
