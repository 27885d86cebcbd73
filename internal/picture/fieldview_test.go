package picture

import (
	"fmt"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"foilwright/internal/paint"
	"foilwright/sim/field"
	"foilwright/sim/probe"
)

var steel, aluminium = field.Thick(field.Metal{RelPermeability: 300, Conductivity: 5e6}), field.Thick(field.Metal{RelPermeability: 1, Conductivity: 25e6})

// beside is a place by a hole, a step or a wall.
func beside(f ...field.Feature) field.Place {
	p := field.Flat(75e-6)
	copy(p.Beside[:], f)
	return p
}

var fieldCases = []struct {
	name, probe string
	base        field.Base
	at          field.Place
	film        float64
	left        bool
}{
	{"steel edge", "ferrous-general", field.Thick(field.Metal{RelPermeability: 300, Conductivity: 5e6}), field.Place{Gap: 75e-6, EdgeDistance: 2e-3}, 75, false},
	{"thin steel", "ferrous-general", field.Plate(field.Metal{RelPermeability: 160, Conductivity: 5.5e6}, 0.5e-3), field.Flat(75e-6), 75, false},
	{"steel pipe", "ferrous-general", field.Plate(field.Metal{RelPermeability: 160, Conductivity: 5.5e6}, 3e-3), field.Place{Gap: 75e-6, EdgeDistance: field.NoEdge, Curvature: [2]float64{1 / 25e-3}}, 75, false},
	{"steel bore", "ferrous-general", field.Thick(field.Metal{RelPermeability: 160, Conductivity: 5.5e6}), field.Place{Gap: 75e-6, EdgeDistance: field.NoEdge, Curvature: [2]float64{-1 / 30e-3}}, 75, false},
	{"steel tilted", "ferrous-general", field.Thick(field.Metal{RelPermeability: 300, Conductivity: 5e6}), field.Place{Gap: 75e-6, EdgeDistance: field.NoEdge, Tilt: 0.2}, 75, false},
	{"steel lifted", "ferrous-general", field.Thick(field.Metal{RelPermeability: 300, Conductivity: 5e6}), field.Flat(3e-3), 75, false},
	{"aluminium", "nonferrous-general", field.Thick(field.Metal{RelPermeability: 1, Conductivity: 25e6}), field.Flat(40e-6), 40, false},
	{"aluminium thin", "nonferrous-general", field.Plate(field.Metal{RelPermeability: 1, Conductivity: 25e6}, 50e-6), field.Flat(40e-6), 40, false},
	{"stainless", "nonferrous-general", field.Thick(field.Metal{RelPermeability: 1, Conductivity: 1.4e6}), field.Flat(40e-6), 40, false},
	{"aluminium edge", "nonferrous-general", field.Thick(field.Metal{RelPermeability: 1, Conductivity: 25e6}), field.Place{Gap: 40e-6, EdgeDistance: 1.2e-3}, 40, true},
	{"steel fine edge", "ferrous-fine", field.Plate(field.Metal{RelPermeability: 160, Conductivity: 5.5e6}, 1e-3), field.Place{Gap: 40e-6, EdgeDistance: 0.3e-3, Tilt: -0.1}, 40, true},
	{"steel sharp edge", "ferrous-general", steel, field.Place{Gap: 75e-6, EdgeDistance: 2e-3, AirAngle: 5.4}, 75, false},
	{"steel blunt edge", "ferrous-general", steel, field.Place{Gap: 75e-6, EdgeDistance: 2e-3, AirAngle: 4.0}, 75, true},
	{"steel hole", "ferrous-general", steel, beside(field.Hole(2e-3, 4e-3)), 75, false},
	{"steel over hole", "ferrous-general", steel, beside(field.Hole(-2e-3, 8e-3)), 75, true},
	{"steel step down", "ferrous-general", steel, beside(field.StepDown(2e-3, 3e-3)), 75, true},
	{"steel step up", "ferrous-general", steel, beside(field.StepUp(4.5e-3, 3e-3)), 75, false},
	{"steel weld", "ferrous-general", steel, beside(field.StepUp(4.2e-3, 2.5e-3), field.StepDown(10e-3, 2.5e-3)), 75, true},
	{"steel on weld", "ferrous-general", steel, beside(field.StepDown(3e-3, 2.5e-3), field.StepDown(8e-3, 2.5e-3)), 75, false},
	{"steel wall", "ferrous-general", steel, beside(field.StepUp(4.5e-3, 20e-3)), 75, false},
	{"aluminium hole", "nonferrous-general", aluminium, beside(field.Hole(0.8e-3, 3e-3)), 40, false},
	{"aluminium step down", "nonferrous-general", aluminium, beside(field.StepDown(0.8e-3, 1.5e-3)), 40, false},
	{"aluminium step up", "nonferrous-general", aluminium, beside(field.StepUp(2.2e-3, 1.5e-3)), 40, false},
	{"steel wide", "ferrous-wide", field.Plate(field.Metal{RelPermeability: 160, Conductivity: 5.5e6}, 2e-3), field.Flat(1e-3), 1000, false},
}

