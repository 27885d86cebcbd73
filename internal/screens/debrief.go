package screens

import (
	"fmt"
	"math"
	"strings"

	"foilwright/internal/attempt"
	"foilwright/internal/paint"
	"foilwright/internal/picture"
	"foilwright/internal/say"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
	"foilwright/sim/explain"
	"foilwright/sim/grade"
)

// debriefState is a finished attempt with everything that is said of it. Only
// here the hidden truth is shown.
type debriefState struct {
	name     string
	exercise *bench.Exercise
	record   *bench.Record
	sheet    *grade.Sheet
	why      *explain.Explanation
	units    units

	taken []picture.Taken // readings of the part, as shown
	rows  [][8]string
	at    []int // log entry of the reading in each row
	bars  []widgets.Bar
	leads []lead // of the bars
	pick  int

	recorded []recordRow // nil: nothing was written down

	tab        int
	own        *playback
	pins       []pin
	model      *playback // a competent attempt at the same job; nil until asked for
	modelSheet *grade.Sheet
	showModel  bool
}

// openDebrief puts the attempt at hand away and opens its debrief.
func (a *App) openDebrief(name string) {
	a.slowly(say.T("Working out the debrief"), func() {
		a.putAway()
		b, _, err := attempt.Open(a.Store, name, a.find)
		if err != nil {
			a.fault = err.Error()
			a.openHome()
			return
		}
		a.debrief = a.workOut(name, b.Record())
		a.debriefs++
		a.remember(a.debrief)
		a.show(pageDebrief)
	})
}

// workOut grades and explains an attempt.
func (a *App) workOut(name string, r *bench.Record) *debriefState {
	d := &debriefState{name: name, record: r, exercise: r.World.Exercise, pick: -1}
	d.units = units{mil: a.settings.Mil, resolutionUm: d.exercise.Instrument.ResolutionUm}
	d.sheet = grade.Grade(r)
	d.why = explain.Explain(r)
	d.why.Absolve(d.sheet.Blamed())
	un := d.units
	scale := 1.0
	if un.mil {
		scale = 1 / umPerMil
	}
	small, n, names := d.why.Mean.RemainderUm, 0, []string(nil)
	for _, s := range d.why.Mean.Shares {
		if math.Abs(s.Um) < 0.5*d.units.resolutionUm {
			small += s.Um
			names = append(names, s.Name)
			n++
			continue
		}
		d.addBar(s, scale)
	}
	if n > 0 {
		d.bars = append(d.bars, widgets.Bar{Label: say.T("%d smaller causes together", n), Value: small * scale, Link: true})
		d.leads = append(d.leads, lead{words: strings.Join(names, ", ")})
	}
	worst := 0.0
	for i := range d.why.Readings {
		worst = max(worst, math.Abs(d.why.Readings[i].TotalUm))
	}
	for i := range d.why.Readings {
		q := &d.why.Readings[i]
		c := &r.Contacts[q.Contact]
		if q.Mode != bench.Measuring {
			continue
		}
		cause, part := "–", ""
		if len(q.Shares) > 0 {
			cause, part = q.Shares[0].Name, un.signed(q.Shares[0].Um)
		}
		spot := fmt.Sprintf("%d", q.Spot)
		if c.Deleted {
			spot += say.T(" del.")
		}
		d.at = append(d.at, q.Entry)
		d.rows = append(d.rows, [8]string{spot, un.um(q.ShownUm), un.um(q.TrueUm), un.signed(q.TotalUm), "", cause, part})
		if c.Piece != r.World.Part.ID {
			continue
		}
		t := picture.Taken{X: float64(c.XUm) / 1e3, Y: float64(c.YUm) / 1e3, Spot: q.Spot, Deleted: c.Deleted, Um: q.ShownUm, TrueUm: q.TrueUm}
		t.Worst = worst > 1 && math.Abs(q.TotalUm) > 0.7*worst
		d.taken = append(d.taken, t)
	}
	labelSpots(d.taken, un)
	d.own = newPlayback(r, un)
	d.own.seek(d.own.endMs)
	d.setPins()
	d.recorded = recordRows(r, un)
	return d
}

// lead is where a cause can be seen: at the moment of a log entry, on the map
// of the places measured, or, as it came in at no one moment, only in words.
type lead struct {
	entry  int
	places bool
	words  string
}

