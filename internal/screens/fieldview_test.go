package screens

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"foilwright/internal/paint"
	"foilwright/internal/widgets"
	"foilwright/scenarios"
	"foilwright/sim/bench"
	"foilwright/sim/field"
	"foilwright/sim/part"
)

// zeroed plays an exercise to a stored zero on its second piece.
func zeroed(d *driver) {
	for _, k := range []string{"1", "Enter", "2", "z"} {
		d.key(k)
		d.pass(60)
	}
	for range 3 {
		d.hold("Space", 900)
		d.pass(600)
	}
	d.key("s")
	d.key("1")
	d.key("m")
	d.pass(300)
}

// toEdge moves the probe to a distance in mm from the left edge of the piece and lowers it.
func (d *driver) toEdge(mm float64) {
	s := d.app.sitting
	w, h := s.outline()
	lay := d.app.lay(paint.R(0, 0, d.w, d.h))
	if d.app.desk.field.on {
		d.app.layField(&lay)
	}
	_, pl := d.app.planRects(s, lay.plan)
	if mm < 0 {
		mm = w / 2
	}
	q := pl.At(mm, h/2)
	d.move(q.X, q.Y)
	d.pass(900)
	d.pointer(widgets.PointerDown)
	d.pass(1200)
}

func (d *driver) off() {
	d.pointer(widgets.PointerUp)
	d.pass(700)
}

func TestFieldOnTheBench(t *testing.T) {
	d := newDriver(t, 1280, 800)
	zeroed(d)
	d.key("e")
	d.pass(200)
	f := &d.app.desk.field
	if !f.on || f.here == nil || f.fault != "" {
		t.Fatalf("the view of the field did not open: %q", f.fault)
	}
	d.toEdge(-1)
	if !strings.HasPrefix(f.why, "Nothing here") && !strings.Contains(f.why, "leaning") {
		t.Errorf("in the middle of the like piece: %s", f.why)
	}
	d.off()
	d.toEdge(2)
	if !strings.Contains(f.why, "edge") || !strings.Contains(f.why, "high") || strings.Contains(f.why, "Set down") {
		t.Errorf("2 mm from the edge: %s", f.why)
	}
	if math.IsInf(f.here.EdgeAt, 1) || !math.IsInf(f.there.EdgeAt, 1) || !f.panelHere.Left {
		t.Error("the edge is drawn in the wrong section")
	}
	d.off()
	d.key("e")
	if f.on {
		t.Error("E does not close it")
	}
}

// What the sentence says is what the bench's own instrument reads, film and noise being the same.
func TestFieldTellsTheReading(t *testing.T) {
	d := newDriver(t, 1280, 800)
	zeroed(d)
	d.key("e")
	d.pass(100)
	for _, mm := range []float64{-1, 2, 4} {
		d.toEdge(mm)
		d.off()
	}
	s, un := d.app.sitting, d.app.units()
	contacts := s.Bench.Record().Contacts
	var reads []float64
	for _, c := range contacts[len(contacts)-3:] {
		reads = append(reads, float64(c.Counts)*un.resolutionUm)
	}
	sense, err := s.World.Sense(s.view.Probe, s.view.Piece)
	if err != nil {
		t.Fatal(err)
	}
	for i, mm := range []float64{2, 4} {
		c := contacts[len(contacts)-2+i]
		there := d.app.adjustedAt(&sense, 20e-3)
		here := standing{over: sense.Over, place: field.Place{EdgeDistance: float64(c.XUm) * 1e-6}}
		middle := contacts[len(contacts)-3]
		film := s.World.Part.Coating
		at := func(x, y int64) float64 { return film.LocalUm(float64(x)*1e-6, float64(y)*1e-6) }
		there.place.Tilt, here.place.Gap, there.place.Gap = 0, s.exercise.Job.NominalUm*1e-6, s.exercise.Job.NominalUm*1e-6
		got := apparentUm(&there, &here)
		want := reads[i+1] - reads[0] - (at(c.XUm, c.YUm) - at(middle.XUm, middle.YUm))
		// Scatter and tilt of a held probe are in the readings.
		if math.Abs(got-want) > 1.5+0.15*math.Abs(want) {
			t.Errorf("%g mm from the edge: told %.2f µm, the readings differ by %.2f µm", mm, got, want)
		}
	}
}

func TestFieldIsLockedInAnAssessment(t *testing.T) {
	d := newDriver(t, 1280, 800)
	d.key("1")
	d.key("Enter")
	d.app.sitting.Assessment = true
	d.app.desk = d.app.newBenchState()
	d.pass(60)
	d.key("e")
	if d.app.desk.field.on || d.app.sitting.refusal != string(assessedView) {
		t.Errorf("on %v, refusal %q", d.app.desk.field.on, d.app.sitting.refusal)
	}
	for _, b := range d.app.desk.buttons {
		if b.id == "field" {
			t.Error("its button is shown")
		}
	}
}

