package fidelity

// Basis is the kind of thing a comparison rests on.
type Basis string

const (
	// Analytic is a closed formula or integral published in the literature, evaluated by other code than the core's.
	Analytic Basis = "published analytic"
	Handbook Basis = "handbook"
	Standard Basis = "standard"
	// Published data are certified data sets, benchmark problems and printed worked examples.
	PublishedData Basis = "published data"
	// FiniteElements are tables made for this project by a method that shares no formula with the core.
	FiniteElements Basis = "independent finite elements"
	// Physics are limits and invariances that hold whatever the formulas are.
	Physics Basis = "elementary physics"
	// Separate is a calculation of this project by other code, from the same published formula.
	Separate Basis = "separate calculation"
	// Prototype are figures of this project's own prototypes, made with the same formulas: they show that nothing changed.
	Prototype Basis = "prototype, regression"
	// Unstated is a reader's own table whose header names a source this package does not know.
	Unstated Basis = "source not known here"
)

// Bases returns every kind of source, those from outside the project first.
func Bases() []Basis {
	return []Basis{Analytic, Handbook, Standard, PublishedData, FiniteElements, Physics, Separate, Prototype, Unstated}
}

// Independent reports whether agreement shows more than that nothing has changed.
func (b Basis) Independent() bool {
	switch b {
	case Analytic, Handbook, Standard, PublishedData, FiniteElements:
		return true
	}
	return false
}

// Source is where expected values come from.
type Source struct {
	Key, Title string
	Basis      Basis
}

// The sources, in the order they are listed.
var sources = []Source{
	{"maxwell", "J. C. Maxwell, Treatise on Electricity and Magnetism, art. 701: mutual inductance of coaxial circles, with image coils", Analytic},
	{"neumann", "F. Neumann's double integral over filaments of three image coils", Analytic},
	{"skin-depth", "standard depth of penetration, 1/sqrt(pi f mu sigma); textbook formula", Analytic},
	{"grover", "F. W. Grover, Inductance Calculations, 1946: the Brooks coil (constant from memory)", Handbook},
	{"skin-table", "public table of skin depths", Handbook},
	{"et-tables", "eddy-current testing reference tables: conductivity in %IACS, permeability of steels", Handbook},
	{"stainless", "trade association of stainless steel makers, permeability of austenitic steel", Handbook},
	{"tn1297", "B. N. Taylor and C. E. Kuyatt, NIST Technical Note 1297, 1994, table B.1", Handbook},
	{"libretexts", "LibreTexts Analytical Chemistry, appendices 6 and 7 (two misprints put right by formula)", Handbook},
	{"worked-example", "printed worked examples: Dixon's Q, Cohen's kappa, Angoff's cut score, a foil budget", Handbook},
	{"wald", "A. Wald's sequential bounds as cumulative sum (from memory)", Analytic},
	{"iso2360", "ISO 2360, eddy-current method (2003 and 2017 editions; partly from memory)", Standard},
	{"iso2178", "ISO 2178:1982, magnetic method (from memory)", Standard},
	{"astm-e376", "ASTM E376, note 2", Standard},
	{"pa2", "SSPC-PA 2, 2012, with trade-press examples (table cells partly from memory)", Standard},
	{"iso19840", "ISO 19840, by secondary texts (partly from memory)", Standard},
	{"iso12944", "ISO 12944-5, editions 2007 and 2018 (partly from memory)", Standard},
	{"imo", "IMO resolution MSC.215(82), annexes", Standard},
	{"mil-hdbk-1110", "MIL-HDBK-1110, 10.3.11 c", Standard},
	{"iso8503", "ISO 8503-1 and -2, comparators (common practice)", Standard},
	{"d7091", "practice after a failed verification, ASTM D7091 and SSPC-PA 2 (from memory)", Standard},
	{"iso9712", "ISO 9712, table D.1, as explained by BINDT", Standard},
	{"jcgm106", "JCGM 106:2012, conformity assessment (normal model)", Standard},
	{"gum", "JCGM 100:2008 (GUM), example H.1, by GTC's documentation", Standard},
	{"learning-records", "xAPI 1.0.3 and cmi5", Standard},
	{"site-rules", "rules of site and operator: 14 CFR 60.19, static field limits, FHWA-RD-98-084", Standard},
	{"strd", "NIST Statistical Reference Datasets, univariate summary statistics, certified values", PublishedData},
	{"shrout-fleiss", "P. E. Shrout and J. L. Fleiss, Psychological Bulletin 86 (1979) 420: six subjects, four judges", PublishedData},
	{"team15", "compumag TEAM problem 15: measurement and published finite elements", PublishedData},
	{"team7", "compumag TEAM problem 7: measured field", PublishedData},
	{"fe-axisymmetric", "axisymmetric finite elements (FreeFEM, gmsh), made for this project", FiniteElements},
	{"fe-3d-static", "3-D finite elements at rest (scalar potential, tetrahedra), made for this project", FiniteElements},
	{"fe-3d-eddy", "3-D finite elements at finite skin depth (edge elements, hexahedra), made for this project", FiniteElements},
	{"physics", "what follows from elementary physics", Physics},
	{"integrator", "adaptive Gauss-Kronrod integration of the integral of C. V. Dodd and W. E. Deeds, J. Appl. Phys. 39 (1968) 2829, written apart", Separate},
	{"series", "multipole series of a permeable conducting sphere (W. R. Smythe, Static and Dynamic Electricity, ch. 10), the core's own slow judge of its fast path", Separate},
	{"quadrature", "quadrature of the Dodd-Deeds integral in another language, made for this project", Separate},
	{"prototype-ideal", "tables of the same formulas over ideal metal, made by a prototype", Prototype},
	{"prototype", "figures of this project's prototypes, noted with the physics", Prototype},
}

