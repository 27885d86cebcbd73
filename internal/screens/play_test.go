package screens

import (
	"math"
	"testing"

	"foilwright/internal/paint"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
)

// press clicks what has an id.
func (d *driver) press(id string) {
	d.t.Helper()
	r, ok := d.app.where[id]
	if !ok {
		d.t.Fatalf("there is no %q on the screen", id)
	}
	d.click(r.X+r.W/2, r.Y+r.H/2)
}

// at is where a place on the piece is drawn.
func (d *driver) at(xMm, yMm float64) paint.Point {
	_, pl := d.app.planRects(d.app.sitting, d.app.lay(paint.R(0, 0, d.w, d.h)).plan)
	return pl.At(xMm, yMm)
}

// touchAt takes a reading by mouse.
func (d *driver) touchAt(xMm, yMm float64) {
	q := d.at(xMm, yMm)
	for i := 1; i <= 6; i++ {
		f := float64(i) / 6
		d.move(d.x+(q.X-d.x)*f, d.y+(q.Y-d.y)*f)
	}
	d.pass(500)
	d.pointer(widgets.PointerDown)
	d.pass(1150)
	d.pointer(widgets.PointerUp)
	d.pass(600)
}

// spots of a competent trainee, mm.
var spots = [][2]float64{{60, 60}, {240, 60}, {150, 100}, {60, 140}, {240, 140}}

// finished checks the attempt that was just handed in.
func (d *driver) finished(name string) {
	d.t.Helper()
	list, err := shelf(d.store, d.app.Exercises)
	if err != nil || len(list) != 1 || !list[0].finished {
		d.t.Fatalf("%s: store holds %+v, %v", name, list, err)
	}
	if d.app.page != pageDebrief || d.app.fault != "" {
		d.t.Fatalf("%s: on page %d, %s", name, d.app.page, d.app.fault)
	}
	r := d.app.debrief.record
	if !r.Finished || r.Result == nil || r.Result.Shown.N != 15 || len(r.Verifications) < 2 {
		d.t.Fatalf("%s: %+v", name, r.Result)
	}
	if s := d.app.debrief.sheet; !s.Passed || s.Technique < 99.5 || len(s.Findings) > 0 {
		d.t.Errorf("%s: a competent attempt scores %.1f, passed %v, %+v", name, s.Technique, s.Passed, s.Findings)
	}
	if e := r.Result.MeanUm - r.World.TrueMeanUm; math.Abs(e) > 2.5 {
		d.t.Errorf("%s: error of the mean %.2f µm", name, e)
	}
	for _, f := range d.app.ui.Faults() {
		d.t.Errorf("%s: %s", name, f)
	}
}

// verdict is the decision that the rule asks for, from what the screen shows.
func (d *driver) verdict() string {
	if d.app.sitting.view.Statistics.Mean*d.app.units().resolutionUm >= 75 {
		return "accept"
	}
	return "reject"
}

func playByMouse(d *driver) {
	d.app.where = map[string]paint.Rect{}
	d.frame()
	d.shot("1-home")
	d.press("start-painted-panel")
	d.pass(100)
	d.shot("2-job")
	d.press("to-bench")
	for _, id := range []string{"look-tip", "wipe-tip", "card-foil-75", "clear", "twin-3", "zero"} {
		d.press(id)
	}
	d.shot("3-zero")
	for i := range 5 {
		d.touchAt(52+4*float64(i), 50)
	}
	d.press("store")
	d.press("foil-75")
	d.press("foil")
	d.press("foil-value")
	d.write("77.2")
	d.press("set")
	for i := range 5 {
		d.touchAt(52+4*float64(i), 50)
	}
	d.shot("4-foil")
	d.press("store")
	verify := func() {
		d.press("verify")
		d.press("card-foil-50")
		d.press("twin-3")
		d.press("foil-50")
		for i := range 3 {
			d.touchAt(54+4*float64(i), 50)
		}
		d.shot("5-verify")
		d.press("good")
		d.press("card-foil-50")
	}
	verify()
	d.press("panel")
	d.press("measure")
	for i, q := range spots {
		if i > 0 {
			d.press("new-spot")
		}
		for k := range 3 {
			d.touchAt(q[0]+3*float64(k), q[1])
		}
	}
	d.shot("6-measure")
	verify()
	d.press("report")
	d.pass(100)
	d.press(d.verdict())
	d.shot("7-report")
	d.press("finish")
	d.pass(100)
	d.press("finish-now-yes")
	d.pass(300)
	d.shot("8-debrief")
	for _, name := range []string{"9-debrief", "10-debrief"} {
		d.move(d.w/2, d.h/2)
		d.add(widgets.Event{Kind: widgets.Wheel, X: d.x, Y: d.y, WheelY: 18})
		d.pass(50)
		d.shot(name)
	}
}

func TestPlayByMouse(t *testing.T) {
	d := newDriver(t, 1280, 800)
	playByMouse(d)
	d.finished("mouse")
}

