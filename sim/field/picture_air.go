package field

import "math"

// patch is the scattered field over a part of the air on a crowded grid: potential, and the field as its slope, real
// parts only. Units A/m and A per ampere in the winding.
type patch struct {
	cols, rows int
	x, z       []float64
	psi        []float64
	bx, bz     []float64
}

func newPatch(cols, rows int) patch {
	n := cols * rows
	return patch{cols, rows, make([]float64, cols), make([]float64, rows), make([]float64, n), make([]float64, n), make([]float64, n)}
}

// slopes fills the field from the potential. The nodes are smooth functions of their numbers, so that differences of
// fourth order are taken over the numbers, of potential and place alike.
func (g *patch) slopes() {
	for j := range g.rows {
		differences(g.bx[j*g.cols:], g.psi[j*g.cols:], g.x, 1)
	}
	for i := range g.cols {
		differences(g.bz[i:], g.psi[i:], g.z, g.cols)
	}
}

// differences fills slope[0], slope[step], .. with minus the slope of f over x.
func differences(slope, f, x []float64, step int) {
	n := len(x)
	for i := range n {
		var c [5]float64
		k := min(max(i-2, 0), n-5)
		switch i - k {
		case 0:
			c = [5]float64{-25, 48, -36, 16, -3}
		case 1:
			c = [5]float64{-3, -10, 18, -6, 1}
		case 2:
			c = [5]float64{1, -8, 0, 8, -1}
		case 3:
			c = [5]float64{-1, 6, -18, 10, 3}
		default:
			c = [5]float64{3, -16, 36, -48, 25}
		}
		df, dx := 0.0, 0.0
		for m, w := range c {
			df += w * f[(k+m)*step]
			dx += w * x[k+m]
		}
		slope[i*step] = -df / dx
	}
}

// at interpolates the field at node coordinates.
func (g *patch) at(u, v float64) (bx, bz float64) {
	u, v = min(max(u, 0), float64(g.cols)-1.0001), min(max(v, 0), float64(g.rows)-1.0001)
	i, j := int(u), int(v)
	u -= float64(i)
	v -= float64(j)
	k := j*g.cols + i
	mix := func(f []float64) float64 {
		return (f[k]*(1-u)+f[k+1]*u)*(1-v) + (f[k+g.cols]*(1-u)+f[k+g.cols+1]*u)*v
	}
	return mix(g.bx), mix(g.bz)
}

// scatter fills the air above the surface, and beside the edge, with the field that the metal gives back.
func (p *Picture) scatter() {
	copy(p.air.x, p.head.airX)
	copy(p.air.z, p.head.airZ)
	switch {
	case p.Section != 0:
		p.overRound()
		p.air.slopes()
	case !math.IsInf(p.EdgeAt, 1):
		p.overFlat()
		p.aroundEdge()
	case !p.Ground.Even():
		p.overFlat()
		p.overGround()
	default:
		p.overFlat()
		if p.sin != 0 {
			p.add(func(x, z float64, _ int) float64 { return p.plane(p.lumps, x, z) - p.plane(p.upright, x, z) })
		}
	}
}

// overFlat is the sum over waves: the field that comes back to an upright head.
func (p *Picture) overFlat() {
	h, g := p.head, &p.air
	n := len(h.a)
	for i := range h.halfCols {
		j0, j1 := h.j0[i*n:(i+1)*n], h.j1[i*n:(i+1)*n]
		for j := range g.rows {
			fall := h.fall[j*n : (j+1)*n]
			bx, bz := 0.0, 0.0
			for k, b := range p.back {
				b *= fall[k]
				bz += b * j0[k]
				bx += b * j1[k]
			}
			right, left := j*columns+columns/2+i, j*columns+columns/2-i
			// Down in the metal's images: the potential falls upward.
			g.bx[right], g.bz[right] = bx, bz
			g.bx[left], g.bz[left] = -bx, bz
		}
	}
}

// plane is the scattered potential of the ideal plane, its surface where the metal seems to reflect, for given sources.
func (p *Picture) plane(sources []lump, x, z float64) float64 {
	total := 0.0
	for k := range sources {
		l := &sources[k]
		dx, up := x-l.x, z+l.z+2*p.stack.depth
		total += real(l.q) / math.Sqrt(dx*dx+l.y*l.y+up*up)
	}
	return -total * p.stack.weak / (4 * math.Pi)
}

// add adds to the flat field the slope of a potential that is what the place changes, taken on every other node.
func (p *Picture) add(change func(x, z float64, node int) float64) {
	c := &p.change
	for j, z := range c.z {
		for i, x := range c.x {
			c.psi[j*c.cols+i] = change(x, z, j*c.cols+i)
		}
	}
	c.slopes()
	for j := range p.air.rows {
		for i := range columns {
			p.air.bx[j*columns+i] += c.between(c.bx, i, j)
			p.air.bz[j*columns+i] += c.between(c.bz, i, j)
		}
	}
}

