package widgets

import (
	"testing"

	"foilwright/internal/paint"
)

// A pane that can go no farther lets the wheel through to the one around it, and one that is being scrolled keeps the
// wheel although another comes under the pointer.
func TestTheWheelIsNotTrapped(t *testing.T) {
	u := New()
	var l paint.List
	var inner, outer float64
	body := func(paint.Rect) {
		out := u.BeginScroll("outer", paint.R(0, 0, 300, 200))
		outer = -out.Y
		in := u.BeginScroll("inner", paint.R(0, out.Y+120, 200, 100))
		inner = out.Y + 120 - in.Y
		u.EndScroll(150)
		u.EndScroll(1000)
	}
	now := 0.0
	turn := func(x, y, lines, after float64) {
		now += after
		u.Frame(Input{W: 300, H: 200, Scale: 1, NowMs: now, Events: []Event{{Kind: Wheel, X: x, Y: y, WheelY: lines, AtMs: now}}}, &l, body)
		u.Frame(Input{W: 300, H: 200, Scale: 1, NowMs: now}, &l, body)
	}
	u.Frame(Input{W: 300, H: 200, Scale: 1}, &l, body)
	turn(100, 150, 10, 1000)
	if inner != 50 || outer != 0 {
		t.Fatalf("inner at %g, outer at %g; want 50, 0", inner, outer)
	}
	turn(100, 150, 1, 1000)
	if outer != 40 {
		t.Fatalf("at its end the inner pane traps the wheel: outer at %g, want 40", outer)
	}
	// The outer one keeps it for a moment, over the inner one, too.
	turn(100, 100, -1, 100)
	if inner != 50 || outer != 0 {
		t.Errorf("inner at %g, outer at %g; want 50, 0", inner, outer)
	}
	turn(100, 150, -1, 1000)
	if inner != 10 || outer != 0 {
		t.Errorf("after a rest: inner at %g, outer at %g; want 10, 0", inner, outer)
	}
}

// A tooltip stands beside its widget where there is room, so that it covers nothing above or below.
func TestTipsStandBeside(t *testing.T) {
	u := New()
	u.Screen = paint.R(0, 0, 800, 600)
	for _, c := range []struct {
		name     string
		at, want paint.Rect
	}{
		{"at the left", paint.R(10, 100, 200, 40), paint.R(218, 110, 100, 20)},
		{"at the right", paint.R(600, 100, 190, 40), paint.R(492, 110, 100, 20)},
		{"as wide as the screen", paint.R(5, 100, 790, 40), paint.R(5, 148, 100, 20)},
		{"wide, at the foot", paint.R(5, 560, 790, 40), paint.R(5, 532, 100, 20)},
	} {
		u.tip.at = c.at
		if got := u.tipPlace(100, 20); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// Once a button was pressed its tooltip does not cover what the press brought about, until the pointer has been away.
func TestATipStaysAwayAfterAPress(t *testing.T) {
	d := drive(t, func(u *UI, r paint.Rect) {
		u.ButtonWith("look", paint.R(10, 10, 90, 30), "Look", ButtonAs{Tip: "what it is for"})
	})
	rest := func(x, y float64) string {
		d.send(at(PointerMove, x, y))
		d.send()
		d.now += 2 * tipDelay
		d.send()
		return d.u.tip.text
	}
	if rest(20, 20) == "" {
		t.Fatal("no tooltip before the press")
	}
	d.click(20, 20)
	if got := rest(21, 21); got != "" {
		t.Errorf("after the press the tooltip says %q", got)
	}
	rest(300, 300)
	if rest(20, 20) == "" {
		t.Error("no tooltip when the pointer came back")
	}
}
