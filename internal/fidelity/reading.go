package fidelity

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"

	"foilwright/sim/field"
)

// reader gives amplitudes as readings are made of them: the table's probe with its shape tables.
type reader struct {
	sensor *field.Sensor
	overs  map[string]*field.Over
}

// errNoShapes says that a part needs shape tables and the probe has none.
var errNoShapes = errors.New("edges, holes and bent metal need shape tables of the table's probe, in a folder named shapes beside the table's folder (internal/shapetables makes them)")

// drives are the frequency in hertz and the tip radius in metres of the probes that have shape tables. Headers give
// neither; here the tip counts in the digest only, since no table has a tilted probe.
var drives = []struct{ frequency, tip float64 }{{300, 1.5e-3}, {1e6, 1e-3}}

// readerIfAny is reader; missing says so where there are no shape tables, and is no fault of the table.
func (t *Table) readerIfAny(head field.Head) (r *reader, missing string, err error) {
	r, err = t.reader(head)
	if errors.Is(err, errNoShapes) {
		return nil, err.Error(), nil
	}
	return r, "", err
}

// reader finds the shape tables made for the head; errNoShapes without them.
func (t *Table) reader(head field.Head) (*reader, error) {
	if t.shapes == "" {
		return nil, errNoShapes
	}
	files, err := filepath.Glob(filepath.Join(t.shapes, "*.txt"))
	if err != nil {
		return nil, err
	}
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			return nil, err
		}
		shapes, err := field.ParseShapes(text)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", f, err)
		}
		for _, d := range drives {
			h := wholeNanometres(head)
			h.Frequency, h.TipRadius = d.frequency, d.tip
			if h.Digest() != shapes.Head() {
				continue
			}
			plain, err := field.NewSensor(h)
			if err != nil {
				return nil, err
			}
			s, err := plain.WithShapes(shapes)
			return &reader{s, map[string]*field.Over{}}, err
		}
	}
	return nil, errNoShapes
}

// wholeNanometres frees a head of the rounding of millimetres to metres, which would change its digest.
func wholeNanometres(h field.Head) field.Head {
	whole := func(lengths ...*float64) {
		for _, v := range lengths {
			*v = math.Round(*v*1e9) / 1e9
		}
	}
	whole(&h.Coil.InnerRadius, &h.Coil.OuterRadius, &h.Coil.Height, &h.Coil.Recess)
	if h.Core != nil {
		core := *h.Core
		whole(&core.Radius, &core.Length, &core.Recess)
		h.Core = &core
	}
	return h
}

// amplitude returns |DeltaL| in henry.
func (r *reader) amplitude(base field.Base, p field.Place) (float64, error) {
	key := fmt.Sprint(base)
	if r.overs[key] == nil {
		o, err := r.sensor.Over(base)
		if err != nil {
			return 0, err
		}
		r.overs[key] = o
	}
	return r.overs[key].Amplitude(p) * r.sensor.AirInductance(), nil
}

// ratio returns the amplitude at a place on one base to that at a place on another.
func (r *reader) ratio(base field.Base, here field.Place, wholeBase field.Base, whole field.Place) (float64, error) {
	got, err := r.amplitude(base, here)
	if err != nil {
		return 0, err
	}
	full, err := r.amplitude(wholeBase, whole)
	return got / full, err
}

// blockOrSheet is thick metal, or a sheet of finite thickness in metres.
func blockOrSheet(metal field.Metal, thickness float64) field.Base {
	if math.IsInf(thickness, 1) {
		return field.Thick(metal)
	}
	return field.Plate(metal, thickness)
}

// besideEdge returns a place at a distance from the base's square edge.
func besideEdge(gap, distance float64) field.Place {
	p := field.Flat(gap)
	p.EdgeDistance = distance
	return p
}

// amplitudeRows computes impedance tables over the axis of a hole and over a bar's end. What is left of the signal over
// a hole may be next to nothing, so both sizes are taken as shares of the signal over flat metal.
func (t *Table) amplitudeRows(head field.Head, kind Kind) ([]Row, error) {
	c, err := t.columns("liftoff_mm", "freq_Hz", "mur", "sigma_S_per_m", "dR_ohm", "dX_ohm")
	if err != nil {
		return nil, err
	}
	key := "base_radius_mm"
	if kind == HoleAxis {
		key = "hole_radius_mm"
	}
	place, how := onAxis(kind)
	radius, err := t.number(key)
	if err != nil {
		return nil, err
	}
	radius *= 1e-3
	r, missing, err := t.readerIfAny(head)
	if err != nil {
		return nil, err
	}
	var rows []Row
	for _, line := range t.Lines {
		v := line.Values
		row := Row{
			ID: fmt.Sprintf("%s:%d", t.Name, line.Line), Quantity: "size of impedance change, share of flat", Unit: "of flat",
			Inputs: fmt.Sprintf("lift-off %g mm, mur %g, %g MS/m, %g Hz", v[c[0]], v[c[2]], v[c[3]]/1e6, v[c[1]]),
			X:      v[c[0]], Group: fmt.Sprintf("mur %g, %g MS/m", v[c[2]], v[c[3]]/1e6), Reason: how,
		}
		want := math.Hypot(v[c[4]], v[c[5]]) / (2 * math.Pi * v[c[1]])
		switch {
		case missing != "":
			row.skip(missing)
		case v[c[1]] != r.sensor.Head().Frequency:
			row.skip("the shape tables are for another frequency")
		default:
			p := place(v[c[0]]*1e-3, radius)
			thick := field.Thick(field.Metal{RelPermeability: v[c[2]], Conductivity: v[c[3]]})
			got, err := r.amplitude(thick, p)
			if err != nil {
				return nil, fmt.Errorf("%s:%d: %w", t.Name, line.Line, err)
			}
			flat, err := r.amplitude(thick, field.Flat(p.Gap))
			if err != nil {
				return nil, fmt.Errorf("%s:%d: %w", t.Name, line.Line, err)
			}
			row.Expected, row.Got = complex(want/flat, 0), complex(got/flat, 0)
		}
		rows = append(rows, row)
	}
	return rows, nil
}

// onAxis returns the place of the probe over the middle of a hole or of a bar's end, of gap and radius in metres, and how the
// reading path composes it.
func onAxis(kind Kind) (func(gap, radius float64) field.Place, string) {
	if kind == HoleAxis {
		return func(gap, radius float64) field.Place {
			p := field.Flat(gap)
			p.Beside[0] = field.Hole(-radius, radius)
			return p
		}, "hole by the shape tables"
	}
	return func(gap, radius float64) field.Place {
		p := besideEdge(gap, radius)
		for i := range p.Beside {
			p.Beside[i] = field.Edge(radius, 0)
		}
		return p
	}, "end as the square about it: four edges"
}
