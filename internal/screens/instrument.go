package screens

import (
	"foilwright/internal/hand"
	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
	"foilwright/sim/gauge"
)

// The instrument is a writing one: it keeps a ledger, newest line on top, under
// the figure of the newest reading. It is nobody's instrument but ours.

func (a *App) drawInstrument(r paint.Rect) {
	u, d, s := a.ui, &a.desk, a.sitting
	in := a.sheet(r, say.T("INSTRUMENT"))
	a.drawHintsSwitch(r)
	a.drawModes(in.TakeTop(u.Px(46)))
	in.TakeTop(u.Px(6))
	a.drawGuide(in.TakeTop(u.Px(13)*1.35*4 + u.Px(12)))
	in.TakeTop(u.Px(6))
	a.drawModeControls(in.TakeTop(u.RowH()))
	in.TakeTop(u.Px(8))
	a.drawNewest(s, d, in.TakeTop(u.Px(86)), a.units())
	foot := in.TakeBottom(u.RowH() + u.Px(64) + a.earlierH(d))
	in.TakeBottom(u.Px(6))
	if d.coach.hint != "" && a.coached() {
		a.drawHint(&in)
	}
	a.drawLedger(d, in)
	u.Line(foot.TakeTop(u.Px(22)), d.adjust, u.Small(), u.Theme.Ink, paint.Left)
	a.drawMemory(d, &foot)
	foot.TakeTop(u.Px(4))
	row := foot.TakeTop(u.RowH())
	label := say.T("Reset adjustment")
	if a.keyedW(label, "X")+a.keyedW(say.T("Clear all"), "C")+u.Px(6) > row.W {
		label = say.T("Reset")
	}
	reset := row.TakeRight(a.keyedW(label, "X"))
	row.TakeRight(u.Px(6))
	if a.keyed("clear", row, say.T("Clear all"), "C", widgets.ButtonAs{Tip: say.T("Clear the memory")}) {
		a.askClear()
	}
	if a.keyed("reset", reset, label, "X", widgets.ButtonAs{Tip: say.T("Go back to the built-in curve: drop zero and foils")}) {
		s.do(a.now, bench.Action{Do: bench.ResetAdjustment})
	}
}

// drawModes draws the four things the instrument can be set to do.
func (a *App) drawModes(r paint.Rect) {
	u, s := a.ui, a.sitting
	// Each as wide as its word, and the rest shared.
	var widths [4]float64
	rest := r.W
	for i, label := range [4]string{say.T("Zero"), say.T("Foil"), say.T("Verify"), say.T("Measure")} {
		widths[i] = u.Strong().Width(label) + u.Px(8)
		rest -= widths[i]
	}
	for i := range widths {
		widths[i] = max(u.Px(20), widths[i]+rest/4)
	}
	for i, m := range [...]struct {
		id, label, key string
		mode           bench.Mode
		verb           bench.Verb
	}{
		{"zero", say.T("Zero"), "Z", bench.Zeroing, bench.BeginZero},
		{"foil", say.T("Foil"), "F", bench.Foiling, bench.BeginFoil},
		{"verify", say.T("Verify"), "V", bench.Verifying, bench.BeginVerify},
		{"measure", say.T("Measure"), "M", bench.Measuring, bench.BeginMeasure},
	} {
		cell := r.TakeLeft(widths[i])
		if a.modeTab(m.id, cell, m.label, m.key, s.view.Mode == m.mode) && s.view.Mode != m.mode {
			if s.do(a.now, bench.Action{Do: m.verb}) && m.verb == bench.BeginFoil {
				a.desk.value = ""
			}
		}
	}
}

