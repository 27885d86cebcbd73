package field

import (
	"math"

	"foilwright/sim/num"
)

// excess is what metal of another shape, or another attitude of the head, adds to the system of equations over the
// ideal plane: the part of the scattered Green's function that differs, between all pairs of sources.
type excess struct {
	charge     matrix    // unknown x charge: its potential on the core, projected
	drive      []float64 // unknown: minus the winding's potential on the core, projected
	coilCoil   float64   // winding on itself
	coilCharge []float64 // winding on each charge, less on the last
}

// cloud is a head broken into points, mirror-symmetric about y = 0, so that it may sit over any shape that is too.
type cloud struct {
	spectrum *spectrum
	sources  []pointGroup // the charges in order, then the winding
	viewers  []pointGroup // the circles on the core in order, then the winding; only the half y > 0, twice the weight
}

type pointGroup struct {
	at     []point // metres; z above the tip's contact point
	weight []float64
}

// fineness is how many points stand for a circle.
type fineness struct {
	tip, side, end int // circles on the core
	azimuths       int // of circles on the core's tip; those above it and the rings of charge have half as many
	coilAzimuths   int // of the winding's lower disc; the upper one has half as many
}

var (
	// tableFineness is used for building tables, farFineness for those nodes where edge or metal are far away; against
	// checkFineness their ratios differ by less than 5e-4, see tests.
	tableFineness = fineness{tip: 14, side: 14, end: 6, azimuths: 8, coilAzimuths: 12}
	farFineness   = fineness{tip: 10, side: 10, end: 5, azimuths: 4, coilAzimuths: 8}
	checkFineness = fineness{tip: 30, side: 40, end: 16, azimuths: 16, coilAzimuths: 20}
)

func newCloud(h Head, f fineness) *cloud {
	c := &cloud{}
	if h.Core == nil {
		c.spectrum = newSpectrum(h)
	} else {
		c.spectrum = newSpectrumOn(h, spreadCircles(*h.Core, f.tip, f.side, f.end))
		lift := h.Core.Recess
		for _, q := range c.spectrum.core.charges {
			var g pointGroup
			g.addCircle(circle{q.rho, lift + q.zeta}, 1, f.azimuths/2, false)
			c.sources = append(c.sources, g)
		}
		for _, p := range c.spectrum.core.surface {
			var g pointGroup
			azimuths := f.azimuths
			if p.zeta > h.Core.Radius {
				azimuths /= 2
			}
			g.addCircle(circle{p.rho, lift + p.zeta}, 1, azimuths, true)
			c.viewers = append(c.viewers, g)
		}
	}
	c.sources = append(c.sources, windingPoints(h.Coil, f.coilAzimuths, false))
	c.viewers = append(c.viewers, windingPoints(h.Coil, f.coilAzimuths, true))
	return c
}

// addCircle adds n points on a circle, with the weight spread evenly; with half set only those with y > 0.
func (g *pointGroup) addCircle(c circle, weight float64, n int, half bool) {
	if c.rho == 0 {
		g.at, g.weight = append(g.at, point{0, 0, c.zeta}), append(g.weight, weight)
		return
	}
	count, each := n, weight/float64(n)
	if half {
		count, each = n/2, 2*each
	}
	for k := range count {
		angle := 2 * math.Pi * (float64(k) + 0.5) / float64(n)
		g.at = append(g.at, point{c.rho * num.Cos(angle), c.rho * num.Sin(angle), c.zeta})
		g.weight = append(g.weight, each)
	}
}

// windingPoints breaks the winding's two discs of charge into points: charge 2 pi r w M_z(r) per ring, negative below.
func windingPoints(c Coil, azimuths int, half bool) pointGroup {
	var g pointGroup
	for _, d := range []struct {
		height, sign      float64
		inner, outer, per int
	}{
		{c.Recess, -1, 4, 5, azimuths},
		{c.Recess + c.Height, 1, 3, 4, azimuths / 2},
	} {
		for _, part := range []rule{gaussLegendre(d.inner, 0, c.InnerRadius), gaussLegendre(d.outer, c.InnerRadius, c.OuterRadius)} {
			for i, r := range part.node {
				moment := c.density() * (c.OuterRadius - max(r, c.InnerRadius))
				g.addCircle(circle{r, d.height}, d.sign*2*math.Pi*r*part.weight[i]*moment, d.per, half)
			}
		}
	}
	return g
}

// green is a part of the scattered Green's function between two points of the head, for metal that attracts the field
// and for metal that repels it, 1/m.
type green func(p, q point) (attract, repel float64)

