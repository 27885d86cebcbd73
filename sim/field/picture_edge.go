package field

import "math"

// edgeTable holds the Green's function of an ideal wedge, less the direct term, for the fast picture: on
// v = s/(1+s) with s = sinh(eta/2), and the angle psi between the half-planes of source and place, 0 .. the angle of the
// air. Times sqrt(r r') cosh(eta/2). See [wedge.excess].
type edgeTable struct {
	angle float64
	// A smooth surface: the charges of a core are many times their sum, of either sign, and would bring out every crease.
	value    grid
	perAngle float64 // nodes
	sin, cos float64 // of the angle
}

const (
	edgeFar    = 56
	edgeAround = 56
)

func newEdgeTable(angle float64) edgeTable {
	nodes := make([]float64, edgeFar*edgeAround)
	w := newWedge(angle, 25)
	for i := range edgeFar {
		v := min((float64(i)+0.002)/(edgeFar-1), 0.999)
		s := v / (1 - v)
		for k := range edgeAround {
			psi := angle * min(float64(k)+1e-3, edgeAround-1-1e-3) / (edgeAround - 1)
			sin, cos := math.Sincos(psi)
			// Source on the face at distance 1: image and direct term are one there, and the kernel is half of their sum.
			a, r := w.excess(point{cos, 2 * s, sin}, point{1, 0, 0})
			nodes[i*edgeAround+k] = (a + r) / 2 * math.Sqrt(1+s*s)
		}
	}
	sin, cos := math.Sincos(angle)
	return edgeTable{angle, newGrid(edgeFar, edgeAround, nodes), (edgeAround - 1) / angle, sin, cos}
}

// setEdge prepares the edge of an angle of the air; some milliseconds, and nothing when it is the same as before or square.
func (p *Picture) setEdge(airAngle float64) {
	if airAngle == 0 || airAngle == RightAngleEdge {
		p.edge = &p.head.edge
		return
	}
	airAngle = min(max(airAngle, bluntest), sharpest)
	if p.edge.angle != airAngle {
		t := newEdgeTable(airAngle)
		p.edge = &t
	}
	// The metal's own angle is what is left of a whole turn.
	p.Slant = math.Cos(airAngle) / math.Sin(airAngle)
}

// Edges of other angles are drawn with these.
const (
	bluntest = 185 * degree
	sharpest = 355 * degree
)

// recession is by how much of its depth the apparent edge of a conductor lies inside the true one; as in [shape.anyEdge].
func (p *Picture) recession() float64 {
	if a := p.edge.angle; a < RightAngleEdge {
		return math.Tan((a - math.Pi) / 2)
	}
	return 1
}

// polar is where something stands about the edge of a wedge: its distance and its angle from the face.
type polar struct {
	r, root  float64 // root is the square root of r
	angle    float64
	sin, cos float64 // of half the angle
}

func newPolar(r, angle float64) polar {
	sin, cos := math.Sincos(angle / 2)
	return polar{r, math.Sqrt(r), angle, sin, cos}
}

// scattered returns the scattered Green's function of the wedge between a lump and a place, for metal that attracts (sign
// -1 of the image) or repels (+1).
func (t *edgeTable) scattered(l *lump, at *polar, image float64) float64 {
	from := &l.edge
	dr, far := at.r-from.r, at.r+from.r
	apart2 := dr*dr + l.y*l.y
	apart, roots := math.Sqrt(apart2), 2*at.root*from.root
	direct, mirror := math.Abs(at.angle-from.angle), at.angle+from.angle
	// Sine of half the mirrored angle, which is that behind the nearer face.
	sin := at.sin*from.cos + at.cos*from.sin
	if round := 2*t.angle - mirror; round < mirror {
		mirror = round
		sin = t.sin*(at.cos*from.cos-at.sin*from.sin) - t.cos*sin
	}
	// The table is on s/(1+s) for s = apart/roots.
	var across, along spot
	across.within(edgeFar, apart/(apart+roots)*(edgeFar-1)-0.002)
	along.find(edgeAround, direct*t.perAngle)
	g := t.value.value(&across, &along)
	along.find(edgeAround, mirror*t.perAngle)
	g += image * t.value.value(&across, &along)
	// The free term of the mirrored angle: the image.
	return 2*g/math.Sqrt(far*far+l.y*l.y) + image/(4*math.Pi*math.Sqrt(apart2+4*at.r*from.r*sin*sin))
}
