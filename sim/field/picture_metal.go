package field

import "math"

// fluxPatch is B/mu0 in the metal under flat stacks: the right half, mirrored. Units A/m per ampere.
type fluxPatch struct {
	cols, rows int
	bx, bz     []float64
}

func newFluxPatch(rows int) fluxPatch {
	cols := columns/2 + 1
	return fluxPatch{cols, rows, make([]float64, cols*rows), make([]float64, cols*rows)}
}

// enter fills the metal with the flux that passes its surface: each wave goes in with 1 + its reflection and down by the
// profile of the layers.
func (p *Picture) enter() {
	h, s := p.head, &p.stack
	n := len(h.a)
	for k, a := range h.a {
		q := complex(h.coil[k], 0)
		for j, c := range h.cast[k*chargeCount : (k+1)*chargeCount] {
			q += complex(c*real(p.charges[j]), c*imag(p.charges[j]))
		}
		f := -h.w[k] * a * math.Exp(-a*p.lift) / (4 * math.Pi)
		g := s.wave[k]
		p.back[k] = f * (real(q)*real(g) - imag(q)*imag(g))
		e := 1 + g
		p.mode[k] = complex(f*(real(q)*real(e)-imag(q)*imag(e)), f*(real(q)*imag(e)+imag(q)*real(e)))
	}
	for r := range p.metal.rows {
		in, slope := s.inside[r*n:(r+1)*n], s.slope[r*n:(r+1)*n]
		for i := range p.metal.cols {
			j0, j1 := h.j0[i*n:(i+1)*n], h.j1[i*n:(i+1)*n]
			bx, bz := 0.0, 0.0
			for k, m := range p.mode {
				bz += (real(m)*real(in[k]) - imag(m)*imag(in[k])) * j0[k]
				bx -= (real(m)*real(slope[k]) - imag(m)*imag(slope[k])) * j1[k]
			}
			p.metal.bx[r*p.metal.cols+i], p.metal.bz[r*p.metal.cols+i] = bx, bz
		}
	}
}

// at interpolates at a place along and below the surface.
func (g *fluxPatch) at(h *pictureHead, x, depth float64) (bx, bz float64) {
	u := min(findAcross(math.Abs(x), g.cols, h.frame.Half), float64(g.cols)-1.0001)
	v := min(find(max(depth, 0), g.rows, h.frame.Below, belowCrowd), float64(g.rows)-1.0001)
	i, j := int(u), int(v)
	u -= float64(i)
	v -= float64(j)
	k := j*g.cols + i
	mix := func(f []float64) float64 {
		return (f[k]*(1-u)+f[k+1]*u)*(1-v) + (f[k+g.cols]*(1-u)+f[k+g.cols+1]*u)*v
	}
	bx, bz = mix(g.bx), mix(g.bz)
	if x < 0 {
		bx = -bx
	}
	return bx, bz
}

// flow fills the density of eddy current. Over flat metal it is omega sigma |A|, A being the flux through a circle about
// the axis over its length. At an edge the tangential field that the edge adds at the surface drives a further sheet of
// current with the depth profile of a uniform field.
func (p *Picture) flow() {
	h, s := p.head, &p.stack
	p.Current = p.Current[:0]
	if s.reach == 0 {
		return
	}
	p.Current = p.Current[:columns*currentRows]
	n := len(h.a)
	omega := 2 * math.Pi * h.sensor.head.Frequency
	p.kick()
	total := s.sheet()
	for r := range currentRows {
		p.Depth[r] = s.currentDepth(r)
		in := s.flow[r*n : (r+1)*n]
		f := omega * Mu0 * s.sigma[r]
		row := p.Current[r*columns : (r+1)*columns]
		sheet := s.sheetAt(p.Depth[r], total)
		for i := range h.halfCols {
			j1 := h.j1[i*n : (i+1)*n]
			re, im := 0.0, 0.0
			for k, m := range p.mode {
				// B_z = a A, wave by wave.
				g := j1[k] / h.a[k]
				re += (real(m)*real(in[k]) - imag(m)*imag(in[k])) * g
				im += (real(m)*imag(in[k]) + imag(m)*real(in[k])) * g
			}
			// J = -j omega sigma A, across the section and odd in x.
			jre, jim := f*im, -f*re
			right, left := columns/2+i, columns/2-i
			row[right] = p.atEdge(right, jre, jim, sheet)
			row[left] = p.atEdge(left, -jre, -jim, sheet)
		}
	}
}

func (p *Picture) atEdge(i int, re, im float64, sheet complex128) float64 {
	if x := p.air.x[i]; x > p.EdgeAt || p.Ground.Level(x) != 0 {
		return 0
	}
	k := p.surfaceKick[i]
	re += real(k)*real(sheet) - imag(k)*imag(sheet)
	im += real(k)*imag(sheet) + imag(k)*real(sheet)
	return math.Sqrt(re*re + im*im)
}

// kick is what an edge or a ground adds to the field along the surface, column by column: that of the ideal wedge, or of
// the ground, less that of the ideal plane.
func (p *Picture) kick() {
	clear(p.surfaceKick)
	if p.even() || p.stack.weak >= 0 {
		return
	}
	deep := p.stack.depth
	for i, x := range p.air.x {
		if x > p.EdgeAt {
			break
		}
		if p.Ground.Level(x) != 0 {
			continue
		}
		flat := 0.0
		for k := range p.lumps {
			l := &p.lumps[k]
			dx, up := x-l.x, 2*deep+l.z
			d2 := dx*dx + l.y*l.y + up*up
			flat += real(l.q) * dx / (d2 * math.Sqrt(d2))
		}
		flat *= -p.stack.weak / (4 * math.Pi)
		p.surfaceKick[i] = complex(p.air.bx[i]-flat, 0)
	}
}

// sheet is the integral over depth of the profile of a uniform tangential field in the conducting layers.
func (s *pictureStack) sheet() complex128 {
	sum := complex(0, 0)
	for r := 1; r < currentRows; r++ {
		a, b := s.currentDepth(r-1), s.currentDepth(r)
		sum += complex((b-a)/2, 0) * (s.uniform(a) + s.uniform(b))
	}
	return sum
}

// uniform is the profile of the current a uniform tangential field drives, 1 at the surface.
func (s *pictureStack) uniform(depth float64) complex128 {
	re, im := real(s.decay)*depth, imag(s.decay)*depth
	sin, cos := math.Sincos(im)
	e := math.Exp(-re)
	return complex(e*cos, -e*sin)
}

// sheetAt is the current density per field along the surface, 1/m.
func (s *pictureStack) sheetAt(depth float64, total complex128) complex128 {
	return s.uniform(depth) / total
}
