package widgets

import (
	"slices"
	"strings"
	"testing"

	"foilwright/internal/paint"
)

func TestClickWithinOneFrame(t *testing.T) {
	n := 0
	d := drive(t, func(u *UI, r paint.Rect) {
		if u.Button("b", paint.R(10, 10, 100, 30), "Go") {
			n++
		}
	})
	d.click(50, 20)
	if n != 1 {
		t.Fatalf("a press and release within one frame gave %d clicks, want 1", n)
	}
	d.send(at(PointerDown, 50, 20), at(PointerUp, 50, 20), at(PointerDown, 50, 20), at(PointerUp, 50, 20))
	if n != 3 {
		t.Fatalf("two quick clicks in one frame: %d in all, want 3", n)
	}
	d.send(at(PointerDown, 50, 20))
	d.send(at(PointerMove, 300, 300))
	d.send(at(PointerUp, 300, 300))
	if n != 3 {
		t.Fatal("a press that was pulled off the button must not click")
	}
	d.send(at(PointerDown, 300, 300))
	d.send(at(PointerUp, 50, 20))
	if n != 3 {
		t.Fatal("a press that began elsewhere must not click")
	}
	d.send(Event{Kind: PointerDown, X: 50, Y: 20, Button: 2}, Event{Kind: PointerUp, X: 50, Y: 20, Button: 2})
	if n != 3 {
		t.Fatal("the secondary button must not click")
	}
	d.send(at(PointerDown, 50, 20), Event{Kind: Blur}, at(PointerUp, 50, 20))
	if n != 3 {
		t.Fatal("a press during which the window lost the keyboard must not click")
	}
}

func TestWidgetOnTopWins(t *testing.T) {
	var area, button int
	d := drive(t, func(u *UI, r paint.Rect) {
		if u.Area("bench", r).Pressed {
			area++
		}
		if u.Button("b", paint.R(10, 10, 100, 30), "Go") {
			button++
		}
	})
	d.click(50, 20)
	d.click(400, 400)
	if area != 1 || button != 1 {
		t.Fatalf("area pressed %d times, button %d times, want 1 and 1", area, button)
	}
}

func TestAreaGetsEveryMove(t *testing.T) {
	var xs []float64
	d := drive(t, func(u *UI, r paint.Rect) {
		for _, e := range u.Area("bench", paint.R(0, 0, 400, 400)).Events {
			xs = append(xs, e.X)
		}
	})
	d.send(at(PointerMove, 1, 50))
	xs = nil
	d.send(at(PointerMove, 2, 50), at(PointerMove, 3, 50), at(PointerDown, 4, 50), at(PointerMove, 5, 50), at(PointerUp, 6, 50), at(PointerMove, 7, 50))
	if want := []float64{2, 3, 4, 5, 6, 7}; !slices.Equal(xs, want) {
		t.Fatalf("the area saw %v, want each event once in order: %v", xs, want)
	}
	d.send(at(PointerDown, 10, 50))
	xs = nil
	d.send(at(PointerMove, 700, 50), at(PointerUp, 701, 50))
	if want := []float64{700, 701}; !slices.Equal(xs, want) {
		t.Fatalf("a held area saw %v, want the moves outside it too: %v", xs, want)
	}
}

func TestTraversal(t *testing.T) {
	var fired []string
	choice := 1
	d := drive(t, func(u *UI, r paint.Rect) {
		for i, n := range []string{"a", "b"} {
			if u.Button(n, paint.R(10, 10+40*float64(i), 100, 30), n) {
				fired = append(fired, n)
			}
		}
		u.ButtonWith("off", paint.R(10, 90, 100, 30), "off", ButtonAs{Off: true})
		u.Radio("r", paint.R(10, 130, 400, 30), []string{"x", "y", "z"}, &choice)
	})
	d.keys("Tab", "Enter", "Tab", "Space")
	if want := []string{"a", "b"}; !slices.Equal(fired, want) {
		t.Fatalf("fired %v, want %v", fired, want)
	}
	d.keys("Tab", "ArrowRight")
	if choice != 2 {
		t.Fatalf("choice is %d after Tab past the disabled button and one arrow, want 2", choice)
	}
	d.keys("ArrowRight")
	if choice != 2 {
		t.Fatal("arrows must stop at the last choice")
	}
	d.keys("Home")
	if choice != 0 {
		t.Fatal("Home must choose the first")
	}
	d.keys("Tab")
	if !d.u.Focused("a") {
		t.Fatal("Tab must go round to the first widget")
	}
	d.send(Event{Kind: KeyDown, Key: "Tab", Shift: true})
	if !d.u.Focused("r") {
		t.Fatal("Shift+Tab must go back round to the last")
	}
}

