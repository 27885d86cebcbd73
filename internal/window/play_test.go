//go:build display

package window

import (
	"bytes"
	"flag"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"foilwright/internal/attempt"
	"foilwright/internal/store"
	"foilwright/scenarios"
	"foilwright/sim/bench"
	"foilwright/sim/grade"
)

var play = flag.Bool("play", false, "play an exercise by mouse, which takes about two minutes on an idle machine")

// TestPlayByMouse plays the painted panel in a real window with the mouse alone: from the job sheet to the debrief, back
// along the time line, beside a competent attempt, and once more from the middle. Pictures of each step are left in
// build/mouse.
func TestPlayByMouse(t *testing.T) {
	if !*play {
		t.Skip("played only when asked for with -play")
	}
	m := newMouse(t, "painted-panel", filepath.Join("..", "..", "build", "mouse"))
	began := time.Now()
	m.prepare()
	m.shot("05-zeroed")
	m.adjust()
	m.verify("07-verify")
	m.measure()
	m.verify("09-verify-again")
	m.report()

	m.goes("tab-readings", "tab-look-back")
	m.shot("13-readings")
	m.lookBack()
	m.tryAgain()
	t.Logf("played in %.0f s, pictures in %s", time.Since(began).Seconds(), m.pictures)
}

// prepare goes from the first page to a stored zero.
func (m *mouse) prepare() {
	m.Helper()
	m.shot("01-home")
	m.does("start-painted-panel", "read-job")
	m.place("to-bench")
	m.shot("02-job")
	m.goes("to-bench", "look-tip")
	m.shot("03-bench")
	m.does("look-tip", "look-tip")
	m.does("wipe-tip", "wipe-tip")
	m.does("card-foil-75", "read-certificate")
	m.shot("04-card")
	m.does("clear", "clear-memory")
	m.does("twin-3", "place")
	m.does("zero", "begin-zero")
	for i := range 5 {
		m.reads(52+4*float64(i), 50)
	}
	m.does("store", "store-zero")
}

// adjust makes the gauge show a foil, and shows what the field view says of it.
func (m *mouse) adjust() {
	m.Helper()
	m.does("foil-75", "lay-foil")
	m.does("foil", "begin-foil")
	m.click("foil-value")
	m.do("type", "--delay", "120", "77.2") // figures can be entered in no other way
	m.shot("06-foil-value")
	m.does("set", "set-foil-value")
	for i := range 5 {
		m.reads(52+4*float64(i), 50)
	}
	m.does("store", "store-foil")
}

func (m *mouse) verify(picture string) {
	m.Helper()
	m.does("verify", "begin-verify")
	if !bytes.Contains(m.log(), []byte(`"item":"foil-50"`)) {
		m.does("card-foil-50", "read-certificate")
		m.click("card-foil-50")
	}
	m.does("twin-3", "place")
	m.does("foil-50", "lay-foil")
	for i := range 3 {
		m.reads(54+4*float64(i), 50)
	}
	m.shot(picture)
	m.does("good", "judge-verify")
}

func (m *mouse) measure() {
	m.Helper()
	m.does("panel", "place")
	m.goes("measure", "new-spot")
	for i, q := range [][2]float64{{60, 60}, {240, 60}, {150, 100}, {60, 140}, {240, 140}} {
		if i > 0 {
			m.does("new-spot", "new-spot")
		}
		for k := range 3 {
			m.reads(q[0]+3*float64(k), q[1])
		}
	}
	m.shot("08-measured")
}

// report hands the work in as the screen shows it, and looks at how it was judged.
func (m *mouse) report() {
	m.Helper()
	m.goes("report", "accept")
	b, _ := m.open(0)
	verdict := "reject"
	// The job asks that the mean of the figures shown reaches 75 µm.
	if w := b.Record().World; b.View().Statistics.Mean*w.Exercise.Instrument.ResolutionUm >= w.Exercise.Job.Rule.MinimumUm {
		verdict = "accept"
	}
	m.click(verdict)
	m.shot("10-report")
	m.does("finish", "report")
	m.place("finish-now-yes")
	m.shot("11-finish")
	m.does("finish-now-yes", "finish")
	m.place("tab-look-back")
	m.shot("12-debrief")

	b, _ = m.open(0)
	r := b.Record()
	if !r.Finished || r.Result == nil || r.Result.Shown.N != 15 || len(r.Verifications) != 2 {
		m.Fatalf("finished %v, result %+v, %d verifications", r.Finished, r.Result, len(r.Verifications))
	}
	s := grade.Grade(r)
	if !s.Passed || len(s.Findings) > 0 {
		m.Errorf("technique %.1f, passed %v, findings %+v", s.Technique, s.Passed, s.Findings)
	}
}

// lookBack drags along the time line, plays a stretch, and looks at a competent attempt.
func (m *mouse) lookBack() {
	m.Helper()
	m.goes("tab-look-back", "time-line")
	x, y := m.place("time-line")
	m.move(x-400, y)
	m.do("mousedown", "1")
	for _, dx := range []float64{-300, -200, -100, 0, 60} {
		m.do("mousemove", "--window", m.window, num(x+dx), num(y), "sleep", "0.1")
	}
	m.shot("14-dragged")
	m.do("mouseup", "1")
	m.click("before")
	m.shot("15-one-before")
	m.click("play")
	time.Sleep(3 * time.Second)
	m.shot("16-playing")
	m.click("play")
	m.click("competent")
	m.place("competent") // after the page that says what takes its time
	x, y = m.place("time-line")
	m.move(x+200, y)
	m.do("mousedown", "1", "sleep", "0.1", "mouseup", "1")
	m.shot("17-competent")
	m.click("competent")
}

// tryAgain takes the work up from the middle, takes a reading there, and leaves.
func (m *mouse) tryAgain() {
	m.Helper()
	x, y := m.place("time-line")
	m.move(x, y)
	m.do("mousedown", "1", "sleep", "0.1", "mouseup", "1")
	m.goes("from-here", "leave")
	m.place("look-tip")
	m.shot("18-from-here")
	names := m.attempts()
	if len(names) != 2 {
		m.fail("%d attempts, want the first and the one from its middle: %q", len(names), names)
	}
	first, _ := m.open(0)
	again, n := m.open(1)
	if n < 20 || n >= len(first.Record().Entries) {
		m.fail("the second attempt begins with %d entries of %d", n, len(first.Record().Entries))
	}
	m.reads(100, 100)
	if got, _ := m.open(1); len(got.Record().Contacts) != len(again.Record().Contacts)+1 {
		m.fail("%d contacts, want %d and one", len(got.Record().Contacts), len(again.Record().Contacts))
	}
	m.shot("19-read-again")
	m.goes("leave", "settings")
	m.shot("20-home")
}

// open replays the log of an attempt as it stands now, and tells how many entries it has.
func (m *mouse) open(i int) (*bench.Bench, int) {
	m.Helper()
	st, err := store.Open(m.data)
	if err != nil {
		m.Fatal(err)
	}
	name := strings.TrimSuffix(filepath.Base(m.attempts()[i]), ".jsonl")
	b, _, err := attempt.Open(st, name, scenarios.ByID)
	if err != nil {
		m.Fatal(err)
	}
	return b, len(b.Record().Entries)
}
