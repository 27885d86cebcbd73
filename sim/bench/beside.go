package bench

import (
	"math"

	"foilwright/sim/field"
	"foilwright/sim/part"
)

// featureReach is how far away a feature is still felt, in outer radii of the
// winding; beyond, it is left out.
const featureReach = 12

// surround fills in what of the piece lies beside a place: walls and features.
// At most field.MostBeside features are taken, in the order of the exercise.
func (ch *channel) surround(place *field.Place, p *part.Piece, x, y float64) {
	place.WallNearness = nearness(p.WallDistance(x, y))
	n := 0
	add := func(f field.Feature) {
		if n < len(place.Beside) {
			place.Beside[n] = f
			n++
		}
	}
	for i := range p.Features {
		f := &p.Features[i]
		d := f.Distance(x, y)
		if d > featureReach*ch.design.Head.Coil.OuterRadius {
			continue
		}
		switch f.Kind {
		case part.Hole:
			add(field.Hole(d, f.Radius))
		case part.Step:
			if f.Above(x, y) {
				add(field.StepDown(d, f.Height))
			} else {
				add(field.StepUp(d, f.Height))
			}
		case part.Weld:
			if d >= 0 {
				add(field.StepUp(d, f.Height))
				continue
			}
			near, far := f.Flanks(x, y)
			add(field.StepDown(near, f.Height))
			add(field.StepDown(far, f.Height))
		case part.Bend:
			if bent := ch.bent(f, d); f.AlongX {
				place.Curvature[1] += bent
			} else {
				place.Curvature[0] += bent
			}
		}
	}
}

// bent is the curvature a bend gives a place at a distance from its flank: the
// mean over the width of the winding. An approximation whose error is not known.
func (ch *channel) bent(f *part.Feature, distance float64) float64 {
	reach := ch.design.Head.Coil.OuterRadius
	covered := math.Min(reach, -distance) - math.Max(-reach, -distance-f.Width)
	return math.Max(0, covered) / (2 * reach * f.Radius)
}

// featured reports whether a wall or a feature can be felt at a contact.
func (w *World) featured(c *Contact) bool {
	p := &w.pieces[c.piece]
	return len(p.Features) > 0 || !math.IsInf(p.WallDistance(c.metres()), 1)
}

// besideOne brings an obstacle of a kind to a place, at a distance in metres:
// the greatest of its kind on the piece.
func (ch *channel) besideOne(place *field.Place, p *part.Piece, o part.Obstacle, distance float64) {
	switch o {
	case part.AtEdge:
		place.EdgeDistance = distance
		return
	case part.AtWall:
		place.WallNearness = nearness(distance)
		return
	}
	var greatest *part.Feature
	for i := range p.Features {
		f := &p.Features[i]
		if f.Is(o) && (greatest == nil || f.Height > greatest.Height || f.Kind == part.Hole && f.Radius > greatest.Radius) {
			greatest = f
		}
	}
	if greatest == nil || math.IsInf(distance, 1) {
		return
	}
	switch o {
	case part.AtHole:
		place.Beside[0] = field.Hole(distance, greatest.Radius)
	case part.AtStep:
		place.Beside[0] = field.StepDown(distance, greatest.Height)
	case part.AtFoot, part.AtWeld:
		place.Beside[0] = field.StepUp(distance, greatest.Height)
	case part.AtBend:
		place.Curvature[0] += ch.bent(greatest, distance)
	}
}
