package fidelity

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"foilwright/sim/field"
)

// idealMu is the permeability that stands for infinite in tables of what metal lacks.
const idealMu = 1e5

// lackRows computes tables of what permeable metal lacks, at a place, more of ideal metal's signal than over its flat face:
// mur (flat / flat ideal - here / here ideal). The shape tables of ideal metal cancel in it, so that the rows judge what the
// reading path makes of finite permeability alone. Over the middle of a hole, where next to nothing may be left of the signal,
// it is given as a share of the signal over flat metal instead of what is left.
func (t *Table) lackRows(head field.Head) ([]Row, error) {
	where := "d_mm"
	if _, err := t.column(where); err != nil {
		where = "radius_mm"
	}
	c, err := t.columns("liftoff_mm", where, "mur", "sigma_S_per_m", "lack", "mesh_error")
	if err != nil {
		return nil, err
	}
	part, how, err := t.lackPart()
	if err != nil {
		return nil, err
	}
	quantity, left := "signal lacking more than over flat metal, times permeability", func([]float64) float64 { return 1 }
	if strings.HasPrefix(t.text("base"), holeAxisBegins) {
		quantity += ", share of flat"
		of, err := t.columns("dL_ideal_H", "dL_flat_ideal_H")
		if err != nil {
			return nil, err
		}
		left = func(v []float64) float64 { return v[of[0]] / v[of[1]] }
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
			ID: fmt.Sprintf("%s:%d", t.Name, line.Line), Quantity: quantity, Unit: "-",
			Inputs:   fmt.Sprintf("lift-off %g mm, %s %g, mur %g, %g MS/m; %s", v[c[0]], where, v[c[1]], v[c[2]], v[c[3]]/1e6, meshError(v[c[5]])),
			Expected: complex(v[c[4]]*left(v), 0), X: v[c[1]], Group: fmt.Sprintf("mur %g, %g MS/m", v[c[2]], v[c[3]]/1e6), Reason: how,
		}
		switch {
		case missing != "":
			row.skip(missing)
		case part == nil:
			row.skip(how)
		default:
			got, err := r.lack(metal, part(v[c[0]]*1e-3, v[c[1]]*1e-3))
			if err != nil {
				return nil, fmt.Errorf("%s:%d: %w", t.Name, line.Line, err)
			}
			row.Got = complex(got*left(v), 0)
		}
		rows = append(rows, row)
	}
	return rows, nil
}

// meshError writes a table's own error for people.
func meshError(v float64) string {
	if math.IsNaN(v) {
		return "one mesh"
	}
	return fmt.Sprintf("mesh error %.2g", v)
}

// lackPart returns the place of the probe on the table's part; see solidPart.
func (t *Table) lackPart() (func(gap, place float64) field.Place, string, error) {
	base := t.text("base")
	switch {
	case strings.HasPrefix(base, barBegins):
		place, how := onAxis(Bar)
		return place, how, nil
	case strings.HasPrefix(base, holeAxisBegins):
		place, how := onAxis(HoleAxis)
		return place, how, nil
	}
	return t.solidPart()
}

// lack is what metal lacks at a place more than over its flat face, times its permeability.
func (r *reader) lack(metal field.Metal, here field.Place) (float64, error) {
	ideal := field.Thick(field.Metal{RelPermeability: idealMu})
	flat, err := r.ratio(field.Thick(metal), field.Flat(here.Gap), ideal, field.Flat(here.Gap))
	if err != nil {
		return 0, err
	}
	left, err := r.ratio(field.Thick(metal), here, ideal, here)
	if err == nil && math.IsNaN(left) {
		err = errors.New("no signal is left of ideal metal's; leave the row out")
	}
	return metal.RelPermeability * (flat - left), err
}
