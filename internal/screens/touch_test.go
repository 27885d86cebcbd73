package screens

import (
	"testing"

	"foilwright/internal/paint"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
)

// finger puts a finger down at a place, holds it and lifts it.
func (d *driver) finger(x, y, ms float64) {
	e := widgets.Event{Kind: widgets.PointerMove, X: x, Y: y, ID: 2, Device: widgets.Touch}
	for _, k := range []widgets.EventKind{widgets.PointerMove, widgets.PointerDown} {
		e.Kind = k
		d.add(e)
	}
	d.pass(ms)
	e.Kind = widgets.PointerUp
	d.add(e)
	d.pass(80)
}

func (d *driver) tap(id string, ms float64) {
	d.t.Helper()
	r, ok := d.app.where[id]
	if !ok {
		d.t.Fatalf("there is no %q on the screen", id)
	}
	d.finger(r.X+r.W/2, r.Y+r.H/2, ms)
}

// A reading is taken by touch alone, on a tablet held upright: the finger
// brings the probe to its place without lowering it, the button lowers it.
func TestAReadingByTouch(t *testing.T) {
	d := newDriver(t, 820, 1180)
	d.app.where = map[string]paint.Rect{}
	d.frame()
	d.tap("start-painted-panel", 60)
	d.pass(100)
	d.tap("to-bench", 60)
	d.pass(60)
	d.tap("twin-3", 60)
	d.tap("zero", 60)
	q := d.at(40, 60)
	d.finger(q.X, q.Y, 900)
	d.pass(500)
	s := d.app.sitting
	if n := len(s.Bench.Record().Contacts); n != 0 {
		t.Fatalf("pointing made %d contacts", n)
	}
	d.tap("hold", 1200)
	d.pass(700)
	v := s.view
	if len(v.Taken) != 1 || v.Touching {
		t.Fatalf("%d readings, touching %v", len(v.Taken), v.Touching)
	}
	c := s.Bench.Record().Contacts[0]
	if c.Outcome != bench.Read || c.XUm < 38_000 || c.XUm > 42_000 || c.YUm < 58_000 || c.YUm > 62_000 {
		t.Errorf("%s at (%d, %d) µm, want about (40, 60) mm", c.Outcome, c.XUm, c.YUm)
	}
	d.shot("touch")
	for _, f := range d.app.ui.Faults() {
		t.Error(f)
	}
}

func TestFiguresGoToTheMeanWithoutGoingThere(t *testing.T) {
	d := atTheBench(t)
	d.key("r")
	d.pass(60)
	d.write("71.4")
	if d.app.report.mean != "71.4" {
		t.Errorf("mean %q", d.app.report.mean)
	}
	d.key("Escape")
	d.pass(60)
	if d.app.editing || d.app.page != pageReport {
		t.Errorf("Escape does not leave the box: editing %v, page %d", d.app.editing, d.app.page)
	}
	d.key("Escape")
	d.pass(60)
	if d.app.page != pageBench || d.app.report.mean != "71.4" {
		t.Errorf("the second Escape leads to page %d, mean %q", d.app.page, d.app.report.mean)
	}
}

func TestTheRecordSheetIsKept(t *testing.T) {
	d := atTheBench(t)
	d.app.where = map[string]paint.Rect{}
	d.key("r")
	d.pass(60)
	d.press("record-zeroed-on")
	d.write("bare plate")
	d.press("back")
	d.pass(60)
	if got := d.app.sitting.Bench.Record().Written("zeroed-on"); got != "bare plate" {
		t.Fatalf("written %q", got)
	}
	n := d.app.sitting.view.Entries
	d.key("r")
	d.pass(60)
	d.press("back")
	d.pass(60)
	again := d.app.sitting.view
	for _, e := range d.app.sitting.Bench.Record().Entries[n:] {
		if e.Action.Do == bench.WriteRecord {
			t.Error("written again though nothing changed")
		}
	}
	if again.Finished {
		t.Error("finished")
	}
	d.key("Escape")
	d.pass(60)
	d.key("Enter")
	d.pass(100)
	d.key("r")
	d.pass(60)
	if got := d.app.report.lines[0].text; got != "bare plate" {
		t.Errorf("taken up again the sheet says %q", got)
	}
}

func TestTheMagnifierKeepsPlacesUnderThePointer(t *testing.T) {
	d := newDriver(t, 1280, 800)
	for _, k := range []string{"1", "Enter", "1"} {
		d.key(k)
		d.pass(60)
	}
	_, plain := d.app.planRects(d.app.sitting, d.app.lay(paint.R(0, 0, d.w, d.h)).plan)
	d.key("q")
	d.pass(60)
	rect, _ := d.app.planRects(d.app.sitting, d.app.lay(paint.R(0, 0, d.w, d.h)).plan)
	c := rect.Center()
	d.move(c.X, c.Y)
	x0, y0 := d.app.sitting.hand.Target()
	d.move(c.X+20, c.Y)
	x1, _ := d.app.sitting.hand.Target()
	want := 20 / (plain.Scale * lensPower)
	if dx := x1 - x0; dx < want*0.99 || dx > want*1.01 {
		t.Errorf("20 pixels move the probe %.2f mm, want %.2f", dx, want)
	}
	if x0 < 149 || x0 > 151 || y0 < 99 || y0 > 101 {
		t.Errorf("the middle of the magnifier is (%.1f, %.1f), want (150, 100)", x0, y0)
	}
	// By keys the magnifier follows.
	for range 5 {
		d.key("Ctrl+ArrowLeft")
	}
	d.pass(60)
	if x, _ := d.app.sitting.hand.Target(); x < d.app.desk.lensX-60 || x > d.app.desk.lensX+60 {
		t.Errorf("probe at %.0f mm, magnifier over %.0f mm", x, d.app.desk.lensX)
	}
}
