package field

import (
	"math"

	"foilwright/sim/num"
)

// reflection returns the factor Gamma with which the stack mirrors a static axisymmetric field of spatial frequency a
// (1/m): (mur-1)/(mur+1) for a permeable half-space at rest, -1 for a perfect conductor.
//
// Recursion over the layers from the bottom, C. V. Dodd and W. E. Deeds 1968 extended to permeable layers; physics
// notes in README.md.
func (b Base) reflection(frequency, a float64) complex128 {
	last := len(b) - 1
	behind := Metal{RelPermeability: 1}
	behindDecay := complex(a, 0)
	if math.IsInf(b[last].Thickness, 1) {
		behind, behindDecay = b[last].Metal, b[last].Metal.decay(frequency, a)
		last--
	}
	gamma := complex(0, 0)
	for i := last; ; i-- {
		above, aboveDecay := Metal{RelPermeability: 1}, complex(a, 0)
		if i >= 0 {
			above, aboveDecay = b[i].Metal, b[i].Metal.decay(frequency, a)
		}
		up := num.Scale(behind.RelPermeability, aboveDecay)
		down := num.Scale(above.RelPermeability, behindDecay)
		r := num.Div(up-down, up+down)
		gamma = num.Div(r+gamma, 1+num.Mul(r, gamma))
		if i < 0 {
			return gamma
		}
		exponent := num.Scale(-2*b[i].Thickness, aboveDecay)
		if real(exponent) < -80 {
			gamma = 0
		} else {
			gamma = num.Mul(gamma, num.CExp(exponent))
		}
		behind, behindDecay = above, aboveDecay
	}
}

// decay returns sqrt(a^2 + j w mu sigma), the rate at which the field of spatial frequency a dies out in the metal.
func (m Metal) decay(frequency, a float64) complex128 {
	if m.Conductivity == 0 {
		return complex(a, 0)
	}
	return num.CSqrt(complex(a*a, 2*math.Pi*frequency*Mu0*m.RelPermeability*m.Conductivity))
}
