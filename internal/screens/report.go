package screens

import (
	"fmt"

	"foilwright/internal/paint"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
)

// reportState is the report sheet as the trainee fills it in.
type reportState struct {
	mean     string
	written  bool   // the trainee has changed the mean
	expanded string // uncertainty of the mean, where the job asks for it
	decision int    // index into the rule's verdicts, -1 not yet
	word     string
	asking   bool
	opened   bool
}

// decisionButtons are what a trainee may decide, by the verdict in the log.
var decisionButtons = map[string]struct{ id, label, key string }{
	bench.Accept:            {"accept", "Accept", "A"},
	bench.ConditionalAccept: {"accept-if", "Conditional accept", "O"},
	bench.ConditionalReject: {"reject-if", "Conditional reject", "E"},
	bench.Reject:            {"reject", "Reject", "X"},
}

// verdicts are what the rule of the job lets a trainee decide.
func (a *App) verdicts() []string { return a.sitting.exercise.Job.Rule.Verdicts() }

func (a *App) openReport() {
	if a.sitting.view.Touching {
		a.sitting.refusal = "lift the probe before you write the report"
		return
	}
	if a.lesson != nil {
		a.sitting.refusal = "the first minutes have no report; every exercise has"
		return
	}
	r := &a.report
	if !r.opened {
		*r = reportState{opened: true, decision: -1}
		if v := a.sitting.view.Result; v != nil {
			r.decision = index(a.verdicts(), v.Verdict)
			r.mean, r.written = a.units().um(v.MeanUm), true
			if v.ExpandedUm > 0 {
				r.expanded = a.units().um(v.ExpandedUm)
			}
		}
	}
	if !r.written {
		r.mean = ""
		if st := a.sitting.view.Statistics; st.N > 0 {
			r.mean = a.units().um(st.Mean * a.units().resolutionUm)
		}
	}
	r.word = ""
	a.goTo(pageReport)
}

func (a *App) drawReport(screen paint.Rect) {
	u, s, rep := a.ui, a.sitting, &a.report
	s.advance(a.now)
	r := screen
	a.titleCells(a.titleButtons(r.TakeTop(u.Px(46)), nil), s.exercise.Title, "Report sheet")
	col := a.column(r, 760)
	col.TakeTop(u.Px(12))
	in := u.BeginScroll("report", col)
	top := in.Y
	in.H = 1e6
	u.Title(in.TakeTop(u.Px(36)), "Report sheet")
	in.TakeTop(u.Px(6))
	un := a.units()
	st := s.view.Statistics
	res := un.resolutionUm
	shown := "no readings in memory"
	if st.N > 0 {
		sd := "–"
		if st.N > 1 {
			sd = un.um(st.SD * res)
		}
		shown = fmt.Sprintf("%s; mean %s, s %s, min %s, max %s %s", readings(st.N), un.um(st.Mean*res), sd, un.um(st.Min*res), un.um(st.Max*res), un.name())
	}
	in.TakeTop(a.form(in, []formRow{
		{"Item", s.exercise.Job.Item},
		{"Acceptance", s.exercise.Job.Rule.Name},
		{"Instrument", shown},
		{"Spot means", spotMeans(s, un)},
		{"Adjustment", s.view.Adjustment},
	}))
	in.TakeTop(u.Px(14))
	u.Heading(in.TakeTop(u.Px(28)), "What you report")
	row := in.TakeTop(u.FieldH())
	field := u.Field(paint.R(row.X, row.Y, u.Px(200), row.H), "Mean of the readings, "+un.name())
	a.note("mean", field)
	changed, done := u.TextField("mean", field, &rep.mean, "")
	rep.written = rep.written || changed
	if s.exercise.Job.StateUncertainty {
		in.TakeTop(u.Px(8))
		row = in.TakeTop(u.FieldH())
		field = u.Field(paint.R(row.X, row.Y, u.Px(200), row.H), "Its expanded uncertainty (95 %), ± "+un.name())
		a.note("expanded", field)
		_, entered := u.TextField("expanded", field, &rep.expanded, "")
		done = done || entered
	}
	in.TakeTop(u.Px(12))
	u.Line(in.TakeTop(u.Px(22)), "Decision by the rule", u.Small(), u.Theme.InkSoft, paint.Left)
	row = in.TakeTop(u.RowH())
	a.decisionButtons(&in, row)
	in.TakeTop(u.Px(14))
	if rep.word != "" {
		in.TakeTop(u.Banner(in, rep.word, widgets.Warn) + u.Px(10))
	} else if v := s.view.Result; v != nil {
		in.TakeTop(u.Banner(in, fmt.Sprintf("Handed in: mean %s%s %s, %s. A new report replaces it.", un.um(v.MeanUm), un.plusMinus(v.ExpandedUm), un.name(), v.Verdict), widgets.Truth) + u.Px(10))
	}
	a.reportButtons(&in, done)
	u.EndScroll(in.Y - top + u.Px(16))
	if a.report.asking {
		a.askFinish()
	}
}