// sourceByKey finds a source; an unknown key is a fault of this package.
func sourceByKey(key string) Source {
	for _, s := range sources {
		if s.Key == key {
			return s
		}
	}
	panic("fidelity: no source " + key)
}

// checkSources tells the source of a published value by the beginning of its id; the first match is taken.
var checkSources = []struct{ prefix, key string }{
	{"SKIN-CU60", "skin-table"}, {"SKIN-AL1K", "skin-table"}, {"SKIN-", "skin-depth"}, {"DMIN-", "iso2360"},
	{"BASE-", "quadrature"}, {"COND-", "quadrature"}, {"LIFT-", "quadrature"}, {"MAG-IMG", "maxwell"}, {"MAG-", "quadrature"},
	{"C900-", "quadrature"}, {"T15-", "team15"}, {"T7-", "team7"}, {"IACS-", "et-tables"}, {"MU-SS", "stainless"}, {"MU-", "et-tables"},
	{"NIST-", "strd"}, {"T95", "tn1297"}, {"T99", "tn1297"}, {"H1-", "gum"}, {"GRUBBS-", "libretexts"}, {"DIXON-EX", "worked-example"},
	{"DIXON-", "libretexts"}, {"GB-", "jcgm106"}, {"FOIL-U", "worked-example"}, {"TOL-A", "iso2178"}, {"TOL-B", "astm-e376"},
	{"TOL-C", "iso2360"}, {"PA2-", "pa2"}, {"19840-", "iso19840"}, {"12944-", "iso12944"}, {"IMO-", "imo"}, {"EDGE-US", "mil-hdbk-1110"},
	{"EDGE-IMO", "imo"}, {"VER-ROLL", "d7091"}, {"REP-2360", "iso2360"}, {"8503-", "iso8503"}, {"9712-", "iso9712"},
	{"KAPPA", "worked-example"}, {"ICC", "shrout-fleiss"}, {"CUSUM-", "wald"}, {"ANGOFF", "worked-example"},
	{"XAPI-", "learning-records"}, {"CMI5-", "learning-records"}, {"QTG-PRE", "site-rules"}, {"SAFE-PM", "site-rules"}, {"DEW", "site-rules"},
}
