package paint

import "math"

// Lines: four corners across at each point, the outer two transparent, joined by mitres up to a limit; sharper turns
// start a new strip and are rounded by a small disc.

func normal(a, b point32) point32 {
	dx, dy := b.x-a.x, b.y-a.y
	l := float32(math.Sqrt(float64(dx*dx + dy*dy)))
	if l == 0 {
		return point32{}
	}
	return point32{dy / l, -dx / l}
}

// mitre is the vector from a corner to the meeting of both sides moved out by one, no longer than limit.
func mitre(n1, n2 point32, limit float32) point32 {
	sx, sy := n1.x+n2.x, n1.y+n2.y
	d := 1 + n1.x*n2.x + n1.y*n2.y
	if least := 2 / (limit * limit); d < least {
		d = least
	}
	return point32{sx / d, sy / d}
}

// strokeRun is how many points are stroked as one strip, so that a strip always fits into a batch.
const strokeRun = 500

func (p *Painter) longStroke(pts []point32, closed bool, width float32, c ink) {
	if len(pts) <= strokeRun {
		p.stroke(pts, closed, width, c)
		return
	}
	if closed {
		p.pts = append(pts, pts[0])
		pts = p.pts
	}
	for len(pts) > 1 {
		n := min(strokeRun, len(pts))
		p.room()
		p.stroke(pts[:n], false, width, c)
		pts = pts[n-1:]
	}
}

func (p *Painter) stroke(pts []point32, closed bool, width float32, c ink) {
	if n := len(pts); closed && n > 1 && pts[0] == pts[n-1] {
		pts = pts[:n-1]
	}
	n := len(pts)
	if n < 2 {
		return
	}
	if n == 2 {
		closed = false
	}
	if width < 1 {
		c = c.scaled(max(width, 0))
		width = 1
	}
	half := width / 2
	var first, prev uint16
	start := func(q, nrm point32) {
		// Square end, faded over one pixel.
		tx, ty := -nrm.y, nrm.x
		edge := p.across(point32{q.x - tx*0.5, q.y - ty*0.5}, nrm, half, ink{})
		prev = p.across(point32{q.x + tx*0.5, q.y + ty*0.5}, nrm, half, c)
		p.band(edge, prev)
	}
	end := func(q, nrm point32) {
		tx, ty := -nrm.y, nrm.x
		body := p.across(point32{q.x - tx*0.5, q.y - ty*0.5}, nrm, half, c)
		p.band(prev, body)
		p.band(body, p.across(point32{q.x + tx*0.5, q.y + ty*0.5}, nrm, half, ink{}))
	}
	join := func(q, n1, n2 point32) {
		if n1.x*n2.x+n1.y*n2.y > -0.3 {
			next := p.across(q, mitre(n1, n2, 2), half, c)
			p.band(prev, next)
			prev = next
			return
		}
		body := p.across(q, n1, half, c)
		p.band(prev, body)
		p.dot(q, half, c)
		prev = p.across(q, n2, half, c)
	}
	if closed {
		n0 := normal(pts[n-1], pts[0])
		n1 := normal(pts[0], pts[1])
		if n0.x*n1.x+n0.y*n1.y > -0.3 {
			first = p.across(pts[0], mitre(n0, n1, 2), half, c)
		} else {
			p.dot(pts[0], half, c)
			first = p.across(pts[0], n1, half, c)
		}
		prev = first
		for i := 1; i < n; i++ {
			join(pts[i], normal(pts[i-1], pts[i]), normal(pts[i], pts[(i+1)%n]))
		}
		if n0.x*n1.x+n0.y*n1.y > -0.3 {
			p.band(prev, first)
		} else {
			p.band(prev, p.across(pts[0], n0, half, c))
		}
		return
	}
	start(pts[0], normal(pts[0], pts[1]))
	for i := 1; i < n-1; i++ {
		join(pts[i], normal(pts[i-1], pts[i]), normal(pts[i], pts[i+1]))
	}
	end(pts[n-1], normal(pts[n-2], pts[n-1]))
}