// modeTab is a button with its key below its word, for narrow cells.
func (a *App) modeTab(id string, r paint.Rect, label, key string, on bool) bool {
	u := a.ui
	fired := u.ButtonWith(id, r, "", widgets.ButtonAs{On: on})
	a.note(id, r)
	c, soft := u.Theme.Ink, u.Theme.InkSoft
	if on {
		c, soft = u.Theme.Paper, u.Theme.Paper
	}
	in := r.InsetXY(u.Px(3), u.Px(4))
	u.Line(in.TakeTop(u.Px(22)), label, u.Strong(), c, paint.Center)
	f := paint.Font{Face: paint.Medium, Size: u.Px(11)}
	u.L.TextIn(in, key, f, soft, paint.Center)
	return a.shortcut(key) || fired
}

// drawGuide draws the quiet line, or why the last action was refused.
func (a *App) drawGuide(r paint.Rect) {
	u, d, s := a.ui, &a.desk, a.sitting
	text, ground, c, bar := d.guide, u.Theme.Sheet, u.Theme.Ink, u.Theme.Truth
	switch {
	case s.broken != nil:
		text, ground, bar = s.broken.Error(), u.Theme.BadTint, u.Theme.Bad
	case s.refusal != "":
		text, ground, bar = say.T("Not done: %s.", s.refusal), u.Theme.WarnTint, u.Theme.Warn
	case a.beside():
		text, ground, bar = say.T("There is nothing under the probe here. Move it over the piece."), u.Theme.WarnTint, u.Theme.Warn
	case s.missed != "":
		text, ground, bar = say.T("No reading: %s.", s.missed), u.Theme.WarnTint, u.Theme.Warn
	}
	u.L.Rect(r, ground)
	u.L.Rect(paint.R(r.X, r.Y, u.Px(3), r.H), bar)
	u.L.PushClip(r)
	u.L.TextBlock(paint.R(r.X+u.Px(10), r.Y+u.Px(4), r.W-u.Px(14), r.H), text, u.Small(), c, paint.Left)
	u.L.PopClip()
}

// drawHint draws what the coach says at the foot of the ledger, where it hides no figure that is needed.
func (a *App) drawHint(in *paint.Rect) {
	u, d := a.ui, &a.desk
	h := u.Small().Height(d.coach.hint, in.W-u.Px(14)) + u.Px(10)
	r := in.TakeBottom(min(h, in.H*0.6))
	in.TakeBottom(u.Px(6))
	u.L.Rect(r, u.Theme.TruthTint)
	u.L.Rect(paint.R(r.X, r.Y, u.Px(3), r.H), u.Theme.Truth)
	u.L.PushClip(r)
	u.L.TextBlock(paint.R(r.X+u.Px(10), r.Y+u.Px(4), r.W-u.Px(14), r.H), d.coach.hint, u.Small(), u.Theme.Ink, paint.Left)
	u.L.PopClip()
}

// drawHintsSwitch shows beside the instrument's name whether the bench hints, and switches that.
func (a *App) drawHintsSwitch(r paint.Rect) {
	u := a.ui
	if a.sitting.Assessment || a.lesson != nil {
		return
	}
	label := say.T("Hints on")
	if a.settings.NoHints {
		label = say.T("Hints off")
	}
	w := a.keyedW(label, "H")
	if a.captionW(say.T("INSTRUMENT"))+w > r.W {
		return
	}
	at := paint.R(r.Right()-w, r.Y, w, u.Px(24))
	if a.keyed("hints", at, label, "H", widgets.ButtonAs{Look: widgets.Quiet, Tip: say.T("Hints at practice: what grading would find, while it can still be put right")}) {
		a.toggleHints()
	}
}

// beside reports whether the probe is being lowered on nothing.
func (a *App) beside() bool {
	h := a.sitting.hand.Held()
	return h.Phase == hand.Lowering && h.Beside && h.Height < hand.BesideMm+1
}

