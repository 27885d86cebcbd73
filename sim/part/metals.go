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
	{"steel-as-rolled", "Hull steel, as rolled", field.Metal{RelPermeability: 120, Conductivity: 5.2e6}, "from memory: rolling strain keeps mu_r of hull plate near 100"},
	{"cast-iron", "Grey cast iron", field.Metal{RelPermeability: 100, Conductivity: 1.3e6}, "from memory: low-field mu_r of about 100, resistivity 0.6 to 1 µΩ·m"},
	{"aluminium-5083", "Aluminium 5083, marine plate", field.Metal{RelPermeability: 1, Conductivity: 16.8e6}, "29 %IACS, from memory of the alloy's data sheet"},
	{"aluminium-6063", "Aluminium 6063-T5, extruded", field.Metal{RelPermeability: 1, Conductivity: 31.9e6}, "55 %IACS, from memory of the alloy's data sheet"},
	{"brass", "Brass 70/30", field.Metal{RelPermeability: 1, Conductivity: 16.2e6}, "28 %IACS, from memory of the alloy's data sheet"},
	{"bronze-propeller", "Nickel aluminium bronze, cast", field.Metal{RelPermeability: 1, Conductivity: 4.1e6}, "7 %IACS, from memory of the alloy's data sheet"},
	{"titanium", "Titanium, grade 2", field.Metal{RelPermeability: 1, Conductivity: 1.8e6}, "3.1 %IACS, from memory of the alloy's data sheet"},
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