// The sentence names the difference that does most, with its sign.
func TestFieldSentences(t *testing.T) {
	e := first(t)
	sensor, err := e.Probe.Sensor()
	if err != nil {
		t.Fatal(err)
	}
	on := func(b field.Base, p field.Place) standing {
		o, err := sensor.Over(b)
		if err != nil {
			t.Fatal(err)
		}
		p.Gap = 75e-6
		return standing{base: b, over: o, place: p}
	}
	steel := field.Metal{RelPermeability: 160, Conductivity: 5.5e6}
	far := field.Flat(0)
	near, pipe, bore, lean := far, far, far, far
	near.EdgeDistance, lean.Tilt = 2e-3, 0.25
	pipe.Curvature, bore.Curvature = [2]float64{40, 0}, [2]float64{-40, 0}
	for _, c := range []struct {
		there, here standing
		want        []string
	}{
		{on(field.Thick(steel), far), on(field.Thick(steel), far), []string{"Nothing here"}},
		{on(field.Thick(steel), far), on(field.Thick(steel), near), []string{"sees less", "high: the edge 2.0 mm away takes metal from under it."}},
		{on(field.Thick(steel), near), on(field.Thick(steel), far), []string{"sees more", "low: it was adjusted 2.0 mm from an edge"}},
		{on(field.Thick(steel), far), on(field.Plate(steel, 0.5e-3), far), []string{"high: the metal is only 0.5 mm thick"}},
		{on(field.Plate(steel, 0.5e-3), far), on(field.Thick(steel), far), []string{"low: it was adjusted on thinner metal."}},
		{on(field.Thick(steel), far), on(field.Thick(steel), pipe), []string{"high: the surface falls away"}},
		{on(field.Thick(steel), far), on(field.Thick(steel), bore), []string{"low: the hollow surface comes up"}},
		{on(field.Thick(steel), pipe), on(field.Thick(steel), far), []string{"low: it was adjusted on a rounder surface"}},
		{on(field.Thick(steel), far), on(field.Thick(steel), lean), []string{"leaning by 14°"}},
		{on(field.Thick(steel), far), on(field.Thick(field.Metal{RelPermeability: 70, Conductivity: 4e6}), far), []string{"another metal"}},
	} {
		got := whyField(&c.there, &c.here, units{resolutionUm: 0.1}, true)
		for _, w := range c.want {
			if !strings.Contains(got, w) {
				t.Errorf("want %q in: %s", w, got)
			}
		}
	}
}

// Beside holes, steps, welds and bends the sentence names them.
func TestFieldSentencesOfFeatures(t *testing.T) {
	e := first(t)
	sensor, err := e.Probe.Sensor()
	if err != nil {
		t.Fatal(err)
	}
	p := e.Part.Piece
	p.Thickness = math.Inf(1)
	over, err := sensor.Over(p.Base())
	if err != nil {
		t.Fatal(err)
	}
	reach := fieldReach * e.Probe.Head.Coil.OuterRadius
	for _, c := range []struct {
		feature part.Feature
		x       float64
		want    string
	}{
		{part.Feature{Kind: part.Hole, X: 0.1, Y: 0.1, Radius: 8e-3}, 0.09, "high: the hole 2.0 mm away takes metal from under it."},
		{part.Feature{Kind: part.Hole, X: 0.1, Y: 0.1, Radius: 8e-3}, 0.095, "high: it stands over the hole"},
		{part.Feature{Kind: part.Step, At: 0.1, Height: 3e-3, FarUp: true}, 0.102, "high: 2.0 mm away the step goes down"},
		{part.Feature{Kind: part.Step, At: 0.1, Height: 3e-3, FarUp: true}, 0.098, "low: the foot of the step 2.0 mm away adds metal"},
		{part.Feature{Kind: part.Weld, At: 0.1, Width: 8e-3, Height: 3e-3}, 0.094, "low: the weld 2.0 mm away adds metal"},
		{part.Feature{Kind: part.Weld, At: 0.1, Width: 8e-3, Height: 3e-3}, 0.101, "high: it stands on the weld"},
		{part.Feature{Kind: part.Bend, At: 0.1, Width: 0.04, Radius: 0.03}, 0.1, "high: on the bend"},
		{part.Feature{Kind: part.Bend, At: 0.1, Width: 0.04, Radius: -0.03}, 0.1, "low: in the bend"},
		{part.Feature{Kind: part.Hole, X: 0.1, Y: 0.1, Radius: 8e-3}, 0.2, "Nothing here"},
	} {
		p.Features = []part.Feature{c.feature}
		stand := func(x float64) standing {
			spot := spotOf(&p, x, 0.1, 0, 0, 0, reach)
			spot.place.Gap = 75e-6
			return standing{base: p.Base(), over: over, place: spot.place, spot: spot}
		}
		there, here := stand(0.2), stand(c.x)
		if got := whyField(&there, &here, units{resolutionUm: 0.1}, true); !strings.Contains(got, c.want) {
			t.Errorf("%s at %g mm: want %q in: %s", c.feature.Kind, c.x*1e3, c.want, got)
		}
		if got := whyField(&here, &there, units{resolutionUm: 0.1}, true); c.x < 0.2 && c.feature.Kind != part.Bend && !strings.Contains(got, "adjusted beside a "+string(c.feature.Kind)) {
			t.Errorf("adjusted by a %s: %s", c.feature.Kind, got)
		}
	}
}

