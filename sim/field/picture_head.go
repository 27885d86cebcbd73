package field

import (
	"math"
	"slices"

	"foilwright/sim/num"
)

// Sizes of the grids, nodes.
const (
	columns       = 41 // across the frame
	airRows       = 23
	metalRows     = 24
	currentRows   = 14
	coarseColumns = columns/2 + 1
	coarseRows    = airRows/2 + 1
	besideColumns = 10
	besideRows    = 11
	axisNodes     = 10
	ownColumns    = 52 // of the head's own field
	ownRows       = 72
	pictureWaves  = 160
)

// across spreads the nodes of a half frame from the axis outward, densest there; odd in the node's number, so that
// differences may be taken across the axis.
func across(n int, length float64) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = length * math.Sinh(acrossCrowd*float64(i)/float64(n-1)) / math.Sinh(acrossCrowd)
	}
	return v
}

// findAcross is the inverse of across.
func findAcross(x float64, n int, length float64) float64 {
	return math.Asinh(x*sinhCrowd/length) * float64(n-1) / acrossCrowd
}

var sinhCrowd = math.Sinh(acrossCrowd)

// crowd spreads n nodes over 0 .. length, densest at 0.
func crowd(n int, length, k float64) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = length * math.Expm1(k*float64(i)/float64(n-1)) / math.Expm1(k)
	}
	return v
}

// Crowding of the nodes; find inverts crowd.
const (
	acrossCrowd = 4.0
	aboveCrowd  = 3.6
	belowCrowd  = 5.0
	besideCrowd = 2.5
)

// find returns the node coordinate of a length among the n nodes of crowd.
func find(x float64, n int, length, k float64) float64 {
	return math.Log1p(x*math.Expm1(k)/length) * float64(n-1) / k
}

// headLump is a source of the head as metal of any shape sees it: a point that stands for a mirrored pair. Weight counts
// for the winding, node (0 or more) names a node of the axis.
type headLump struct {
	at     point
	weight float64
	node   int
}

// pictureHead is what all pictures of a head in a frame share. It does not change.
type pictureHead struct {
	sensor *Sensor
	frame  Frame
	lumps  []headLump

	airX, airZ, metalZ []float64
	besideX, besideZ   []float64 // shares of the width beside the edge, depths

	// Waves that reach far enough along the surface: the amplitudes of winding and charges at the contact point.
	a, w     []float64
	coil     []float64
	cast     []float64 // wave x charge
	j0, j1   []float64 // column (0 .. half) x wave
	fall     []float64 // row of the air x wave: e^(-a z)
	halfCols int

	// Fields of unit sources in the head's frame: x and z component of B/mu0 at [row][column], for the winding and each
	// ring of charge. Rows from ownLow up.
	ownLow, ownHigh, ownWide float64
	windingField             []float64
	ringField                [ringCharges][]float64

	height    []float64 // of each charge above the contact point
	spread    []float64 // node of the axis x charge
	edge      edgeTable
	fluxStep  float64 // flux of a line, Wb per ampere over mu0
	surfaceAt []circle
}

func newPictureHead(s *Sensor, f Frame) *pictureHead {
	h := &pictureHead{sensor: s, frame: f}
	c, core := s.head.Coil, *s.head.Core
	charges := s.spectrum.core.charges
	for _, q := range charges {
		h.height = append(h.height, core.Recess+q.zeta)
	}
	h.gather()
	h.lumps = append(h.lumps, windingLumps(c)...)
	half := across(columns/2+1, f.Half)
	for i := columns / 2; i > 0; i-- {
		h.airX = append(h.airX, -half[i])
	}
	h.airX = append(h.airX, half...)
	h.airZ = crowd(airRows, f.Above, aboveCrowd)
	h.metalZ = crowd(metalRows, f.Below, belowCrowd)
	h.halfCols = len(half)
	h.besideX, h.besideZ = crowd(besideColumns, 1, besideCrowd), crowd(besideRows, f.Below, besideCrowd)

	q := powerRule(pictureWaves, 2, 14/(chargeStart*core.Radius+core.Recess))
	h.a, h.w = q.node, q.weight
	h.coil = windingSpectrum(c, h.a)
	h.cast = make([]float64, len(h.a)*chargeCount)
	for k, a := range h.a {
		tip := math.Exp(-a * core.Recess)
		for j, q := range charges {
			h.cast[k*chargeCount+j] = tip * q.wave(a)
		}
	}
	for _, x := range half {
		for _, a := range h.a {
			j0, j1 := num.J01(a * x)
			h.j0, h.j1 = append(h.j0, j0), append(h.j1, j1)
		}
	}
	for _, z := range h.airZ {
		for _, a := range h.a {
			h.fall = append(h.fall, math.Exp(-a*z))
		}
	}
	h.ownFields()
	h.edge = newEdgeTable(3 * math.Pi / 2)
	// From the tip up the side, to where the flux no longer goes out.
	h.surfaceAt = spreadCircles(core, 28, 60, 1)[:88]
	h.fluxStep = math.Abs(h.freeFlux()) / 6
	return h
}