func inksOf(t *paint.Theme) Inks {
	return Inks{Paper: t.Sheet, Ink: t.Ink, Soft: t.InkSoft, Faint: t.Line,
		Metal: t.Sheet.Mix(t.InkSoft, 0.16), Film: t.Sheet.Mix(t.Series[5], 0.30), Foil: t.Sheet.Mix(t.Truth, 0.22),
		Act: t.Act, Truth: t.Truth, Bad: t.Bad, Current: t.Series[4]}
}

func fieldPanel(t testing.TB, i int) FieldPanel {
	t.Helper()
	c := fieldCases[i]
	d, ok := probe.ByID(c.probe)
	if !ok {
		t.Fatal(c.probe)
	}
	s, err := field.NewSensor(d.Head)
	if err != nil {
		t.Fatal(err)
	}
	q, err := s.NewPicture(field.FrameFor(d.Head))
	if err != nil {
		t.Fatal(err)
	}
	if err := q.On(c.base); err != nil {
		t.Fatal(err)
	}
	if err := q.At(c.at); err != nil {
		t.Fatal(err)
	}
	f := FieldPanel{Field: q, Head: d.Head, Base: c.base, FilmUm: c.film, Tilt: c.at.Tilt, Height: c.at.Gap - c.film*1e-6, Left: c.left, Touch: true}
	for _, j := range q.Current {
		f.Most = max(f.Most, j)
	}
	if !math.IsInf(c.at.EdgeDistance, 1) {
		f.Edge, f.EdgeAt = fmt.Sprintf("%.1f mm", c.at.EdgeDistance*1e3), c.at.EdgeDistance
	} else if q.Ground.Breaks[0] < q.Frame().Half {
		f.Edge, f.EdgeAt = fmt.Sprintf("%.1f mm", c.at.Beside[0].Distance*1e3), c.at.Beside[0].Distance
	}
	return f
}

// Every kind of place is drawn, in any room, without a fault and without allocation.
func TestFieldPanels(t *testing.T) {
	folder := os.Getenv("FOILWRIGHT_SHOTS")
	for i := range fieldCases {
		f := fieldPanel(t, i)
		for _, theme := range paint.Themes() {
			var l paint.List
			p := &Pen{List: &l, Size: 12, Labels: NewLabels(), Inks: inksOf(theme)}
			draw := func() {
				l.Reset()
				l.Rect(paint.R(0, 0, 400, 260), theme.Sheet)
				p.DrawField(paint.R(0, 0, 400, 260), &f)
			}
			draw()
			if l.Len() < 20 {
				t.Errorf("%s: hardly anything is drawn", fieldCases[i].name)
			}
			if n := testing.AllocsPerRun(5, draw); n > 0 {
				t.Errorf("%s: %.0f allocations", fieldCases[i].name, n)
			}
			if folder != "" {
				out, err := os.Create(filepath.Join(folder, strings.ReplaceAll("field-"+fieldCases[i].name+"-"+theme.Name, " ", "_")+".png"))
				if err != nil {
					t.Fatal(err)
				}
				if err := png.Encode(out, paint.Render(&l, 400, 260, 1)); err != nil {
					t.Fatal(err)
				}
				out.Close()
			}
			for _, r := range []paint.Rect{{}, paint.R(0, 0, 20, 300), paint.R(0, 0, 300, 20)} {
				p.DrawField(r, &f)
			}
			paint.Render(&l, 400, 260, 1)
		}
	}
}

func BenchmarkFieldPanel(b *testing.B) {
	f := fieldPanel(b, 0)
	var l paint.List
	p := &Pen{List: &l, Size: 12, Labels: NewLabels(), Inks: inksOf(paint.Light())}
	painter := paint.NewPainter()
	b.ReportAllocs()
	for b.Loop() {
		l.Reset()
		p.DrawField(paint.R(0, 0, 400, 260), &f)
		painter.Mesh(&l, 400, 260, 1)
	}
}
