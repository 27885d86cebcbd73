package probe

import (
	"fmt"
	"math"

	"foilwright/sim/field"
)

// Limits says down to which geometry a probe may be used without adjusting it on a piece of that geometry. They are
// found by the trial the method standards describe (informative annexes of ISO 2178 and ISO 2360, from memory): zero on
// the flat, thick standard; then bring in edge, curvature or thin base step by step until the reading departs by more
// than allowed. Lengths in millimetres.
type Limits struct {
	// EdgeDistanceMm from the axis to a straight edge.
	EdgeDistanceMm float64
	// HoleDistanceMm from the axis to the rim of a hole of trialHoleMm across.
	HoleDistanceMm float64
	// AreaMm is the side of the smallest square with the axis in its middle, as the product of its four edges. For magnetic
	// probes it is too small: an island lacks more than its edges do (sim/field/README.md).
	AreaMm float64
	// ConvexRadiusMm and ConcaveRadiusMm of a cylinder.
	ConvexRadiusMm, ConcaveRadiusMm float64
	// BaseThicknessMm of a sheet of the standard metal.
	BaseThicknessMm float64
	// The trial: film on the piece and allowed departure of the reading.
	FilmUm, AllowedUm float64
}

// trialHoleMm is the width of the hole of the trial, millimetres (own choice: a bolt hole).
const trialHoleMm = 10.0

// Trial returns the film and the departure with which the limits of a design are stated: an eighth of the range, and 3 %
// of that film or 1.5 um, whichever is greater (common practice, no source; 1.5 um is the floor of ISO 2178:1982).
func (d Design) Trial() (filmUm, allowedUm float64) {
	filmUm = d.RangeUm / 8
	return filmUm, max(0.03*filmUm, 1.5)
}

// Limits carries out the trial in the field core; about half a second. It fails when a film is outside the range.
func (d Design) Limits(filmUm, allowedUm float64) (Limits, error) {
	if !(filmUm >= 0 && filmUm <= d.RangeUm) || !(allowedUm > 0) {
		return Limits{}, fmt.Errorf("probe %s: trial with film %v um and departure %v um; expected a film of 0 to %v um and a departure above 0",
			d.ID, filmUm, allowedUm, d.RangeUm)
	}
	sensor, err := d.Sensor()
	if err != nil {
		return Limits{}, err
	}
	standard, err := sensor.Over(d.Standard)
	if err != nil {
		return Limits{}, fmt.Errorf("probe %s: %w", d.ID, err)
	}
	film := float64(filmUm * um)
	departs := func(o *field.Over, p field.Place) bool {
		gap, _ := standard.GapFor(o.Amplitude(p))
		return !(math.Abs(gap-film) <= allowedUm*um)
	}
	limits := Limits{FilmUm: filmUm, AllowedUm: allowedUm}
	limits.EdgeDistanceMm = nearest(100*mm, 0.05*mm, func(x float64) bool {
		return departs(standard, field.Place{Gap: film, EdgeDistance: x})
	}) / mm
	limits.HoleDistanceMm = nearest(100*mm, 0.05*mm, func(x float64) bool {
		return departs(standard, field.Place{Gap: film, EdgeDistance: field.NoEdge, Beside: [field.MostBeside]field.Feature{field.Hole(x, trialHoleMm/2*mm)}})
	}) / mm
	limits.AreaMm = 2 * nearest(100*mm, 0.05*mm, func(x float64) bool {
		side := field.Edge(x, 0)
		return departs(standard, field.Place{Gap: film, EdgeDistance: x, Beside: [field.MostBeside]field.Feature{side, side, side}})
	}) / mm
	bent := func(sign float64) func(radius float64) bool {
		return func(radius float64) bool {
			return departs(standard, field.Place{Gap: film, EdgeDistance: field.NoEdge, Curvature: [2]float64{sign / radius, 0}})
		}
	}
	limits.ConvexRadiusMm = nearest(10000*mm, 0.5*mm, bent(1)) / mm
	limits.ConcaveRadiusMm = nearest(10000*mm, 0.5*mm, bent(-1)) / mm
	metal := d.Standard[0].Metal
	limits.BaseThicknessMm = nearest(20*mm, 0.01*mm, func(x float64) bool {
		thin, fault := sensor.Over(field.Plate(metal, x))
		if fault != nil {
			err = fault
			return true
		}
		return departs(thin, field.Flat(film))
	}) / mm
	return limits, err
}

// nearest walks from far to near in steps of a tenth and returns the last value at which the reading had not departed,
// refined to a thousandth; near when it never departs.
func nearest(far, near float64, departed func(x float64) bool) float64 {
	good := far
	for x := far; ; x /= 1.1 {
		if x < near {
			return near
		}
		if departed(x) {
			bad := x
			for good/bad > 1.001 {
				if middle := (good + bad) / 2; departed(middle) {
					bad = middle
				} else {
					good = middle
				}
			}
			return good
		}
		good = x
	}
}
