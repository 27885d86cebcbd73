package field

import (
	"fmt"
	"math"

	"foilwright/sim/num"
)

// BuildShapes computes the tables of a head; some minutes. For generating, not for use while running. Old is a text of
// tables of the same head and model from which blocks are taken as they are; nil for none.
func BuildShapes(h Head, old []byte) (*Shapes, error) {
	if err := h.Validate(); err != nil {
		return nil, err
	}
	t := &Shapes{head: h.Digest()}
	if have, _ := readShapes(old); have != nil && have.head == t.head {
		t = have
	}
	for i, b := range shapeBlocks {
		if t.nodes[i] != nil {
			continue
		}
		if b.build == nil {
			return nil, fmt.Errorf("field: block %q is missing but not that before it; delete the tables and build them all", b.name)
		}
		if err := b.build(t, h, i); err != nil {
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
	nearWedge, farWedge, farthest := newWedge(airAngle, 19), newWedge(airAngle, 31), newWedge(airAngle, 61)
	return func(gap, distance float64) (attract, repel float64) {
		if gap > 10*h.Coil.OuterRadius {
			return far.edgeRatio(farthest, gap, distance)
		}
		if gap > h.Coil.OuterRadius || distance > 3*h.Coil.OuterRadius {
			return far.edgeRatio(farWedge, gap, distance)
		}
		return near.edgeRatio(nearWedge, gap, distance)
	}
}

// coarse is the error, in units of flat, of a winding without a core whose points come close to the face of an edge, and of any far away.
const coarse = 2e-2

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

// buildEdge computes the edge of an air angle above pi.
func (t *Shapes) buildEdge(h Head, block int, airAngle float64) error {
	atEdge, scale := nearAndFar(h, airAngle), newShapeScale(h)
	for i := range shapeGaps {
		gap := scale.gap(float64(i) * gapsPerRow)
		for j := range edgeNodes {
			distance := h.Coil.OuterRadius / 2 * num.Sinh(edgeNear+float64(edgeStep*float64(j)))
			ratios := [idealKinds]float64{}
			ratios[Attracting], ratios[Repelling] = atEdge(gap, distance)
			for kind, r := range ratios {
				if (distance < -h.Coil.OuterRadius || gap > 10*h.Coil.OuterRadius) && r > -coarse {
					r = max(r, unresolved) // all of the winding is beyond the edge, or hardly anything is left to sense
				}
				if !(r > 0 && r < 1+10*unresolved) {
					return fmt.Errorf("field: edge ratio at gap %v m, distance %v m, metal that %ss is %v, expected between 0 and 1",
						gap, distance, kindNames[kind], r)
				}
				t.nodes[block+kind] = appendTail(t.nodes[block+kind], r/(1-r), 1-r)
			}
		}
	}
	return nil
}

// buildCorner computes the inner corner of an air angle below pi.
func (t *Shapes) buildCorner(h Head, block int, airAngle float64) error {
	// A wall near by is felt at any gap, so the fine cloud serves all.
	c, scale, corner := newCloud(h, tableFineness), newShapeScale(h), newWedge(airAngle, 25)
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
				t.nodes[block+kind] = appendTail(t.nodes[block+kind], r-1, r-1)
			}
		}
	}
	return nil
}

func (t *Shapes) buildTilt(h Head, block int) error {
	c, scale := newCloud(h, tableFineness), newShapeScale(h)
	for i := range shapeGaps {
		gap := scale.gap(float64(i) * gapsPerRow)
		for j := range tiltNodes {
			tilt := max(float64(j), 1) * degree // the limit at 0 is taken at one degree
			ratios := [idealKinds]float64{}
			at := gap
			if lift := h.RimLift(tilt); lift > 0 {
				at = max(gap, lift) // nearer the rim would be in the metal
			}
			ratios[Attracting], ratios[Repelling] = c.tiltRatio(h.TipRadius, at, tilt)
			for kind, r := range ratios {
				t.nodes[block+kind] = append(t.nodes[block+kind], toQuanta(num.Log(r)/(tilt*tilt)))
			}
		}
	}
	return nil
}

func (t *Shapes) buildCurve(h Head, block int) error {
	s, scale := newSpectrum(h), newShapeScale(h)
	for i := range shapeGaps {
		gap := scale.gap(float64(i) * gapsPerRow)
		for j := range curveNodes {
			slopes, err := s.curveSlopes(gap, curveNear+float64(curveStep*float64(j)))
			if err != nil {
				return err
			}
			for kind, v := range slopes {
				t.nodes[block+kind] = append(t.nodes[block+kind], toQuanta(v))
			}
		}
	}
	return nil
}

// gapInHollow returns the gap nearest to that asked for at which the head fits into a hollow (radius below 0): the rim
// touches when nearer, and far away there is the roof of the cavity, which a bore or a dish does not have anyway.
func (h Head) gapInHollow(radius, gap float64) float64 {
	if radius > 0 {
		return gap
	}
	return max(min(gap, -radius/2), h.BoreLift(1/radius))
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
	gap = s.head.gapInHollow(radius, gap)
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

// gridOf fits the surface of a block that others are built on.
func (t *Shapes) gridOf(block int) {
	b := shapeBlocks[block]
	t.grids[block] = newGrid(b.rows, b.width, fromQuanta(t.nodes[block]))
}
