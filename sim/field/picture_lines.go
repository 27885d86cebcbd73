package field

import "math"

const (
	mostLines  = 80
	mostSteps  = 220
	ringZone   = 0.65 // of the core's length; above it are the rings of charge
	lineGrowth = 0.13 // step over distance from the tip
)

// trace follows the lines of flux from equal shares of the flux that leaves the core's lower half, on both sides.
func (p *Picture) trace() {
	p.Lines, p.points = p.Lines[:0], p.points[:0]
	p.side(1)
	if p.sin == 0 && p.even() {
		// The other side is its mirror image.
		for _, l := range p.Lines {
			first := len(p.points)
			for i := l.first; i < l.end; i++ {
				p.points = append(p.points, Spot{-p.points[i].X, p.points[i].Z})
			}
			p.Lines = append(p.Lines, Line{first, len(p.points)})
		}
		return
	}
	p.side(-1)
}

// side follows the lines of one side: sign is that of x in the frame of the head.
func (p *Picture) side(sign float64) {
	h := p.head
	core := h.sensor.head.Core
	flux, next := 0.0, h.fluxStep/2
	last := circle{0, 0}
	for _, c := range h.surfaceAt {
		// Just off the core; the charges do not describe its inside.
		nx, nz := c.rho/core.Radius, (c.zeta-core.Radius)/core.Radius
		if c.zeta > core.Radius {
			nx, nz = 1, 0
		}
		x, z := sign*c.rho, core.Recess+c.zeta
		bx, bz := p.field(p.toSurface(x, z))
		bx, bz = p.backToHead(bx, bz)
		out := bx*sign*nx + bz*nz
		step := math.Hypot(c.rho-last.rho, c.zeta-last.zeta) * math.Pi * (c.rho + last.rho)
		was := flux
		flux += math.Abs(out) * step
		// The current magnetises the core upward: below, the flux goes in.
		if c.zeta > core.Length/3 && out >= 0 {
			return
		}
		for flux >= next && len(p.Lines) < mostLines {
			t := (next - was) / (flux - was)
			rho, zeta := last.rho+(c.rho-last.rho)*t, last.zeta+(c.zeta-last.zeta)*t
			sx, sz := p.toSurface(sign*(rho+1e-3*core.Radius*nx), core.Recess+zeta+1e-3*core.Radius*nz)
			p.follow(sx, sz, math.Copysign(1, out))
			next += h.fluxStep
		}
		last = c
	}
}

func (p *Picture) backToHead(bx, bz float64) (float64, float64) {
	return bx*p.cos - bz*p.sin, bz*p.cos + bx*p.sin
}

// field returns B/mu0 per ampere at a place of the section.
func (p *Picture) field(x, z float64) (bx, bz float64) {
	s, n := p.unbend(x, z)
	if p.inMetal(s, n) {
		if !p.Ground.Even() {
			return p.inGround(s, n)
		}
		if p.stack.weak > 0 && !math.IsInf(p.EdgeAt, 1) {
			// Nearer to the face of the edge than to the surface the flat field goes on round the corner.
			sin, cos := -p.edge.sin, p.edge.cos // of the metal's angle
			back, deep := p.EdgeAt-s, -n
			if behind := back*sin - deep*cos; behind < deep {
				down, out := p.metal.at(p.head, p.EdgeAt+back*cos+deep*sin, behind)
				return out*sin - down*cos, -out*cos - down*sin
			}
		}
		bx, bz = p.metal.at(p.head, s, -n)
		return p.turn(s, bx, bz)
	}
	switch {
	case n < 0 && !p.Ground.Even():
		bx, bz = p.besideGround(s, n)
	case n < 0:
		b := &p.beside
		wide := b.x[b.cols-1] - b.x[0]
		bx, bz = b.at(find(max(s+p.Slant*n-b.x[0], 0), b.cols, wide, besideCrowd), find(-n, b.rows, p.head.frame.Below, besideCrowd))
	default:
		u := findAcross(math.Abs(s), columns/2+1, p.head.frame.Half)
		v := find(n, airRows, p.head.frame.Above, aboveCrowd)
		if s < 0 {
			u = -u
		}
		bx, bz = p.air.at(columns/2+u, v)
		bx, bz = p.turn(s, bx, bz)
	}
	hx, hz := p.toHead(x, z)
	ox, oz := p.own(hx, hz)
	return bx + ox*p.cos + oz*p.sin, bz + oz*p.cos - ox*p.sin
}

