package field

import (
	"fmt"
	"math"

	"foilwright/sim/num"
)

// shapeModel counts changes of the model behind shape tables; tables of another model are refused.
const shapeModel = 2

// Sizes of the tables.
const (
	shapeGaps  = 25 // gap nodes, evenly spread in the coordinate of newShapeScale
	edgeNodes  = 31
	edgeNear   = -2.1 // first node of asinh(2 d/r2)
	edgeStep   = 0.2
	tiltNodes  = 26 // whole degrees
	curveNodes = 11
	curveNear  = -0.2 // first node of mean curvature times r2
	curveStep  = 0.1
	wallNodes  = 13
	wallNear   = 1.05 // least distance from a wall, in r2
	wallStep   = 0.2  // of log(d/r2)

	degree     = math.Pi / 180
	gapsPerRow = float64(curveCells) / (shapeGaps - 1)
)

// MaxTilt is the largest tilt the tables hold, radians.
const MaxTilt = (tiltNodes - 1) * degree

// Shapes holds what a head's response over ideal metal becomes near an edge or a wall, on a curved surface and when
// tilted, relative to flat and square. Built off-line by [BuildShapes], stored as text, read by [ParseShapes].
type Shapes struct {
	head string // digest of the head
	// nodes are the stored integers of each block, in units of quantum; grids the surfaces through them.
	nodes [shapeBlockCount][]int
	grids [shapeBlockCount]grid
}

// Head returns the digest of the head the tables were made for.
func (t *Shapes) Head() string { return t.head }

// quantum is the resolution of stored nodes.
const quantum = 1e-4

// WithShapes returns the sensor with its shape tables. It fails when they were made for another head.
func (s *Sensor) WithShapes(t *Shapes) (*Sensor, error) {
	if digest := s.head.Digest(); t.head != digest {
		return nil, fmt.Errorf("field: shape tables are for head %s, this head is %s; build them anew with go generate ./sim/probe", t.head, digest)
	}
	with := *s
	with.shapes = t
	return &with, nil
}

// RimLift returns by how much, in metres, the tip sphere is lifted off the surface when the head leans so far (radians)
// that the rim of its housing touches. The housing covers the winding by a wall of a quarter of its recess, at most
// 0.1 mm.
func (h Head) RimLift(tilt float64) float64 {
	rim := h.Coil.Recess - min(1e-4, h.Coil.Recess/4)
	sin, cos := num.Sin(tilt), num.Cos(tilt)
	height := h.TipRadius + float64((rim-h.TipRadius)*cos) - float64(h.Coil.OuterRadius*sin)
	return max(0, -height)
}

// BoreLift returns by how much, in metres, the tip sphere is lifted off a concave surface because the rim of the housing
// touches first; curvature in 1/m, negative where the surface is hollow.
func (h Head) BoreLift(curvature float64) float64 {
	if curvature >= 0 {
		return 0
	}
	radius, reach := -1/curvature, h.Coil.OuterRadius
	rim := h.Coil.Recess - min(1e-4, h.Coil.Recess/4)
	if radius <= reach {
		return reach // the housing does not go in at all
	}
	// Height of the hollow surface at the rim above its lowest point, less the rim's own height.
	return max(0, reach*reach/(radius+math.Sqrt((radius-reach)*(radius+reach)))-rim)
}

// edgeCoordinate maps a distance from the edge to the table's y.
func edgeCoordinate(distance, outerRadius float64) float64 {
	return (num.Asinh(2*distance/outerRadius) - edgeNear) / edgeStep
}

// build fits the surfaces to the stored nodes.
func (t *Shapes) build() {
	for i, b := range shapeBlocks {
		values := fromQuanta(t.nodes[i])
		if i >= stepBlock && i < sheetBlock {
			// Quotients below 1: the logarithm of their logarithm is carried on from size to size.
			for k, v := range values {
				values[k] = num.Log(max(-v, quantum/10))
			}
		}
		t.grids[i] = newGrid(b.rows, b.width, values)
	}
}

func fromQuanta(stored []int) []float64 {
	values := make([]float64, len(stored))
	for i, v := range stored {
		values[i] = float64(v) * quantum
	}
	return values
}

func toQuanta(v float64) int { return int(math.Floor(v/quantum + 0.5)) }
