// Package gauge is the instrument: it turns the probe's signal into a reading
// through its built-in curve and its present adjustment, and keeps readings in
// its memory.
//
// The built-in curve is the inverse of the signal over a flat, thick piece of
// the standard base of the probe's principle. Zero and foil adjustments follow
// physics.md section 4:
//
//	u = f(s * S(0) / s_zero)      after a zero
//	t = u * t1/u1                 one foil
//	t = a*u + b*u*u               two foils, through (u1, t1) and (u2, t2)
//
// where f is the built-in curve. On the standard base each of them is the
// identity. Thicknesses are micrometres, signals dimensionless.
package gauge

import "foilwright/sim/field"

// Curve is the built-in curve of one probe: film thickness against signal on
// the flat, thick standard base.
type Curve struct {
	over     *field.Over
	atZero   float64 // signal at gap 0
	perMetre float64 // signal lost per metre of gap, at gap 0
}

// NewCurve returns the built-in curve that belongs to a probe over the
// standard base.
func NewCurve(standard *field.Over) Curve {
	const step = 1e-6
	zero := standard.Amplitude(field.Place{EdgeDistance: field.NoEdge})
	near := standard.Amplitude(field.Place{Gap: step, EdgeDistance: field.NoEdge})
	return Curve{over: standard, atZero: zero, perMetre: (zero - near) / step}
}

// SignalAtZero returns the signal on the bare standard base.
func (c Curve) SignalAtZero() float64 { return c.atZero }

// ThicknessUm returns the thickness the built-in curve gives for a signal, in
// um. A signal above that of the bare standard base gives a negative
// thickness on the tangent at zero. A signal too small for the curve gives its
// far end, FarUm.
func (c Curve) ThicknessUm(signal float64) float64 {
	if signal >= c.atZero {
		return (c.atZero - signal) / c.perMetre * 1e6
	}
	gap, ok := c.over.GapFor(signal)
	if !ok {
		return FarUm
	}
	return gap * 1e6
}

// FarUm is the thickness shown for a probe in free air: far above any range.
const FarUm = 60000
