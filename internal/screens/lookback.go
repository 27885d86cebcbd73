package screens

import (
	"math"
	"slices"

	"foilwright/internal/attempt"
	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
	"foilwright/sim/grade"
	"foilwright/sim/trainee"
)

// drawLookBack draws an attempt as it was, with the truth beside it.
func (a *App) drawLookBack(r paint.Rect) {
	u, d := a.ui, a.debrief
	p := d.shown()
	p.play(a.now)
	p.desk.write(p.scene, d.units)

	view := a.beginDebriefScroll("look-back", r)
	in := view.InsetXY(u.Px(14), u.Px(10))
	wide := in.W > u.Px(880)
	high := math.Max(r.H-u.Px(20), u.Px(600))
	if !wide {
		high = u.Px(1160) + a.flowHeight(in.W, a.lookBackWidths())
	}
	in.H = high
	a.drawLookBackButtons(in.TakeTop(a.flowHeight(in.W, a.lookBackWidths())), p)
	in.TakeTop(u.Px(8))
	takeLine := in.TakeBottom
	if !wide {
		takeLine = in.TakeTop // beside the buttons, when not all is in sight
	}
	line := takeLine(a.timeLineH())
	takeLine(u.Px(8))
	var pins []pin
	if p == d.own {
		pins = d.pins
	}
	a.drawTimeLine(line, p, pins)
	var side paint.Rect
	if wide {
		side = in.TakeRight(math.Max(u.Px(330), in.W*0.3))
		in.TakeRight(u.Px(8))
	} else {
		side = in.TakeBottom(in.H * 0.48)
		in.TakeBottom(u.Px(8))
	}
	low := in.TakeBottom(in.H * 0.34)
	in.TakeBottom(u.Px(8))
	plan, pl := a.planRects(p.scene, in)
	u.L.Rect(in, u.Theme.Sheet)
	u.L.Frame(in, u.Theme.Hairline, u.Theme.Edge)
	a.drawPlan(p.scene, &p.desk, in, plan, pl)
	detail := low.TakeRight(low.W * 0.4)
	low.TakeRight(u.Px(8))
	a.drawSection(p.scene, low)
	a.drawDetail(p.scene, detail)
	a.drawMoment(side, p)
	u.EndScroll(high + u.Px(20))

	switch {
	case a.pressed("Space"):
		p.toggle()
	case a.pressed("ArrowRight"):
		p.step(1)
	case a.pressed("ArrowLeft"):
		p.step(-1)
	}
}

// shown is the attempt that is looked back on: the trainee's own, or the
// competent one.
func (d *debriefState) shown() *playback {
	if d.showModel && d.model != nil {
		return d.model
	}
	return d.own
}

// lookBackLabels are the buttons above the replay, in their order, with keys.
var lookBackLabels = [...]struct {
	text say.Text
	key  string
}{
	{"Play", "Space"}, {"Before", "←"}, {"After", "→"}, {"Try it again from here", "R"}, {"Show a competent attempt", "C"},
}

func (a *App) lookBackWidths() []float64 {
	var w []float64
	for _, l := range lookBackLabels {
		w = append(w, a.keyedW(say.T(l.text), l.key)+a.ui.Px(6))
	}
	return append(w, a.ui.Px(150))
}

func (a *App) drawLookBackButtons(r paint.Rect, p *playback) {
	u, d := a.ui, a.debrief
	places := a.flowPlaces(r, a.lookBackWidths())
	label := func(i int) string { return say.T(lookBackLabels[i].text) }
	play := label(0)
	if p.playing {
		play = say.T("Pause")
	}
	// Its key is asked for after everything that may want Space.
	if a.capped("play", places[0], play, "Space") {
		p.toggle()
	}
	if a.capped("before", places[1], label(1), "←") {
		p.step(-1)
	}
	if a.capped("after", places[2], label(2), "→") {
		p.step(1)
	}
	if a.keyed("from-here", places[3], label(3), "R", widgets.ButtonAs{Look: widgets.Primary, Tip: say.T("A new attempt that begins as this one did, up to this moment. It is practice: it counts for no score.")}) {
		a.tryFromHere(p)
	}
	model := label(4)
	if d.showModel {
		model = say.T("Show your own attempt")
	}
	if a.keyed("competent", places[4], model, "C", widgets.ButtonAs{On: d.showModel}) {
		a.toggleModel()
	}
	u.Line(places[5], say.T("%s of %s", clockText(p.atMs), clockText(p.endMs)), u.Strong(), u.Theme.Ink, paint.Left)
}

// tryFromHere begins a new attempt as the one shown began, up to the moment shown.
func (a *App) tryFromHere(p *playback) {
	p.playing = false
	r := p.record
	n := p.scene.view.Entries
	if i := slices.IndexFunc(r.Entries[:n], func(e bench.Entry) bool { return e.Action.Do == bench.Finish }); i >= 0 {
		n = i
	}
	a.slowly(say.T("Laying out the bench as it was"), func() {
		at, err := attempt.Branch(a.Store, attemptName(r.World.Exercise.ID, a.Clock(), r.World.Seed, againMark), r.World, "", r.Entries[:n])
		if err != nil {
			a.fault = say.T("A new attempt could not be begun: %s", err.Error())
			return
		}
		a.sit(at)
	})
}

