package paint

// clipShape cuts the triangles of the shape in work to the clip in force. Clipping here rather than on the graphics card
// keeps the whole frame in one or two draw calls.
func (p *Painter) clipShape() {
	verts := p.verts[p.opV0:]
	if len(verts) == 0 {
		return
	}
	b := box{verts[0].X, verts[0].Y, verts[0].X, verts[0].Y}
	for i := range verts {
		v := &verts[i]
		b.x0, b.x1 = min(b.x0, v.X), max(b.x1, v.X)
		b.y0, b.y1 = min(b.y0, v.Y), max(b.y1, v.Y)
	}
	c := p.clip
	if b.x0 >= c.x0 && b.x1 <= c.x1 && b.y0 >= c.y0 && b.y1 <= c.y1 {
		return
	}
	if b.x0 >= c.x1 || b.x1 <= c.x0 || b.y0 >= c.y1 || b.y1 <= c.y0 {
		p.verts, p.idx = p.verts[:p.opV0], p.idx[:p.opI0]
		return
	}
	p.loose = p.loose[:0]
	for i := p.opI0; i < len(p.idx); i += 3 {
		p.cutIn = append(p.cutIn[:0], p.verts[p.base+int(p.idx[i])], p.verts[p.base+int(p.idx[i+1])], p.verts[p.base+int(p.idx[i+2])])
		p.cutTriangle(c)
		for k := 1; k+1 < len(p.cutIn); k++ {
			p.loose = append(p.loose, p.cutIn[0], p.cutIn[k], p.cutIn[k+1])
		}
	}
	p.verts, p.idx = p.verts[:p.opV0], p.idx[:p.opI0]
	for i := 0; i+2 < len(p.loose); i += 3 {
		if len(p.verts)-p.base > 65000 {
			p.closeSpan()
		}
		k := uint16(len(p.verts) - p.base)
		p.verts = append(p.verts, p.loose[i], p.loose[i+1], p.loose[i+2])
		p.idx = append(p.idx, k, k+1, k+2)
	}
}

// cutTriangle clips the polygon in cutIn against the four sides (Sutherland and Hodgman, 1974).
func (p *Painter) cutTriangle(c box) {
	for side := range 4 {
		inside := func(v *Vertex) float32 {
			switch side {
			case 0:
				return v.X - c.x0
			case 1:
				return c.x1 - v.X
			case 2:
				return v.Y - c.y0
			}
			return c.y1 - v.Y
		}
		p.cutOut = p.cutOut[:0]
		n := len(p.cutIn)
		for i := range n {
			a, b := &p.cutIn[i], &p.cutIn[(i+1)%n]
			da, db := inside(a), inside(b)
			if da >= 0 {
				p.cutOut = append(p.cutOut, *a)
			}
			if (da < 0) != (db < 0) {
				p.cutOut = append(p.cutOut, between(a, b, da/(da-db)))
			}
		}
		p.cutIn, p.cutOut = p.cutOut, p.cutIn
		if len(p.cutIn) < 3 {
			p.cutIn = p.cutIn[:0]
			return
		}
	}
}

func between(a, b *Vertex, t float32) Vertex {
	l := func(u, v float32) float32 { return u + (v-u)*t }
	return Vertex{l(a.X, b.X), l(a.Y, b.Y), l(a.U, b.U), l(a.V, b.V), l(a.R, b.R), l(a.G, b.G), l(a.B, b.B), l(a.A, b.A)}
}
