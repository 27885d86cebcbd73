package probe

import "foilwright/sim/field"

// Principle is how a probe senses its distance to the base metal.
type Principle string

const (
	// MagneticInduction serves non-magnetic coatings on ferromagnetic metal.
	MagneticInduction Principle = "magnetic-induction"
	// EddyCurrent serves non-conducting coatings on non-ferrous metal.
	EddyCurrent Principle = "eddy-current"
)

// Design is one kind of probe of the bench. All designs are our own; see field/README.md for how their figures were found.
type Design struct {
	// ID is stable: scenarios and logs refer to it.
	ID string
	// Name for people.
	Name      string
	Principle Principle
	Head      field.Head
	// RangeUm is the upper end of the measuring range in micrometres of coating; the lower end is 0.
	RangeUm float64
	// PartnerID names the design that is the other principle of the same dual probe; empty for a single-principle probe.
	PartnerID string
	// Standard is the thick flat metal on which the built-in curve was taken.
	Standard field.Base
}

const (
	mm = 1e-3
	um = 1e-6
	// megasiemens per metre
	mS = 1e6
)

var (
	standardSteel     = field.Thick(field.Metal{RelPermeability: 300, Conductivity: 5 * mS})
	standardAluminium = field.Thick(field.Metal{RelPermeability: 1, Conductivity: 35 * mS})
)

var designs = []Design{
	{
		ID: "ferrous-general", Name: "Ferrous, general", Principle: MagneticInduction, RangeUm: 2000, Standard: standardSteel,
		Head: field.Head{
			Coil:      field.Coil{InnerRadius: 1.5 * mm, OuterRadius: 3.5 * mm, Height: 5 * mm, Recess: 1.2 * mm, Turns: 500},
			Core:      &field.Core{Radius: 1.25 * mm, Length: 10 * mm, Recess: 50 * um, RelPermeability: 1000},
			Frequency: 300, TipRadius: 1.5 * mm,
		},
	},
	{
		ID: "ferrous-fine", Name: "Ferrous, fine", Principle: MagneticInduction, RangeUm: 500, Standard: standardSteel,
		Head: field.Head{
			Coil:      field.Coil{InnerRadius: 0.65 * mm, OuterRadius: 1.5 * mm, Height: 2.5 * mm, Recess: 0.5 * mm, Turns: 400},
			Core:      &field.Core{Radius: 0.5 * mm, Length: 5 * mm, Recess: 30 * um, RelPermeability: 1000},
			Frequency: 300, TipRadius: 0.75 * mm,
		},
	},
	{
		ID: "nonferrous-general", Name: "Non-ferrous, general", Principle: EddyCurrent, RangeUm: 1000, Standard: standardAluminium,
		Head: field.Head{
			Coil:      field.Coil{InnerRadius: 0.8 * mm, OuterRadius: 1.6 * mm, Height: 1 * mm, Recess: 0.3 * mm, Turns: 40},
			Core:      &field.Core{Radius: 0.6 * mm, Length: 2.5 * mm, Recess: 50 * um, RelPermeability: 1000},
			Frequency: 2e6, TipRadius: 1.2 * mm,
		},
	},
	{
		ID: "ferrous-wide", Name: "Ferrous, wide", Principle: MagneticInduction, RangeUm: 5000, Standard: standardSteel,
		Head: field.Head{
			Coil:      field.Coil{InnerRadius: 3.75 * mm, OuterRadius: 8.75 * mm, Height: 12.5 * mm, Recess: 3 * mm, Turns: 500},
			Core:      &field.Core{Radius: 3.125 * mm, Length: 25 * mm, Recess: 125 * um, RelPermeability: 1000},
			Frequency: 120, TipRadius: 3.75 * mm,
		},
	},
	{
		ID: "nonferrous-fine", Name: "Non-ferrous, fine", Principle: EddyCurrent, RangeUm: 400, Standard: standardAluminium,
		Head: field.Head{
			Coil:      field.Coil{InnerRadius: 0.4 * mm, OuterRadius: 0.8 * mm, Height: 0.6 * mm, Recess: 0.15 * mm, Turns: 30},
			Core:      &field.Core{Radius: 0.3 * mm, Length: 1.5 * mm, Recess: 30 * um, RelPermeability: 1000},
			Frequency: 6e6, TipRadius: 0.6 * mm,
		},
	},
	{
		ID: "dual-ferrous", Name: "Dual, picks its principle", Principle: MagneticInduction, RangeUm: 1500, Standard: standardSteel, PartnerID: "dual-nonferrous",
		Head: dualHead(300),
	},
	{
		ID: "dual-nonferrous", Name: "Dual, set to eddy current", Principle: EddyCurrent, RangeUm: 1200, Standard: standardAluminium, PartnerID: "dual-ferrous",
		Head: dualHead(1e6),
	},
}

// dualHead is one winding on one core, driven at either of two frequencies.
func dualHead(frequency float64) field.Head {
	return field.Head{
		Coil:      field.Coil{InnerRadius: 1.0 * mm, OuterRadius: 2.2 * mm, Height: 2.5 * mm, Recess: 0.5 * mm, Turns: 120},
		Core:      &field.Core{Radius: 0.8 * mm, Length: 5 * mm, Recess: 50 * um, RelPermeability: 1000},
		Frequency: frequency, TipRadius: 1.4 * mm,
	}
}

// Other is the design of the other principle where a probe picks its principle
// by itself: the ferrous side of a dual probe stands for the probe that does
// so, its non-ferrous side for the same probe set to eddy current.
func (d Design) Other() (Design, bool) {
	if d.PartnerID == "" || d.Principle != MagneticInduction {
		return Design{}, false
	}
	return ByID(d.PartnerID)
}

// Words is how people write a principle.
func (p Principle) Words() string {
	if p == MagneticInduction {
		return "magnetic induction"
	}
	return "eddy current"
}

// Designs returns the built-in designs in the order they are offered.
func Designs() []Design { return append([]Design(nil), designs...) }

// ByID returns the design with the given id, and whether there is one.
func ByID(id string) (Design, bool) {
	for _, d := range designs {
		if d.ID == id {
			return d, true
		}
	}
	return Design{}, false
}
