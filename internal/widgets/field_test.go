package widgets

import (
	"testing"

	"foilwright/internal/paint"
)

func field(t *testing.T, text *string) *driver {
	d := drive(t, func(u *UI, r paint.Rect) { u.TextField("f", paint.R(10, 10, 200, 34), text, "name") })
	d.click(50, 25)
	return d
}

func TestTyping(t *testing.T) {
	s := ""
	d := field(t, &s)
	d.typed("Åsa 5 µm")
	if s != "Åsa 5 µm" {
		t.Fatalf("typed text is %q", s)
	}
	d.keys("Backspace", "Backspace", "Backspace")
	if s != "Åsa 5" {
		t.Fatalf("after three Backspace: %q, want %q", s, "Åsa 5")
	}
	d.keys("Home", "Delete")
	if s != "sa 5" {
		t.Fatalf("Delete at the start must take one whole rune: %q", s)
	}
	d.keys("ArrowRight")
	d.typed("-")
	if s != "s-a 5" {
		t.Fatalf("typing in the middle: %q", s)
	}
	d.send(Event{Kind: Text, Text: "x\x00\ty"})
	if s != "s-xya 5" {
		t.Fatalf("control characters must be dropped: %q", s)
	}
}

func TestSeveralKeysInOneFrame(t *testing.T) {
	s := ""
	d := field(t, &s)
	d.send(Event{Kind: Text, Text: "a"}, Event{Kind: Text, Text: "b"}, Event{Kind: KeyDown, Key: "Backspace"}, Event{Kind: Text, Text: "c"})
	if s != "ac" {
		t.Fatalf("text is %q, want ac: events of one frame must all count, in order", s)
	}
}

func TestSelection(t *testing.T) {
	s := "one two"
	d := field(t, &s)
	d.send(Event{Kind: KeyDown, Key: "End"})
	d.send(Event{Kind: KeyDown, Key: "ArrowLeft", Shift: true, Ctrl: true})
	d.send(Event{Kind: KeyDown, Key: "x", Ctrl: true})
	if s != "one " {
		t.Fatalf("cutting the last word left %q", s)
	}
	d.send(Event{Kind: KeyDown, Key: "a", Ctrl: true})
	d.send(Event{Kind: KeyDown, Key: "v", Ctrl: true})
	if s != "two" {
		t.Fatalf("pasting over everything gave %q, want two", s)
	}
	d.send(Event{Kind: KeyDown, Key: "a", Ctrl: true})
	d.typed("z")
	if s != "z" {
		t.Fatalf("typing over a selection gave %q", s)
	}
}

func TestPointerSelects(t *testing.T) {
	s := "iiiiiiiiii"
	d := field(t, &s)
	d.send(at(PointerDown, 12, 25), at(PointerMove, 205, 25), at(PointerUp, 205, 25))
	d.keys("Delete")
	if s != "" {
		t.Fatalf("after dragging over all and Delete: %q, want nothing", s)
	}
}

func TestShortcutIsDeadWhileTyping(t *testing.T) {
	s, n := "", 0
	d := drive(t, func(u *UI, r paint.Rect) {
		u.TextField("f", paint.R(10, 10, 200, 34), &s, "")
		if u.Pressed("s") {
			n++
		}
	})
	d.keys("s")
	d.click(50, 25)
	d.typed("s")
	if n != 1 || s != "s" {
		t.Fatalf("shortcut fired %d times and text is %q, want 1 and s", n, s)
	}
}

func TestNumber(t *testing.T) {
	cases := []struct {
		name  string
		typed string
		leave func(d *driver)
		want  float64
	}{
		{"Enter", "250", func(d *driver) { d.keys("Enter") }, 250},
		{"Tab", "12.34", func(d *driver) { d.keys("Tab") }, 12.3},
		{"comma", "12,5", func(d *driver) { d.keys("Enter") }, 12.5},
		{"true minus", "−40", func(d *driver) { d.keys("Enter") }, -40},
		{"click elsewhere", "77", func(d *driver) { d.click(500, 500) }, 77},
		{"click on a field before it", "66", func(d *driver) { d.click(50, 25) }, 66},
		{"click on a button", "55", func(d *driver) { d.click(50, 125) }, 55},
		{"above the limit", "99999", func(d *driver) { d.keys("Enter") }, 500},
		{"letters are not taken", "1e2", func(d *driver) { d.keys("Enter") }, 12},
		{"no number", "--", func(d *driver) { d.keys("Enter") }, 100},
		{"Escape", "300", func(d *driver) { d.keys("Escape", "Tab") }, 100},
		{"arrow after typing", "20", func(d *driver) { d.keys("ArrowUp") }, 25},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			v, s, atClick := 100.0, "", 0.0
			d := drive(t, func(u *UI, r paint.Rect) {
				u.TextField("before", paint.R(10, 10, 200, 34), &s, "")
				u.Number("n", paint.R(10, 60, 200, 34), &v, NumberAs{Min: -50, Max: 500, Step: 5, Decimals: 1})
				if u.Button("b", paint.R(10, 110, 200, 34), "Use it") {
					atClick = v
				}
			})
			d.click(100, 75)
			d.send(Event{Kind: KeyDown, Key: "a", Ctrl: true})
			d.typed(c.typed)
			c.leave(d)
			if v != c.want {
				t.Fatalf("typed %q: value %v, want %v", c.typed, v, c.want)
			}
			if c.name == "click on a button" && atClick != c.want {
				t.Fatalf("the button saw %v, want the draft %v to count before the click", atClick, c.want)
			}
		})
	}
}

func TestNumberButtonsRepeat(t *testing.T) {
	v := 0.0
	d := drive(t, func(u *UI, r paint.Rect) { u.Number("n", paint.R(0, 0, 200, 34), &v, NumberAs{}) })
	d.send(at(PointerDown, 190, 15))
	if v != 1 {
		t.Fatalf("a press on + gave %v, want 1", v)
	}
	for range 60 {
		d.send()
	}
	d.send(at(PointerUp, 190, 15))
	if v < 6 || v > 12 {
		t.Fatalf("holding + for a second gave %v, want about 8", v)
	}
}

func TestStep(t *testing.T) {
	cases := []struct {
		span     float64
		n        int
		step     float64
		decimals int
	}{{100, 5, 20, 0}, {1, 5, 0.2, 1}, {0.033, 4, 0.01, 2}, {3e5, 6, 5e4, 0}, {7, 7, 1, 0}, {0.9, 1, 1, 0}, {-1, 5, 1, 0}}
	for _, c := range cases {
		s, d := Step(c.span, c.n)
		if diff := s - c.step; diff > 1e-9*c.step || diff < -1e-9*c.step || d != c.decimals {
			t.Errorf("Step(%v, %d) = %v, %d, want %v, %d", c.span, c.n, s, d, c.step, c.decimals)
		}
	}
}

func TestNum(t *testing.T) {
	u := New()
	for _, c := range []struct {
		v    float64
		d    int
		want string
	}{{1.25, 1, "1.2"}, {-0.04, 1, "0.0"}, {-3.5, 1, "−3.5"}, {100, 0, "100"}} {
		if got := u.Num(c.v, c.d); got != c.want {
			t.Errorf("Num(%v, %d) = %q, want %q", c.v, c.d, got, c.want)
		}
	}
	if u.signed(2, 1, "µm") != "+2.0 µm" || u.signed(2, 1, "s") != "+2.0 s" || u.Num(2, 1) != "2.0" {
		t.Error("numbers with different units or signs were mixed up")
	}
}