// toggleModel changes between the trainee's own attempt and a competent one,
// which is played when it is asked for.
func (a *App) toggleModel() {
	d := a.debrief
	d.shown().playing = false
	if d.model != nil {
		d.showModel = !d.showModel
		return
	}
	a.slowly(say.T("A competent trainee does the job"), func() {
		w := d.record.World
		b, err := trainee.Play(w, w.Seed)
		if err != nil {
			a.fault = say.T("The competent attempt could not be played: %s", err.Error())
			return
		}
		d.model, d.showModel = newPlayback(b.Record(), d.units), true
		d.modelSheet = grade.Grade(b.Record())
	})
}

// drawMoment draws what the instrument showed at the moment and what is known
// of it now.
func (a *App) drawMoment(r paint.Rect, p *playback) {
	u, d := a.ui, a.debrief
	title := say.T("YOUR ATTEMPT, AS IT WAS")
	if d.showModel {
		title = say.T("A COMPETENT ATTEMPT")
	}
	in := a.sheet(r, title)
	a.drawNewest(p.scene, &p.desk, in.TakeTop(u.Px(86)), d.units)
	in.TakeTop(u.Px(4))
	u.Line(in.TakeTop(u.Px(22)), say.T("Set to %s. %s", modeName(p.scene.view.Mode), p.desk.adjust), u.Small(), u.Theme.Ink, paint.Left)
	a.drawMemory(&p.desk, &in)
	in.TakeTop(u.Px(8))
	box := u.BeginScroll("moment", in)
	top := box.Y
	box.H = 1e6
	if m := p.now(); m != nil {
		a.sayMoment(&box, p, m)
	} else {
		box.TakeTop(u.SmallParagraph(box, say.T("Nothing has been done yet. Drag along the time line, or press Play.")))
	}
	if d.showModel && d.modelSheet != nil {
		box.TakeTop(u.Px(10))
		box.TakeTop(u.SmallParagraph(box, d.modelWord()))
	}
	u.EndScroll(box.Y - top)
}

// sayMoment writes the newest moment with the truth and what is said of it.
func (a *App) sayMoment(box *paint.Rect, p *playback, m *moment) {
	u, d := a.ui, a.debrief
	un := d.units
	box.TakeTop(a.say(*box, clockText(m.atMs)+"  "+m.text, u.Strong(), u.Theme.Ink) + u.Px(4))
	if c := p.record.ContactAt(m.entry); c != nil && m.read {
		film := p.record.TrueUm(c.Index)
		if c.Foil == "" || c.Mode == bench.Measuring {
			text := say.T("True thickness here %s, so the reading is off by %s %s.", un.um(film), un.signed(float64(c.Counts)*un.resolutionUm-film), un.name())
			if c.Mode == bench.Zeroing {
				text = say.T("Bare metal: what the instrument makes of it becomes its zero.")
			}
			box.TakeTop(a.say(*box, text, u.Small(), u.Theme.Truth) + u.Px(4))
		}
		if p == d.own {
			a.sayShares(box, c.Index)
		}
	}
	if p != d.own {
		return
	}
	for i := range d.sheet.Findings {
		f := &d.sheet.Findings[i]
		if !slices.Contains(f.Entries, m.entry) {
			continue
		}
		box.TakeTop(u.Px(4))
		u.Badge(box.TakeTop(u.Px(26)), say.T("%s finding", severityName(f.Severity)), severityTone[f.Severity])
		box.TakeTop(a.say(*box, f.Name, u.Strong(), u.Theme.Ink))
		box.TakeTop(a.say(*box, quoted(f.What), u.Small(), u.Theme.Ink) + u.Px(2))
		box.TakeTop(a.say(*box, say.T("Next time: %s", quoted(f.Do)), u.Small(), u.Theme.Truth) + u.Px(2))
	}
}

// sayShares writes what made the error of one reading.
func (a *App) sayShares(box *paint.Rect, contact int) {
	u, d := a.ui, a.debrief
	for i := range d.why.Readings {
		q := &d.why.Readings[i]
		if q.Contact != contact {
			continue
		}
		for k, s := range q.Shares {
			if k == 4 || math.Abs(s.Um) < 0.5*d.units.resolutionUm {
				return
			}
			row := box.TakeTop(u.Px(22))
			fig := d.units.signed(s.Um)
			u.L.TextIn(row.TakeRight(u.Strong().Width(fig)+u.Px(2)), fig, u.Strong(), u.Theme.Ink, paint.Right)
			u.Line(row, s.Name, u.Small(), u.Theme.InkSoft, paint.Left)
		}
	}
}

// modelWord says how the competent attempt came out.
func (d *debriefState) modelWord() string {
	s, un := d.modelSheet, d.units
	text := say.T("The same part and the same instrument, worked by the book")
	if r := s.Result; r != nil {
		text += say.T(": the mean came out %s, %s %s from the truth, technique %s", un.um(r.ReportedUm), un.signed(r.ErrorUm), un.name(), a100(s.Technique))
	}
	return text + "."
}

// a100 writes a score.
func a100(score float64) string { return say.T("%.0f of 100", score) }