// decisionButtons draws what may be decided, in as many rows as it takes.
func (a *App) decisionButtons(in *paint.Rect, row paint.Rect) {
	u, rep := a.ui, &a.report
	w := 0.0
	for _, v := range a.verdicts() {
		w = max(w, a.keyedW(decisionButtons[v].label, decisionButtons[v].key)+u.Px(20))
	}
	for i, v := range a.verdicts() {
		if i > 0 && row.W < w {
			in.TakeTop(u.Px(8))
			row = in.TakeTop(u.RowH())
		}
		b := decisionButtons[v]
		if a.keyed(b.id, row.TakeLeft(w), b.label, b.key, widgets.ButtonAs{On: rep.decision == i}) {
			rep.decision = i
		}
		row.TakeLeft(u.Px(8))
	}
}

func (a *App) reportButtons(in *paint.Rect, done bool) {
	u := a.ui
	place := func(w float64) paint.Rect {
		b := in.TakeTop(u.RowH())
		in.TakeTop(u.Px(8))
		return paint.R(b.X, b.Y, min(w, b.W), b.H)
	}
	w := max(a.keyedW("Hand in and finish", "Enter"), a.keyedW("Hand in, keep working", "H")) + u.Px(20)
	if a.keyed("finish", place(w), "Hand in and finish", "Enter", widgets.ButtonAs{Look: widgets.Primary}) || done {
		if a.handIn() {
			a.report.asking = true
		}
	}
	if a.keyed("hand-in", place(w), "Hand in, keep working", "H", widgets.ButtonAs{}) && a.handIn() {
		a.goTo(pageBench)
	}
	if a.keyed("back", place(w), "Back to the bench", "Esc", widgets.ButtonAs{}) {
		a.goTo(pageBench)
	}
}

// handIn gives the report to the bench; false with a word why not.
func (a *App) handIn() bool {
	rep, s := &a.report, a.sitting
	counts, ok := a.units().parse(rep.mean)
	expanded, fine := int64(0), true
	if s.exercise.Job.StateUncertainty && rep.expanded != "" {
		expanded, fine = a.units().parse(rep.expanded)
	}
	switch {
	case !ok:
		rep.word = "Write the mean as a number."
		return false
	case !fine || expanded < 0:
		rep.word = "Write the uncertainty as a number of 0 or above, or leave it empty."
		return false
	case rep.decision < 0:
		rep.word = "Choose a decision."
		return false
	}
	if !s.do(a.now, bench.Action{Do: bench.Report, Counts: counts, Uncertainty: expanded, Text: a.verdicts()[rep.decision]}) {
		rep.word = "Not handed in: " + s.refusal + "."
		return false
	}
	rep.word = ""
	return true
}

func (a *App) askFinish() {
	yes, no := a.confirm("finish-now", "Finish the attempt",
		"The report is handed in. Finishing ends the attempt and opens the debrief; nothing can be measured or verified afterwards.",
		"Finish", "Not yet", widgets.Primary)
	if no {
		a.report.asking = false
	}
	if yes {
		a.report.asking = false
		if a.sitting.do(a.now, bench.Action{Do: bench.Finish}) {
			a.openDebrief(a.sitting.Name)
		} else {
			a.report.word = "Not finished: " + a.sitting.refusal + "."
		}
	}
}

// spotMeans lists the mean of each spot of the job in memory.
func spotMeans(s *sitting, un units) string {
	r := bench.Result{Readings: s.view.Memory}
	text := ""
	for i, m := range r.SpotMeansUm(un.resolutionUm) {
		if i > 0 {
			text += "   "
		}
		text += un.um(m)
	}
	if text == "" {
		return "none yet"
	}
	return text
}