func leadOf(s *explain.Share) lead {
	switch {
	case s.Influence == bench.Sampling:
		return lead{places: true}
	case len(s.Entries) > 0:
		return lead{entry: s.Entries[0]}
	}
	return lead{words: say.T("%s: at no one moment.", s.Name) + " " + s.Cause}
}

// follow shows a cause where it can be seen.
func (a *App) follow(l lead) {
	switch {
	case l.places:
		a.debrief.tab = tabReadings
	case l.entry > 0:
		a.lookAt(l.entry)
	default:
		a.ui.Notify(widgets.Plain, l.words)
	}
}

// addBar adds the bar of a cause.
func (d *debriefState) addBar(s explain.Share, scale float64) {
	d.bars = append(d.bars, widgets.Bar{Label: s.Name, Value: s.Um * scale, Tone: widgets.Act, Link: true})
	d.leads = append(d.leads, leadOf(&s))
}

// setPins marks on the time line what was found and where the costly causes
// came in.
func (d *debriefState) setPins() {
	at := func(entry int) float64 {
		if entry < 1 || entry > len(d.record.Entries) {
			return 0
		}
		return float64(d.record.Entries[entry-1].Action.At)
	}
	for i, s := range d.why.Mean.Shares {
		if i == 3 || math.Abs(s.Um) < costly {
			break
		}
		for _, e := range s.Entries {
			d.pins = append(d.pins, pin{at(e), widgets.Truth, say.T("%s came in here", s.Name)})
		}
	}
	for i := range d.sheet.Findings {
		f := &d.sheet.Findings[i]
		for _, e := range f.Entries {
			d.pins = append(d.pins, pin{at(e), severityTone[f.Severity], f.Name})
		}
	}
}

// labelSpots writes the mean error of each spot beside its first reading.
func labelSpots(taken []picture.Taken, un units) {
	for i := range taken {
		if i > 0 && taken[i].Spot == taken[i-1].Spot {
			continue
		}
		sum, n := 0.0, 0.0
		for _, t := range taken {
			if t.Spot == taken[i].Spot && !t.Deleted {
				sum += t.Um - t.TrueUm
				n++
			}
		}
		if n > 0 {
			taken[i].Text = un.signed(sum / n)
		}
	}
}

// The pages of the debrief.
const (
	tabVerdict = iota
	tabLookBack
	tabReadings
)

var tabIDs = [...]string{"tab-verdict", "tab-look-back", "tab-readings"}

func debriefTabs() []string {
	return []string{"1  " + say.T("Verdict"), "2  " + say.T("Look back"), "3  " + say.T("Readings")}
}

func (a *App) drawDebrief(screen paint.Rect) {
	u, d := a.ui, a.debrief
	r := screen
	head := r.TakeTop(u.Px(46))
	buttons := []titleButton{
		{"home", say.T("Home"), "Esc", a.leave},
		{"again", say.T("New attempt"), "T", func() { a.begin(d.exercise, false) }},
		{"save", say.T("Save the log"), "S", func() { a.export(d) }},
	}
	if a.Export == nil {
		buttons = buttons[:2]
	}
	a.titleCells(a.titleButtons(head, buttons), d.exercise.Title, say.T("Debrief"))
	tabs := debriefTabs()
	bar := r.TakeTop(u.TabsH(r.W-2*u.Px(16), tabs) + u.Px(8))
	bar.TakeTop(u.Px(8))
	bar = bar.InsetXY(u.Px(16), 0)
	u.Tabs("debrief-tabs", bar, tabs, &d.tab)
	for i, label := range tabs {
		a.note(tabIDs[i], bar.TakeLeft(u.ButtonW(label)))
	}
	switch d.tab {
	case tabVerdict:
		a.drawVerdictPage(r)
	case tabLookBack:
		a.drawLookBack(r)
	case tabReadings:
		a.drawReadingsPage(r)
	}
	for i := range tabs {
		if a.pressed(a.pen.Labels.Whole(i + 1)) {
			d.tab = i
		}
	}
}

// lookAt opens the replay at the moment of a log entry.
func (a *App) lookAt(entry int) {
	d := a.debrief
	d.tab, d.showModel = tabLookBack, false
	d.own.toEntry(entry)
}