// playByKeys does the same by keyboard alone.
func playByKeys(d *driver) {
	touch := func() {
		d.pass(450)
		d.hold("Space", 1150)
		d.pass(600)
	}
	step := func(key string, n int) {
		for range n {
			d.key(key)
		}
	}
	d.key("1")
	d.pass(100)
	d.key("Enter")
	for _, k := range []string{"l", "w", "c", "2", "z"} {
		d.key(k)
	}
	for range 5 {
		touch()
		step("ArrowRight", 3)
	}
	d.key("s")
	for _, k := range []string{"6", "k", "f", "Enter"} {
		d.key(k)
	}
	d.write("77.2")
	d.key("Enter")
	for range 5 {
		touch()
		step("ArrowLeft", 3)
	}
	d.shot("k4-foil")
	d.key("s")
	verify := func() {
		for _, k := range []string{"v", "2", "5", "k"} {
			d.key(k)
		}
		for range 3 {
			touch()
			step("ArrowUp", 3)
		}
		d.key("g")
	}
	verify()
	d.key("1")
	d.key("m")
	// From the middle of the panel, (150, 100).
	x, y := 150.0, 100.0
	for i, q := range spots {
		if i > 0 {
			d.key("n")
		}
		for ; x < q[0]; x += 10 {
			d.key("Ctrl+ArrowRight")
		}
		for ; x > q[0]; x -= 10 {
			d.key("Ctrl+ArrowLeft")
		}
		for ; y < q[1]; y += 10 {
			d.key("Ctrl+ArrowUp")
		}
		for ; y > q[1]; y -= 10 {
			d.key("Ctrl+ArrowDown")
		}
		for range 3 {
			touch()
		}
	}
	d.shot("k6-measure")
	verify()
	d.key("r")
	d.pass(100)
	if d.verdict() == "accept" {
		d.key("a")
	} else {
		d.key("x")
	}
	d.key("Enter")
	d.pass(100)
	d.key("Enter")
	d.pass(300)
}

func TestPlayByKeys(t *testing.T) {
	d := newDriver(t, 1280, 800)
	playByKeys(d)
	d.finished("keys")
}

// The log of a play is the same at any frame rate: what is done has its own
// time, and frames only cut it into pieces.
func TestSameLogAtAnyFrameRate(t *testing.T) {
	logAt := func(hz float64) []bench.Entry {
		d := newDriver(t, 1280, 800)
		d.key("1")
		d.pass(2000)
		d.hz = hz
		script(d)
		return d.app.sitting.Bench.Record().Entries
	}
	want := logAt(144)
	if len(want) < 30 {
		t.Fatalf("only %d entries", len(want))
	}
	for _, hz := range []float64{60, 30, 7} {
		got := logAt(hz)
		if len(got) != len(want) {
			t.Errorf("%g Hz: %d entries, at 144 Hz %d", hz, len(got), len(want))
			continue
		}
		for i := range got {
			if !sameEntry(got[i], want[i]) {
				t.Errorf("%g Hz: entry %d is %+v %+v, at 144 Hz %+v %+v", hz, i+1, got[i].Action, got[i].Action.Pose, want[i].Action, want[i].Action.Pose)
				break
			}
		}
	}
}

func sameEntry(a, b bench.Entry) bool {
	if (a.Action.Pose == nil) != (b.Action.Pose == nil) || a.Action.Pose != nil && *a.Action.Pose != *b.Action.Pose {
		return false
	}
	a.Action.Pose, b.Action.Pose = nil, nil
	if a.Action != b.Action || len(a.Events) != len(b.Events) {
		return false
	}
	for i := range a.Events {
		if a.Events[i] != b.Events[i] {
			return false
		}
	}
	return true
}

// script plays events with fixed times of their own and hands them over with
// the frames, as a window does.
func script(d *driver) {
	base := 10_000.0
	var events []widgets.Event
	at := base
	key := func(name string, hold float64) {
		events = append(events, widgets.Event{Kind: widgets.KeyDown, Key: name, AtMs: at})
		at += hold
		events = append(events, widgets.Event{Kind: widgets.KeyUp, Key: name, AtMs: at})
		at += 171
	}
	key("Enter", 55)
	key("2", 55)
	key("z", 55)
	for range 2 {
		key("Space", 913)
		at += 333
	}
	key("s", 40)
	key("1", 40)
	q := d.at(150, 100)
	for i := range 60 {
		events = append(events, widgets.Event{Kind: widgets.PointerMove, X: q.X + float64(i-60)*2, Y: q.Y + 0.5*float64(i), AtMs: at})
		at += 8.3
	}
	for range 2 {
		events = append(events, widgets.Event{Kind: widgets.PointerDown, X: q.X, Y: q.Y, AtMs: at})
		at += 1001
		events = append(events, widgets.Event{Kind: widgets.PointerUp, X: q.X, Y: q.Y, AtMs: at})
		at += 444
	}
	d.now = base - 100
	d.frame()
	end := at + 1000
	for n := 0; d.now < end; {
		d.now = min(end, d.now+1000/d.hz)
		for n < len(events) && events[n].AtMs <= d.now {
			d.events = append(d.events, events[n])
			n++
		}
		d.frame()
	}
}
