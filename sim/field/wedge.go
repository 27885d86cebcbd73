package field

import (
	"math"

	"foilwright/sim/num"
)

// wedge is the air around a straight edge of ideal metal; the edge is the y axis, one face is z = 0, x > 0 and the air
// fills the angles 0 .. angle above it (three half-pi for a right-angle edge, half-pi for an inner corner).
type wedge struct {
	angle float64
	// Quadrature nodes of the substituted Macdonald integral: t/c and dt/c.
	stretch, weight []float64
}

// newWedge prepares a wedge with n quadrature nodes; 17 reach 1e-5 of the direct term, 25 reach 1e-7, 61 reach 1e-13.
func newWedge(angle float64, n int) *wedge {
	w := &wedge{angle: angle}
	// Few nodes are better spent on the middle.
	reach := min(3.6, 1.75+float64(0.05*float64(n)))
	step := 2 * reach / float64(n-1)
	for i := range n {
		u := float64(float64(i)*step) - reach
		t := num.Exp(math.Pi / 2 * num.Sinh(u))
		w.stretch = append(w.stretch, t)
		w.weight = append(w.weight, t*math.Pi/2*num.Cosh(u)*step)
	}
	return w
}

// point is a place in metres; z is the height above the face.
type point struct{ x, y, z float64 }

// excess returns the scattered Green's function of the wedge less that of the endless plane z = 0, for ideal metal that
// attracts the field (potential zero on it) and for ideal metal that repels it (no flux through it). Unit 1/m.
//
// Green's function of the wedge, H. M. Macdonald, Proc. London Math. Soc. 14 (1915) 410, in Carslaw's form
//
//	F(psi) = 1/(angle sqrt(2 r r')) int_eta^inf sinh(a zeta) / [(cosh(a zeta) - cos(a psi)) sqrt(cosh zeta - cosh eta)] dzeta
//
// with a = pi/angle, substituted by sinh^2(zeta/2) = sinh^2(eta/2) + t^2. The plane (a = 1) is taken off inside the
// integrand, so the near-singular mirror image never has to be integrated. Points on the edge itself are not allowed.
func (w *wedge) excess(p, q point) (attract, repel float64) {
	r, s := num.Hypot(p.x, p.z), num.Hypot(q.x, q.z)
	phi, theta := airAngle(p), airAngle(q)
	dr, dy := r-s, p.y-q.y
	low := (float64(dr*dr) + float64(dy*dy)) / (4 * r * s) // sinh^2(eta/2)
	scale := math.Sqrt(1 + low)
	a := math.Pi / w.angle
	direct, mirror := versine(phi-theta), versine(phi+theta)
	directA, mirrorA := versine(a*(phi-theta)), versine(a*(phi+theta))
	kernel, image := 0.0, 0.0
	for i, stretch := range w.stretch {
		t := scale * stretch
		square := low + float64(t*t)
		if square < 2.5e-13 {
			continue // the two integrands agree to zeta^2 here
		}
		half := math.Sqrt(square)
		e := 1 / (half + math.Sqrt(1+square))
		e = float64(e * e) // e^-zeta, with its digits however small
		var e1, ea, ea1 float64
		if square > 0.05 {
			e1, ea = 1-e, num.Exp(a*num.Log(e))
			ea1 = 1 - ea
		} else {
			zeta := 2 * num.Asinh(half)
			e1, ea1 = -num.Expm1(-zeta), -num.Expm1(-a*zeta)
			ea = 1 - ea1
		}
		top, topA := e1*(2-e1)/math.Pi, ea1*(2-ea1)/w.angle
		f := w.weight[i] * 2 * e / (e1 * (2 - e1))
		kernel += float64(f * (topA/(float64(ea1*ea1)+float64(2*ea*directA)) - top/(float64(e1*e1)+float64(2*e*direct))))
		image += float64(f * (topA/(float64(ea1*ea1)+float64(2*ea*mirrorA)) - top/(float64(e1*e1)+float64(2*e*mirror))))
	}
	f := 2 * scale / (4 * math.Pi * math.Sqrt(r*s))
	return f * (kernel - image), f * (kernel + image)
}

// airAngle is the polar angle of a point about the edge, 0 on the face, counted through the air.
func airAngle(p point) float64 {
	angle := num.Atan2(p.z, p.x)
	if angle < 0 {
		angle += 2 * math.Pi
	}
	return angle
}

// versine returns 1 - cos x without cancellation.
func versine(x float64) float64 {
	s := num.Sin(x / 2)
	return 2 * s * s
}

// planeImage returns the Green's function of a point's mirror image in the plane z = 0, 1/m.
func planeImage(p, q point) float64 {
	dx, dy, sz := p.x-q.x, p.y-q.y, p.z+q.z
	return 1 / (4 * math.Pi * math.Sqrt(float64(dx*dx)+float64(dy*dy)+float64(sz*sz)))
}
