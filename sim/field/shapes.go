package field

import (
	"fmt"
	"math"

	"foilwright/sim/num"
)

// shapeModel counts changes of the model behind shape tables; tables of another model are refused.
const shapeModel = 1

// Sizes of the tables.
const (
	shapeGaps  = 21 // gap nodes, evenly spread in the coordinate of gapScale
	edgeNodes  = 31
	edgeNear   = -2.1 // first node of asinh(2 d/r2)
	edgeStep   = 0.2
	tiltNodes  = 26 // whole degrees
	degree     = math.Pi / 180
	gapsPerRow = float64(curveCells) / (shapeGaps - 1)
)

// MaxTilt is the largest tilt the tables hold, radians.
const MaxTilt = (tiltNodes - 1) * degree

// Shapes holds what a head's response over ideal metal becomes near an edge and when tilted, relative to flat and
// square. Built off-line by [BuildShapes], stored as text, read by [ParseShapes].
type Shapes struct {
	head string // digest of the head
	// edge holds log(ratio/(1-ratio)) over gap and asinh(2 d/r2), with d the distance of the axis from the edge.
	// tilt holds log(ratio)/angle^2 over gap and angle in degrees.
	edge, tilt           [idealKinds]grid
	edgeNodes, tiltNodes [idealKinds][]int // the stored integers, in units of quantum
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
	rim := h.Coil.Recess - math.Min(1e-4, h.Coil.Recess/4)
	sin, cos := num.Sin(tilt), num.Cos(tilt)
	height := h.TipRadius + float64((rim-h.TipRadius)*cos) - float64(h.Coil.OuterRadius*sin)
	return math.Max(0, -height)
}

// edgeCoordinate maps a distance from the edge to the table's y.
func edgeCoordinate(distance, outerRadius float64) float64 {
	return (num.Asinh(2*distance/outerRadius) - edgeNear) / edgeStep
}

// apply returns the place to be read on the flat curve, and the factor by which edge and tilt change its amplitude.
//
// The ratios are those of ideal metal at the gap and edge distance of the plane in which the real metal seems to
// reflect: at its surface for permeable metal, half a skin depth below it for a conductor.
func (t *Shapes) apply(o *Over, p Place) (Place, float64) {
	kind := Attracting
	if o.eddy {
		kind = Repelling
	}
	factor := 1.0
	tilt := math.Min(math.Abs(p.Tilt), MaxTilt)
	if tilt > 0 {
		p.Gap += o.head.RimLift(tilt)
		x := o.scale.coordinate(p.Gap+o.depth) / gapsPerRow
		factor = num.Exp(tilt * tilt * t.tilt[kind].at(x, tilt/degree))
	}
	if !math.IsInf(p.EdgeDistance, 1) {
		x := o.scale.coordinate(p.Gap+o.depth) / gapsPerRow
		logit := t.edge[kind].at(x, edgeCoordinate(p.EdgeDistance+o.depth, o.head.Coil.OuterRadius))
		factor /= 1 + num.Exp(-logit)
	}
	return p, factor
}

// build fits the surfaces to the stored nodes.
func (t *Shapes) build() {
	for kind := range idealKinds {
		t.edge[kind] = newGrid(shapeGaps, edgeNodes, fromQuanta(t.edgeNodes[kind]))
		t.tilt[kind] = newGrid(shapeGaps, tiltNodes, fromQuanta(t.tiltNodes[kind]))
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

// BuildShapes computes the tables of a head; minutes. For generating, not for use while running.
func BuildShapes(h Head) (*Shapes, error) {
	if err := h.Validate(); err != nil {
		return nil, err
	}
	t := &Shapes{head: h.Digest()}
	c, scale, corner := newCloud(h, tableFineness), newGapScale(h), newWedge(3*math.Pi/2, 25)
	for i := range shapeGaps {
		gap := scale.gap(float64(i) * gapsPerRow)
		for j := range edgeNodes {
			distance := h.Coil.OuterRadius / 2 * num.Sinh(edgeNear+edgeStep*float64(j))
			ratios := [idealKinds]float64{}
			ratios[Attracting], ratios[Repelling] = c.edgeRatio(corner, gap, distance)
			for kind, r := range ratios {
				if !(r > 0 && r < 1) {
					return nil, fmt.Errorf("field: edge ratio at gap %v m, distance %v m, metal that %ss is %v, expected between 0 and 1",
						gap, distance, kindNames[kind], r)
				}
				t.edgeNodes[kind] = append(t.edgeNodes[kind], toQuanta(num.Log(r/(1-r))))
			}
		}
		for j := range tiltNodes {
			tilt := math.Max(float64(j), 1) * degree // the limit at 0 is taken at one degree
			ratios := [idealKinds]float64{}
			ratios[Attracting], ratios[Repelling] = c.tiltRatio(h.TipRadius, math.Max(gap, h.RimLift(tilt)), tilt)
			for kind, r := range ratios {
				t.tiltNodes[kind] = append(t.tiltNodes[kind], toQuanta(num.Log(r)/(tilt*tilt)))
			}
		}
	}
	t.build()
	return t, nil
}
