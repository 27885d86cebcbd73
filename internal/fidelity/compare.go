package fidelity

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"foilwright/sim/field"
)

// TableResult is the comparison of one reference table with the field core.
type TableResult struct {
	Name   string
	Kind   Kind
	Source string
	// Origin tells regression tables made with the same formulas, which show that nothing changed, from independent ones.
	Origin Source
	Rows   []Row
	// Worst and Median relative error of the rows that were computed (bars and holes: as a share of the signal over flat
	// metal; tables of what metal lacks: the difference itself); NaN when none was.
	Worst, Median float64
	Tolerance     float64
	Verdict       Verdict
	// Reason says why rows were not computed.
	Reason string
}

// Kind is what a table's rows hold and over what base.
type Kind string

const (
	HalfSpace Kind = "half-space"
	Plate     Kind = "plate"
	Sphere    Kind = "sphere"
	Clad      Kind = "clad"      // a sheet of one metal on thick other metal
	Bowl      Kind = "bowl"      // a spherical hollow
	Shell     Kind = "shell"     // a thin hollow ball, probe outside
	Bar       Kind = "bar"       // the flat end of a round bar
	HoleAxis  Kind = "hole"      // probe on the axis of a round hole
	EddyEdge  Kind = "eddy-edge" // right-angle edge of a conductor at finite skin depth
	Wedge     Kind = "wedge"
	Cylinder  Kind = "cylinder"
	Edge3D    Kind = "edge-3d"
	Solid3D   Kind = "solid-3d" // any part of permeable metal at rest, from 3-D finite elements
	Lack      Kind = "lack"     // what permeable metal lacks at a part more than over its flat face, times permeability
)

// bases tells the kind of an impedance table by the beginning of its header "base".
var bases = []struct {
	begins string
	kind   Kind
}{
	{"half-space", HalfSpace}, {"plate", Plate}, {"spherical hollow", Bowl}, {"spherical shell", Shell}, {"sphere", Sphere},
	{"metal sheet (layer 1) without gap on a thick half-space", Clad}, {barBegins, Bar}, {holeAxisBegins, HoleAxis},
}

// How the header "base" begins for parts of which several kinds of table tell.
const (
	barBegins      = "flat end face of a round bar"
	holeAxisBegins = "thick block (to the outer boundary) with a round through hole"
)

// usual tolerances, relative: from section 8 of the project's physics notes, tightened where the core does better.
// Sources of the figures: mesh error of each table (its header) plus the model error stated in sim/field/README.md.
func usualTolerance(k Kind, cored, eddy bool) float64 {
	switch {
	case k == Lack:
		return 0.1 // no relative error: a tenth of the next at permeability 100, for the shape tables cancel
	case k == Solid3D:
		return 1e-2 // the composition of influences is part of what is judged
	case k == Bar || k == HoleAxis:
		return 2e-2 // of the signal over flat metal: what tables between radii are meant to keep
	case k == Edge3D || k == EddyEdge:
		return 1e-2 // mesh 0.3 %, plus 0.7 % at permeability 100 for the ideal-metal edge factor
	case k == Wedge:
		return 1e-3
	case k == Cylinder:
		return 2e-3
	case cored:
		return 1.2e-2
	case k == Shell && eddy:
		return 2e-3 // limit of section 8 for a composition
	case k == Shell:
		return 1e-2
	case (k == Sphere || k == Bowl) && !eddy:
		return 3e-3
	}
	return 1e-3
}

// CompareFile compares the table in a file; see CompareTable. Parts that need shape tables of the probe are computed with
// those in the folder shapes beside the file's own.
func CompareFile(path string, tolerance float64) (TableResult, error) {
	f, err := os.Open(path)
	if err != nil {
		return TableResult{}, fmt.Errorf("fidelity: %w", err)
	}
	defer f.Close()
	return compareTable(filepath.Base(path), f, tolerance, filepath.Join(filepath.Dir(path), "..", "shapes"))
}

// CompareTable reads a reference table and computes every row with the field core, for whatever coil, core and metal
// the header and rows give. Tolerance is the largest relative error allowed, 0 for the usual one of the table's kind.
// Name is used in messages and row ids.
//
// Impedance rows compare the complex impedance change, edge and cylinder rows the ratio to flat, rows of holes and bars its
// size. What needs shape tables of the probe is not computed; CompareFile finds them.
func CompareTable(name string, r io.Reader, tolerance float64) (TableResult, error) {
	return compareTable(name, r, tolerance, "")
}

