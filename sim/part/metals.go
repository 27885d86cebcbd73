package part

import "foilwright/sim/field"

// Metal is a base metal with the electromagnetic properties the field core
// needs. Permeability is the low-field relative value, conductivity S/m.
type Metal struct {
	ID     string
	Name   string
	Field  field.Metal
	Source string
}

// Metals are the base metals an exercise may name. Permeabilities of steel vary
// widely with composition, heat treatment and cold work; the values here lie
// inside the handbook ranges named beside them and are training values.
var Metals = []Metal{
	{"steel-standard", "Standard steel", field.Metal{RelPermeability: 300, Conductivity: 5e6}, "training value; mu_r 100-1000 from memory"},
	{"steel-mild", "Mild steel plate", field.Metal{RelPermeability: 160, Conductivity: 5.5e6}, "mu_r 100-200 for low-carbon steels, eddy-current reference tables; conductivity from memory"},
	{"steel-hardened", "Hardened steel", field.Metal{RelPermeability: 70, Conductivity: 4e6}, "from memory"},
	{"aluminium-standard", "Standard aluminium", field.Metal{RelPermeability: 1, Conductivity: 35e6}, "Al 99.5, 35 MS/m, handbook"},
	{"aluminium-6061", "Aluminium 6061-T6", field.Metal{RelPermeability: 1, Conductivity: 24.94e6}, "43 %IACS, eddy-current reference tables"},
	{"zinc", "Zinc", field.Metal{RelPermeability: 1, Conductivity: 16.24e6}, "rolled zinc, 28 %IACS, eddy-current reference tables"},
	{"copper", "Copper", field.Metal{RelPermeability: 1, Conductivity: 58e6}, "100 %IACS, definition"},
	{"stainless-304", "Austenitic stainless steel 304", field.Metal{RelPermeability: 1, Conductivity: 1.4e6}, "2.5 %IACS, eddy-current reference tables"},
}

// MetalByID returns the metal with that id.
func MetalByID(id string) (Metal, bool) {
	for _, m := range Metals {
		if m.ID == id {
			return m, true
		}
	}
	return Metal{}, false
}
