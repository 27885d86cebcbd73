package field

import (
	"errors"
	"fmt"
	"math"
)

// Coil is a winding of rectangular section, evenly filled. All lengths in metres.
type Coil struct {
	InnerRadius, OuterRadius float64
	Height                   float64
	// Recess is the height of the winding's lower face above the tip's contact point.
	Recess float64
	// Turns need not be whole.
	Turns float64
}

// Core is a round ferrite rod on the axis with a hemispherical lower end. All lengths in metres.
type Core struct {
	Radius, Length float64
	// Recess is the height of the hemisphere's lowest point above the tip's contact point (the wear cap).
	Recess float64
	// RelPermeability of the core; 0 stands for an ideal core.
	RelPermeability float64
}

// Head is the sensing part of a probe.
type Head struct {
	Coil Coil
	// Core is nil for an air-cored coil.
	Core *Core
	// Frequency of the exciting current in hertz, above zero.
	Frequency float64
	// TipRadius is the radius in metres of the spherical contact face on which the head rolls when tilted.
	TipRadius float64
}

// Validate reports every fault of the head, each with field and remedy.
func (h Head) Validate() error {
	var faults []error
	positive := func(name string, value float64) {
		if !(value > 0) || math.IsInf(value, 0) {
			faults = append(faults, fmt.Errorf("field: head: %s is %v, expected a finite number above 0", name, value))
		}
	}
	positive("coil.innerRadius", h.Coil.InnerRadius)
	positive("coil.outerRadius", h.Coil.OuterRadius)
	positive("coil.height", h.Coil.Height)
	positive("coil.turns", h.Coil.Turns)
	positive("frequency", h.Frequency)
	if !(h.Coil.Recess >= 0) || math.IsInf(h.Coil.Recess, 0) {
		faults = append(faults, fmt.Errorf("field: head: coil.recess is %v, expected 0 or more metres", h.Coil.Recess))
	}
	if h.Coil.OuterRadius <= h.Coil.InnerRadius {
		faults = append(faults, fmt.Errorf("field: head: coil.outerRadius %v m is not above coil.innerRadius %v m; give the winding a thickness",
			h.Coil.OuterRadius, h.Coil.InnerRadius))
	}
	if !(h.TipRadius >= 0) || math.IsInf(h.TipRadius, 0) {
		faults = append(faults, fmt.Errorf("field: head: tipRadius is %v, expected 0 or more metres", h.TipRadius))
	}
	if c := h.Core; c != nil {
		positive("core.radius", c.Radius)
		positive("core.length", c.Length)
		positive("core.recess", c.Recess)
		if c.Radius >= h.Coil.InnerRadius {
			faults = append(faults, fmt.Errorf("field: head: core.radius %v m does not fit inside coil.innerRadius %v m", c.Radius, h.Coil.InnerRadius))
		}
		if c.Length < leastLength*c.Radius {
			faults = append(faults, fmt.Errorf("field: head: core.length %v m is below %d core radii; the charge model needs a rod", c.Length, leastLength))
		}
		if c.RelPermeability != 0 && !(c.RelPermeability >= 100) || math.IsInf(c.RelPermeability, 0) {
			faults = append(faults, fmt.Errorf("field: head: core.relPermeability is %v, expected at least 100, or 0 for an ideal core", c.RelPermeability))
		}
	}
	return errors.Join(faults...)
}

// Digest names the head by its numbers: 16 hexadecimal digits that change when any of them does. Shape tables carry it,
// so that a table is never used with a head it was not made for. FNV-1a over the bits of each number.
func (h Head) Digest() string {
	const prime, offset = 1099511628211, 14695981039346656037
	sum := uint64(offset)
	add := func(values ...float64) {
		for _, v := range values {
			for bits, i := math.Float64bits(v), 0; i < 8; i++ {
				sum = (sum ^ bits&0xff) * prime
				bits >>= 8
			}
		}
	}
	c := h.Coil
	add(c.InnerRadius, c.OuterRadius, c.Height, c.Recess, c.Turns, h.Frequency, h.TipRadius)
	if h.Core != nil {
		add(h.Core.Radius, h.Core.Length, h.Core.Recess, h.Core.RelPermeability)
	}
	return fmt.Sprintf("%016x", sum)
}
