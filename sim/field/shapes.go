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
// tilted,
// relative to flat and square. Built off-line by [BuildShapes], stored as text, read by [ParseShapes].
type Shapes struct {
	head string // digest of the head
	// edge holds log(ratio/(1-ratio)) over gap and asinh(2 d/r2), with d the distance of the axis from the edge.
	// tilt holds log(ratio)/angle^2 over gap and angle in degrees.
	// curve holds log(ratio)/(curvature r2) over gap and mean curvature times r2.
	// wall holds log(ratio-1) over gap and log(d/r2), with d the distance of the axis from the wall.
	edge, tilt, curve, wall                     [idealKinds]grid
	edgeNodes, tiltNodes, curveNodes, wallNodes [idealKinds][]int // the stored integers, in units of quantum
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

// BoreLift returns by how much, in metres, the tip sphere is lifted off a concave surface because the rim of the housing
// touches first; curvature in 1/m, negative where the surface is hollow.
func (h Head) BoreLift(curvature float64) float64 {
	if curvature >= 0 {
		return 0
	}
	radius, reach := -1/curvature, h.Coil.OuterRadius
	rim := h.Coil.Recess - math.Min(1e-4, h.Coil.Recess/4)
	if radius <= reach {
		return reach // the housing does not go in at all
	}
	// Height of the hollow surface at the rim above its lowest point, less the rim's own height.
	return math.Max(0, reach*reach/(radius+math.Sqrt((radius-reach)*(radius+reach)))-rim)
}

// edgeCoordinate maps a distance from the edge to the table's y.
func edgeCoordinate(distance, outerRadius float64) float64 {
	return (num.Asinh(2*distance/outerRadius) - edgeNear) / edgeStep
}

// apply returns the place to be read on the flat curve, and the factor by which edge and tilt change its amplitude.
//
// The ratios are those of ideal metal whose faces lie where the real metal seems to reflect: at its surface for permeable
// metal, half a skin depth inside it for a conductor. The top face is then farther away, the edge nearer, by that depth;
// three-dimensional finite elements confirm the edge's sign (testdata/fem/eddy_air_edge_3d.csv).
func (t *Shapes) apply(o *Over, p Place) (Place, float64) {
	kind := Attracting
	if o.eddy {
		kind = Repelling
	}
	factor := 1.0
	tilt := math.Min(math.Abs(p.Tilt), MaxTilt)
	if tilt > 0 {
		p.Gap += o.head.RimLift(tilt)
		x := o.shapeScale.coordinate(p.Gap+o.depth) / gapsPerRow
		factor *= num.Exp(tilt * tilt * t.tilt[kind].at(x, tilt/degree))
	}
	if p.Curvature != [2]float64{} {
		p.Gap += o.head.BoreLift(math.Min(p.Curvature[0], p.Curvature[1]))
		x := o.shapeScale.coordinate(p.Gap+o.depth) / gapsPerRow
		mean := (p.Curvature[0] + p.Curvature[1]) / 2
		// The plane of reflection lies depth below the surface, so its radius is that much smaller.
		bend := float64(mean / (1 - float64(mean*o.depth)) * o.head.Coil.OuterRadius)
		factor *= num.Exp(bend * t.curve[kind].at(x, (bend-curveNear)/curveStep))
	}
	if p.WallNearness > 0 {
		x := o.shapeScale.coordinate(p.Gap+o.depth) / gapsPerRow
		y := -num.Log(math.Min(p.WallNearness/(1+float64(p.WallNearness*o.depth))*o.head.Coil.OuterRadius*wallNear, 1)) / wallStep
		factor *= 1 + num.Exp(t.wall[kind].at(x, y))
	}
	if !math.IsInf(p.EdgeDistance, 1) {
		x := o.shapeScale.coordinate(p.Gap+o.depth) / gapsPerRow
		logit := t.edge[kind].at(x, edgeCoordinate(p.EdgeDistance-o.depth, o.head.Coil.OuterRadius))
		factor /= 1 + num.Exp(-logit)
	}
	return p, factor
}

// build fits the surfaces to the stored nodes.
func (t *Shapes) build() {
	for kind := range idealKinds {
		t.edge[kind] = newGrid(shapeGaps, edgeNodes, fromQuanta(t.edgeNodes[kind]))
		t.tilt[kind] = newGrid(shapeGaps, tiltNodes, fromQuanta(t.tiltNodes[kind]))
		t.curve[kind] = newGrid(shapeGaps, curveNodes, fromQuanta(t.curveNodes[kind]))
		t.wall[kind] = newGrid(shapeGaps, wallNodes, fromQuanta(t.wallNodes[kind]))
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

// BuildShapes computes the tables of a head; a minute or two. For generating, not for use while running. Old is a text of
// tables of the same head and model from which blocks are taken as they are; nil for none.
func BuildShapes(h Head, old []byte) (*Shapes, error) {
	if err := h.Validate(); err != nil {
		return nil, err
	}
	t := &Shapes{head: h.Digest()}
	if have, _ := readShapes(old); have != nil && have.head == t.head {
		t = have
	}
	for _, part := range []struct {
		have  []int
		build func(h Head) error
	}{{t.edgeNodes[Repelling], t.buildEdge}, {t.tiltNodes[Repelling], t.buildTilt}, {t.curveNodes[Repelling], t.buildCurve}, {t.wallNodes[Repelling], t.buildWall}} {
		if part.have != nil {
			continue
		}
		if err := part.build(h); err != nil {
			return nil, err
		}
	}
	t.build()
	return t, nil
}

// nearAndFar returns the ratio at an edge by a fine cloud within a winding's radius of the metal and three of the edge,
// and by a coarse one with more quadrature nodes beyond: far away the direct term, to which the kernel's error is
// relative, is large against what the metal scatters.
func nearAndFar(h Head, airAngle float64) func(gap, distance float64) (attract, repel float64) {
	near, far := newCloud(h, tableFineness), newCloud(h, farFineness)
	nearWedge, farWedge := newWedge(airAngle, 19), newWedge(airAngle, 31)
	return func(gap, distance float64) (attract, repel float64) {
		if gap > h.Coil.OuterRadius || distance > 3*h.Coil.OuterRadius {
			return far.edgeRatio(farWedge, gap, distance)
		}
		return near.edgeRatio(nearWedge, gap, distance)
	}
}

// unresolved is the difference from flat below which edges and walls are not followed. Some way inside the edge of metal
// that repels the response rises above flat by up to 2e-4 before it settles; the tables leave that out.
const unresolved = 1e-4

// appendTail appends log(value) as a node; where the effect is below what can be resolved it goes on as it fell before,
// which is a power of the distance.
func appendTail(nodes []int, value, effect float64) []int {
	if n := len(nodes); effect < unresolved && n >= 2 {
		return append(nodes, 2*nodes[n-1]-nodes[n-2])
	}
	return append(nodes, toQuanta(num.Log(value)))
}

func (t *Shapes) buildEdge(h Head) error {
	atEdge, scale := nearAndFar(h, 3*math.Pi/2), newShapeScale(h)
	for i := range shapeGaps {
		gap := scale.gap(float64(i) * gapsPerRow)
		for j := range edgeNodes {
			distance := h.Coil.OuterRadius / 2 * num.Sinh(edgeNear+float64(edgeStep*float64(j)))
			ratios := [idealKinds]float64{}
			ratios[Attracting], ratios[Repelling] = atEdge(gap, distance)
			for kind, r := range ratios {
				if !(r > 0 && r < 1+10*unresolved) {
					return fmt.Errorf("field: edge ratio at gap %v m, distance %v m, metal that %ss is %v, expected between 0 and 1",
						gap, distance, kindNames[kind], r)
				}
				t.edgeNodes[kind] = appendTail(t.edgeNodes[kind], r/(1-r), 1-r)
			}
		}
	}
	return nil
}

func (t *Shapes) buildWall(h Head) error {
	// A wall near by is felt at any gap, so the fine cloud serves all.
	c, scale, corner := newCloud(h, tableFineness), newShapeScale(h), newWedge(math.Pi/2, 25)
	for i := range shapeGaps {
		gap := scale.gap(float64(i) * gapsPerRow)
		for j := range wallNodes {
			distance := h.Coil.OuterRadius * wallNear * num.Exp(wallStep*float64(j))
			ratios := [idealKinds]float64{}
			ratios[Attracting], ratios[Repelling] = c.edgeRatio(corner, gap, distance)
			for kind, r := range ratios {
				if !(r > 1-10*unresolved) {
					return fmt.Errorf("field: ratio at gap %v m, %v m from a wall that %ss is %v, expected above 1", gap, distance, kindNames[kind], r)
				}
				t.wallNodes[kind] = appendTail(t.wallNodes[kind], r-1, r-1)
			}
		}
	}
	return nil
}

func (t *Shapes) buildTilt(h Head) error {
	c, scale := newCloud(h, tableFineness), newShapeScale(h)
	for i := range shapeGaps {
		gap := scale.gap(float64(i) * gapsPerRow)
		for j := range tiltNodes {
			tilt := math.Max(float64(j), 1) * degree // the limit at 0 is taken at one degree
			ratios := [idealKinds]float64{}
			at := gap
			if lift := h.RimLift(tilt); lift > 0 {
				at = math.Max(gap, lift) // nearer the rim would be in the metal
			}
			ratios[Attracting], ratios[Repelling] = c.tiltRatio(h.TipRadius, at, tilt)
			for kind, r := range ratios {
				t.tiltNodes[kind] = append(t.tiltNodes[kind], toQuanta(num.Log(r)/(tilt*tilt)))
			}
		}
	}
	return nil
}

func (t *Shapes) buildCurve(h Head) error {
	s, scale := newSpectrum(h), newShapeScale(h)
	for i := range shapeGaps {
		gap := scale.gap(float64(i) * gapsPerRow)
		for j := range curveNodes {
			slopes, err := s.curveSlopes(gap, curveNear+float64(curveStep*float64(j)))
			if err != nil {
				return err
			}
			for kind, v := range slopes {
				t.curveNodes[kind] = append(t.curveNodes[kind], toQuanta(v))
			}
		}
	}
	return nil
}

// curveSlopes returns log(ratio to flat)/bend on a sphere of curvature bend/r2; near zero from both sides of it.
func (s *spectrum) curveSlopes(gap, bend float64) (slopes [idealKinds]float64, err error) {
	const least = 0.05
	if math.Abs(bend) < least {
		up, err := s.curveSlopes(gap, least)
		if err != nil {
			return up, err
		}
		down, err := s.curveSlopes(gap, -least)
		for kind := range up {
			slopes[kind] = (up[kind] + down[kind]) / 2
		}
		return slopes, err
	}
	radius := s.head.Coil.OuterRadius / bend
	if radius < 0 {
		// Far away the head no longer fits under the cavity's roof, which a bore or a dish does not have anyway.
		gap = math.Min(gap, -radius/2)
	}
	if err := validateSphere(s.head, radius, gap); err != nil {
		return slopes, err
	}
	flat := [idealKinds]float64{}
	flat[Attracting], flat[Repelling] = s.overIdeal(gap, nil, nil)
	m := newSphereModes(s.head, s.core, radius, gap)
	for kind := range slopes {
		d := m.over(func(n int) []complex128 { return idealSphereAnswers(Ideal(kind), radius, n) })
		slopes[kind] = num.Log(real(d)/flat[kind]) / bend
	}
	return slopes, nil
}
