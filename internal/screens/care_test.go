package screens

import (
	"strings"
	"testing"

	"foilwright/internal/paint"
	"foilwright/scenarios"
	"foilwright/sim/bench"
)

// What a trainee does to tip, piece, foil and time by button and key shows in
// words, in the pictures and in the log.
func TestLookingAfterThings(t *testing.T) {
	d := newDriver(t, 1280, 800)
	e, err := scenarios.ByID("neglected-bench")
	if err != nil {
		t.Fatal(err)
	}
	d.app.Exercises = scenarios.Shipped()
	d.app.where = map[string]paint.Rect{}
	d.app.begin(e, false)
	d.pass(100)
	d.app.goTo(pageBench)
	d.pass(60)
	s := d.app.sitting
	d.press("look-tip")
	if !strings.Contains(s.noticed.tip, "dirt clings") || !s.cut().Tip.Dirty {
		t.Errorf("looked at the tip: %q", s.noticed.tip)
	}
	d.key("w")
	if !strings.Contains(s.noticed.tip, "came away dirty") || s.cut().Tip.Dirty {
		t.Errorf("wiped the tip: %q", s.noticed.tip)
	}
	d.key("1")
	d.key("o")
	if !strings.Contains(s.noticed.piece, "a steel pin clings") || !s.cut().Dusty {
		t.Errorf("looked the piece over: %q", s.noticed.piece)
	}
	d.press("wipe-piece")
	d.key("y")
	d.key("o")
	if strings.Contains(s.noticed.piece, "clings") || strings.Contains(s.noticed.piece, "dust") {
		t.Errorf("the piece in order: %q", s.noticed.piece)
	}
	before := s.view.NowMs
	for range 6 {
		s.rest(d.app.now, restMs)
	}
	d.pass(60)
	if got := s.view.NowMs - before; got < 6*restMs {
		t.Errorf("six rests let %d ms pass", got)
	}
	d.key("o")
	if !strings.Contains(s.noticed.piece, "it is at 20 °C") {
		t.Errorf("after an hour: %q", s.noticed.piece)
	}
	d.key("2")
	if s.noticed.piece != "" {
		t.Errorf("another piece, and still %q", s.noticed.piece)
	}
	d.key("5")
	d.key("a")
	if c := s.cut(); !strings.Contains(s.noticed.foil, "crease") || c.Seen.Condition != "creased" {
		t.Errorf("looked at the foil: %q, %+v", s.noticed.foil, c.Seen)
	}
	d.key("4")
	if c := s.cut(); c.BelowUm != 75 || c.FoilUm != 50 || !c.Seen.Curled {
		t.Errorf("stacked: %+v", c)
	}
	d.key("=")
	if !s.view.Smoothed || !strings.Contains(s.noticed.foil, "lies flat") {
		t.Errorf("smoothed: %q", s.noticed.foil)
	}
	d.key("0")
	if s.view.Foil != "foil-75" || s.view.Below != "" {
		t.Errorf("the upper foil taken away: %q on %q", s.view.Foil, s.view.Below)
	}
	verbs := map[bench.Verb]int{}
	for _, entry := range s.Bench.Record().Entries {
		verbs[entry.Action.Do]++
	}
	for _, v := range []bench.Verb{bench.LookAtTip, bench.WipeTip, bench.LookAtPiece, bench.WipePiece, bench.Demagnetise, bench.LookAtFoil, bench.SmoothFoil} {
		if verbs[v] == 0 {
			t.Errorf("%s is not in the log", v)
		}
	}
	for _, f := range d.app.ui.Faults() {
		t.Error(f)
	}
}

// A reading that was cleared away stays on the plan as one that is gone, and begins no spot.
func TestClearedReadingsAreStruckOnThePlan(t *testing.T) {
	d := atTheBench(t)
	for _, k := range []string{"1", "m"} {
		d.key(k)
	}
	read := func() {
		d.pass(450)
		d.hold("Space", 1150)
		d.pass(600)
	}
	read()
	d.key("c")
	d.pass(60)
	d.key("Enter") // yes, clear
	d.pass(60)
	read()
	s := d.app.sitting
	if n := len(s.view.Memory); n != 1 {
		t.Fatalf("%d readings in the memory, want the one after it was cleared", n)
	}
	m := d.app.desk.marks
	if len(m) < 2 {
		t.Fatalf("%d marks", len(m))
	}
	for i, q := range m {
		if last := i == len(m)-1; q.Struck == last || q.First != last {
			t.Errorf("mark %d of %d is %+v", i+1, len(m), q)
		}
	}
}
