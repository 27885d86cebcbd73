package fidelity

import (
	"fmt"
	"math"
	"strings"

	"foilwright/sim/field"
)

// impedanceRows computes tables of impedance change over one base.
func (t *Table) impedanceRows(head field.Head, kind Kind) ([]Row, error) {
	c, err := t.columns("liftoff_mm", "freq_Hz", "mur", "sigma_S_per_m", "dR_ohm", "dX_ohm")
	if err != nil {
		return nil, err
	}
	part := impedance{head: head, kind: kind, thickness: math.Inf(1), sensors: map[float64]*field.Sensor{}, overs: map[overKey]*field.Over{}}
	lengths := map[Kind][]string{
		Plate: {"base_thickness_mm"}, Sphere: {"base_radius_mm"}, Bowl: {"base_radius_mm"},
		Shell: {"base_thickness_mm", "base_radius_mm"}, Clad: {"layer1_thickness_mm"},
	}
	for _, key := range lengths[kind] {
		v, err := t.number(key)
		if err != nil {
			return nil, err
		}
		if strings.HasSuffix(key, "thickness_mm") {
			part.thickness = v * 1e-3
		} else {
			part.radius = v * 1e-3
		}
	}
	var second []int
	if kind == Clad {
		if second, err = t.columns("mur_2", "sigma_2_S_per_m"); err != nil {
			return nil, err
		}
	}
	var rows []Row
	for _, line := range t.Lines {
		v := line.Values
		gap, metal := v[c[0]]*1e-3, field.Metal{RelPermeability: v[c[2]], Conductivity: v[c[3]]}
		if !(gap >= 0 && gap <= field.FarGap) {
			return nil, fmt.Errorf("%s:%d:%d: lift-off is %v mm, expected 0 to %v", t.Name, line.Line, c[0]+1, v[c[0]], field.FarGap*1e3)
		}
		row := Row{
			ID: fmt.Sprintf("%s:%d", t.Name, line.Line), Quantity: "impedance change", Unit: "ohm",
			Inputs:   fmt.Sprintf("lift-off %g mm, mur %g, %g MS/m, %g Hz", v[c[0]], v[c[2]], v[c[3]]/1e6, v[c[1]]),
			Expected: complex(v[c[4]], v[c[5]]), X: v[c[0]], Group: fmt.Sprintf("mur %g, %g MS/m", v[c[2]], v[c[3]]/1e6),
		}
		under := field.Thick(metal)
		switch kind {
		case Plate, Shell:
			under = field.Plate(metal, part.thickness)
		case Clad:
			below := field.Metal{RelPermeability: v[second[0]], Conductivity: v[second[1]]}
			under = field.Base{{Metal: metal, Thickness: part.thickness}, {Metal: below, Thickness: math.Inf(1)}}
			row.Inputs += fmt.Sprintf(", on mur %g, %g MS/m", v[second[0]], v[second[1]]/1e6)
		}
		change, remark, err := part.change(v[c[1]], metal, under, gap)
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", t.Name, line.Line, err)
		}
		row.Got, row.Reason = change*complex(0, 2*math.Pi*v[c[1]]), remark
		rows = append(rows, row)
	}
	return rows, nil
}

// impedance computes the rows of one table; it keeps what rows share.
type impedance struct {
	head              field.Head
	kind              Kind
	thickness, radius float64
	sensors           map[float64]*field.Sensor
	overs             map[overKey]*field.Over
}

type overKey struct {
	frequency float64
	stack     string
}

// change returns the change of inductance; the text says how the part is composed, when it is.
func (p *impedance) change(frequency float64, metal field.Metal, under field.Base, gap float64) (complex128, string, error) {
	head := p.head
	head.Frequency = frequency
	switch p.kind {
	case Sphere:
		d, err := field.OverSphere(head, metal, p.radius, gap)
		return d, "", err
	case Bowl:
		d, err := field.OverSphere(head, metal, -p.radius, gap)
		return d, "as a whole spherical cavity", err
	case Shell:
		thin, err := p.flat(frequency, under, gap)
		if err != nil {
			return 0, "", err
		}
		thick, err := p.flat(frequency, field.Thick(metal), gap)
		if err != nil {
			return 0, "", err
		}
		ball, err := field.OverSphere(head, metal, p.radius, gap)
		return thin * ball / thick, "product of thin sheet and solid ball", err
	}
	d, err := p.flat(frequency, under, gap)
	return d, "", err
}