func TestHeldEnterFiresOnce(t *testing.T) {
	n := 0
	d := drive(t, func(u *UI, r paint.Rect) {
		if u.Button("a", paint.R(10, 10, 100, 30), "a") {
			n++
		}
	})
	d.keys("Tab")
	d.send(Event{Kind: KeyDown, Key: "Enter"}, Event{Kind: KeyDown, Key: "Enter", Repeat: true})
	if n != 1 {
		t.Fatalf("a held Enter fired %d times, want 1", n)
	}
}

func TestModalTrapsAndGivesBack(t *testing.T) {
	open, behind, inside := false, 0, 0
	d := drive(t, func(u *UI, r paint.Rect) {
		if u.Button("open", paint.R(10, 10, 100, 30), "Open") {
			open, behind = true, behind+1
		}
		u.Button("other", paint.R(10, 50, 100, 30), "Other")
		if open {
			in := u.BeginModal("m", "Title", 300, 200)
			if u.Button("x", in.TakeTop(30), "X") {
				inside++
			}
			u.Button("y", in.TakeTop(30), "Y")
			if u.EndModal() {
				open = false
			}
		}
		if u.Pressed("z") {
			behind = 100
		}
	})
	d.keys("Tab", "Enter")
	if !open || !d.u.Focused("x") {
		t.Fatal("opening a dialog must move the focus to its first widget")
	}
	d.click(50, 20)
	if behind != 1 {
		t.Fatal("a widget behind a dialog answered a click")
	}
	for range 5 {
		d.keys("Tab")
		if d.u.Focused("open") || d.u.Focused("other") {
			t.Fatal("Tab left the dialog")
		}
	}
	d.keys("z")
	if behind == 100 {
		t.Fatal("a shortcut of the screen behind worked while a dialog was open")
	}
	d.keys("Escape")
	if open || !d.u.Focused("open") {
		t.Fatal("Escape must close the dialog and give the focus back")
	}
	if d.keys("z"); behind != 100 {
		t.Fatal("the shortcut must work again")
	}
}

func TestSliderDragAndKeys(t *testing.T) {
	v := 0.0
	d := drive(t, func(u *UI, r paint.Rect) { u.Slider("s", paint.R(0, 0, 216, 30), &v, 0, 100, 5) })
	d.send(at(PointerDown, 108, 15), at(PointerMove, 160, 15))
	if v != 75 {
		t.Fatalf("dragged to %v, want 75 (the nearest step)", v)
	}
	d.send(at(PointerMove, 9999, 15), at(PointerUp, 9999, 15))
	if v != 100 {
		t.Fatalf("dragged past the end: %v, want 100", v)
	}
	d.keys("ArrowLeft", "PageDown", "ArrowUp")
	if v != 90 {
		t.Fatalf("after keys: %v, want 90", v)
	}
	if d.keys("Home"); v != 0 {
		t.Fatal("Home must go to the low end")
	}
}

func TestListKeysWheelAndSecondClick(t *testing.T) {
	chosen, fired, shown := 0, -1, 0
	d := drive(t, func(u *UI, r paint.Rect) {
		shown = 0
		if f := u.List("l", paint.R(0, 0, 300, 200), 1000, 20, &chosen, func(i int, r paint.Rect) { shown++ }); f >= 0 {
			fired = f
		}
	})
	if shown == 0 || shown > 12 {
		t.Fatalf("%d rows drawn, want only those in view", shown)
	}
	d.click(50, 45)
	if chosen != 2 || fired != -1 {
		t.Fatalf("click chose %d and fired %d, want 2 and none", chosen, fired)
	}
	if d.click(50, 45); fired != 2 {
		t.Fatalf("second click fired %d, want 2", fired)
	}
	d.keys("End")
	if chosen != 999 {
		t.Fatalf("End chose %d, want 999", chosen)
	}
	// The last row must be in view now: clicking the lowest place hits it.
	chosen = 0
	d.click(50, 195)
	if chosen != 999 {
		t.Fatalf("the lowest row is %d, want 999: the choice was not scrolled into view", chosen)
	}
	d.keys("Home")
	d.send(Event{Kind: Wheel, X: 50, Y: 50, WheelY: 2})
	d.click(50, 5)
	if chosen != 4 {
		t.Fatalf("after two lines of wheel the first row is %d, want 4 (80 pixels of 20)", chosen)
	}
	if d.keys("Enter"); fired != 4 {
		t.Fatalf("Enter fired %d, want 4", fired)
	}
}