// gather puts the charges of the core on fewer nodes of the axis, for what comes back from the metal: that is a smooth
// function of the logarithm of the height, and each charge counts at the nodes by Lagrange's polynomials on Chebyshev's
// points. The rings lie so high that they count as points on the axis.
func (h *pictureHead) gather() {
	low, high := math.Log(slices.Min(h.height)), math.Log(slices.Max(h.height))
	var nodes [axisNodes]float64
	for k := range nodes {
		nodes[k] = (low+high)/2 - (high-low)/2*math.Cos(math.Pi*(float64(k)+0.5)/axisNodes)
		h.lumps = append(h.lumps, headLump{at: point{0, 0, math.Exp(nodes[k])}, node: k})
	}
	for k, at := range nodes {
		for _, height := range h.height {
			share := 1.0
			for m, other := range nodes {
				if m != k {
					share *= (math.Log(height) - other) / (at - other)
				}
			}
			h.spread = append(h.spread, share)
		}
	}
}

// windingLumps breaks the winding's two discs of charge into points with y > 0, each standing for a mirrored pair.
func windingLumps(c Coil) []headLump {
	var lumps []headLump
	for _, d := range []struct {
		height, sign       float64
		inner, outer, most int
	}{
		{c.Recess, -1, 2, 4, 10},
		{c.Recess + c.Height, 1, 1, 2, 4},
	} {
		for _, part := range []rule{gaussLegendre(d.inner, 0, c.InnerRadius), gaussLegendre(d.outer, c.InnerRadius, c.OuterRadius)} {
			for i, r := range part.node {
				var g pointGroup
				// As many as the distance to the metal asks for.
				n := min(max(2*int(math.Ceil(1.2*r/d.height)), 4), d.most)
				moment := c.density() * (c.OuterRadius - max(r, c.InnerRadius))
				g.addCircle(circle{r, d.height}, d.sign*2*math.Pi*r*part.weight[i]*moment, n, true)
				for k, at := range g.at {
					lumps = append(lumps, headLump{at: at, weight: g.weight[k], node: -1})
				}
			}
		}
	}
	return lumps
}