// flat returns the change of inductance over a flat stack.
func (p *impedance) flat(frequency float64, under field.Base, gap float64) (complex128, error) {
	key := overKey{frequency, fmt.Sprint(under)}
	if p.overs[key] == nil {
		if p.sensors[frequency] == nil {
			head := p.head
			head.Frequency = frequency
			s, err := field.NewSensor(head)
			if err != nil {
				return 0, err
			}
			p.sensors[frequency] = s
		}
		over, err := p.sensors[frequency].Over(under)
		if err != nil {
			return 0, err
		}
		p.overs[key] = over
	}
	return p.overs[key].DeltaL(field.Flat(gap)), nil
}

// eddyEdgeRows computes 3-D tables of an edge of a conductor, thick or a sheet, by the reading path: the ratio of
// impedance changes to the block or sheet without an end.
func (t *Table) eddyEdgeRows(head field.Head) ([]Row, error) {
	c, err := t.columns("liftoff_mm", "freq_Hz", "mur", "sigma_S_per_m", "d_mm", "ratio_abs")
	if err != nil {
		return nil, err
	}
	thickness, how := math.Inf(1), "edge by the shape tables, half a skin depth nearer"
	if base := t.text("base"); strings.Contains(base, "edge of a flat sheet") {
		if thickness, err = firstNumber(base); err != nil {
			return nil, fmt.Errorf("%s:%d: header base %q gives no thickness; write it in mm", t.Name, t.head["base"].line, base)
		}
		thickness, how = thickness*1e-3, "edge of a sheet by the shape tables"
	}
	r, missing, err := t.readerIfAny(head)
	if err != nil {
		return nil, err
	}
	var rows []Row
	for _, line := range t.Lines {
		v := line.Values
		metal := field.Metal{RelPermeability: v[c[2]], Conductivity: v[c[3]]}
		row := Row{
			ID: fmt.Sprintf("%s:%d", t.Name, line.Line), Quantity: "size of impedance change, ratio to flat", Unit: "1",
			Inputs:   fmt.Sprintf("lift-off %g mm, edge distance %g mm, %g MS/m, %g Hz", v[c[0]], v[c[4]], v[c[3]]/1e6, v[c[1]]),
			Expected: complex(v[c[5]], 0), X: v[c[4]], Group: fmt.Sprintf("%g MS/m", v[c[3]]/1e6), Reason: how,
		}
		switch {
		case missing != "":
			row.skip(missing)
		case v[c[1]] != r.sensor.Head().Frequency:
			row.skip("the shape tables are for another frequency")
		default:
			gap := v[c[0]] * 1e-3
			under := blockOrSheet(metal, thickness)
			got, err := r.ratio(under, besideEdge(gap, v[c[4]]*1e-3), under, field.Flat(gap))
			if err != nil {
				return nil, fmt.Errorf("%s:%d: %w", t.Name, line.Line, err)
			}
			row.Got = complex(got, 0)
		}
		rows = append(rows, row)
	}
	return rows, nil
}

