package field

import (
	"errors"
	"fmt"
	"math"
)

// Metal is a linear, isotropic conductor.
type Metal struct {
	// RelPermeability is the relative permeability, 1 for non-magnetic metal.
	RelPermeability float64
	// Conductivity in siemens per metre.
	Conductivity float64
}

// Layer is one sheet of metal (or of air, conductivity 0 and relative permeability 1).
type Layer struct {
	Metal Metal
	// Thickness in metres; +Inf makes the layer a half-space and must then be the last.
	Thickness float64
}

// Base is a stack of layers from the probe downward. Air lies behind the last layer when that is finite.
type Base []Layer

// Thick returns a half-space of one metal.
func Thick(m Metal) Base { return Base{{Metal: m, Thickness: math.Inf(1)}} }

// Plate returns one sheet of metal with air behind it, thickness in metres.
func Plate(m Metal, thickness float64) Base { return Base{{Metal: m, Thickness: thickness}} }

// thickness is that of all layers together, metres.
func (b Base) thickness() float64 {
	sum := 0.0
	for _, l := range b {
		sum += l.Thickness
	}
	return sum
}

// Validate reports every fault of the stack, each with layer and remedy.
func (b Base) Validate() error {
	if len(b) == 0 {
		return errors.New("field: base has no layer, expected at least one metal below the probe")
	}
	var faults []error
	for i, l := range b {
		if !(l.Metal.RelPermeability >= 1) || math.IsInf(l.Metal.RelPermeability, 0) {
			faults = append(faults, fmt.Errorf("field: base: layers[%d].metal.relPermeability is %v, expected a finite number of at least 1", i, l.Metal.RelPermeability))
		}
		if !(l.Metal.Conductivity >= 0) || math.IsInf(l.Metal.Conductivity, 0) {
			faults = append(faults, fmt.Errorf("field: base: layers[%d].metal.conductivity is %v S/m, expected a finite number of at least 0", i, l.Metal.Conductivity))
		}
		switch {
		case !(l.Thickness > 0):
			faults = append(faults, fmt.Errorf("field: base: layers[%d].thickness is %v m, expected more than 0", i, l.Thickness))
		case math.IsInf(l.Thickness, 1) && i != len(b)-1:
			faults = append(faults, fmt.Errorf("field: base: layers[%d].thickness is infinite but layers follow; only the last may be a half-space", i))
		}
	}
	return errors.Join(faults...)
}

// SkinDepth returns the standard depth of penetration in metres, 1/sqrt(pi f mu sigma); +Inf without conductivity or frequency.
func (m Metal) SkinDepth(frequency float64) float64 {
	return 1 / math.Sqrt(math.Pi*frequency*Mu0*m.RelPermeability*m.Conductivity)
}

// Mu0 is the magnetic constant in H/m at its value before 2019, 4 pi 1e-7; the measured one differs by 2e-10.
const Mu0 = 4e-7 * math.Pi
