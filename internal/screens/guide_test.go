package screens

import (
	"strconv"
	"strings"
	"testing"
)

// A verification on two foils is never given as one mean, two foils on each other
// are told, and the hint of too few readings waits while more are being taken.
func TestGuideOfTwoFoils(t *testing.T) {
	d := newDriver(t, 1280, 800)
	for _, k := range []string{"1", "Enter"} {
		d.key(k)
		d.pass(60)
	}
	press := func(keys ...string) {
		for _, k := range keys {
			d.key(k)
			d.pass(60)
		}
	}
	touch := func(n int) {
		for range n {
			d.hold("Space", 1100)
			d.pass(700)
		}
	}
	says := func(want string, is bool) {
		t.Helper()
		if text := d.app.desk.guide; strings.Contains(text, want) != is {
			t.Errorf("the guide says %q; with %q: %v wanted", text, want, is)
		}
	}
	foil := func(i int) string { return strconv.Itoa(2 + len(d.app.sitting.exercise.References) + i) }
	press("2", foil(0), "v")
	touch(2)
	says("2 readings", true)
	press(foil(0), foil(1))
	says("readings here", false)
	touch(1)
	says("1 reading", true)
	says("3 readings", false)
	says("Two foils", false)
	press(foil(0))
	says("Two foils", true)
	if want := d.app.foilLabel(&d.app.sitting.exercise.Foils[1]); !strings.Contains(d.app.desk.foilName, want) {
		t.Errorf("the plan names %q, without %q", d.app.desk.foilName, want)
	}
}

func TestHintOfFewReadingsWaits(t *testing.T) {
	d := newDriver(t, 1280, 800)
	for _, k := range []string{"1", "Enter"} {
		d.key(k)
		d.pass(60)
	}
	c := &d.app.desk.coach
	for _, k := range []string{"l", "c", "2", "z"} {
		d.key(k)
		d.pass(60)
	}
	touch := func() { d.hold("Space", 1100); d.pass(700) }
	touch()
	d.key("s")
	d.pass(60)
	c.told, c.hint = nil, ""
	d.key("z")
	for range 5 {
		touch()
		if strings.Contains(c.hint, "few") {
			t.Fatalf("hint %q while the zero is being taken anew", c.hint)
		}
	}
}
