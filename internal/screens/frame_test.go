package screens

import (
	"testing"

	"foilwright/internal/paint"
	"foilwright/internal/widgets"
)

// atTheBench returns a driver in the middle of an attempt with some readings.
func atTheBench(t testing.TB) *driver {
	d := newDriver(t, 1280, 800)
	d.app.ui.Check = false
	for _, k := range []string{"1", "Enter", "2", "6", "k", "1"} {
		d.key(k)
		d.pass(60)
	}
	for range 4 {
		d.hold("Space", 1000)
		d.pass(700)
	}
	d.pass(3000)
	return d
}

// still makes frames in which nothing happens, at 60 Hz.
func (d *driver) still() {
	d.now += 1000.0 / 60
	d.app.Frame(widgets.Input{W: d.w, H: d.h, Scale: 1, NowMs: d.now}, &d.list)
}

func TestAStillBenchDoesNotAllocate(t *testing.T) {
	d := atTheBench(t)
	d.pass(20_000) // let the figures of the trembling hand be written once
	if n := testing.AllocsPerRun(600, d.still); n >= 0.5 {
		t.Errorf("%.2f allocations a frame", n)
	}
}

// Where nothing moves a frame costs nothing, and what does happen is seen.
func TestAStillHomeCostsNothing(t *testing.T) {
	d := newDriver(t, 1280, 800)
	d.app.ui.Check = false
	d.move(400, 300)
	d.pass(3000)
	was := d.list.Hash()
	if n := testing.AllocsPerRun(300, d.still); n >= 0.5 || d.app.still < 300 {
		t.Errorf("%.2f allocations a frame, %d frames at rest", n, d.app.still)
	}
	if d.list.Hash() != was {
		t.Error("the picture changed")
	}
	d.key("o")
	d.pass(100)
	if d.list.Hash() == was || d.app.page != pageSettings {
		t.Error("a key was slept through")
	}
	d.pass(3000)
	was = d.list.Hash()
	d.w = 1000
	d.pass(100)
	if d.list.Hash() == was {
		t.Error("a new size was slept through")
	}
}

// BenchmarkBenchFrame is one frame of the bench, update and drawing, up to the
// triangles a graphics card gets.
func BenchmarkBenchFrame(b *testing.B) {
	for _, c := range []struct {
		name  string
		event func(d *driver, i int)
	}{
		{"still", func(*driver, int) {}},
		{"moving", func(d *driver, i int) {
			q := d.at(100+float64(i%100), 100)
			d.events = append(d.events[:0], widgets.Event{Kind: widgets.PointerMove, X: q.X, Y: q.Y, AtMs: d.now})
		}},
	} {
		b.Run(c.name, func(b *testing.B) {
			d := atTheBench(b)
			p := paint.NewPainter()
			b.ReportAllocs()
			i := 0
			for b.Loop() {
				i++
				d.now += 1000.0 / 60
				d.events = d.events[:0]
				c.event(d, i)
				d.app.Frame(widgets.Input{W: d.w, H: d.h, Scale: 1, NowMs: d.now, Events: d.events}, &d.list)
				p.Mesh(&d.list, int(d.w), int(d.h), 1)
			}
		})
	}
}

// A bench that is left alone lets its picture wait; whoever comes back, or
// keeps the probe down, is not kept waiting.
func TestABenchLeftAloneIsCalm(t *testing.T) {
	d := atTheBench(t)
	reply := func() bool {
		d.still()
		return d.app.Frame(widgets.Input{W: d.w, H: d.h, Scale: 1, NowMs: d.now}, &d.list).Calm
	}
	d.pass(calmAfterMs + 100)
	if !reply() {
		t.Error("left alone it is not calm")
	}
	d.move(400, 300)
	if reply() {
		t.Error("it is calm under a moving pointer")
	}
	d.add(keyDown("Space"))
	d.pass(calmAfterMs + 1000)
	if reply() {
		t.Error("it is calm while the probe is held down")
	}
}
