package field

import (
	"math"

	"foilwright/sim/num"
)

// slot is an endless groove of width 1 in the plane face of ideal metal, resolved along its length into waves of
// the frequencies length, and across into sin(n pi x) where the metal attracts, cos(n pi x) where it repels.
type slot struct {
	kind   Ideal
	length rule
	modes  int
	// coupling is K for each frequency along the length:
	//
	//	(1/pi) int w kappa^+-1 (2 - 2 (-1)^n cos k) / ((alpha^2-k^2)(alpha'^2-k^2)) dk, w = alpha alpha' or k^2
	coupling []matrix
}

// newSlot prepares a slot for heads whose waves end at so many radians per width.
func newSlot(kind Ideal, modes, lengths int, end float64) *slot {
	s := &slot{kind: kind, modes: modes, length: powerRule(lengths, 3, end)}
	last := math.Pi * float64(modes)
	across := math.Ceil(5 * last)
	panel := gaussLegendre(6, 0, 1)
	factor := make([]float64, modes)
	for _, q := range s.length.node {
		k := newMatrix(modes, modes)
		for start := 0.0; start < across; start += 2 {
			for i, x := range panel.node {
				wave := start + 2*x
				w := 2 * panel.weight[i] / math.Pi
				kappa := num.Hypot(wave, q)
				if kind == Attracting {
					w *= kappa
				} else {
					w /= kappa
				}
				even := float64(versine(wave)) // 1 - cos
				odd := 2 - even
				for n := range modes {
					alpha := float64(s.alpha(n))
					factor[n] = alpha
					if kind == Repelling {
						factor[n] = wave
					}
					factor[n] /= float64((alpha - wave) * (alpha + wave))
				}
				for n := range modes {
					f := w * 2 * even * factor[n]
					if s.odd(n) {
						f = w * 2 * odd * factor[n]
					}
					for p := n % 2; p <= n; p += 2 {
						k.at[n*modes+p] += float64(f * factor[p])
					}
				}
			}
		}
		for n := range modes {
			for p := n % 2; p <= n; p += 2 {
				tail := float64(1 / (math.Pi * across * across))
				if kind == Attracting {
					tail = float64(tail * s.alpha(n) * s.alpha(p))
				}
				k.at[n*modes+p] += tail
				k.at[p*modes+n] = k.at[n*modes+p]
			}
		}
		s.coupling = append(s.coupling, k)
	}
	return s
}

// alpha is a mode's frequency across the slot.
func (s *slot) alpha(n int) float64 {
	if s.kind == Attracting {
		n++
	}
	return math.Pi * float64(n)
}

// norm is the mean square of a mode across the slot.
func (s *slot) norm(n int) float64 {
	if s.alpha(n) == 0 {
		return 1
	}
	return 0.5
}

// odd reports whether a mode's frequency is an odd number of half waves.
func (s *slot) odd(n int) bool { return (n%2 == 1) != (s.kind == Attracting) }

// from returns the aperture for a head whose axis stands on the metal, distance metres from the edge of a slot of a width
// in metres.
func (s *slot) from(head Head, core *coreModel, width, distance float64) aperture {
	var v aperture
	end := headReach(head)
	blur := 0.0
	if distance > head.Coil.OuterRadius/4 {
		blur = distance / 30
		end = min(end, 90/distance)
	}
	q := powerRule(160+int(0.5*end*(width+distance)/math.Pi), 2, end)
	near, far := distance/width, 1+distance/width
	for l, along := range s.length.node {
		overlap := newMatrix(s.modes, len(q.node))
		a := make([]float64, len(q.node))
		for i, across := range q.node {
			k := float64(across * width)
			a[i] = num.Hypot(across, along/width)
			if a[i] > 1.2*end {
				continue
			}
			w := q.weight[i] / math.Pi * num.Exp(-float64(a[i]*blur)*float64(a[i]*blur))
			trigNear, trigFar := num.Cos(k*near), num.Cos(k*far)
			if s.kind == Repelling {
				w *= k / a[i]
				trigNear, trigFar = num.Sin(k*near), num.Sin(k*far)
			}
			for n := range s.modes {
				alpha := float64(s.alpha(n))
				f := trigNear - trigFar
				if s.odd(n) {
					f = trigNear + trigFar
				}
				apart := float64((alpha - k) * (alpha + k))
				if math.Abs(apart) < 1e-9*alpha*alpha {
					apart = 1e-9 * alpha * alpha
				}
				f *= w / apart
				if s.kind == Attracting {
					f *= alpha
				}
				overlap.row(n)[i] = f * width
			}
		}
		// K and lambda do not grow with the width (attracting), or with its square (repelling).
		weight := s.length.weight[l] / (math.Pi * width)
		if s.kind == Repelling {
			weight /= width * width
		}
		waves := newWaves(head, core, a)
		v = append(v, apertureOrder{weight, &waves, a, overlap})
	}
	return v
}

// floor says what closes a slot below.
type floor int

const (
	metalFloor  floor = iota // the same metal
	mirrorFloor              // a plane that answers the other way: with metalFloor, half each, a sheet of twice the depth
	noFloor
)

// factors returns the systems of a slot whose depth is given in widths, by their Cholesky factors.
func (s *slot) factors(depth float64, below floor) []matrix {
	var all []matrix
	for l, along := range s.length.node {
		system := newMatrix(s.modes, s.modes)
		copy(system.at, s.coupling[l].at)
		for n := range s.modes {
			stiffness := num.Hypot(s.alpha(n), along)
			half := 1.0
			if below != noFloor {
				half = num.Tanh(stiffness * depth)
				if (below == metalFloor) == (s.kind == Attracting) {
					half = 1 / half
				}
			}
			norm := s.norm(n)
			if s.kind == Attracting {
				system.at[n*s.modes+n] += float64(norm * stiffness * half)
			} else {
				system.at[n*s.modes+n] += norm / (stiffness * half)
			}
		}
		all = append(all, system.choleskyFactor())
	}
	return all
}
