package fidelity

import (
	"fmt"
	"math"
	"strings"

	"foilwright/sim/field"
)

// solidRows computes tables of 3-D finite elements over parts of permeable metal at rest: the ratio of the inductance
// change to that over a flat thick block of the same permeability. The header base tells the part. Where the field core
// composes a part from simpler ones, the error of that is what the rows show.
func (t *Table) solidRows(head field.Head) ([]Row, error) {
	where := "d_mm"
	if _, err := t.column(where); err != nil {
		where = "radius_mm"
	}
	c, err := t.columns("liftoff_mm", where, "mur", "ratio", "mesh_error")
	if err != nil {
		return nil, err
	}
	ratio, reason := t.solidRatio(head)
	var rows []Row
	for _, line := range t.Lines {
		v := line.Values
		row := Row{
			ID: fmt.Sprintf("%s:%d", t.Name, line.Line), Quantity: "inductance change, ratio to flat", Unit: "1",
			Inputs:   fmt.Sprintf("lift-off %g mm, %s %g, mur %g, static; mesh error %g", v[c[0]], where, v[c[1]], v[c[2]], v[c[4]]),
			Expected: complex(v[c[3]], 0), X: v[c[1]], Group: fmt.Sprintf("lift-off %g mm, mur %g", v[c[0]], v[c[2]]),
		}
		switch {
		case ratio == nil:
			row.skip(reason)
		case math.IsInf(v[c[1]], 1) && !strings.Contains(t.text("base"), "sheet"):
			row.Got = 1
		default:
			got, err := ratio(v[c[0]]*1e-3, v[c[1]]*1e-3, v[c[2]])
			if err != nil {
				return nil, fmt.Errorf("%s:%d: %w", t.Name, line.Line, err)
			}
			row.Got, row.Reason = complex(got, 0), reason
		}
		rows = append(rows, row)
	}
	return rows, nil
}

// solidRatio returns the computation for the table's part, of gap, distance or radius in metres and permeability, or nil
// and why there is none. With a computation the text says how the part is composed.
func (t *Table) solidRatio(head field.Head) (func(gap, place, mu float64) (float64, error), string) {
	base, kind := t.text("base"), field.Attracting
	if strings.Contains(base, "all flux kept out") {
		kind = field.Repelling
	}
	edge := remember(func(gap, distance float64) (float64, error) {
		if math.IsInf(distance, 1) {
			return 1, nil
		}
		bent, flat, err := field.IdealAtEdge(head, kind, 1.5*math.Pi, gap, distance)
		return bent / flat, err
	})
	switch {
	case strings.HasPrefix(base, "right-angle edge"):
		return func(gap, distance, _ float64) (float64, error) { return edge(gap, distance) }, "edge of ideal metal"
	case strings.HasPrefix(base, "corner of a thick plate"), strings.HasPrefix(base, "strip of a thick plate"):
		return func(gap, distance, _ float64) (float64, error) {
			r, err := edge(gap, distance)
			return r * r, err
		}, "product of two edges of ideal metal"
	case strings.Contains(base, "edge of a flat sheet"):
		thickness, err := firstNumber(base)
		if err != nil {
			return nil, "the header base gives no thickness"
		}
		return func(gap, distance, mu float64) (float64, error) {
			thin, thick, err := flats(head, field.Metal{RelPermeability: mu}, thickness*1e-3, gap)
			if err != nil {
				return 0, err
			}
			r, err := edge(gap, distance)
			return r * thin / thick, err
		}, "product of thin sheet and edge of a thick block"
	case strings.HasPrefix(base, "sphere"):
		return func(gap, radius, mu float64) (float64, error) {
			metal := field.Metal{RelPermeability: mu}
			ball, err := field.OverSphere(head, metal, radius, gap)
			if err != nil {
				return 0, err
			}
			_, thick, err := flats(head, metal, 1, gap)
			return real(ball) / thick, err
		}, "exact series"
	case strings.Contains(base, "convex cylinder"):
		bent := remember(func(radius, gap float64) (float64, error) {
			return field.IdealOverCylinder(head, field.Attracting, radius, gap)
		})
		flat := remember(func(gap, _ float64) (float64, error) {
			_, flat, err := field.IdealAtEdge(head, field.Attracting, math.Pi, gap, 1)
			return flat, err
		})
		return func(gap, radius, _ float64) (float64, error) {
			d, err := bent(radius, gap)
			if err != nil {
				return 0, err
			}
			plane, err := flat(gap, 0)
			return d / plane, err
		}, "cylinder of ideal metal"
	case strings.Contains(base, "hole"):
		return nil, "the field core has no holes"
	case strings.Contains(base, "step"):
		return nil, "the field core has edges and walls of endless height only"
	}
	return nil, fmt.Sprintf("the field core knows no part such as %q", base)
}

// remember keeps the values of a slow function of two numbers.
func remember(slow func(a, b float64) (float64, error)) func(a, b float64) (float64, error) {
	done := map[[2]float64]float64{}
	return func(a, b float64) (float64, error) {
		v, known := done[[2]float64{a, b}]
		if known {
			return v, nil
		}
		v, err := slow(a, b)
		if err == nil {
			done[[2]float64{a, b}] = v
		}
		return v, err
	}
}

// flats returns the response at rest over a plate and over a half-space of one metal.
func flats(head field.Head, m field.Metal, thickness, gap float64) (thin, thick float64, err error) {
	s, err := field.NewSensor(head)
	if err != nil {
		return 0, 0, err
	}
	plate, err := s.Flat(field.Plate(m, thickness), gap)
	if err != nil {
		return 0, 0, err
	}
	half, err := s.Flat(field.Thick(m), gap)
	return real(plate), real(half), err
}