// aroundEdge adds to the flat field what the edge of an ideal wedge changes, on every other node, the faces lying where the
// metal seems to reflect; beside the edge it is the wedge itself.
func (p *Picture) aroundEdge() {
	t, deep := p.edge, p.stack.depth
	image := -1.0
	if p.stack.weak < 0 {
		image = 1
	}
	edge := p.EdgeAt - deep*p.recession()
	about := func(x, z float64) polar {
		x, z = edge-x, z+deep
		angle := math.Atan2(z, x)
		if angle < -1e-9 {
			angle += 2 * math.Pi
		}
		return newPolar(max(math.Hypot(x, z), 1e-7), min(max(angle, 0), t.angle))
	}
	for k := range p.lumps {
		l := &p.lumps[k]
		l.edge = about(l.x, l.z)
	}
	weak := math.Abs(p.stack.weak)
	wedge := func(x, z float64) float64 {
		at := about(x, z)
		total := 0.0
		for k := range p.lumps {
			total += real(p.lumps[k].q) * t.scattered(&p.lumps[k], &at, image)
		}
		return total * weak
	}
	whole := &p.whole
	for j, z := range whole.z {
		for i, x := range whole.x {
			whole.psi[j*whole.cols+i] = wedge(x, z)
		}
	}
	p.add(func(x, z float64, k int) float64 { return whole.psi[k] - p.plane(p.upright, x, z) })
	// Over no metal there is no flat field to add to.
	whole.slopes()
	for i, x := range p.air.x {
		for j := 0; x > p.EdgeAt && j < p.air.rows; j++ {
			p.air.bx[j*columns+i], p.air.bz[j*columns+i] = whole.between(whole.bx, i, j), whole.between(whole.bz, i, j)
		}
	}
	b := &p.beside
	wide := max(p.head.frame.Half-p.EdgeAt, p.head.frame.Half/20) + max(0, -p.Slant*p.head.frame.Below)
	for i, x := range p.head.besideX {
		b.x[i] = p.EdgeAt + wide*x
	}
	// The columns follow the face.
	for j, z := range p.head.besideZ {
		b.z[j] = -z
		for i, x := range b.x {
			b.psi[j*b.cols+i] = wedge(x-p.Slant*b.z[j], b.z[j])
		}
	}
	b.slopes()
	for k := range b.bz {
		b.bz[k] += p.Slant * b.bx[k]
	}
}

// between returns f at a node of a grid of twice as many, by cubic midpoints over the nodes' numbers.
func (g *patch) between(f []float64, i, j int) float64 {
	a, b := i/2, j/2
	if j%2 == 0 {
		return midpoint(f[b*g.cols:(b+1)*g.cols], a, i%2)
	}
	var column [4]float64
	first := min(max(b-1, 0), g.rows-4)
	for k := range column {
		column[k] = midpoint(f[(first+k)*g.cols:(first+k+1)*g.cols], a, i%2)
	}
	return cubic(column, float64(b-first)+0.5)
}

// midpoint returns row[a], or the value half-way to row[a+1].
func midpoint(row []float64, a, half int) float64 {
	if half == 0 {
		return row[a]
	}
	first := min(max(a-1, 0), len(row)-4)
	return cubic([4]float64(row[first:first+4]), float64(a-first)+0.5)
}

// cubic is Lagrange's polynomial through four values on 0 .. 3.
func cubic(v [4]float64, x float64) float64 {
	return -v[0]*(x-1)*(x-2)*(x-3)/6 + v[1]*x*(x-2)*(x-3)/2 - v[2]*x*(x-1)*(x-3)/2 + v[3]*x*(x-1)*(x-2)/6
}

// overRound is a ball or a hollow of ideal metal by Kelvin's image; for metal that repels with the line of sinks that
// leads from the image to the centre (ball) or away from it (hollow).
func (p *Picture) overRound() {
	deep := p.stack.depth
	radius := 1/p.Section - deep
	size := math.Abs(radius)
	attract := p.stack.weak >= 0
	for j, n := range p.air.z {
		for i, s := range p.air.x {
			x, z := p.bend(s, n)
			z += deep + radius // from the centre
			r := math.Sqrt(x*x + z*z)
			sum := 0.0
			for k := range p.lumps {
				l := &p.lumps[k]
				lz := l.z + deep + radius
				far := math.Sqrt(l.x*l.x + l.y*l.y + lz*lz)
				cos := (x*l.x + z*lz) / max(r*far, 1e-30)
				sum += real(l.q) * roundAnswer(size, r, far, cos, radius > 0, attract)
			}
			p.air.psi[j*columns+i] = sum * math.Abs(p.stack.weak) / (4 * math.Pi)
		}
	}
}

// roundAnswer is 4 pi times the scattered Green's function of a sphere (outside it, or inside a cavity) of ideal metal: the
// multipole series of sphere.go summed.
func roundAnswer(size, r, s, cos float64, ball, attract bool) float64 {
	t := size * size / (r * s)
	if !ball {
		t = 1 / t
	}
	t = min(t, 1-1e-6)
	d := math.Sqrt(1 - 2*t*cos + t*t)
	switch {
	case attract && ball:
		return -(t/d - t) / size
	case attract:
		return -(1/d - 1) / size
	case ball:
		return (t/d - math.Log((1+cos)/max(d-t+cos, 1e-12))) / size
	}
	return (1/d - 1 + math.Log(2/max(1-t*cos+d, 1e-12))) / size
}
