package screens

import (
	"testing"

	"foilwright/internal/paint"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
)

// debriefed plays an attempt with a reading near the edge and opens its debrief.
func debriefed(t testing.TB, w, h float64, set Settings) *driver {
	t.Helper()
	d := driverWith(t, w, h, set)
	d.app.where = map[string]paint.Rect{}
	d.hz = 20
	for _, k := range []string{"1", "Enter", "c", "2", "z"} {
		d.key(k)
		d.pass(60)
	}
	touch := func(n int) {
		for range n {
			d.hold("Space", 1100)
			d.pass(600)
		}
	}
	touch(5)
	for _, k := range []string{"s", "1", "m"} {
		d.key(k)
	}
	touch(3)
	d.key("n")
	for range 14 {
		d.key("Ctrl+ArrowLeft")
	}
	d.pass(300)
	touch(2)
	for _, k := range []string{"r", "x", "Enter", "Enter"} {
		d.key(k)
		d.pass(100)
	}
	d.pass(300)
	if d.app.page != pageDebrief || d.app.fault != "" {
		t.Fatalf("on page %d, %s", d.app.page, d.app.fault)
	}
	return d
}

func TestEveryBarOfTheWaterfallLeadsToItsMoment(t *testing.T) {
	d := debriefed(t, 1280, 800, Settings{Theme: "light", TextPercent: 100})
	b := d.app.debrief
	d.shot("verdict")
	linked := 0
	for i, bar := range b.bars {
		l := b.leads[i]
		if !bar.Link || l.entry == 0 && !l.places && l.words == "" {
			t.Errorf("bar %q: link %v leads nowhere: %+v", bar.Label, bar.Link, l)
		}
		b.tab = tabVerdict
		d.app.follow(l)
		d.pass(60)
		switch {
		case l.places && b.tab != tabReadings:
			t.Errorf("bar %q: tab %d, want the places measured", bar.Label, b.tab)
		case l.entry > 0:
			linked++
			if b.tab != tabLookBack || b.own.scene.view.Entries < l.entry {
				t.Errorf("bar %q: tab %d, bench stands at entry %d of %d", bar.Label, b.tab, b.own.scene.view.Entries, l.entry)
			}
		}
	}
	if linked < 2 {
		t.Errorf("only %d bars lead anywhere", linked)
	}
	d.shot("lookback")
	d.key("3")
	d.pass(60)
	d.shot("readings")
	for _, f := range d.app.ui.Faults() {
		t.Error(f)
	}
}

func TestLookingBackShowsWhatWasSeen(t *testing.T) {
	d := debriefed(t, 1280, 800, Settings{Theme: "light", TextPercent: 100})
	p := d.app.debrief.own
	full := p.record
	for _, e := range full.Entries {
		p.seek(float64(e.Action.At))
		if got, want := p.scene.Bench.Record().Entries[e.N-1], e; !sameEntry(got, want) {
			t.Fatalf("entry %d: %+v, was %+v", e.N, got, want)
		}
	}
	// Backwards, too, and between entries.
	for ms := p.endMs; ms >= 0; ms -= 733 {
		p.seek(ms)
		if n := p.scene.view.Entries; n > 0 && float64(full.Entries[n-1].Action.At) > ms {
			t.Fatalf("at %g ms stands at entry %d of %d ms", ms, n, full.Entries[n-1].Action.At)
		}
	}
}

func TestTryAgainFromAnyMoment(t *testing.T) {
	d := debriefed(t, 1280, 800, Settings{Theme: "light", TextPercent: 100})
	b := d.app.debrief
	was := b.record
	reading := was.Contacts[5].Entry
	d.key("2")
	b.own.toEntry(reading)
	d.key("r")
	d.pass(200)
	s := d.app.sitting
	if s == nil || d.app.page != pageBench {
		t.Fatalf("on page %d, %s", d.app.page, d.app.fault)
	}
	got := s.Bench.Record().Entries
	if len(got) < reading {
		t.Fatalf("%d entries, want %d at least", len(got), reading)
	}
	for i := range reading {
		if !sameEntry(got[i], was.Entries[i]) {
			t.Errorf("entry %d: %+v, was %+v", i+1, got[i], was.Entries[i])
		}
	}
	d.pass(1500)
	if s.view.Touching {
		t.Error("the new hand does not lift the probe")
	}
	d.key("Escape")
	d.pass(100)
	list, err := shelf(d.store, d.app.Exercises)
	if err != nil || len(list) != 2 || list[0].finished || !list[0].again {
		t.Errorf("shelf %+v, %v", list, err)
	}
}

func TestACompetentAttemptCanBeWatched(t *testing.T) {
	d := debriefed(t, 1280, 800, Settings{Theme: "light", TextPercent: 100})
	d.key("2")
	d.key("c")
	d.pass(400)
	b := d.app.debrief
	if b.model == nil || !b.showModel || b.modelSheet.Result == nil || !b.modelSheet.Result.Within {
		t.Fatalf("model %v, sheet %+v", b.model != nil, b.modelSheet)
	}
	if b.model.record.World.TrueMeanUm != b.record.World.TrueMeanUm {
		t.Error("not the same part")
	}
	d.key("Space")
	d.pass(9000)
	if !b.model.playing || b.model.atMs < 9000*playRate*0.9 {
		t.Errorf("playing %v at %g ms", b.model.playing, b.model.atMs)
	}
	d.shot("competent")
	d.key("c")
	if b.showModel || b.shown() != b.own {
		t.Error("does not go back to the trainee's own attempt")
	}
	var finish bool
	for _, e := range b.model.record.Entries {
		finish = finish || e.Action.Do == bench.Finish
	}
	if !finish {
		t.Error("the competent attempt has no end")
	}
}

// Each debrief begins at its head, and keeps its place while one looks back.
func TestADebriefBeginsAtItsHead(t *testing.T) {
	d := debriefed(t, 1280, 800, Settings{Theme: "light", TextPercent: 100})
	d.app.where = map[string]paint.Rect{}
	name := d.app.debrief.name
	open := func() {
		d.app.openDebrief(name)
		d.pass(60)
	}
	open()
	top := d.list.Hash()
	d.move(d.w/2, d.h/2)
	d.add(widgets.Event{Kind: widgets.Wheel, X: d.x, Y: d.y, WheelY: 18})
	d.pass(60)
	if d.list.Hash() == top {
		t.Fatal("the debrief does not scroll")
	}
	open()
	d.move(d.w/2, d.h/2)
	d.pass(60)
	again := d.list.Hash()
	d.add(widgets.Event{Kind: widgets.Wheel, X: d.x, Y: d.y, WheelY: -100})
	d.pass(60)
	if d.list.Hash() != again {
		t.Error("a debrief opens where the one before was left")
	}
}