// turn turns a vector along and across the surface into the section.
func (p *Picture) turn(s, bs, bn float64) (bx, bz float64) {
	if p.Section == 0 {
		return bs, bn
	}
	sin, cos := math.Sincos(s * p.Section)
	return bs*cos + bn*sin, bn*cos - bs*sin
}

// follow traces a line from a place by the midpoint rule, along or against the field, until it leaves the frame, comes
// back to the core or ends in metal beyond which nothing is drawn.
func (p *Picture) follow(x, z, sign float64) {
	h := p.head
	f := h.frame
	core := h.sensor.head.Core
	first := len(p.points)
	p.points = append(p.points, Spot{x, z})
	grain := core.Radius / 12
	for range mostSteps {
		bx, bz := p.field(x, z)
		size := math.Hypot(bx, bz)
		if size == 0 || size != size {
			break
		}
		step := grain + lineGrowth*math.Hypot(x, z-p.lift)
		step = min(step, f.Half/20)
		if _, n := p.unbend(x, z); math.Abs(n) < step {
			// Not far past the surface in one step.
			step = max(math.Abs(n)*0.8, grain/2)
		}
		k := sign * step / size
		mx, mz := p.field(x+bx*k/2, z+bz*k/2)
		size = math.Hypot(mx, mz)
		if size == 0 || size != size {
			break
		}
		k = sign * step / size
		x, z = x+mx*k, z+mz*k
		p.points = append(p.points, Spot{x, z})
		s, n := p.unbend(x, z)
		if math.Abs(s) > f.Half || n > f.Above || n < -f.Below || n < -p.stack.thick && (s > p.EdgeAt+n || !p.Ground.Even()) {
			break // near an edge nothing is known of what is behind the metal
		}
		if hx, hz := p.toHead(x, z); p.inCore(hx, hz) {
			// Straight on to the core from where the field is known no more.
			top := core.Recess + core.Length
			hx, hz = max(-core.Radius, min(core.Radius, hx)), min(hz, top)
			if hz > core.Recess+ringZone*core.Length {
				ex, ez := p.toSurface(hx, hz)
				p.points = append(p.points, Spot{ex, ez})
			}
			break
		}
	}
	p.Lines = append(p.Lines, Line{first, len(p.points)})
}

// inCore tells whether a place in the frame of the head lies in the core.
func (p *Picture) inCore(x, z float64) bool {
	c := p.head.sensor.head.Core
	z -= c.Recess
	if z > ringZone*c.Length {
		// Near the rings of charge the grid of their field is too coarse.
		return z < c.Length+0.3*c.Radius && math.Abs(x) < 1.35*c.Radius
	}
	if z < 0 || math.Abs(x) > c.Radius {
		return false
	}
	return z >= c.Radius || x*x+(z-c.Radius)*(z-c.Radius) < c.Radius*c.Radius
}

// freeFlux is the flux over mu0 per ampere that enters the core's lower half with no metal near.
func (h *pictureHead) freeFlux() float64 {
	p := &Picture{head: h, ring: append([]float64(nil), h.windingField...), charges: make([]complex128, chargeCount)}
	for j, q := range h.sensor.spectrum.core.free {
		p.charges[j] = complex(q, 0)
	}
	for j := range ringCharges {
		for i, f := range h.ringField[j] {
			p.ring[i] += real(p.charges[j]) * f
		}
	}
	core := h.sensor.head.Core
	flux, last := 0.0, circle{}
	for _, c := range h.surfaceAt {
		nx, nz := c.rho/core.Radius, (c.zeta-core.Radius)/core.Radius
		if c.zeta > core.Radius {
			nx, nz = 1, 0
		}
		bx, bz := p.own(c.rho, core.Recess+c.zeta)
		out := bx*nx + bz*nz
		if out > 0 && c.zeta > core.Length/3 {
			break
		}
		flux += out * math.Hypot(c.rho-last.rho, c.zeta-last.zeta) * math.Pi * (c.rho + last.rho)
		last = c
	}
	return flux
}
