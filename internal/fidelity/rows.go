package fidelity

import (
	"fmt"
	"math"

	"foilwright/sim/field"
)

// impedanceRows computes tables of impedance change over half-space, plate or sphere.
func (t *Table) impedanceRows(head field.Head, kind Kind) ([]Row, error) {
	c, err := t.columns("liftoff_mm", "freq_Hz", "mur", "sigma_S_per_m", "dR_ohm", "dX_ohm")
	if err != nil {
		return nil, err
	}
	thickness, radius := math.Inf(1), 0.0
	if kind == Plate {
		if thickness, err = t.number("base_thickness_mm"); err != nil {
			return nil, err
		}
		thickness *= 1e-3
	}
	if kind == Sphere {
		if radius, err = t.number("base_radius_mm"); err != nil {
			return nil, err
		}
		radius *= 1e-3
	}
	sensors := map[float64]*field.Sensor{}
	overs := map[[3]float64]*field.Over{}
	var rows []Row
	for _, line := range t.Lines {
		v := line.Values
		gap, metal := v[c[0]]*1e-3, field.Metal{RelPermeability: v[c[2]], Conductivity: v[c[3]]}
		head.Frequency = v[c[1]]
		if !(gap >= 0 && gap <= field.FarGap) {
			return nil, fmt.Errorf("%s:%d:%d: lift-off is %v mm, expected 0 to %v", t.Name, line.Line, c[0]+1, v[c[0]], field.FarGap*1e3)
		}
		row := Row{
			ID: fmt.Sprintf("%s:%d", t.Name, line.Line), Quantity: "impedance change", Unit: "ohm",
			Inputs:   fmt.Sprintf("lift-off %g mm, mur %g, %g MS/m, %g Hz", v[c[0]], v[c[2]], v[c[3]]/1e6, v[c[1]]),
			Expected: complex(v[c[4]], v[c[5]]), X: v[c[0]], Group: fmt.Sprintf("mur %g, %g MS/m", v[c[2]], v[c[3]]/1e6),
		}
		if kind == Unknown {
			row.skip("the field core knows no base such as \"" + t.text("base") + "\"")
			rows = append(rows, row)
			continue
		}
		var change complex128
		if kind == Sphere {
			change, err = field.OverSphere(head, metal, radius, gap)
		} else {
			key := [3]float64{head.Frequency, metal.RelPermeability, metal.Conductivity}
			if overs[key] == nil {
				if sensors[head.Frequency] == nil {
					if sensors[head.Frequency], err = field.NewSensor(head); err != nil {
						return nil, fmt.Errorf("%s:%d: %w", t.Name, line.Line, err)
					}
				}
				if overs[key], err = sensors[head.Frequency].Over(field.Plate(metal, thickness)); err != nil {
					return nil, fmt.Errorf("%s:%d: %w", t.Name, line.Line, err)
				}
			}
			change = overs[key].DeltaL(field.Flat(gap))
		}
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", t.Name, line.Line, err)
		}
		row.Got = change * complex(0, 2*math.Pi*head.Frequency)
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