// beginDebriefScroll begins a page of the debrief. Each debrief begins at its
// head, wherever the last one was left.
func (a *App) beginDebriefScroll(id string, r paint.Rect) paint.Rect {
	a.ui.Scope("debrief", a.debriefs)
	defer a.ui.EndScope()
	return a.ui.BeginScroll(id, r)
}

// drawVerdictPage draws what the attempt is worth and why.
func (a *App) drawVerdictPage(r paint.Rect) {
	u, d := a.ui, a.debrief
	view := a.beginDebriefScroll("verdict", r)
	in := a.column(view, 1180)
	in.H = 1e6
	in.TakeTop(u.Px(14))
	in.TakeTop(a.drawScores(in) + u.Px(16))
	if in.W > u.Px(1000) {
		left := in
		right := left.TakeRight((in.W - u.Px(20)) / 2)
		left.TakeRight(u.Px(20))
		left.TakeTop(a.drawWentWell(left) + u.Px(16))
		left.TakeTop(a.drawFindings(left) + u.Px(16))
		right.TakeTop(a.drawCostly(right) + u.Px(16))
		right.TakeTop(a.drawWaterfall(right) + u.Px(16))
		right.TakeTop(a.drawComparison(right) + u.Px(8))
		in.TakeTop(max(left.Y, right.Y) - in.Y)
	} else {
		in.TakeTop(a.drawWentWell(in) + u.Px(16))
		in.TakeTop(a.drawCostly(in) + u.Px(16))
		in.TakeTop(a.drawWaterfall(in) + u.Px(16))
		in.TakeTop(a.drawFindings(in) + u.Px(16))
		in.TakeTop(a.drawComparison(in) + u.Px(8))
	}
	for _, c := range cautions {
		in.TakeTop(u.Banner(in, say.T(c), widgets.Warn) + u.Px(8))
	}
	in.TakeTop(u.SmallParagraph(in, say.T("This attempt is kept in %s as %s.", a.Store.Place(), d.name)))
	u.EndScroll(in.Y - view.Y + u.Px(16))
}

// drawReadingsPage draws the readings over the truth.
func (a *App) drawReadingsPage(r paint.Rect) {
	u := a.ui
	view := a.beginDebriefScroll("readings-page", r)
	in := a.column(view, 1560)
	in.H = 1e6
	in.TakeTop(u.Px(14))
	if in.W > u.Px(900) {
		both := in.TakeTop(math.Max(u.Px(380), r.H*0.52))
		a.drawMap(both.Column(0, 2, u.Px(16)))
		a.drawPlot(both.Column(1, 2, u.Px(16)))
	} else {
		a.drawMap(in.TakeTop(u.Px(380)))
		in.TakeTop(u.Px(16))
		a.drawPlot(in.TakeTop(u.Px(320)))
	}
	in.TakeTop(u.Px(16))
	in.TakeTop(a.drawReadingTable(in) + u.Px(16))
	in.TakeTop(a.drawRecordRows(in))
	u.EndScroll(in.Y - view.Y + u.Px(16))
}

func (a *App) export(d *debriefState) {
	data, err := a.Store.Read(d.name)
	if err == nil {
		err = a.Export(d.name+".jsonl", data)
	}
	if err != nil {
		a.fault = say.T("The log could not be saved: %s", err.Error())
		return
	}
	a.ui.Notify(widgets.Good, say.T("%s.jsonl is in your downloads", d.name))
}

// drawWaterfall draws how the causes add up to the error of the mean.
func (a *App) drawWaterfall(r paint.Rect) float64 {
	u, d := a.ui, a.debrief
	if !d.why.Reported {
		return 0
	}
	h := float64(len(d.bars)+1)*u.BarH() + u.Px(40) + u.Px(44)
	box := r
	box.H = h
	in := a.sheet(box, say.T("THE ERROR OF YOUR MEAN, CAUSE BY CAUSE"))
	if i := u.Waterfall("waterfall", in, d.bars, say.T("Reported less true"), d.units.decimals(), d.units.name()); i >= 0 {
		a.follow(d.leads[i])
	}
	in.TakeTop(float64(len(d.bars)+1) * u.BarH())
	u.L.TextBlock(in, say.T("reported %s, true %s %s over the marked area. Press a bar to see where it came in, or why.", d.units.um(d.why.ReportedUm), d.units.um(d.why.TrueUm), d.units.name()), u.Small(), u.Theme.InkSoft, paint.Left)
	return h
}

