package fidelity

import (
	"fmt"
	"math"
	"strings"

	"foilwright/sim/field"
)

// solidRows computes tables of 3-D finite elements over parts of permeable metal at rest: the ratio of the inductance
// change to that over a flat thick block of the same permeability. The header base tells the part. Where the reading path
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
	ratio, reason, err := t.solidRatio(head)
	if err != nil {
		return nil, err
	}
	var rows []Row
	for _, line := range t.Lines {
		v := line.Values
		row := Row{
			ID: fmt.Sprintf("%s:%d", t.Name, line.Line), Quantity: "inductance change, ratio to flat", Unit: "1",
			Inputs:   fmt.Sprintf("lift-off %g mm, %s %g, mur %g, static; mesh error %g", v[c[0]], where, v[c[1]], v[c[2]], v[c[4]]),
			Expected: complex(v[c[3]], 0), X: v[c[1]], Group: fmt.Sprintf("lift-off %g mm, mur %g", v[c[0]], v[c[2]]),
		}
		if ratio == nil {
			row.skip(reason)
		} else {
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
func (t *Table) solidRatio(head field.Head) (func(gap, place, mu float64) (float64, error), string, error) {
	base := t.text("base")
	switch {
	case strings.Contains(base, "all flux kept out"):
		return func(gap, distance, _ float64) (float64, error) {
			if math.IsInf(distance, 1) {
				return 1, nil
			}
			edge, flat, err := field.IdealAtEdge(head, field.Repelling, field.RightAngleEdge, gap, distance)
			return edge / flat, err
		}, "edge of ideal metal", nil
	case strings.HasPrefix(base, "sphere"):
		return func(gap, radius, mu float64) (float64, error) {
			metal := field.Metal{RelPermeability: mu}
			ball, err := field.OverSphere(head, metal, radius, gap)
			if err != nil {
				return 0, err
			}
			s, err := field.NewSensor(head)
			if err != nil {
				return 0, err
			}
			flat, err := s.Flat(field.Thick(metal), gap)
			return real(ball) / real(flat), err
		}, "exact series", nil
	}
	part, how, err := t.solidPart()
	if err != nil || part == nil {
		return nil, how, err
	}
	r, missing, err := t.readerIfAny(head)
	if err != nil || missing != "" {
		return nil, missing, err
	}
	thickness := math.Inf(1)
	if strings.Contains(base, "edge of a flat sheet") {
		if thickness, err = firstNumber(base); err != nil {
			return nil, "", fmt.Errorf("%s:%d: header base %q gives no thickness; write it in mm", t.Name, t.head["base"].line, base)
		}
		thickness *= 1e-3
	}
	return func(gap, place, mu float64) (float64, error) {
		here := part(gap, place)
		whole := field.Flat(gap)
		if here.EdgeDistance != field.NoEdge {
			whole.Curvature = here.Curvature // a pipe's end is compared with the endless pipe
		}
		metal := field.Metal{RelPermeability: mu}
		return r.ratio(blockOrSheet(metal, thickness), here, field.Thick(metal), whole)
	}, how, err
}

// solidPart returns the place of the probe on the table's part, of gap and distance or radius in metres, and how the
// reading path composes it; nil and a reason for a part it does not know.
func (t *Table) solidPart() (func(gap, place float64) field.Place, string, error) {
	base := t.text("base")
	beside := func(feature func(distance float64) field.Feature) func(gap, distance float64) field.Place {
		return func(gap, distance float64) field.Place {
			p := field.Flat(gap)
			p.Beside[0] = feature(distance)
			return p
		}
	}
	// size is the length in millimetres after a word of the header.
	size := func(word string) (float64, error) {
		_, after, _ := strings.Cut(base, word)
		v, err := firstNumber(after)
		if err != nil {
			return 0, fmt.Errorf("%s:%d: header base %q gives no length after %q; write it in mm", t.Name, t.head["base"].line, base, word)
		}
		return v * 1e-3, nil
	}
	switch {
	case strings.HasPrefix(base, "right-angle edge"):
		return besideEdge, "edge by the shape tables", nil
	case strings.Contains(base, "edge of a flat sheet"):
		return besideEdge, "edge of a sheet by the shape tables", nil
	case strings.HasPrefix(base, "corner of a thick plate"), strings.HasPrefix(base, "strip of a thick plate"):
		return func(gap, distance float64) field.Place {
			p := besideEdge(gap, distance)
			p.Beside[0] = field.Edge(distance, 0)
			return p
		}, "product of two edges", nil
	case strings.Contains(base, "convex cylinder"):
		return func(gap, radius float64) field.Place {
			p := field.Flat(gap)
			p.Curvature[0] = 1 / radius
			return p
		}, "pipe by the shape tables", nil
	case strings.HasPrefix(base, "end of a long solid cylinder"):
		radius, err := t.number("base_radius_mm")
		return func(gap, distance float64) field.Place {
			p := besideEdge(gap, distance)
			p.Curvature[0] = 1 / (radius * 1e-3)
			return p
		}, "product of pipe and edge", err
	case strings.Contains(base, "through hole"):
		radius, err := size("radius")
		return beside(func(d float64) field.Feature { return field.Hole(d, radius) }), "hole by the shape tables", err
	case strings.HasPrefix(base, "step"):
		height, err := size("step")
		step, how := field.StepDown, "step down by the shape tables"
		if strings.Contains(base, "lower level") {
			step, how = field.StepUp, "step up: first order in its height"
		}
		return beside(func(d float64) field.Feature { return step(d, height) }), how, err
	}
	return nil, fmt.Sprintf("the field core knows no part such as %q", base), nil
}