func compareTable(name string, r io.Reader, tolerance float64, shapes string) (TableResult, error) {
	if !(tolerance >= 0) {
		return TableResult{}, fmt.Errorf("fidelity: tolerance is %v, expected a relative error of 0 or more", tolerance)
	}
	t, err := ParseTable(name, r)
	if err != nil {
		return TableResult{}, err
	}
	t.shapes = shapes
	kind, err := t.kind()
	if err != nil {
		return TableResult{}, err
	}
	head, err := t.probeHead()
	if err != nil {
		return TableResult{}, err
	}
	result := TableResult{Name: name, Kind: kind, Source: t.text("source")}
	if result.Origin, err = t.origin(); err != nil {
		return TableResult{}, err
	}
	switch kind {
	case EddyEdge:
		result.Rows, err = t.eddyEdgeRows(head)
	case Wedge:
		result.Rows, err = t.wedgeRows(head)
	case Cylinder:
		result.Rows, err = t.cylinderRows(head)
	case Edge3D:
		result.Rows, err = t.edgeRows(head)
	case Solid3D:
		result.Rows, err = t.solidRows(head)
	case Lack:
		result.Rows, err = t.lackRows(head)
	case Bar, HoleAxis:
		result.Rows, err = t.amplitudeRows(head, kind)
	default:
		result.Rows, err = t.impedanceRows(head, kind)
	}
	if err != nil {
		return TableResult{}, err
	}
	if tolerance == 0 {
		eddy := slices.ContainsFunc(result.Rows, func(r Row) bool { return real(r.Expected)*imag(r.Expected) < 0 })
		tolerance = usualTolerance(kind, head.Core != nil, eddy)
	}
	result.finish(tolerance)
	return result, nil
}

// shortfalls are the tables whose tolerance the field core is known to miss, with the largest error stated for it in
// sim/field/README.md. A larger one fails.
var shortfalls = map[string]struct {
	most float64
	why  string
}{
	"eddy_air_edge_3d.csv":           {0.023, "known: a skin depth of half the distance to the edge is too large for the rule of the apparent face"},
	"eddy_air_sheet_edge_0.1_3d.csv": {0.041, "known: 2.2 % of the whole signal half a millimetre from the edge; ideal metal has no such sheet as thin as its skin depth"},
	"magnetic_air_bar_5.csv":         {0.09, islandWhy},
	"magnetic_air_bar_8.csv":         {0.041, islandWhy},
	"magnetic_cored_bar_8.csv":       {0.048, islandWhy},
	"eddy_air_hole_3.csv":            {0.03, holeWhy},
	"eddy_air_hole_6.csv":            {0.03, holeWhy},
	"magnetic_air_hole_3.csv":        {0.03, holeWhy},
	"magnetic_air_hole_6.csv":        {0.03, holeWhy},
	"magnetic_cored_hole_6.csv":      {0.03, holeWhy},

	"magnetic_air_lack_edge_3d.csv":         {0.13, lackWhy},
	"magnetic_cored_lack_edge_3d.csv":       {0.15, lackWhy},
	"magnetic_air_lack_hole_3d.csv":         {0.14, lackWhy},
	"magnetic_cored_lack_hole_3d.csv":       {0.16, lackWhy},
	"magnetic_air_lack_hole_axis_300Hz.csv": {1.31, "known: alternating current is taken to add over a hole what it adds to flat iron, no more"},
	"magnetic_air_lack_bar_rest.csv":        {0.6, islandWhy},
	"magnetic_air_lack_bar_300Hz.csv":       {3.3, islandWhy},
}

const (
	islandWhy = "known: no flux finds its way back through an island of metal; the product of its edges is too high"
	lackWhy   = "known: the rule of what iron lacks beside edges and holes rests on two numbers"
	holeWhy   = "known: over a hole the shape tables are read between radii"
)

// finish judges the rows and sums them up.
func (r *TableResult) finish(tolerance float64) {
	r.Tolerance, r.Verdict, r.Worst, r.Median = tolerance, Pass, math.NaN(), math.NaN()
	known := shortfalls[r.Name]
	var errs []float64
	for i := range r.Rows {
		row := &r.Rows[i]
		row.Source, row.Origin, row.Section, row.Relative, row.Tolerance = r.Source, r.Origin, r.Name, r.Kind != Bar && r.Kind != HoleAxis && r.Kind != Lack, tolerance
		if row.Verdict == NotComputed {
			r.Reason = row.Reason
			continue
		}
		row.judge()
		errs = append(errs, row.Error)
		if row.Verdict == Fail && row.Error <= known.most {
			row.Verdict = Short
			row.Reason = strings.TrimPrefix(row.Reason+"; "+known.why, "; ")
		}
		if row.Verdict == Fail || row.Verdict == Short && r.Verdict == Pass {
			r.Verdict = row.Verdict
			r.Reason = row.Reason
		}
	}
	if len(errs) == 0 {
		r.Verdict = NotComputed
		return
	}
	slices.Sort(errs)
	r.Worst, r.Median = errs[len(errs)-1], errs[len(errs)/2]
}

