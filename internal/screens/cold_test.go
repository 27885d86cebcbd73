package screens

import (
	"strings"
	"testing"

	"foilwright/internal/hand"
	"foilwright/scenarios"
)

func TestQuotesAreThoseOfASentence(t *testing.T) {
	for in, want := range map[string]string{
		`Zero on "Bare plate, 3 mm".`: "Zero on “Bare plate, 3 mm”.",
		`"A" ("B")`:                   "“A” (“B”)",
		"nothing to do":               "nothing to do",
	} {
		if got := quoted(in); got != want {
			t.Errorf("%s: got %s, want %s", in, got, want)
		}
	}
}

// What looking shows would lie under an open certificate, so that is put down.
func TestLookingPutsTheCertificateDown(t *testing.T) {
	d := newDriver(t, 1280, 800)
	d.key("1")
	d.pass(60)
	d.key("Enter")
	for _, k := range []string{"2", "6", "k"} {
		d.key(k)
	}
	d.pass(60)
	if !d.app.carded() {
		t.Fatal("no certificate lies open")
	}
	d.key("o")
	d.pass(60)
	if d.app.carded() || d.app.sitting.noticed.piece == "" {
		t.Errorf("open %v, noticed %q", d.app.carded(), d.app.sitting.noticed.piece)
	}
}

// The bench says how far the probe is tilted, and how many readings are not of this job.
func TestTiltAndEarlierReadingsAreTold(t *testing.T) {
	d := newDriver(t, 1280, 800)
	d.key("1")
	d.pass(60)
	d.key("Enter")
	d.key("1")
	d.app.sitting.grip(d.app.now, hand.Tip, 0, 3)
	d.pass(100)
	if got := d.app.tiltText(); got != "tilt 3°" {
		t.Errorf("got %q", got)
	}
	d.key("u")
	d.pass(100)
	if got := d.app.tiltText(); got != "tilt 0°" {
		t.Errorf("upright, got %q", got)
	}
	if n := len(d.app.sitting.view.Memory); n == 0 || !strings.HasPrefix(d.app.desk.earlier, d.app.pen.Labels.Whole(n)+" of them") {
		t.Errorf("%d readings in memory, told %q", n, d.app.desk.earlier)
	}
}

// Whoever has passed an exercise is not met as a newcomer.
func TestWhoHasPassedIsNoNewcomer(t *testing.T) {
	d := newDriver(t, 1280, 800)
	d.app.settings.Seen = false
	if !d.app.newcomer() {
		t.Error("nothing done, and no newcomer")
	}
	d.app.home.best = map[string]best{"painted-panel": {times: 1}}
	if !d.app.newcomer() {
		t.Error("a failed attempt ends the welcome")
	}
	d.app.home.best["painted-panel"] = best{times: 2, passed: true}
	if d.app.newcomer() {
		t.Error("a newcomer after a passed exercise")
	}
}

// The cards of a row are as high as the highest.
func TestCardsOfARowAreOfOneHeight(t *testing.T) {
	d := newDriver(t, 1920, 1080)
	d.app.Exercises = scenarios.Shipped()
	d.app.openHome()
	d.pass(60)
	a := d.app
	for _, g := range a.home.groups {
		if len(g.list) < 2 {
			continue
		}
		two := a.cardRowHeight(g.list, 2, 400)
		for _, e := range g.list[:2] {
			if w := a.cardWords(e); a.cardHeight(e, &w, 400) > two {
				t.Errorf("%s does not fit its row", e.ID)
			}
		}
	}
	if got := a.cardRowHeight(nil, 3, 400); got != 0 {
		t.Errorf("no cards are %g high", got)
	}
}