func TestAStillFieldDoesNotAllocate(t *testing.T) {
	d := atTheBench(t)
	d.key("e")
	d.pass(20_000)
	if n := testing.AllocsPerRun(600, d.still); n >= 0.5 {
		t.Errorf("%.2f allocations a frame", n)
	}
}

// BenchmarkFieldFrame is one frame of the bench with the field on, update and drawing up to triangles, beside the same
// without: lying still, and moving along an edge so that the field is worked out anew as often as it ever is.
func BenchmarkFieldFrame(b *testing.B) {
	for _, c := range []struct {
		name       string
		on, moving bool
	}{{"still, off", false, false}, {"still, on", true, false}, {"moving, off", false, true}, {"moving, on", true, true}} {
		b.Run(c.name, func(b *testing.B) {
			d := atTheBench(b)
			if c.on {
				d.key("e")
			}
			d.toEdge(4)
			d.off()
			p := paint.NewPainter()
			i := 0
			b.ReportAllocs()
			for b.Loop() {
				i++
				d.now += 1000.0 / 60
				d.events = d.events[:0]
				if c.moving {
					d.events = append(d.events, widgets.Event{Kind: widgets.PointerMove, X: d.x + float64(i%40)/4, Y: d.y, AtMs: d.now})
				}
				d.app.Frame(widgets.Input{W: d.w, H: d.h, Scale: 1, NowMs: d.now, Events: d.events}, &d.list)
				p.Mesh(&d.list, int(d.w), int(d.h), 1)
			}
		})
	}
}

// fieldScenes goes to the places at which the view is looked at.
func fieldScenes(t testing.TB, d *driver, at func(name string)) {
	zeroed(d)
	at("adjusted")
	d.key("e")
	d.pass(200)
	at("lifted")
	for _, mm := range []float64{-1, 2, 8} {
		d.toEdge(mm)
		at(fmt.Sprintf("at-%.0f", mm))
		d.off()
	}
}

// unlike are the shipped exercises that differ in what the view draws: probe,
// metal, layers and shape of the part. One stands for all that do not.
func unlike() []*bench.Exercise {
	var list []*bench.Exercise
	seen := map[string]bool{}
	for _, e := range scenarios.Shipped() {
		p := &e.Part.Piece
		kinds := ""
		for i := range p.Features {
			kinds += string(p.Features[i].Kind) + " "
		}
		key := fmt.Sprint(e.Probe.ID, e.Assessment, p.Metal.Field.RelPermeability > 1, p.RadiusX != 0, p.RadiusY != 0, p.Texture.Grade, len(p.Layers) > 0, p.Sides, kinds)
		if !seen[key] {
			seen[key] = true
			list = append(list, e)
		}
	}
	return list
}

// The view opens on every kind of exercise shipped, on the part and on every piece beside it, over its film and beside
// its edges.
func TestFieldOnEveryExercise(t *testing.T) {
	for _, e := range unlike() {
		d := newDriver(t, 1280, 800)
		d.app.Exercises = []*bench.Exercise{e}
		d.app.openHome()
		d.pass(60)
		d.hz = 20
		zeroed(d)
		if e.Assessment {
			continue
		}
		d.key("e")
		d.pass(200)
		f := &d.app.desk.field
		for i := range len(e.References) + 1 {
			d.key(fmt.Sprint(i + 1))
			for _, mm := range []float64{-1, 3} {
				d.toEdge(mm)
				if !f.on || f.fault != "" || f.why == "" {
					t.Errorf("%s, piece %d, %g mm: on %v, fault %q, %q", e.ID, i+1, mm, f.on, f.fault, f.why)
				}
				d.shot(fmt.Sprintf("field-%s-%d-%.0f", e.ID, i+1, mm))
				d.off()
			}
		}
		for _, fault := range d.app.ui.Faults() {
			t.Errorf("%s: %s", e.ID, fault)
		}
	}
}

// Nothing is cut in the view of the field, at any size a screen and a text can have.
func TestFieldLooks(t *testing.T) {
	for _, size := range [][2]float64{{1024, 768}, {1280, 800}, {1920, 1080}} {
		for _, percent := range []int{100, 150, 200} {
			// All of them to be looked at; the ends when nobody looks.
			if os.Getenv("FOILWRIGHT_SHOTS") == "" && (size[0] != 1024 || percent == 150) && (size[0] != 1920 || percent != 100) {
				continue
			}
			for _, theme := range []string{"light", "dark", "contrast"} {
				if theme != "light" && (percent != 100 || size[0] != 1280) {
					continue
				}
				name := fmt.Sprintf("%.0f-%d-%s", size[0], percent, theme)
				t.Run(name, func(t *testing.T) {
					d := driverWith(t, size[0], size[1], Settings{Theme: theme, TextPercent: percent})
					fieldScenes(t, d, func(scene string) { d.shot("field-" + name + "-" + scene) })
					faults := d.app.ui.Faults()
					slices.Sort(faults)
					for _, f := range faults {
						t.Error(f)
					}
				})
			}
		}
	}
}