// drawModeControls draws what the present mode can do next.
func (a *App) drawModeControls(r paint.Rect) {
	u, s, d := a.ui, a.sitting, &a.desk
	switch s.view.Mode {
	case bench.Zeroing:
		if a.keyed("store", r, say.T("Store the zero"), "S", widgets.ButtonAs{Look: widgets.Primary}) {
			s.do(a.now, bench.Action{Do: bench.StoreZero})
		}
	case bench.Foiling:
		store := r.TakeRight(a.keyedW(say.T("Store"), "S"))
		r.TakeRight(u.Px(6))
		set := r.TakeRight(u.ButtonW(say.T("Set")))
		r.TakeRight(u.Px(6))
		unit := r.TakeRight(u.Body().Width(a.units().name()) + u.Px(8))
		unit.TakeLeft(u.Px(5))
		u.Line(unit, a.units().name(), u.Body(), u.Theme.InkSoft, paint.Left)
		entered := a.numberField("foil-value", r, &d.value)
		a.note("set", set)
		if u.Button("set", set, say.T("Set")) || entered {
			a.setFoil()
		}
		if a.keyed("store", store, say.T("Store"), "S", widgets.ButtonAs{Look: widgets.Primary}) {
			if s.view.SetFoilUm == 0 && d.value != "" {
				a.setFoil() // written but not set: it is meant
			}
			s.do(a.now, bench.Action{Do: bench.StoreFoil})
		}
	case bench.Verifying:
		at := a.pair(r, [2]string{say.T("Good"), say.T("Bad")}, [2]string{"G", "B"})
		if a.keyed("good", at[0], say.T("Good"), "G", widgets.ButtonAs{}) {
			s.do(a.now, bench.Action{Do: bench.JudgeVerify, Text: "good"})
		}
		if a.keyed("bad", at[1], say.T("Bad"), "B", widgets.ButtonAs{}) {
			s.do(a.now, bench.Action{Do: bench.JudgeVerify, Text: "bad"})
		}
	default:
		at := a.pair(r, [2]string{say.T("New spot"), say.T("Delete last")}, [2]string{"N", "D"})
		if a.keyed("new-spot", at[0], say.T("New spot"), "N", widgets.ButtonAs{}) {
			s.do(a.now, bench.Action{Do: bench.NewSpot})
		}
		if a.keyed("delete", at[1], say.T("Delete last"), "D", widgets.ButtonAs{}) {
			a.askDelete()
		}
	}
}

// setFoil sets the value in the box.
func (a *App) setFoil() {
	s := a.sitting
	counts, ok := a.units().parse(a.desk.value)
	if !ok {
		s.refusal = say.T("write the foil's value as a number, such as 123.4")
		return
	}
	if s.do(a.now, bench.Action{Do: bench.SetFoilValue, Counts: counts}) {
		a.ui.SetFocus(planID)
	}
}

// drawNewest draws the figure of the newest reading.
func (a *App) drawNewest(s *sitting, d *benchState, r paint.Rect, un units) {
	u := a.ui
	u.L.Rect(r, u.Theme.Well)
	u.L.Frame(r, u.Theme.Hairline, u.Theme.Edge)
	c, word := u.Theme.Ink, d.newestL
	if s.view.Touching && !s.view.Captured {
		c, word = u.Theme.InkOff, say.T("in contact, wait")
	} else if s.view.Touching {
		c = u.Theme.Act
	}
	if share := a.flash(s); share > 0 {
		u.L.Frame(r.Inset(-u.Px(4)*(1-share)), u.Px(1+3*share), u.Theme.Act.Fade(share))
	}
	in := r.InsetXY(u.Px(12), u.Px(6))
	u.Line(in.TakeTop(u.Px(18)), word, u.Small(), u.Theme.InkSoft, paint.Left)
	big := paint.Font{Face: paint.Medium, Size: u.Px(50)}
	unit := in.TakeRight(u.Px(40))
	u.L.TextIn(paint.R(unit.X, unit.Bottom()-u.Px(30), unit.W, u.Px(24)), un.name(), u.HeadingFont(), u.Theme.InkSoft, paint.Right)
	u.L.TextIn(in, d.newest, big, c, paint.Right)
}

