package screens

import (
	"fmt"
	"testing"

	"foilwright/internal/paint"
	"foilwright/internal/widgets"
	"foilwright/scenarios"
	"foilwright/sim/bench"
)

// path is a path of 40 exercises over the chapters.
func path(t testing.TB) []*bench.Exercise {
	var list []*bench.Exercise
	chapters := scenarios.Chapters()
	for i := range 40 {
		e := *first(t)
		e.ID, e.Title = fmt.Sprintf("job-%02d", i), fmt.Sprintf("Job %d of the path", i)
		e.Chapter = chapters[i*len(chapters)/40].ID
		if i > 0 {
			e.Prerequisites = []string{fmt.Sprintf("job-%02d", i-1)}
		}
		list = append(list, &e)
	}
	list[17].Title = "Handrail of the bridge wing"
	return list
}

func TestHomeHoldsFortyExercises(t *testing.T) {
	for _, w := range []float64{1024, 1920} {
		for _, percent := range []int{100, 200} {
			d := driverWith(t, w, w*0.6, Settings{Theme: "light", TextPercent: percent, Seen: true})
			d.app.where = map[string]paint.Rect{}
			d.app.Exercises = path(t)
			d.app.openHome()
			d.pass(60)
			d.shot(fmt.Sprintf("forty-%.0f-%d", w, percent))
			for _, f := range d.app.ui.Faults() {
				t.Errorf("%.0f at %d %%: %s", w, percent, f)
			}
		}
	}
	d := driverWith(t, 1280, 800, Settings{Theme: "light", TextPercent: 100, Seen: true})
	d.app.where = map[string]paint.Rect{}
	d.app.Exercises = path(t)
	d.app.openHome()
	d.pass(60)
	if _, ok := d.app.where["start-job-39"]; !ok {
		t.Error("the last exercise is not on the page")
	}
	d.press("filter")
	d.write("handrail")
	clear(d.app.where)
	d.pass(60)
	if _, ok := d.app.where["start-job-17"]; !ok {
		t.Error("the filter hides what it asks for")
	}
	if _, ok := d.app.where["start-job-16"]; ok {
		t.Error("the filter hides nothing")
	}
	d.write(" nothing like it")
	d.shot("forty-none")
	d.key("Escape")
	d.pass(60)
	if d.app.page != pageHome {
		t.Errorf("page %d", d.app.page)
	}
}

// A newcomer is sent to the beginning of the path, not of the alphabet, and
// what was passed is told from what was not.
func TestHomeSendsToTheBeginningOfThePath(t *testing.T) {
	d := newDriver(t, 1280, 800)
	list := path(t)
	d.app.Exercises = append(append([]*bench.Exercise{}, list[20:]...), list[:20]...)
	d.app.openHome()
	if got := d.app.nextUp(); got != "job-00" {
		t.Errorf("sent to %q, want job-00", got)
	}
	if got := d.app.before(list[5]); got != "“Job 4 of the path”" {
		t.Errorf("before job 5 comes %q", got)
	}
	d.app.home.best["job-04"] = best{passed: true, times: 1}
	if got := d.app.before(list[5]); got != "" {
		t.Errorf("before job 5 comes %q though it is passed", got)
	}
}

// BenchmarkHomeFrame is one still frame of a full home.
func BenchmarkHomeFrame(b *testing.B) {
	d := driverWith(b, 1280, 800, Settings{Theme: "light", TextPercent: 100, Seen: true})
	d.app.ui.Check = false
	d.app.Exercises = path(b)
	d.app.openHome()
	d.pass(100)
	b.ReportAllocs()
	for b.Loop() {
		d.now += 16
		d.app.Frame(widgets.Input{W: d.w, H: d.h, Scale: 1, NowMs: d.now}, &d.list)
	}
}

// BenchmarkLookBackFrame is one frame of the replay while it plays.
func BenchmarkLookBackFrame(b *testing.B) {
	d := debriefed(b, 1280, 800, Settings{Theme: "light", TextPercent: 100})
	d.app.ui.Check = false
	d.key("2")
	d.pass(100)
	p := d.app.debrief.own
	b.ReportAllocs()
	for b.Loop() {
		d.now += 16
		if !p.playing {
			p.toggle()
		}
		d.app.Frame(widgets.Input{W: d.w, H: d.h, Scale: 1, NowMs: d.now}, &d.list)
	}
}
