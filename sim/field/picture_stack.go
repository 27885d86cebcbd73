package field

import (
	"math"
	"slices"

	"foilwright/sim/num"
)

// pictureStack is what a picture needs of one stack of metal.
type pictureStack struct {
	base  Base
	gamma []complex128 // reflection at the spectrum's frequencies
	weak  float64      // |reflection| at the winding's mean radius, with its sign
	depth float64      // of the apparent plane of reflection
	thick float64      // of all layers

	wave   []complex128 // reflection at the picture's waves
	inside []complex128 // row x wave: the field at metalZ relative to the surface, for B_z
	slope  []complex128 // the same for its slope over the wave's frequency, for B_x
	reach  float64      // how deep the current is drawn, metres; 0: none
	flow   []complex128 // row x wave, at the depths of the current
	sigma  []float64    // conductivity at those depths
	decay  complex128   // of a uniform field in the uppermost metal, 1/m
}

func (s *pictureStack) prepare(h *pictureHead) {
	waves := len(h.a)
	s.gamma = make([]complex128, len(h.sensor.spectrum.a))
	s.wave = make([]complex128, waves)
	s.inside, s.slope = make([]complex128, waves*len(h.metalZ)), make([]complex128, waves*len(h.metalZ))
	s.flow = make([]complex128, waves*currentRows)
	s.sigma = make([]float64, currentRows)
}

func (s *pictureStack) is(b Base) bool { return s.base != nil && slices.Equal(s.base, b) }

func (s *pictureStack) set(h *pictureHead, b Base) {
	f := h.sensor.head.Frequency
	s.base = append(s.base[:0], b...)
	for k, a := range h.sensor.spectrum.a {
		s.gamma[k] = b.reflection(f, a)
	}
	a := 2 / (h.sensor.head.Coil.InnerRadius + h.sensor.head.Coil.OuterRadius)
	gamma := b.reflection(f, a)
	s.weak = num.Abs(gamma)
	var eddy bool
	if s.depth, eddy = h.sensor.depth(b); eddy {
		s.weak = -s.weak
	}
	// Current is drawn through the conducting layers, as far as the frame or six skin depths go.
	s.reach = 0
	deep, skin := 0.0, 0.0
	for _, l := range b {
		if l.Metal.Conductivity > 0 {
			s.reach = min(deep+l.Thickness, h.frame.Below)
			if skin == 0 {
				skin = l.Metal.SkinDepth(f)
				s.decay = l.Metal.decay(f, 0)
			}
		}
		deep += l.Thickness
	}
	s.thick = deep
	if skin > 0 {
		s.reach = min(s.reach, 6*skin)
	}
	for k, a := range h.a {
		p := profile{base: b, frequency: f, a: a}
		p.prepare()
		s.wave[k] = p.gamma[0]
		for r, z := range h.metalZ {
			s.inside[r*len(h.a)+k], s.slope[r*len(h.a)+k] = p.at(z)
		}
		for r := range currentRows {
			s.flow[r*len(h.a)+k], _ = p.at(s.currentDepth(r))
		}
	}
	for r := range currentRows {
		s.sigma[r] = conductivityAt(b, s.currentDepth(r))
	}
}

// currentDepth spreads the rows of the current, densest at the surface.
func (s *pictureStack) currentDepth(row int) float64 {
	u := float64(row) / (currentRows - 1)
	return s.reach * u * (0.4 + 0.6*u)
}

func conductivityAt(b Base, depth float64) float64 {
	for _, l := range b {
		if depth <= l.Thickness*(1+1e-9) {
			return l.Metal.Conductivity
		}
		depth -= l.Thickness
	}
	return 0
}

// maxLayers is how many layers a picture looks through; what lies deeper counts as air.
const maxLayers = 6

// profile carries one wave down through the layers. The vector potential in layer i is
//
//	A = top (e^(-decay x) + gamma e^(-decay (2T - x))) / (1 + gamma e^(-2 decay T)),
//
// gamma being what the layers below reflect; Dodd and Deeds 1968 in the form of [Base.reflection].
type profile struct {
	base      Base
	frequency float64
	a         float64

	layers int
	mu     [maxLayers + 2]float64
	decay  [maxLayers + 2]complex128
	gamma  [maxLayers + 2]complex128 // at the bottom of medium i; medium 0 is the air above
	top    [maxLayers + 2]complex128
	thick  [maxLayers + 2]float64
}

func (p *profile) prepare() {
	n := min(len(p.base), maxLayers)
	p.layers = n
	p.mu[0], p.decay[0] = 1, complex(p.a, 0)
	p.mu[n+1], p.decay[n+1] = 1, complex(p.a, 0)
	for i := range n {
		l := p.base[i]
		p.mu[i+1], p.decay[i+1], p.thick[i+1] = l.Metal.RelPermeability, l.Metal.decay(p.frequency, p.a), l.Thickness
	}
	below := complex(0, 0)
	for i := n; i >= 0; i-- {
		if i > 0 && math.IsInf(p.thick[i], 1) {
			p.gamma[i], below = 0, 0
			continue
		}
		up, down := num.Scale(p.mu[i+1], p.decay[i]), num.Scale(p.mu[i], p.decay[i+1])
		r := num.Div(up-down, up+down)
		carried := below
		if i < n {
			carried = num.Mul(below, p.through(i+1))
		}
		p.gamma[i] = num.Div(r+carried, 1+num.Mul(r, carried))
		below = p.gamma[i]
	}
	p.top[1] = 1
	for i := 1; i <= n; i++ {
		if math.IsInf(p.thick[i], 1) {
			break
		}
		e := num.CExp(num.Scale(-min(p.thick[i], 60/real(p.decay[i])), p.decay[i]))
		p.top[i+1] = num.Mul(p.top[i], num.Div(num.Mul(e, 1+p.gamma[i]), 1+num.Mul(p.gamma[i], num.Mul(e, e))))
	}
}

// through is e^(-2 decay T) of medium i.
func (p *profile) through(i int) complex128 {
	if math.IsInf(p.thick[i], 1) || real(p.decay[i])*p.thick[i] > 40 {
		return 0
	}
	return num.CExp(num.Scale(-2*p.thick[i], p.decay[i]))
}

// at returns the field at a depth relative to the surface, and minus its slope over the wave's frequency.
func (p *profile) at(depth float64) (value, slope complex128) {
	i := 1
	for i <= p.layers && depth > p.thick[i] {
		depth -= p.thick[i]
		i++
	}
	d := p.decay[i]
	if real(d)*depth > 60 {
		return 0, 0
	}
	e := num.CExp(num.Scale(-depth, d))
	back, whole := complex(0, 0), complex(1, 0)
	if i <= p.layers && p.gamma[i] != 0 && real(d)*(2*p.thick[i]-depth) < 60 {
		back = num.Mul(p.gamma[i], num.CExp(num.Scale(depth-2*p.thick[i], d)))
		whole = 1 + num.Mul(p.gamma[i], p.through(i))
	}
	f := num.Div(p.top[i], whole)
	return num.Mul(f, e+back), num.Mul(num.Scale(1/p.a, d), num.Mul(f, e-back))
}
