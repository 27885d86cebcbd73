package field

import "math"

// edgeTable holds the Green's function of an ideal wedge, less the direct term, for the fast picture: on
// v = s/(1+s) with s = sinh(eta/2), and the angle psi between the half-planes of source and place, 0 .. the angle of the
// air. Times sqrt(r r') cosh(eta/2). See [wedge.excess].
type edgeTable struct {
	angle float64
	// A smooth surface: the charges of a core are many times their sum, of either sign, and would bring out every crease.
	value grid
}

const (
	edgeFar    = 56
	edgeAround = 56
)

func newEdgeTable(angle float64) edgeTable {
	nodes := make([]float64, edgeFar*edgeAround)
	w := newWedge(angle, 25)
	for i := range edgeFar {
		v := math.Min((float64(i)+0.002)/(edgeFar-1), 0.999)
		s := v / (1 - v)
		for k := range edgeAround {
			psi := angle * math.Min(float64(k)+1e-3, edgeAround-1-1e-3) / (edgeAround - 1)
			sin, cos := math.Sincos(psi)
			// Source on the face at distance 1: image and direct term are one there, and the kernel is half of their sum.
			a, r := w.excess(point{cos, 2 * s, sin}, point{1, 0, 0})
			nodes[i*edgeAround+k] = (a + r) / 2 * math.Sqrt(1+s*s)
		}
	}
	return edgeTable{angle, newGrid(edgeFar, edgeAround, nodes)}
}

// regular returns the table at s = sqrt(apart)/(2 sqrt(r r')) given by its numerator and denominator.
func (t *edgeTable) regular(apart, roots, psi float64) float64 {
	return t.value.at(apart/(apart+roots)*(edgeFar-1)-0.002, psi/t.angle*(edgeAround-1))
}

// scattered returns the scattered Green's function of the wedge between a lump and a place, both with their polar
// coordinates about the edge, for metal that attracts (sign -1 of the image) or repels (+1).
func (t *edgeTable) scattered(l *lump, r, root, angle, image float64) float64 {
	lr := l.root * l.root
	dr := r - lr
	apart2 := dr*dr + l.y*l.y
	apart, roots := math.Sqrt(apart2), 2*root*l.root
	span := 2 / math.Sqrt((r+lr)*(r+lr)+l.y*l.y)
	direct := math.Abs(angle - l.angle)
	mirror := angle + l.angle
	mirror = math.Min(mirror, 2*t.angle-mirror)
	g := (t.regular(apart, roots, direct) + image*t.regular(apart, roots, mirror)) * span
	// The free term of the mirrored angle: the image behind the nearer face.
	sin := math.Sin(mirror / 2)
	return g + image/(4*math.Pi*math.Sqrt(apart2+4*r*lr*sin*sin))
}
