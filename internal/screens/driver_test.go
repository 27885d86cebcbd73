package screens

import (
	"image/png"
	"os"
	"path/filepath"
	"testing"
	"time"

	"foilwright/internal/paint"
	"foilwright/internal/store"
	"foilwright/internal/widgets"
	"foilwright/scenarios"
	"foilwright/sim/bench"
)

// driver works an App by synthetic input, with no display. Its clock goes on by
// frames of 1000/hz ms.
type driver struct {
	t      testing.TB
	app    *App
	list   paint.List
	store  *store.Store
	w, h   float64
	hz     float64
	now    float64
	x, y   float64
	events []widgets.Event
}

func newDriver(t testing.TB, w, h float64) *driver {
	t.Helper()
	st, err := store.Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	return driverOn(t, st, w, h)
}

func driverOn(t testing.TB, st *store.Store, w, h float64) *driver {
	d := &driver{t: t, store: st, w: w, h: h, hz: 60, now: 1000}
	day := time.Date(2030, 5, 6, 7, 8, 9, 0, time.UTC)
	d.app = New(Config{
		Store: st, Exercises: []*bench.Exercise{first(t)}, Seed: func() uint64 { return 5 },
		Clock: func() time.Time { day = day.Add(time.Minute); return day },
	})
	d.app.ui.Check = true
	d.frame()
	return d
}

// first is the first exercise, the one the tests play.
func first(t testing.TB) *bench.Exercise {
	t.Helper()
	e, err := scenarios.ByID("painted-panel")
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// add queues an event at the present time.
func (d *driver) add(e widgets.Event) {
	e.AtMs = d.now
	d.events = append(d.events, e)
}

// frame ends a frame now.
func (d *driver) frame() {
	d.app.Frame(widgets.Input{W: d.w, H: d.h, Scale: 1, NowMs: d.now, Events: d.events}, &d.list)
	d.events = d.events[:0]
}

// pass lets time go by, in frames.
func (d *driver) pass(ms float64) {
	for end := d.now + ms; d.now < end; {
		d.now = min(end, d.now+1000/d.hz)
		d.frame()
	}
}

func (d *driver) move(x, y float64) {
	d.x, d.y = x, y
	d.add(widgets.Event{Kind: widgets.PointerMove, X: x, Y: y})
	d.pass(40)
}

func (d *driver) pointer(k widgets.EventKind) {
	d.add(widgets.Event{Kind: k, X: d.x, Y: d.y})
	d.frame()
}

func (d *driver) click(x, y float64) {
	d.move(x, y)
	d.pointer(widgets.PointerDown)
	d.pass(80)
	d.pointer(widgets.PointerUp)
	d.pass(80)
}

// key presses and lets go of a key, written as on the buttons: "z", "Ctrl+ArrowLeft".
func (d *driver) key(name string) { d.hold(name, 60) }

func (d *driver) hold(name string, ms float64) {
	e := widgets.Event{Kind: widgets.KeyDown}
	for {
		if len(name) > 5 && name[:5] == "Ctrl+" {
			e.Ctrl, name = true, name[5:]
		} else if len(name) > 6 && name[:6] == "Shift+" {
			e.Shift, name = true, name[6:]
		} else {
			break
		}
	}
	e.Key = name
	d.add(e)
	d.pass(ms)
	e.Kind = widgets.KeyUp
	d.add(e)
	d.pass(60)
}

func (d *driver) write(s string) {
	for _, r := range s {
		d.add(widgets.Event{Kind: widgets.KeyDown, Key: string(r)})
		d.add(widgets.Event{Kind: widgets.Text, Text: string(r)})
		d.add(widgets.Event{Kind: widgets.KeyUp, Key: string(r)})
		d.pass(50)
	}
}

// shot paints the present frame to a file when FOILWRIGHT_SHOTS names a folder.
func (d *driver) shot(name string) {
	folder := os.Getenv("FOILWRIGHT_SHOTS")
	if folder == "" {
		return
	}
	d.frame()
	f, err := os.Create(filepath.Join(folder, name+".png"))
	if err != nil {
		d.t.Fatal(err)
	}
	defer f.Close()
	if err := png.Encode(f, paint.Render(&d.list, int(d.w), int(d.h), 1)); err != nil {
		d.t.Fatal(err)
	}
}

func keyDown(name string) widgets.Event { return widgets.Event{Kind: widgets.KeyDown, Key: name} }
func keyUp(name string) widgets.Event   { return widgets.Event{Kind: widgets.KeyUp, Key: name} }
