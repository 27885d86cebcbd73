package archtest

import "strings"

// Exemption lifts the rules about numbers from one file, or from a folder when it ends in "/", because no reading
// passes through it.
type Exemption struct{ File, Why string }

// Exemptions is a list of them.
type Exemptions []Exemption

const drawsOnly = "the field is drawn, never read"

// OffPath is the list of this repository. An entry that covers nothing, or nothing that would be found, fails the test.
var OffPath = Exemptions{
	{"sim/field/reference.go", "adaptive integrator that tests and fidelity compare the field core with"},
	{"sim/field/picture.go", drawsOnly},
	{"sim/field/picture_air.go", drawsOnly},
	{"sim/field/picture_edge.go", drawsOnly},
	{"sim/field/picture_ground.go", drawsOnly},
	{"sim/field/picture_head.go", drawsOnly},
	{"sim/field/picture_lines.go", drawsOnly},
	{"sim/field/picture_metal.go", drawsOnly},
	{"sim/field/picture_stack.go", drawsOnly},
}

func (e Exemptions) covers(file string) bool {
	for _, x := range e {
		if x.File == file || strings.HasSuffix(x.File, "/") && strings.HasPrefix(file, x.File) {
			return true
		}
	}
	return false
}

// CheckExemptions finds entries that lift no rule: all are the findings made with no exemption at all.
func (e Exemptions) CheckExemptions(all []Finding) []Finding {
	var found []Finding
	for _, x := range e {
		one := Exemptions{x}
		needed := false
		for _, f := range all {
			needed = needed || one.covers(f.File)
		}
		if !needed {
			found = append(found, Finding{x.File, 0, "is exempt but breaks no rule, or does not exist",
				"a list of exceptions that nobody needs hides the next breach"})
		}
	}
	return found
}