// wedgeRows computes semi-analytic tables of the ratio to flat at an ideal wedge.
func (t *Table) wedgeRows(head field.Head) ([]Row, error) {
	c, err := t.columns("beta_over_pi", "liftoff_mm", "d_mm", "ratio")
	if err != nil {
		return nil, err
	}
	kind, err := t.ideal()
	if err != nil {
		return nil, err
	}
	var rows []Row
	for _, line := range t.Lines {
		v := line.Values
		row := Row{
			ID: fmt.Sprintf("%s:%d", t.Name, line.Line), Quantity: "inductance change, ratio to flat", Unit: "1",
			Inputs:   fmt.Sprintf("air angle %g pi, lift-off %g mm, edge distance %g mm", v[c[0]], v[c[1]], v[c[2]]),
			Expected: complex(v[c[3]], 0), X: v[c[2]], Group: fmt.Sprintf("air angle %g pi, lift-off %g mm", v[c[0]], v[c[1]]),
		}
		if !(v[c[0]] > 0 && v[c[0]] <= 2) {
			return nil, fmt.Errorf("%s:%d:%d: beta_over_pi is %v, expected above 0 and up to 2", t.Name, line.Line, c[0]+1, v[c[0]])
		}
		edge, flat, err := field.IdealAtEdge(head, kind, v[c[0]]*math.Pi, v[c[1]]*1e-3, v[c[2]]*1e-3)
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", t.Name, line.Line, err)
		}
		row.Got = complex(edge/flat, 0)
		rows = append(rows, row)
	}
	return rows, nil
}

// edgeRows computes 3-D finite-element tables of a right-angle edge of permeable metal at rest.
func (t *Table) edgeRows(head field.Head) ([]Row, error) {
	c, err := t.columns("d_mm", "mur", "ratio_fine")
	if err != nil {
		return nil, err
	}
	lift, err := t.number("liftoff_mm")
	if err != nil {
		return nil, err
	}
	var rows []Row
	for _, line := range t.Lines {
		v := line.Values
		row := Row{
			ID: fmt.Sprintf("%s:%d", t.Name, line.Line), Quantity: "inductance change, ratio to exact flat", Unit: "1",
			Inputs:   fmt.Sprintf("lift-off %g mm, edge distance %g mm, mur %g, static", lift, v[c[0]], v[c[1]]),
			Expected: complex(v[c[2]], 0), Got: 1, X: v[c[0]], Group: fmt.Sprintf("mur %g", v[c[1]]),
		}
		if !math.IsInf(v[c[0]], 1) {
			edge, flat, err := field.IdealAtEdge(head, field.Attracting, 1.5*math.Pi, lift*1e-3, v[c[0]]*1e-3)
			if err != nil {
				return nil, fmt.Errorf("%s:%d: %w", t.Name, line.Line, err)
			}
			row.Got = complex(edge/flat, 0)
		}
		rows = append(rows, row)
	}
	return rows, nil
}

// cylinderRows computes semi-analytic tables of the ratio to flat on ideal cylinders.
func (t *Table) cylinderRows(head field.Head) ([]Row, error) {
	c, err := t.columns("concave", "R_mm", "liftoff_mm", "ratio")
	if err != nil {
		return nil, err
	}
	kind, err := t.ideal()
	if err != nil {
		return nil, err
	}
	flat := map[float64]float64{}
	var rows []Row
	for _, line := range t.Lines {
		v := line.Values
		row := Row{
			ID: fmt.Sprintf("%s:%d", t.Name, line.Line), Quantity: "inductance change, ratio to flat", Unit: "1",
			Inputs:   fmt.Sprintf("radius %g mm, concave %g, lift-off %g mm", v[c[1]], v[c[0]], v[c[2]]),
			Expected: complex(v[c[3]], 0), X: v[c[2]], Group: fmt.Sprintf("radius %g mm, concave %g", v[c[1]], v[c[0]]),
		}
		if head.Core != nil {
			row.skip("the field core computes true cylinders for air-cored coils only")
			rows = append(rows, row)
			continue
		}
		radius, gap := v[c[1]]*1e-3, v[c[2]]*1e-3
		if v[c[0]] != 0 {
			radius = -radius
		}
		if _, done := flat[gap]; !done {
			if _, flat[gap], err = field.IdealAtEdge(head, kind, math.Pi, gap, 1); err != nil {
				return nil, fmt.Errorf("%s:%d: %w", t.Name, line.Line, err)
			}
		}
		bent, err := field.IdealOverCylinder(head, kind, radius, gap)
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", t.Name, line.Line, err)
		}
		row.Got = complex(bent/flat[gap], 0)
		rows = append(rows, row)
	}
	return rows, nil
}
