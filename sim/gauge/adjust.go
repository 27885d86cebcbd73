package gauge

import (
	"errors"
	"fmt"
)

// Adjustment is what zero and foils have told the instrument about the base
// under its probe. The zero value is the built-in curve alone.
type Adjustment struct {
	ZeroSignal float64 // mean signal on the uncoated piece; 0: not zeroed
	Foils      []FoilPoint
}

// FoilPoint pairs what the curve gave on a foil with the value set for it.
type FoilPoint struct {
	CurveUm float64 // mean of the zeroed curve's thickness over the readings
	SetUm   float64 // value the trainee set
	Coated  bool    // taken on the film of a certified piece instead of a foil
}

// ErrNoReadings is returned when an adjustment is stored with nothing taken.
var ErrNoReadings = errors.New("no readings taken for this adjustment; take some on the piece first")

// mean returns the mean of values in their order.
func mean(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}

// WithZero returns the adjustment after a zero from the given signals. A new
// zero discards the foils, which were taken on the old one.
func (a Adjustment) WithZero(signals []float64) (Adjustment, error) {
	if len(signals) == 0 {
		return a, ErrNoReadings
	}
	m := mean(signals)
	if m <= 0 {
		return a, errors.New("the probe saw no metal during the zero; place it on the uncoated piece and zero again")
	}
	return Adjustment{ZeroSignal: m}, nil
}

// WithFoil returns the adjustment after readings on a foil whose thickness has
// been set to setUm. The first foil makes a one-foil adjustment, a second one
// of clearly different thickness a two-foil adjustment; a further foil near
// one already stored replaces it.
func (a Adjustment) WithFoil(c Curve, signals []float64, setUm float64) (Adjustment, error) {
	curveUm := make([]float64, len(signals))
	for i, s := range signals {
		curveUm[i] = a.zeroedUm(c, s)
	}
	return a.WithFoilAt(curveUm, setUm)
}

// WithFoilAt is WithFoil for readings already looked up on the zeroed curve,
// in um.
func (a Adjustment) WithFoilAt(curveUm []float64, setUm float64) (Adjustment, error) {
	if len(curveUm) == 0 {
		return a, ErrNoReadings
	}
	if setUm <= 0 {
		return a, fmt.Errorf("the foil value is %.1f µm; set the value on the foil's certificate first", setUm)
	}
	p := FoilPoint{CurveUm: mean(curveUm), SetUm: setUm}
	if p.CurveUm <= 0 || p.CurveUm >= FarUm {
		return a, errors.New("the readings do not look like a foil on metal; lay the foil flat on the uncoated piece and take them again")
	}
	foils := make([]FoilPoint, 0, 2)
	for _, q := range a.Foils {
		if !sameFoil(p.SetUm, q.SetUm) {
			foils = append(foils, q)
		}
	}
	if len(foils) == 2 {
		foils = foils[1:]
	}
	return Adjustment{ZeroSignal: a.ZeroSignal, Foils: append(foils, p)}, nil
}

// sameFoil tells set values that are within a fifth of each other: two foils
// so close cannot carry a two-foil adjustment.
func sameFoil(aUm, bUm float64) bool {
	return aUm < 1.2*bUm && bUm < 1.2*aUm
}

// zeroedUm applies the zero alone.
func (a Adjustment) zeroedUm(c Curve, signal float64) float64 {
	return c.ThicknessUm(a.OnCurve(c, signal))
}

// OnCurve applies the zero: it scales a signal so that the piece the zero was
// taken on gives the built-in curve's zero.
func (a Adjustment) OnCurve(c Curve, signal float64) float64 {
	if a.ZeroSignal > 0 {
		signal *= c.atZero / a.ZeroSignal
	}
	return signal
}

// ThicknessUm returns the reading in um, before rounding, that the instrument
// makes of a signal under this adjustment.
func (a Adjustment) ThicknessUm(c Curve, signal float64) float64 {
	return a.AtFoils(a.zeroedUm(c, signal))
}

// AtFoils applies the foils: it turns a thickness in um on the zeroed curve
// into the instrument's reading.
func (a Adjustment) AtFoils(u float64) float64 {
	switch len(a.Foils) {
	case 1:
		return u * a.Foils[0].SetUm / a.Foils[0].CurveUm
	case 2:
		p, q := a.Foils[0], a.Foils[1]
		// t/u is linear in u for a quadratic through the origin.
		rp, rq := p.SetUm/p.CurveUm, q.SetUm/q.CurveUm
		slope := (rq - rp) / (q.CurveUm - p.CurveUm)
		// Outside its foils the quadratic runs away; keep the nearer foil's ratio.
		low, high := p.CurveUm, q.CurveUm
		if low > high {
			low, high = high, low
		}
		at := u
		if at < low {
			at = low
		}
		if at > high {
			at = high
		}
		return u * (rp + float64(slope*(at-p.CurveUm)))
	}
	return u
}

// Kind names the adjustment in the trade's terms.
func (a Adjustment) Kind() string {
	coated := 0
	for _, p := range a.Foils {
		if p.Coated {
			coated++
		}
	}
	switch {
	case coated > 0 && coated == len(a.Foils) && a.ZeroSignal <= 0:
		return [...]string{"one coated piece, no zero", "two coated pieces, no zero"}[coated-1]
	case len(a.Foils) == 2:
		return "zero and two foils"
	case len(a.Foils) == 1 && a.ZeroSignal > 0:
		return "zero and one foil"
	case len(a.Foils) == 1:
		return "one foil, no zero"
	case a.ZeroSignal > 0:
		return "zero only"
	}
	return "built-in curve"
}

// None returns the adjustment of an instrument fresh from its maker: none.
func (a Adjustment) None() Adjustment { return Adjustment{} }
