package bench

import (
	"math"

	"foilwright/sim/field"
	"foilwright/sim/part"
)

// featureReach is how far away a feature is still felt, in outer radii of the
// winding; beyond, it is left out.
const featureReach = 12

// surround is Surround for the channel's winding.
func (ch *channel) surround(place *field.Place, p *part.Piece, x, y float64) {
	Surround(place, ch.design.Head.Coil.OuterRadius, p, x, y)
}

// Surround fills in what of a piece lies beside the place (x, y), metres, as a
// head whose winding has that outer radius feels it: walls and features. At most
// field.MostBeside of them are taken, in the order of the exercise; it returns
// which feature of the piece each one in place.Beside is.
func Surround(place *field.Place, outer float64, p *part.Piece, x, y float64) (of [field.MostBeside]*part.Feature) {
	place.WallNearness = nearness(p.WallDistance(x, y))
	n := 0
	for n < len(place.Beside) && place.Beside[n] != (field.Feature{}) {
		n++
	}
	for i := range p.Features {
		f := &p.Features[i]
		add := func(q field.Feature) {
			if n < len(of) {
				place.Beside[n], of[n] = q, f
				n++
			}
		}
		d := f.Distance(x, y)
		if d > featureReach*outer {
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
			if bent := bent(outer, f, d); f.AlongX {
				place.Curvature[1] += bent
			} else {
				place.Curvature[0] += bent
			}
		}
	}
	return of
}

// cornerReach is how far away the second nearest edge still counts, in outer
// radii of the winding.
const cornerReach = 4

// SetEdges fills in the two nearest free edges of a piece at the place (x, y),
// metres, as a head whose winding has that outer radius feels them. At a corner
// their factors multiply, which is 0.4 % of the signal too high 3 mm from both
// (sim/field/README.md).
func SetEdges(place *field.Place, outer float64, p *part.Piece, x, y float64) {
	nearest, second := p.Edges(x, y)
	place.EdgeDistance, place.AirAngle = nearest.Distance, nearest.AirAngle
	if second.Distance < cornerReach*outer {
		place.Beside[0] = field.Edge(second.Distance, second.AirAngle)
	}
}

// bent is the curvature a bend gives a place at a distance from its flank: the
// mean over the width of a winding. An approximation whose error is not known.
func bent(reach float64, f *part.Feature, distance float64) float64 {
	covered := min(reach, -distance) - max(-reach, -distance-f.Width)
	return max(0, covered) / (2 * reach * f.Radius)
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
		place.Curvature[0] += bent(ch.design.Head.Coil.OuterRadius, greatest, distance)
	}
}
