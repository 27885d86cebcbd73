package field

import (
	"math"

	"foilwright/sim/num"
)

// coilPotential is the magnetic potential, per ampere, whose negative gradient is the field strength of the winding
// outside it. The winding is two discs of magnetic charge with the moment M_z(r) = n (r2 - max(r, r1)) between them;
// exact outside the winding and, with the moment's own share taken off, also in the bore.
type coilPotential struct {
	coil  Coil
	panel endRule
}

func newCoilPotential(c Coil) coilPotential { return coilPotential{coil: c, panel: tanhSinh(31, 3.1)} }

// at returns the potential in the bore at radius rho < r1 and height zeta above the tip's contact point. It falls by
// Turns from far below to far above, as Ampere's law wants.
func (p coilPotential) at(rho, zeta float64) float64 {
	c := p.coil
	low, high := zeta-c.Recess, zeta-c.Recess-c.Height
	inside := min(max(low, 0), c.Height)
	return p.disc(rho, high) - p.disc(rho, low) - float64(c.density()*(c.OuterRadius-c.InnerRadius)*inside)
}

// disc returns the potential of one disc with charge density M_z(r), at radius rho and height z above it.
func (p coilPotential) disc(rho, z float64) float64 {
	c := p.coil
	z = math.Abs(z)
	if rho == 0 {
		return discOnAxis(c, z)
	}
	sum := 0.0
	ends := [...]float64{0, rho, c.InnerRadius, c.OuterRadius}
	for k := range 3 {
		from, to := ends[k], ends[k+1]
		for i, w := range p.panel.weight {
			x := p.panel.fromLow[i]
			r := from + float64((to-from)*x)
			// r - rho without cancellation on the two panels that meet at rho.
			apart := r - rho
			switch k {
			case 0:
				apart = -float64((to - from) * p.panel.fromHigh[i])
			case 1:
				apart = (to - from) * x
			}
			moment := c.OuterRadius - max(r, c.InnerRadius)
			if k == 2 {
				moment = (to - from) * p.panel.fromHigh[i]
			}
			near, far := float64(apart*apart)+float64(z*z), float64((r+rho)*(r+rho))+float64(z*z)
			// Potential of a ring of unit line charge: r K(m)/(pi sqrt(far)) with 1 - m = near/far.
			sum += float64(w * (to - from) * moment * r * num.EllipticK(near/far) / math.Sqrt(far))
		}
	}
	return float64(c.density() * sum / math.Pi)
}

// discOnAxis is disc for rho = 0 in closed form: half the integral of M_z(r) r / sqrt(r^2 + z^2).
func discOnAxis(c Coil, z float64) float64 {
	r1, r2 := c.InnerRadius, c.OuterRadius
	s1, s2 := num.Hypot(r1, z), num.Hypot(r2, z)
	// By parts: M_z(r) sqrt(r^2+z^2) at the ends plus n times the integral of sqrt(r^2 + z^2) over the winding.
	primitive := func(r, s float64) float64 {
		if z == 0 {
			return r * r / 2
		}
		return (float64(r*s) + float64(z*z*num.Asinh(r/z))) / 2
	}
	return float64(c.density() / 2 * (primitive(r2, s2) - primitive(r1, s1) - float64((r2-r1)*z)))
}