// excess returns the two systems' extras for a Green's function given between points of the upright head at gap 0.
func (c *cloud) excess(g green) (attract, repel *excess) {
	n := len(c.sources) - 1
	seenA, seenR := newMatrix(len(c.viewers), n+1), newMatrix(len(c.viewers), n+1)
	for t, v := range c.viewers {
		for j, s := range c.sources {
			if t == len(c.viewers)-1 && j == n {
				seenA.at[t*(n+1)+j], seenR.at[t*(n+1)+j] = v.onItself(g)
				continue
			}
			sumA, sumR := 0.0, 0.0
			for i, p := range v.at {
				for k, q := range s.at {
					a, r := g(p, q)
					w := v.weight[i] * s.weight[k]
					sumA += float64(w * a)
					sumR += float64(w * r)
				}
			}
			seenA.at[t*(n+1)+j], seenR.at[t*(n+1)+j] = sumA, sumR
		}
	}
	return c.project(seenA), c.project(seenR)
}

// onItself is the double sum over a group given by its half y > 0, each pair taken once: G is the same both ways, and the
// same for mirrored pairs.
func (v pointGroup) onItself(g green) (attract, repel float64) {
	for i, p := range v.at {
		for k := i; k < len(v.at); k++ {
			q := v.at[k]
			a, r := g(p, q)
			b, s := g(p, point{q.x, -q.y, q.z})
			w := v.weight[i] * v.weight[k]
			if k == i {
				w /= 2
			}
			attract += float64(w * (a + b))
			repel += float64(w * (r + s))
		}
	}
	return attract, repel
}

// project turns potentials (viewer x source) into the extras of the system.
func (c *cloud) project(seen matrix) *excess {
	n := seen.cols - 1
	coil := seen.row(seen.rows - 1)
	e := &excess{coilCoil: coil[n]}
	if n == 0 {
		return e
	}
	last := coil[n-1]
	for _, v := range coil[:n-1] {
		e.coilCharge = append(e.coilCharge, v-last)
	}
	onCore := newMatrix(seen.rows-1, n)
	for t := range onCore.rows {
		from, to := seen.row(t), onCore.row(t)
		for j := range n - 1 {
			to[j] = from[j] - from[n-1]
		}
		to[n-1] = -from[n]
	}
	projected := c.spectrum.core.project.times(onCore)
	e.charge = newMatrix(n, n-1)
	for i := range n {
		copy(e.charge.row(i), projected.row(i)[:n-1])
		e.drive = append(e.drive, projected.row(i)[n-1])
	}
	return e
}

// edgeRatio returns the response at a straight edge relative to the endless plane, over ideal metal; gap and distance of
// the axis from the edge in metres (negative beyond it).
func (c *cloud) edgeRatio(w *wedge, gap, distance float64) (attract, repel float64) {
	a, r := c.atEdge(w, gap, distance)
	flatA, flatR := c.spectrum.overIdeal(gap, nil, nil)
	return a / flatA, r / flatR
}

// atEdge returns the inductance changes of edgeRatio, henry.
func (c *cloud) atEdge(w *wedge, gap, distance float64) (attract, repel float64) {
	extraA, extraR := c.excess(func(p, q point) (float64, float64) {
		return w.excess(point{p.x + distance, p.y, p.z + gap}, point{q.x + distance, q.y, q.z + gap})
	})
	return c.spectrum.overIdeal(gap, extraA, extraR)
}

// tiltRatio returns the response of a head rolled on its tip sphere by an angle relative to the upright head, over the
// ideal plane; gap of the sphere's lowest point in metres, angle in radians. The sphere's centre stays where it is.
func (c *cloud) tiltRatio(tipRadius, gap, angle float64) (attract, repel float64) {
	sin, cos := num.Sin(angle), num.Cos(angle)
	place := func(p point) point {
		z := p.z - tipRadius
		return point{float64(p.x*cos) + float64(z*sin), p.y, gap + tipRadius + float64(z*cos) - float64(p.x*sin)}
	}
	extraA, extraR := c.excess(func(p, q point) (float64, float64) {
		tilted := planeImage(place(p), place(q))
		upright := planeImage(point{p.x, p.y, p.z + gap}, point{q.x, q.y, q.z + gap})
		return upright - tilted, tilted - upright
	})
	a, r := c.spectrum.overIdeal(gap, extraA, extraR)
	flatA, flatR := c.spectrum.overIdeal(gap, nil, nil)
	return a / flatA, r / flatR
}