// ownFields fills the fields of winding and rings in the frame of the head.
func (h *pictureHead) ownFields() {
	c := h.sensor.head.Coil
	h.ownLow, h.ownHigh, h.ownWide = -1.3*h.frame.Below, h.frame.Above, 1.15*h.frame.Half
	rho := make([]float64, ownColumns)
	for i := range rho {
		rho[i] = h.ownWide * float64(i) / (ownColumns - 1)
	}
	h.windingField = make([]float64, 2*ownRows*ownColumns)
	for j := range h.ringField {
		h.ringField[j] = make([]float64, len(h.windingField))
	}
	// B/mu0 of an evenly filled winding: n/2 int c(a) {J1, J0} {..} da, Dodd and Deeds 1968.
	unit, panel := gaussLegendre(16, 0, 1), gaussLegendre(4, 0, 1)
	step := math.Pi / (2 * h.ownWide)
	count := int(60 / ((c.InnerRadius + c.OuterRadius) / 2) / step)
	j0, j1 := make([]float64, ownColumns), make([]float64, ownColumns)
	for s := range count {
		for i, x := range panel.node {
			a := (float64(s) + x) * step
			amplitude := panel.weight[i] * step * c.moment(a, unit) * c.density() / 2
			for k, r := range rho {
				j0[k], j1[k] = num.J01(a * r)
			}
			for row := range ownRows {
				low := h.ownZ(row) - c.Recess
				high := low - c.Height
				// The integrals over the winding's height of e^(-a|z|), and of its slope.
				up, across := 0.0, 0.0
				switch {
				case low < 0:
					up = math.Exp(a*low) - math.Exp(a*high)
					across = -up
				case high > 0:
					up = math.Exp(-a*high) - math.Exp(-a*low)
					across = up
				default:
					up = 2 - math.Exp(-a*low) - math.Exp(a*high)
					across = math.Exp(a*high) - math.Exp(-a*low)
				}
				out := h.windingField[2*row*ownColumns:][: 2*ownColumns : 2*ownColumns]
				for k := range ownColumns {
					out[2*k] += amplitude * across * j1[k]
					out[2*k+1] += amplitude * up * j0[k]
				}
			}
		}
	}
	for j := range ringCharges {
		q := h.sensor.spectrum.core.charges[j]
		for row := range ownRows {
			z := h.ownZ(row) - h.sensor.head.Core.Recess - q.zeta
			for k, r := range rho {
				x, up := ringField(q.rho, r, z)
				at := 2 * (row*ownColumns + k)
				h.ringField[j][at], h.ringField[j][at+1] = x, up
			}
		}
	}
}

func (h *pictureHead) ownZ(row int) float64 {
	return h.ownLow + (h.ownHigh-h.ownLow)*float64(row)/(ownRows-1)
}

// ringField is the field of unit charge on a ring of radius q, at radius r and height z: minus the gradient of
// K(m)/(2 pi^2 sqrt(far)), with the second integral by the same arithmetic-geometric mean; Abramowitz and Stegun 17.6.
func ringField(q, r, z float64) (across, up float64) {
	near, far := (r-q)*(r-q)+z*z, (r+q)*(r+q)+z*z
	near = max(near, 1e-9*far)
	a, b, sum, power := 1.0, math.Sqrt(near/far), (1-near/far)/2, 1.0
	for range 6 {
		c := (a - b) / 2
		a, b = (a+b)/2, math.Sqrt(a*b)
		sum += power * c * c
		power *= 2
	}
	k := math.Pi / (2 * a)
	e := k * (1 - sum)
	f := 1 / (2 * math.Pi * math.Pi * math.Sqrt(far))
	up = f * z * e / near
	if r > 1e-12 {
		across = f / (2 * r) * (k + e*(r*r-q*q-z*z)/near)
	}
	return across, up
}

// own returns the field (B/mu0 per ampere) of the head without metal at a place in its own frame, from the combined grid
// and the charges on the axis.
func (p *Picture) own(x, z float64) (bx, bz float64) {
	h := p.head
	r := math.Abs(x)
	u := min(r/h.ownWide*(ownColumns-1), ownColumns-1.001)
	v := min(max((z-h.ownLow)/(h.ownHigh-h.ownLow)*(ownRows-1), 0), ownRows-1.001)
	i, j := int(u), int(v)
	u -= float64(i)
	v -= float64(j)
	low := p.ring[2*(j*ownColumns+i):][:4:4]
	high := p.ring[2*((j+1)*ownColumns+i):][:4:4]
	bx = (low[0]*(1-u)+low[2]*u)*(1-v) + (high[0]*(1-u)+high[2]*u)*v
	bz = (low[1]*(1-u)+low[3]*u)*(1-v) + (high[1]*(1-u)+high[3]*u)*v
	for j, height := range h.height[ringCharges:] {
		up := z - height
		d := r*r + up*up
		f := real(p.charges[ringCharges+j]) / (4 * math.Pi * d * math.Sqrt(d))
		bx += f * r
		bz += f * up
	}
	if x < 0 {
		bx = -bx
	}
	return bx, bz
}
