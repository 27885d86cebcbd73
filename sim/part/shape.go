package part

import "math"

// Ending is what becomes of the metal at one side of a piece.
type Ending string

// The endings. The zero value is FreeEdge.
const (
	FreeEdge Ending = ""     // it ends
	GoesOn   Ending = "none" // it goes on beyond what is shown
	Wall     Ending = "wall" // it rises at a right angle: an inner corner
)

// Sides says what becomes of the metal at each side of the outline.
type Sides struct{ Left, Right, Bottom, Top Ending }

// Angles are the angles of the air about the free edges, radians; 0 is the square
// edge of the base as thick as it is. Any other angle counts as that of thick metal.
type Angles struct{ Left, Right, Bottom, Top float64 }

// Edge is a free edge seen from a place: its distance in metres, negative beyond
// it, and the angle of the air about it, as in [Angles].
type Edge struct{ Distance, AirAngle float64 }

// Edges returns the free edge nearest to a place and the one nearest after that,
// at +Inf where there is none.
func (p *Piece) Edges(x, y float64) (nearest, second Edge) {
	nearest.Distance, second.Distance = math.Inf(1), math.Inf(1)
	angles := [4]float64{p.Angles.Left, p.Angles.Right, p.Angles.Bottom, p.Angles.Top}
	for i, s := range p.sides(x, y) {
		switch e := (Edge{s.distance, angles[i]}); {
		case s.ending != FreeEdge:
		case e.Distance < nearest.Distance:
			nearest, second = e, nearest
		case e.Distance < second.Distance:
			second = e
		}
	}
	return nearest, second
}

// Curvature returns the principal curvatures along x and y, 1/m, above 0 where
// the piece bulges.
func (p *Piece) Curvature() [2]float64 { return [2]float64{inverse(p.RadiusX), inverse(p.RadiusY)} }

func inverse(radius float64) float64 {
	if radius == 0 {
		return 0
	}
	return 1 / radius
}

// sides lists the endings with the distances of a place from them.
func (p *Piece) sides(x, y float64) [4]struct {
	ending   Ending
	distance float64
} {
	return [4]struct {
		ending   Ending
		distance float64
	}{{p.Sides.Left, x}, {p.Sides.Right, p.Width - x}, {p.Sides.Bottom, y}, {p.Sides.Top, p.Height - y}}
}

// Obstacle is a kind of thing beside which a probe reads wrongly.
type Obstacle string

// The obstacles.
const (
	AtEdge Obstacle = "edge"
	AtWall Obstacle = "wall"
	AtHole Obstacle = "hole"
	AtStep Obstacle = "edge of the step" // on its upper level
	AtFoot Obstacle = "foot of the step" // on its lower level
	AtWeld Obstacle = "weld"
	AtBend Obstacle = "bend"
)

// Obstacles lists them all.
func Obstacles() []Obstacle {
	return []Obstacle{AtEdge, AtWall, AtHole, AtStep, AtFoot, AtWeld, AtBend}
}

// Distance returns the distance in metres from the point (x, y) to the nearest
// obstacle of a kind, 0 and less on it; +Inf where there is none.
func (p *Piece) Distance(o Obstacle, x, y float64) float64 {
	switch o {
	case AtEdge:
		return p.EdgeDistance(x, y)
	case AtWall:
		return p.WallDistance(x, y)
	}
	least := math.Inf(1)
	for i := range p.Features {
		if f := &p.Features[i]; f.to(x, y) == o {
			least = min(least, f.Distance(x, y))
		}
	}
	return least
}

// EdgeDistance returns the distance in metres from the point (x, y) to the
// nearest free edge of the piece; it is negative outside the outline, and +Inf
// where no side ends. The origin is the lower left corner, x to the right, y up.
func (p *Piece) EdgeDistance(x, y float64) float64 { return p.toward(FreeEdge, x, y) }

// WallDistance returns the distance in metres from the point (x, y) to the
// nearest wall that rises from the surface; +Inf where there is none.
func (p *Piece) WallDistance(x, y float64) float64 { return p.toward(Wall, x, y) }

func (p *Piece) toward(e Ending, x, y float64) float64 {
	least := math.Inf(1)
	for _, s := range p.sides(x, y) {
		if s.ending == e {
			least = min(least, s.distance)
		}
	}
	return least
}
