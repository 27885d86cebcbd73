package paint

// Filled polygons: the inside is moved in by half a pixel and a ring one pixel wide fades to nothing around it, which
// gives the coverage of a box filter for edges of any slope.

func (p *Painter) fill(pts []point32, c ink) {
	if len(pts) < 3 {
		return
	}
	if convex(pts) {
		p.fillConvex(pts, c)
		return
	}
	inner := p.feather(pts, c)
	p.fillConcave(pts, inner)
}

func (p *Painter) fillConvex(pts []point32, c ink) {
	if len(pts) < 3 {
		return
	}
	first := p.feather(pts, c)
	for i := 1; i+1 < len(pts); i++ {
		p.triangle(first, first+uint16(i)*2, first+uint16(i+1)*2)
	}
}

// feather lays the fading ring and returns the index of the first inner vertex; inner vertices are two apart.
func (p *Painter) feather(pts []point32, c ink) uint16 {
	n := len(pts)
	sign := float32(1)
	if area(pts) < 0 {
		sign = -1
	}
	first := uint16(len(p.verts) - p.base)
	for i, q := range pts {
		n1 := normal(pts[(i+n-1)%n], q)
		n2 := normal(q, pts[(i+1)%n])
		m := mitre(n1, n2, 3)
		mx, my := m.x*sign/2, m.y*sign/2
		p.vertex(q.x-mx, q.y-my, c)
		p.vertex(q.x+mx, q.y+my, ink{})
	}
	for i := range n {
		a, b := first+uint16(i)*2, first+uint16((i+1)%n)*2
		p.quad(a, a+1, b+1, b)
	}
	return first
}

// fillConcave cuts ears off the polygon; the k-th corner is vertex first+2k.
func (p *Painter) fillConcave(pts []point32, first uint16) {
	p.ears = p.ears[:0]
	if area(pts) > 0 {
		for i := range pts {
			p.ears = append(p.ears, int32(i))
		}
	} else {
		for i := len(pts) - 1; i >= 0; i-- {
			p.ears = append(p.ears, int32(i))
		}
	}
	left := p.ears
	for miss, i := 0, 0; len(left) > 3 && miss <= len(left); {
		n := len(left)
		a, b, c := left[(i+n-1)%n], left[i%n], left[(i+1)%n]
		if !isEar(pts, left, a, b, c) {
			miss++
			i = (i + 1) % n
			continue
		}
		p.triangle(first+uint16(a)*2, first+uint16(b)*2, first+uint16(c)*2)
		at := i % n
		left = append(left[:at], left[at+1:]...)
		i = at % len(left)
		miss = 0
	}
	for i := 1; i+1 < len(left); i++ {
		p.triangle(first+uint16(left[0])*2, first+uint16(left[i])*2, first+uint16(left[i+1])*2)
	}
}

func isEar(pts []point32, left []int32, a, b, c int32) bool {
	pa, pb, pc := pts[a], pts[b], pts[c]
	if cross(pa, pb, pc) <= 0 {
		return false
	}
	for _, k := range left {
		q := pts[k]
		if k == a || k == b || k == c || q == pa || q == pb || q == pc {
			continue
		}
		if cross(pa, pb, q) >= 0 && cross(pb, pc, q) >= 0 && cross(pc, pa, q) >= 0 {
			return false
		}
	}
	return true
}

func cross(a, b, c point32) float32 {
	return (b.x-a.x)*(c.y-a.y) - (b.y-a.y)*(c.x-a.x)
}

// area is twice the signed area, positive when the corners run clockwise as seen.
func area(pts []point32) float32 {
	sum := float32(0)
	for i, q := range pts {
		r := pts[(i+1)%len(pts)]
		sum += q.x*r.y - r.x*q.y
	}
	return sum
}

func convex(pts []point32) bool {
	pos, neg, turns := false, false, 0
	n := len(pts)
	for i := range pts {
		switch k := cross(pts[i], pts[(i+1)%n], pts[(i+2)%n]); {
		case k > 0:
			pos = true
		case k < 0:
			neg = true
		}
		// A star turns one way only, but goes round twice: its x direction changes more than twice.
		if (pts[(i+1)%n].x-pts[i].x)*(pts[(i+2)%n].x-pts[(i+1)%n].x) < 0 {
			turns++
		}
	}
	return !(pos && neg) && turns <= 2
}