func TestScrollFollowsFocus(t *testing.T) {
	places := map[int]paint.Rect{}
	d := drive(t, func(u *UI, r paint.Rect) {
		in := u.BeginScroll("p", paint.R(0, 0, 300, 200))
		for i := range 30 {
			u.Scope("row", i)
			places[i] = in.Move(0, float64(i)*40)
			u.Button("b", paint.R(in.X, in.Y+float64(i)*40, 100, 30), "b")
			u.EndScope()
		}
		u.EndScroll(30 * 40)
	})
	view := paint.R(0, 0, 300, 200)
	for i := range 31 {
		d.keys("Tab")
		if i == 0 {
			continue // the pane itself
		}
		p := places[i-1]
		if !view.Contains(1, p.Y) || !view.Contains(1, p.Y+29) {
			t.Fatalf("button %d has the focus but lies at %v, outside the pane", i-1, p.Y)
		}
	}
	d.keys("Home")
	if places[0].Y != 0 {
		t.Fatalf("Home left the content at %v, want 0", places[0].Y)
	}
	d.keys("PageDown")
	if places[0].Y >= -100 {
		t.Fatalf("PageDown moved the content to %v only", places[0].Y)
	}
}

func TestFingerPullScrollsAndDoesNotClick(t *testing.T) {
	n, y := 0, 0.0
	d := drive(t, func(u *UI, r paint.Rect) {
		in := u.BeginScroll("p", paint.R(0, 0, 300, 200))
		y = in.Y
		if u.Button("b", paint.R(in.X, in.Y+80, 280, 100), "b") {
			n++
		}
		u.EndScroll(1000)
	})
	d.finger(PointerDown, 100, 150)
	d.finger(PointerMove, 100, 120)
	d.finger(PointerMove, 100, 90)
	d.finger(PointerUp, 100, 90)
	if y != -60 || n != 0 {
		t.Fatalf("after pulling 60 pixels the content is at %v with %d clicks, want -60 and none", y, n)
	}
	d.finger(PointerDown, 100, 100)
	d.finger(PointerUp, 100, 102)
	if n != 1 {
		t.Fatalf("a tap gave %d clicks, want 1", n)
	}
}

func TestTabsAndCheckBox(t *testing.T) {
	tab, on := 0, false
	d := drive(t, func(u *UI, r paint.Rect) {
		u.Tabs("t", paint.R(0, 0, 400, 30), []string{"One", "Two", "Three"}, &tab)
		u.CheckBox("c", paint.R(0, 40, 200, 30), "Box", &on)
	})
	d.keys("Tab", "ArrowRight", "Tab", "Space")
	if tab != 1 || !on {
		t.Fatalf("tab %d, box %v, want 1 and true", tab, on)
	}
	d.click(10, 10)
	d.click(10, 55)
	if tab != 0 || on {
		t.Fatalf("after clicks: tab %d, box %v, want 0 and false", tab, on)
	}
}

func TestCutLabelIsNotedAndShownInATip(t *testing.T) {
	const long = "a label that cannot possibly fit into its place"
	d := drive(t, func(u *UI, r paint.Rect) { u.Label(paint.R(10, 10, 80, 20), long) })
	d.u.Check = true
	d.send()
	if f := d.u.Faults(); len(f) != 1 || !strings.Contains(f[0], long) {
		t.Fatalf("faults are %q, want the cut label", f)
	}
	before := d.l.Len()
	d.send(at(PointerMove, 20, 20))
	d.now += 1000
	d.send()
	if d.l.Len() <= before {
		t.Fatal("no tooltip shows the whole label after the pointer rested on it")
	}
}

func TestDoubledIDIsNoted(t *testing.T) {
	d := drive(t, func(u *UI, r paint.Rect) {
		u.Button("same", paint.R(0, 0, 90, 30), "A")
		u.Button("same", paint.R(0, 40, 90, 30), "B")
	})
	d.u.Check = true
	d.send()
	if f := d.u.Faults(); len(f) != 1 || !strings.Contains(f[0], "same") {
		t.Fatalf("faults are %q, want the doubled id", f)
	}
}

func TestNoticeGoesAway(t *testing.T) {
	d := drive(t, func(u *UI, r paint.Rect) {})
	empty := d.l.Len()
	d.u.Notify(Good, "done")
	if d.send(); d.l.Len() <= empty {
		t.Fatal("the notice is not shown")
	}
	d.now += 10000
	if d.send(); d.l.Len() != empty {
		t.Fatal("the notice stays for ever")
	}
}