// kind tells tables apart by base header and columns, and refuses what it does not know.
func (t *Table) kind() (Kind, error) {
	base := t.text("base")
	has := func(c string) bool { return slices.Contains(t.Columns, c) }
	switch {
	case has("lack"):
		return Lack, nil
	case has("mesh_error"):
		return Solid3D, nil
	case has("beta_over_pi"):
		return Wedge, nil
	case has("concave"):
		return Cylinder, nil
	case has("ratio_abs"):
		return EddyEdge, nil
	case has("ratio_fine"):
		return Edge3D, nil
	}
	var known []string
	for _, b := range bases {
		if strings.HasPrefix(base, b.begins) {
			return b.kind, nil
		}
		known = append(known, b.begins)
	}
	place := t.Name
	if h, given := t.head["base"]; given {
		place = fmt.Sprintf("%s:%d", t.Name, h.line)
	}
	return "", fmt.Errorf("%s: cannot tell what base the table is for: header base is %q; known bases begin with: %s; or the columns tell it: beta_over_pi (wedge), concave (cylinder), ratio_abs (edge of a conductor), ratio_fine (3-D edge), mesh_error (3-D part), lack (what metal lacks)",
		place, base, strings.Join(known, "; "))
}

// probeHead reads coil and core from the header. The frequency comes from the rows.
func (t *Table) probeHead() (field.Head, error) {
	h := field.Head{Frequency: 1}
	var faults []error
	read := func(key string, scale float64) float64 {
		v, err := t.number(key)
		if err != nil {
			faults = append(faults, err)
		}
		return v * scale
	}
	h.Coil = field.Coil{
		InnerRadius: read("coil_inner_radius_mm", 1e-3), OuterRadius: read("coil_outer_radius_mm", 1e-3),
		Height: read("coil_height_mm", 1e-3), Recess: read("coil_recess_mm", 1e-3), Turns: read("coil_turns", 1),
	}
	if t.text("core") != "none" {
		h.Core = &field.Core{
			Radius: read("core_radius_mm", 1e-3), Length: read("core_length_mm", 1e-3), Recess: read("core_recess_mm", 1e-3),
			RelPermeability: read("core_relative_permeability", 1),
		}
		if tip := t.text("core_tip"); tip != "" && tip != "hemisphere" {
			faults = append(faults, fmt.Errorf("%s:%d: core_tip is %q; only hemisphere can be computed", t.Name, t.head["core_tip"].line, tip))
		}
	}
	if faults != nil {
		return h, errors.Join(faults...)
	}
	if err := h.Validate(); err != nil {
		return h, fmt.Errorf("%s: the header describes no sound probe: %w", t.Name, err)
	}
	return h, nil
}

// origin tells from the header "source" where the table comes from.
func (t *Table) origin() (Source, error) {
	source := strings.ToLower(t.text("source"))
	switch {
	case strings.Contains(source, "not independent"):
		return sourceByKey("prototype-ideal"), nil
	case strings.Contains(source, "axisymmetric finite elements"):
		return sourceByKey("fe-axisymmetric"), nil
	case strings.Contains(source, "3-d finite elements") && strings.Contains(source, "edge elements"):
		return sourceByKey("fe-3d-eddy"), nil
	case strings.Contains(source, "3-d finite elements"):
		return sourceByKey("fe-3d-static"), nil
	case source == "":
		return Source{}, fmt.Errorf("%s: header \"source\" is missing; add a line \"# source: where the numbers come from\" at the top", t.Name)
	}
	return Source{Key: t.text("source"), Title: t.text("source"), Basis: Unstated}, nil
}

// ideal tells from the source which ideal metal a semi-analytic table is for.
func (t *Table) ideal() (field.Ideal, error) {
	source := t.text("source")
	switch {
	case strings.Contains(source, "Dirichlet"):
		return field.Attracting, nil
	case strings.Contains(source, "Neumann"):
		return field.Repelling, nil
	}
	return 0, fmt.Errorf("%s: source %q names neither \"ideal Dirichlet\" nor \"ideal Neumann\"; say which ideal metal the table is for", t.Name, source)
}