// flash is how much of the movement that goes with a new reading is left, 1 to 0.
func (a *App) flash(s *sitting) float64 {
	const flashMs = 350
	if s.past || a.settings.Still || s.readAt == 0 {
		return 0
	}
	return max(0, 1-float64(s.lastMs-s.readAt)/flashMs)
}

// drawLedger draws the paper strip.
func (a *App) drawLedger(d *benchState, r paint.Rect) {
	u := a.ui
	u.L.Rect(r, u.Theme.Well)
	row := u.Px(22)
	in := u.BeginScroll("ledger", r)
	first := max(0, int((r.Y-in.Y)/row))
	last := min(len(d.lines), int((r.Bottom()-in.Y)/row)+1)
	for i := first; i < last; i++ {
		a.drawLine(paint.R(in.X, in.Y+float64(i)*row, in.W, row), &d.lines[i])
	}
	u.EndScroll(float64(len(d.lines)) * row)
	u.L.Frame(r, u.Theme.Hairline, u.Theme.Edge)
}

func (a *App) drawLine(r paint.Rect, w *written) {
	u := a.ui
	u.L.Rule(r.X, r.Bottom()-0.5, r.Right(), r.Bottom()-0.5, 1, u.Theme.Line)
	in := r.InsetXY(u.Px(8), 0)
	c, f := u.Theme.InkSoft, u.Small()
	switch w.kind {
	case lineHeading:
		u.L.Rect(paint.R(r.X, r.Y, r.W, r.H-1), u.Theme.Ink.Fade(0.07))
		c, f = u.Theme.Ink, paint.Font{Face: paint.Medium, Size: u.Px(13)}
	case lineResult:
		c, f = u.Theme.Truth, paint.Font{Face: paint.Medium, Size: u.Px(13)}
	}
	if w.figure != "" {
		g := paint.Font{Face: paint.Medium, Size: u.Px(14)}
		fig := in.TakeRight(g.Width(w.figure))
		k := u.Theme.Ink
		if w.struck {
			k = u.Theme.InkOff
		}
		u.L.TextIn(fig, w.figure, g, k, paint.Right)
		if w.struck {
			u.L.Line(fig.X-2, fig.Y+fig.H/2, fig.Right()+2, fig.Y+fig.H/2, u.Px(1.4), u.Theme.InkSoft)
		}
		in.TakeRight(u.Px(6))
	}
	u.L.TextIn(in, w.left, f, c, paint.Left)
}

var statNames = [5]say.Text{"n", "mean", "s", "min", "max"}

// earlierReadings counts what was in a memory before the attempt.
func earlierReadings(memory []gauge.Stored) int {
	n := 0
	for i := range memory {
		if memory[i].Spot == 0 {
			n++
		}
	}
	return n
}

// earlierH is the height of the line that says so; 0 without such readings.
func (a *App) earlierH(d *benchState) float64 {
	if d.earlier == "" {
		return 0
	}
	return a.ui.Px(20)
}

// drawMemory draws the figures of the memory, and what of them is not of this job.
func (a *App) drawMemory(d *benchState, in *paint.Rect) {
	u := a.ui
	a.drawStatistics(d, in.TakeTop(u.Px(38)))
	if h := a.earlierH(d); h > 0 {
		u.Line(in.TakeTop(h), d.earlier, u.Small(), u.Theme.Warn, paint.Left)
	}
}

// drawStatistics draws the figures of the memory as a ruled row.
func (a *App) drawStatistics(d *benchState, r paint.Rect) {
	u := a.ui
	small := paint.Font{Face: paint.Regular, Size: u.Px(11)}
	for i, name := range statNames {
		c := r.Column(i, 5, 0)
		u.L.Frame(paint.R(c.X, c.Y, c.W+1, c.H), 1, u.Theme.Edge)
		u.L.TextIn(c.TakeTop(u.Px(16)), say.T(name), small, u.Theme.InkSoft, paint.Center)
		u.Line(c.InsetXY(1, 0), d.stats[i], paint.Font{Face: paint.Medium, Size: u.Px(14)}, u.Theme.Ink, paint.Center)
	}
}
