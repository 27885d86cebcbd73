package screens

import (
	"strings"
	"testing"

	"foilwright/internal/attempt"
	"foilwright/internal/paint"
	"foilwright/scenarios"
	"foilwright/sim/bench"
	"foilwright/sim/grade"
	"foilwright/sim/trainee"
)

func TestTheLessonShowsAGoodReadingAndASpoiltOne(t *testing.T) {
	d := newDriver(t, 1280, 800)
	d.app.where = map[string]paint.Rect{}
	d.key("g")
	d.pass(100)
	at := func(step int) {
		t.Helper()
		d.pass(60)
		if l := d.app.lesson; l == nil || l.step != step {
			t.Fatalf("lesson %+v, want step %d; %s", l, step, d.app.sitting.refusal)
		}
	}
	at(lessonPlace)
	d.shot("lesson-1")
	d.key("2")
	at(lessonZero)
	d.key("z")
	at(lessonTouch)
	touch := func(n int) {
		for range n {
			d.hold("Space", 1100)
			d.pass(700)
		}
	}
	touch(3)
	at(lessonStore)
	d.key("s")
	at(lessonPart)
	d.key("1")
	at(lessonGood)
	touch(1)
	at(lessonEdge)
	for range 15 {
		d.key("Ctrl+ArrowLeft")
	}
	d.key("ArrowRight")
	d.pass(500)
	touch(1)
	at(lessonDone)
	d.shot("lesson-2")
	l, r := d.app.lesson, d.app.sitting.Bench.Record()
	off := func(i int) float64 { return float64(r.Contacts[i].Counts)*0.1 - r.TrueUm(i) }
	if off(l.edge) < off(l.good)+2 {
		t.Errorf("the edge spoils nothing: off by %.1f and %.1f µm", off(l.good), off(l.edge))
	}
	d.press("lesson-end")
	d.pass(100)
	if d.app.page != pageHome || !d.app.settings.Seen || len(d.app.home.shelf) != 0 {
		t.Errorf("page %d, seen %v, shelf %v", d.app.page, d.app.settings.Seen, d.app.home.shelf)
	}
	for _, f := range d.app.ui.Faults() {
		t.Error(f)
	}
}

// fewZeros stores a zero of two readings and takes one of the part.
func fewZeros(d *driver) {
	for _, k := range []string{"l", "c", "2", "z"} {
		d.key(k)
		d.pass(60)
	}
	for range 2 {
		d.hold("Space", 1100)
		d.pass(700)
	}
	d.key("s")
	d.pass(60)
}

func TestTheCoachSaysOneThingInTime(t *testing.T) {
	d := newDriver(t, 1280, 800)
	d.key("1")
	d.pass(60)
	d.key("Enter")
	d.pass(60)
	fewZeros(d)
	c := &d.app.desk.coach
	if !strings.Contains(c.hint, "few") || strings.Contains(c.hint, "\n") {
		t.Fatalf("hint %q after a zero of two readings", c.hint)
	}
	d.shot("hint")
	d.pass(hintMs + 1000)
	if c.hint != "" {
		t.Errorf("the hint stays: %q", c.hint)
	}
	d.key("1")
	d.hold("Space", 1100)
	d.pass(700)
	if strings.Contains(c.hint, "few") || c.hint == "" {
		t.Errorf("hint %q after measuring without a foil", c.hint)
	}
	if n := c.told["zero-few"]; n == 0 {
		t.Error("the hint is not remembered")
	}
	d.key("h")
	d.pass(60)
	if !d.app.settings.NoHints || c.hint != "" {
		t.Errorf("hints off: %v, %q", d.app.settings.NoHints, c.hint)
	}
}

// A competent start gets no hint at all.
func TestTheCoachIsSilentWhenNothingIsWrong(t *testing.T) {
	d := newDriver(t, 1280, 800)
	for _, k := range []string{"1", "Enter", "l", "c", "2", "z"} {
		d.key(k)
		d.pass(60)
	}
	for range 5 {
		d.hold("Space", 1100)
		d.pass(700)
		if h := d.app.desk.coach.hint; h != "" {
			t.Fatalf("hint %q", h)
		}
	}
	d.key("s")
	d.pass(60)
	if h := d.app.desk.coach.hint; h != "" {
		t.Errorf("hint %q", h)
	}
}

func TestAnAssessmentHasNoHints(t *testing.T) {
	d := newDriver(t, 1280, 800)
	d.app.where = map[string]paint.Rect{}
	d.frame()
	d.press("assess-painted-panel")
	d.pass(100)
	d.key("Enter")
	d.pass(60)
	fewZeros(d)
	if s := d.app.sitting; !s.Assessment || d.app.desk.coach.hint != "" || d.app.desk.coach.seen != 0 {
		t.Errorf("assessment %v, hint %q", s.Assessment, d.app.desk.coach.hint)
	}
	d.key("h")
	if d.app.settings.NoHints || d.app.sitting.refusal == "" {
		t.Error("H did something in an assessment")
	}
	// It stays one when it is taken up again.
	d.key("Escape")
	d.pass(100)
	d.key("Enter")
	d.pass(100)
	if s := d.app.sitting; s == nil || !s.Assessment {
		t.Error("taken up again it is no assessment")
	}
}

func BenchmarkCoach(b *testing.B) {
	d := atTheBench(b)
	s := d.app.sitting
	for b.Loop() {
		c := coach{}
		c.listen(s)
	}
	if s.view.Mode != bench.Measuring {
		b.Fatal("not measuring")
	}
}

// Whoever works by the book is told nothing, in any exercise: no hint speaks of
// work that was still to come.
func TestTheCoachLeavesCompetentWorkAlone(t *testing.T) {
	for _, e := range scenarios.Shipped() {
		w, err := bench.NewWorld(e, 3)
		if err != nil {
			t.Fatal(err)
		}
		played, err := trainee.Play(w, 3)
		if err != nil {
			t.Errorf("%s: %v", e.ID, err)
			continue
		}
		if len(grade.Grade(played.Record()).Findings) > 0 {
			t.Logf("%s: the scripted trainee is not competent here", e.ID)
			continue
		}
		a := attempt.Unkept(w)
		s, c := sitDown(a), coach{}
		for _, entry := range played.Record().Entries {
			s.give(entry.Action)
			s.lastMs = s.view.NowMs
			c.listen(s)
			if len(c.told) > 0 {
				t.Errorf("%s, entry %d (%s): %s", e.ID, entry.N, entry.Action.Do, c.hint)
				break
			}
		}
	}
}

// Whatever else is offered, and in whatever order, the first minutes are on the
// bench they are written for, with nothing on it they do not speak of, and can
// be had again.
func TestTheLessonIsOnItsOwnBench(t *testing.T) {
	d := newDriver(t, 1280, 800)
	d.app.Exercises, d.app.Whole = scenarios.Headings(), scenarios.Whole
	d.app.openHome()
	for range 2 {
		d.pass(60)
		d.key("g")
		d.pass(100)
		s := d.app.sitting
		if s == nil || d.app.lesson == nil || s.exercise.ID != lessonExercise || len(s.view.Memory) != 0 {
			t.Fatalf("sitting %+v, fault %q", s, d.app.fault)
		}
		d.app.endLesson()
		d.pass(100)
	}
	for id, want := range map[string]bool{lessonExercise: true, "first-zero": true, "anodised-trim": false, "handrail": false, "pump-flange": false} {
		e, err := scenarios.ByID(id)
		if err != nil {
			t.Fatal(err)
		}
		if suitsLesson(e) != want {
			t.Errorf("%s: suits the first minutes %v, want %v", id, !want, want)
		}
	}
}
