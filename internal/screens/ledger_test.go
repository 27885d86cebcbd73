package screens

import (
	"slices"
	"strings"
	"testing"
)

// What came of a step stands below its heading, the newest step and in it the newest line first.
func TestTheLedgerReadsFromItsHeadingsDown(t *testing.T) {
	lines := []ledgerLine{
		{kind: lineReading, left: "before"},
		{kind: lineHeading, left: "spot 1"}, {kind: lineReading, left: "a"}, {kind: lineReading, left: "b"},
		{kind: lineHeading, left: "spot 2"}, {kind: lineReading, left: "c"}, {kind: lineNote, left: "none"}, {kind: lineNote, left: "laid", setup: true},
	}
	var d benchState
	d.writeLines(lines, units{resolutionUm: 0.1})
	var got []string
	for _, l := range d.lines {
		got = append(got, l.left)
	}
	if want := []string{"laid", "spot 2", "none", "c", "spot 1", "b", "a", "before"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	d.writeLines(nil, units{resolutionUm: 0.1})
	if len(d.lines) != 0 {
		t.Errorf("an empty ledger has %d lines", len(d.lines))
	}
}

// While a hint stands, the line with the figures that are judged by stands too, and the switch shows that hints are on.
func TestAHintHidesNoFigure(t *testing.T) {
	d := newDriver(t, 1280, 800)
	for _, k := range []string{"1", "Enter", "2", "z"} {
		d.key(k)
		d.pass(60)
	}
	d.hold("Space", 1100)
	d.pass(700)
	if d.app.desk.coach.hint == "" {
		t.Fatal("there is no hint to look at")
	}
	shown := strings.Join(d.list.Texts(), " ")
	for _, want := range []string{"Zero: 1 reading taken.", "Hint:", "Hints on"} {
		if !strings.Contains(shown, want) {
			t.Errorf("%q is not shown", want)
		}
	}
	d.key("h")
	d.pass(100)
	if shown := strings.Join(d.list.Texts(), " "); !d.app.settings.NoHints || !strings.Contains(shown, "Hints off") || strings.Contains(shown, "Hint:") {
		t.Error("H does not switch the hints off")
	}
}
