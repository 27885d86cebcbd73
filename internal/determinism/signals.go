package determinism

import (
	"math"

	"foilwright/sim/field"
	"foilwright/sim/probe"
)

// metals and sheets are what the probes are tried over: steels, aluminium, a poor conductor; thick, thin, on another.
func bases() []field.Base {
	steel := field.Metal{RelPermeability: 180, Conductivity: 6e6}
	aluminium := field.Metal{RelPermeability: 1, Conductivity: 21e6}
	return []field.Base{
		field.Thick(steel),
		field.Plate(field.Metal{RelPermeability: 700, Conductivity: 9e6}, 0.8e-3),
		field.Thick(aluminium),
		field.Plate(aluminium, 0.05e-3),
		{{Metal: aluminium, Thickness: 0.1e-3}, {Metal: steel, Thickness: math.Inf(1)}},
	}
}

// Signals returns a trial for each probe of the bench: its signal over several metals, at gaps, tilts and edges.
func Signals() []Trial {
	var trials []Trial
	for _, design := range probe.Designs() {
		trials = append(trials, Trial{"signal." + design.ID, func(emit func(float64)) error {
			sensor, err := design.Sensor()
			if err != nil {
				return err
			}
			a := arguments{6}
			for _, base := range bases() {
				over, err := sensor.Over(base)
				if err != nil {
					return err
				}
				for i := range 120 {
					place := field.Flat(a.between(0, design.RangeUm*1.5e-6))
					if i%3 > 0 {
						place.Tilt = a.between(0, 0.5)
					}
					if i%4 > 1 {
						place.EdgeDistance = a.between(-2e-3, 12e-3)
					}
					emit(over.Amplitude(place))
					l := over.DeltaL(place)
					emit(real(l))
					emit(imag(l))
				}
			}
			return nil
		}})
	}
	return trials
}