// across adds the four corners of a line's cross-section; m is the unit normal or the mitre.
func (p *Painter) across(q, m point32, half float32, c ink) uint16 {
	out, in := half+0.5, half-0.5
	i := p.vertex(q.x+m.x*out, q.y+m.y*out, ink{})
	p.vertex(q.x+m.x*in, q.y+m.y*in, c)
	p.vertex(q.x-m.x*in, q.y-m.y*in, c)
	p.vertex(q.x-m.x*out, q.y-m.y*out, ink{})
	return i
}

func (p *Painter) band(a, b uint16) {
	for k := range uint16(3) {
		p.quad(a+k, a+k+1, b+k+1, b+k)
	}
}

// dot rounds a sharp turn.
func (p *Painter) dot(q point32, r float32, c ink) {
	const sides = 12
	center := p.vertex(q.x, q.y, c)
	var first, last uint16
	for i := range sides {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / sides)
		x, y := float32(cos), float32(sin)
		k := p.vertex(q.x+x*(r-0.5), q.y+y*(r-0.5), c)
		p.vertex(q.x+x*(r+0.5), q.y+y*(r+0.5), ink{})
		if i == 0 {
			first = k
		} else {
			p.triangle(center, last, k)
			p.quad(last, last+1, k+1, k)
		}
		last = k
	}
	p.triangle(center, last, first)
	p.quad(last, last+1, first+1, first)
}

func (p *Painter) dashes(pts []point32, width, on, off float32, c ink) {
	if len(pts) < 2 {
		return
	}
	left, drawing := on, true
	p.piece = append(p.piece[:0], pts[0])
	at := pts[0]
	for i := 1; i < len(pts); {
		dx, dy := pts[i].x-at.x, pts[i].y-at.y
		d := float32(math.Sqrt(float64(dx*dx + dy*dy)))
		if d <= left {
			left -= d
			at = pts[i]
			if drawing {
				p.piece = append(p.piece, at)
			}
			i++
			continue
		}
		at = point32{at.x + dx*left/d, at.y + dy*left/d}
		if drawing {
			p.room()
			p.piece = append(p.piece, at)
			p.longStroke(p.piece, false, width, c)
			left = off
		} else {
			p.piece = append(p.piece[:0], at)
			left = on
		}
		drawing = !drawing
	}
	if drawing {
		p.stroke(p.piece, false, width, c)
	}
}

// hatch draws the parallel lines that lie inside the contour by the even-odd rule.
func (p *Painter) hatch(contour []point32, spacing, degrees, width float32, c ink) {
	pts := p.load(contour)
	if len(pts) < 3 || spacing < 1 {
		return
	}
	sin64, cos64 := math.Sincos(-float64(degrees) * math.Pi / 180)
	sin, cos := float32(sin64), float32(cos64)
	// u runs along the lines, v across them.
	across := func(q point32) float32 { return -q.x*sin + q.y*cos }
	lo, hi := across(pts[0]), across(pts[0])
	for _, q := range pts {
		v := across(q)
		lo, hi = min(lo, v), max(hi, v)
	}
	origin := across(pts[0]) + spacing/2
	for v := origin + spacing*float32(math.Ceil(float64((lo-origin)/spacing))); v < hi; v += spacing {
		p.xs = p.xs[:0]
		for i, a := range pts {
			b := pts[(i+1)%len(pts)]
			va, vb := across(a), across(b)
			if (va <= v) == (vb <= v) {
				continue
			}
			t := (v - va) / (vb - va)
			x, y := a.x+t*(b.x-a.x), a.y+t*(b.y-a.y)
			p.xs = append(p.xs, x*cos+y*sin)
		}
		insertionSort(p.xs)
		for i := 0; i+1 < len(p.xs); i += 2 {
			p.room()
			u0, u1 := p.xs[i], p.xs[i+1]
			p.piece = append(p.piece[:0], point32{u0*cos - v*sin, u0*sin + v*cos}, point32{u1*cos - v*sin, u1*sin + v*cos})
			p.stroke(p.piece, false, width, c)
		}
	}
}

func insertionSort(v []float32) {
	for i := range v {
		for k := i; k > 0 && v[k] < v[k-1]; k-- {
			v[k], v[k-1] = v[k-1], v[k]
		}
	}
}