// costly is how large a share must be to be called an error, µm.
const costly = 0.1

// drawCostly draws the three most costly errors.
func (a *App) drawCostly(r paint.Rect) float64 {
	u, d := a.ui, a.debrief
	if !d.why.Reported {
		return 0
	}
	top := r.Y
	a.caption(r.TakeTop(u.Px(20)), say.T("THE THREE MOST COSTLY CAUSES"))
	r.TakeTop(u.Px(8))
	n := 0
	for _, s := range d.why.Mean.Shares {
		if n == 3 || math.Abs(s.Um) < costly {
			break
		}
		n++
		head := r.TakeTop(u.Px(26))
		f := u.Strong()
		fig := d.units.signed(s.Um) + " " + d.units.name()
		u.L.TextIn(head.TakeRight(f.Width(fig)+1), fig, f, u.Theme.Act, paint.Right)
		u.Line(head, fmt.Sprintf("%d  %s", n, s.Name), f, u.Theme.Ink, paint.Left)
		for _, text := range [...]string{quoted(s.Cause), s.WhatIf, s.Rest} {
			if text != "" {
				r.TakeTop(u.SmallParagraph(r, text) + u.Px(3))
			}
		}
		if s.Advice != "" {
			r.TakeTop(a.say(r, say.T("Next time: %s", quoted(s.Advice)), u.Small(), u.Theme.Truth) + u.Px(3))
		}
		if l := leadOf(&s); l.words == "" {
			u.Scope("costly", n)
			a.seeButton(r.TakeTop(u.RowH()), l)
			u.EndScope()
		}
		u.L.Rule(r.X, r.Y+u.Px(4), r.Right(), r.Y+u.Px(4), 1, u.Theme.Line)
		r.TakeTop(u.Px(10))
	}
	if n == 0 {
		r.TakeTop(u.SmallParagraph(r, say.T("No cause moved your mean by more than %s %s.", d.units.um(costly), d.units.name())))
	}
	return r.Y - top
}

func (a *App) drawMap(r paint.Rect) {
	d := a.debrief
	in := a.sheet(r, say.T("WHERE YOU MEASURED, AND THE TRUTH"))
	figure := func(um float64) string { return d.units.um(um) }
	a.pen.DrawSpotMap(in, d.record.World.Part, d.exercise.Job.Area, d.taken, figure)
}

func (a *App) drawPlot(r paint.Rect) {
	d := a.debrief
	in := a.sheet(r, say.T("READINGS IN ORDER"))
	figure := func(um float64) string { return d.units.plain(um) }
	level := d.exercise.Job.Rule.MinimumUm
	a.pen.DrawReadings(in, d.taken, level, say.T("must reach %s", d.units.plain(level)), figure)
}

// drawReadingTable draws every reading of the part with its truth.
func (a *App) drawReadingTable(r paint.Rect) float64 {
	u, d := a.ui, a.debrief
	h := u.Px(20) + u.Px(30) + min(float64(len(d.rows)), 15)*u.Px(30) + u.Px(6)
	a.caption(r.TakeTop(u.Px(20)), say.T("EVERY READING, %s; ENTER OR A SECOND PRESS LOOKS BACK AT IT", d.units.name()))
	r.H = h - u.Px(20)
	cols := []widgets.Column{
		{Title: say.T("Spot"), Width: 54}, {Title: say.T("Shown"), Width: 52, Align: paint.Right}, {Title: say.T("True"), Width: 52, Align: paint.Right},
		{Title: say.T("Error"), Width: 52, Align: paint.Right}, {Title: "", Width: 10}, {Title: say.T("Largest cause"), Width: 200}, {Title: say.T("Its share"), Width: 60, Align: paint.Right}, {Title: "", Share: 1},
	}
	if r.W < u.Px(480) {
		cols = cols[:4] // the causes stand in the replay
	} else if r.W < u.Px(640) {
		cols = cols[:6]
		cols[5] = widgets.Column{Title: say.T("Largest cause"), Share: 1}
	}
	if i := u.TableWith("readings", r, cols, len(d.rows), &d.pick, func(row, col int, at paint.Rect) {
		u.Line(at, d.rows[row][col], u.Small(), u.Theme.Ink, cols[col].Align)
	}); i >= 0 {
		a.lookAt(d.at[i])
	}
	return h
}
