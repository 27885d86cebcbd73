package widgets

import (
	"testing"

	"foilwright/internal/paint"
)

// driver runs a body the way a window does, without one.
type driver struct {
	t    *testing.T
	u    *UI
	l    paint.List
	now  float64
	body func(r paint.Rect)
	w, h float64
}

func drive(t *testing.T, body func(u *UI, r paint.Rect)) *driver {
	d := &driver{t: t, u: New(), now: 1000, w: 800, h: 600}
	d.body = func(r paint.Rect) { body(d.u, r) }
	d.send()
	return d
}

// send runs one frame with the events, a sixtieth of a second after the last.
func (d *driver) send(events ...Event) Reply {
	d.now += 17
	for i := range events {
		events[i].AtMs = d.now
	}
	return d.u.Frame(Input{W: d.w, H: d.h, Scale: 1, NowMs: d.now, Events: events}, &d.l, d.body)
}

func (d *driver) keys(names ...string) {
	for _, n := range names {
		d.send(Event{Kind: KeyDown, Key: n}, Event{Kind: KeyUp, Key: n})
	}
}

func (d *driver) typed(s string) {
	for _, r := range s {
		d.send(Event{Kind: KeyDown, Key: string(r)}, Event{Kind: Text, Text: string(r)}, Event{Kind: KeyUp, Key: string(r)})
	}
}

func at(kind EventKind, x, y float64) Event { return Event{Kind: kind, X: x, Y: y} }

// click is a press and release between two frames.
func (d *driver) click(x, y float64) { d.send(at(PointerDown, x, y), at(PointerUp, x, y)) }

func (d *driver) finger(kind EventKind, x, y float64) {
	d.send(Event{Kind: kind, X: x, Y: y, ID: 5, Device: Touch})
}
