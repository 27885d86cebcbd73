package screens

import (
	"math"
	"strings"

	"foilwright/internal/say"
	"foilwright/sim/field"
	"foilwright/sim/part"
)

// shown is what the section runs through: the nearest of all that is beside the probe.
type shown struct {
	kind    part.Obstacle // of what it shows; empty for nothing
	at      float64       // where that begins, x of the section, m
	edge    float64       // angle of the air about it, of an edge
	beside  [field.MostBeside]field.Feature
	missing [6]part.Obstacle // what else is near and is not drawn
	more    int              // of them
}

func (s *shown) miss(kind part.Obstacle) {
	if kind != "" && s.more < len(s.missing) {
		s.missing[s.more] = kind
		s.more++
	}
}

// show turns the section toward the nearest thing within reach, m.
func (q *fieldSpot) show(p *part.Piece, x, y, reach float64) {
	nearest := math.Inf(1)
	near := func(kind part.Obstacle, at, distance, alongX, alongY float64) bool {
		if distance >= reach {
			return false
		}
		other := q.shown.kind
		if distance < nearest {
			nearest = distance
			q.shown.kind, q.shown.at = kind, at
			q.along = [2]float64{alongX, alongY}
		} else {
			other = kind
		}
		q.shown.miss(other)
		return distance == nearest
	}
	sides := [4]struct {
		ending          part.Ending
		distance, angle float64
		x, y            float64
	}{{p.Sides.Left, x, p.Angles.Left, -1, 0}, {p.Sides.Right, p.Width - x, p.Angles.Right, 1, 0},
		{p.Sides.Bottom, y, p.Angles.Bottom, 0, -1}, {p.Sides.Top, p.Height - y, p.Angles.Top, 0, 1}}
	for _, s := range sides {
		switch s.ending {
		case part.FreeEdge:
			if near(part.AtEdge, max(s.distance, 0), s.distance, s.x, s.y) {
				q.shown.edge = s.angle
			}
		case part.Wall:
			near(part.AtWall, s.distance, s.distance, s.x, s.y)
		}
	}
	for i := range p.Features {
		q.showFeature(&p.Features[i], x, y, near)
	}
	if q.shown.kind == "" && math.Abs(q.place.Curvature[1]) > math.Abs(q.place.Curvature[0]) {
		q.along = [2]float64{0, 1}
	}
}

func (q *fieldSpot) showFeature(f *part.Feature, x, y float64, near func(part.Obstacle, float64, float64, float64, float64) bool) {
	d := f.Distance(x, y)
	if f.Kind == part.Hole {
		dx, dy, away := f.X-x, f.Y-y, math.Hypot(f.X-x, f.Y-y)
		if away < 1e-6 {
			dx, dy, away = 1, 0, 1
		}
		if near(part.AtHole, d, d, dx/away, dy/away) {
			q.shown.beside = [field.MostBeside]field.Feature{field.Hole(d, f.Radius)}
		}
		return
	}
	across := x - f.At
	if f.AlongX {
		across = y - f.At
	}
	toward := math.Copysign(1, -across)
	if f.Kind == part.Weld && d < 0 {
		toward = -toward // on it, toward the nearer flank
	}
	along := [2]float64{toward, 0}
	if f.AlongX {
		along = [2]float64{0, toward}
	}
	var beside [field.MostBeside]field.Feature
	kind := part.AtWeld
	switch {
	case f.Kind == part.Bend:
		return
	case f.Kind == part.Step && f.Above(x, y):
		kind, beside[0] = part.AtStep, field.StepDown(d, f.Height)
	case f.Kind == part.Step:
		kind, beside[0] = part.AtFoot, field.StepUp(d, f.Height)
	case d < 0:
		nearer, farther := f.Flanks(x, y)
		beside[0], beside[1] = field.StepDown(nearer, f.Height), field.StepDown(farther, f.Height)
		d = nearer
	default:
		beside[0], beside[1] = field.StepUp(d, f.Height), field.StepDown(d+f.Width, f.Height)
	}
	if near(kind, d, d, along[0], along[1]) {
		q.shown.beside = beside
	}
}

// drawn is the place as its section shows it, a head's tip so far above the metal.
func (q *fieldSpot) drawn(gap float64, h field.Head) field.Place {
	place := field.Flat(gap)
	place.Tilt = q.lean
	place.Curvature = q.place.Curvature
	if math.Abs(q.along[1]) > math.Abs(q.along[0]) {
		place.Curvature[0], place.Curvature[1] = place.Curvature[1], place.Curvature[0]
	}
	switch q.shown.kind {
	case "":
	case part.AtEdge:
		place.EdgeDistance, place.AirAngle = q.shown.at, q.shown.edge
	case part.AtWall:
		place.Beside[0] = h.Wall(q.shown.at)
	default:
		place.Beside = q.shown.beside
	}
	return place
}

// note says in what the picture is an approximation, and what of all that is near it does not show.
func (q *fieldSpot) note(drawn bool) string {
	var b strings.Builder
	also := q.shown
	switch {
	case drawn:
		b.WriteString(say.T(drawnAs[q.shown.kind]))
	case q.place.Curvature != [2]float64{}:
		b.WriteString(say.T("The picture takes the surface as a ball or a hollow of ideal metal."))
		also.miss(also.kind)
	}
	if also.more > 0 {
		if b.Len() > 0 {
			b.WriteByte(' ')
		}
		names := make([]string, 0, also.more)
		for _, m := range also.missing[:also.more] {
			names = append(names, say.T(notDrawn[m]))
		}
		b.WriteString(say.T("Not drawn: %s.", strings.Join(names, ", ")))
	}
	return b.String()
}

var drawnAs = map[part.Obstacle]say.Text{
	part.AtEdge: "The picture takes the edge as that of ideal metal.",
	part.AtWall: "The picture takes the wall as one of ideal metal.",
	part.AtHole: "The picture takes the hole as one in ideal metal.",
	part.AtStep: "The picture takes the step as one of ideal metal.",
	part.AtFoot: "The picture takes the step as one of ideal metal.",
	part.AtWeld: "The picture takes the weld as a bar of ideal metal.",
}

var notDrawn = map[part.Obstacle]say.Text{
	part.AtEdge: "a further edge", part.AtWall: "a wall", part.AtHole: "a hole",
	part.AtStep: "a step", part.AtFoot: "a step", part.AtWeld: "a weld",
}
