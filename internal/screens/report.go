package screens

import (
	"fmt"
	"strings"

	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
	"foilwright/sim/grade"
)

// reportState is the report sheet as the trainee fills it in.
type reportState struct {
	mean     string
	deduct   string // allowance for roughness
	written  bool   // the trainee has changed the mean
	expanded string // uncertainty of the mean, where the job asks for it
	decision int    // index into the rule's verdicts, -1 not yet
	word     string
	asking   bool
	opened   bool
	lines    []recordLine
}

// recordLine is a line of the record sheet: what would be written down at work.
// Its key goes to the log.
type recordLine struct {
	key, name, asks string
	text            string
}

// decisionButtons are what a trainee may decide, by the verdict in the log.
var decisionButtons = map[string]struct {
	id    string
	label say.Text
	key   string
}{
	bench.Accept:            {"accept", "Accept", "A"},
	bench.ConditionalAccept: {"accept-if", "Conditional accept", "O"},
	bench.ConditionalReject: {"reject-if", "Conditional reject", "E"},
	bench.Reject:            {"reject", "Reject", "X"},
}

// verdicts are what the rule of the job lets a trainee decide.
func (a *App) verdicts() []string { return a.sitting.exercise.Job.Rule.Verdicts() }

// recordLines is the record sheet of an exercise, with what has been written.
func recordLines(e *bench.Exercise, r *bench.Record) []recordLine {
	foils, verified := say.T("Foils"), say.T("foil and mean")
	if e.Job.OnCoated() {
		foils, verified = say.T("Coated pieces"), say.T("piece and mean")
	}
	list := []recordLine{
		{key: "zeroed-on", name: say.T("Zeroed on"), asks: say.T("which piece")},
		{key: "foils", name: foils, asks: say.T("certificate and value set")},
		{key: "verified-before", name: say.T("Verified before"), asks: verified},
	}
	for i := range e.Job.Spots {
		list = append(list, recordLine{key: fmt.Sprintf("spot-%d", i+1), name: say.T("Spot %d, mean", i+1), asks: say.T("of its readings")})
	}
	list = append(list,
		recordLine{key: "verified-after", name: say.T("Verified after"), asks: verified},
		recordLine{key: "dropped", name: say.T("Readings deleted"), asks: say.T("how many, and why")},
		recordLine{key: "remarks", name: say.T("Remarks"), asks: say.T("anything else")},
	)
	for i := range list {
		list[i].text = r.Written(list[i].key)
	}
	return list
}

func (a *App) openReport() {
	if a.sitting.view.Touching {
		a.sitting.refusal = say.T("lift the probe before you write the report")
		return
	}
	if a.lesson != nil {
		a.sitting.refusal = say.T("the first minutes have no report; every exercise has")
		return
	}
	r := &a.report
	if !r.opened {
		*r = reportState{opened: true, decision: -1, lines: recordLines(a.sitting.exercise, a.sitting.Bench.Record())}
		if v := a.sitting.view.Result; v != nil {
			r.decision = index(a.verdicts(), v.Verdict)
			r.mean, r.written = a.units().um(v.RecordedUm), true
			if v.ExpandedUm > 0 {
				r.expanded = a.units().um(v.ExpandedUm)
			}
			r.deduct = a.units().um(v.AllowanceUm)
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
	a.titleCells(a.titleButtons(r.TakeTop(u.Px(46)), nil), s.exercise.Title, say.T("Report sheet"))
	// The buttons stand at the foot, whatever is said above them.
	foot := a.column(r, 1180)
	foot = foot.TakeBottom(a.flowHeight(foot.W, a.reportWidths()) + u.Px(20))
	r.H -= foot.H
	col := a.column(r, 1180)
	col.TakeTop(u.Px(12))
	in := u.BeginScroll("report", col)
	top := in.Y
	in.H = 1e6
	u.Title(in.TakeTop(u.Px(36)), say.T("Report sheet"))
	in.TakeTop(u.Px(6))
	left := in
	var right paint.Rect
	if wide := in.W > u.Px(880); wide {
		right = left.TakeRight((in.W - u.Px(24)) * 0.48)
		left.TakeRight(u.Px(24))
	}
	done := a.drawResultForm(&left)
	if right.W > 0 {
		a.drawRecordForm(&right)
		left.Y = max(left.Y, right.Y)
	} else {
		left.TakeTop(u.Px(16))
		a.drawRecordForm(&left)
	}
	u.EndScroll(left.Y - top + u.Px(16))
	foot.TakeTop(u.Px(10))
	a.reportButtons(foot, done)
	a.typeMean()
	if rep.asking {
		a.askFinish()
	}
}

// drawResultForm draws what the instrument holds, and the boxes for the mean
// and the decision; it returns whether Enter was pressed in the mean.
func (a *App) drawResultForm(in *paint.Rect) (done bool) {
	u, s, rep := a.ui, a.sitting, &a.report
	un := a.units()
	st := s.view.Statistics
	res := un.resolutionUm
	shown := say.T("no readings in memory")
	if st.N > 0 {
		sd := "–" // one reading does not scatter
		if st.N > 1 {
			sd = un.um(st.SD * res)
		}
		shown = say.T("%s; mean %s, s %s, min %s, max %s %s", readings(st.N), un.um(st.Mean*res), sd, un.um(st.Min*res), un.um(st.Max*res), un.name())
		if n := earlierReadings(s.view.Memory); n > 0 {
			shown += "; " + say.T("%d of them left from an earlier job", n)
		}
	}
	in.TakeTop(a.form(*in, []formRow{
		{say.T("Item"), s.exercise.Job.Item},
		{say.T("Acceptance"), s.exercise.Job.Rule.Name},
		{say.T("Instrument"), shown},
		{say.T("Spot means"), spotMeans(s, un)},
		{say.T("Adjustment"), s.view.Adjustment},
	}))
	in.TakeTop(u.Px(14))
	u.Heading(in.TakeTop(u.Px(28)), say.T("What you report"))
	row := in.TakeTop(u.FieldH())
	field := u.Field(paint.R(row.X, row.Y, u.Px(200), row.H), say.T("Mean of the readings, %s", un.name()))
	a.note("mean", field)
	changed, done := u.TextField("mean", field, &rep.mean, "")
	rep.written = rep.written || changed
	if roughness(s.exercise, un.plain) != "" {
		in.TakeTop(u.Px(12))
		row = in.TakeTop(u.FieldH())
		field = u.Field(paint.R(row.X, row.Y, u.Px(200), row.H), say.T("Deducted for roughness, %s", un.name()))
		a.note("deduct", field)
		_, enter := u.TextField("deduct", field, &rep.deduct, "")
		done = done || enter
		in.TakeTop(u.Px(6))
		u.Line(in.TakeTop(u.Px(22)), a.deducted(), u.Body(), u.Theme.Ink, paint.Left)
	}
	if s.exercise.Job.StateUncertainty {
		in.TakeTop(u.Px(8))
		row = in.TakeTop(u.FieldH())
		field = u.Field(paint.R(row.X, row.Y, u.Px(200), row.H), say.T("Uncertainty U (95 %%), %s", un.name()))
		a.note("expanded", field)
		_, entered := u.TextField("expanded", field, &rep.expanded, "")
		done = done || entered
		in.TakeTop(u.Px(4))
		in.TakeTop(u.SmallParagraph(paint.R(in.X, in.Y, in.W, 0),
			say.T("From the spread of the spot means over the root of their number, the readings of zero and foil, the foil's certificate and the display's step, as the root of the sum of squares, times the factor for 95 %.")))
	}
	in.TakeTop(u.Px(12))
	u.Line(in.TakeTop(u.Px(22)), say.T("Decision by the rule"), u.Small(), u.Theme.InkSoft, paint.Left)
	row = in.TakeTop(u.RowH())
	a.decisionButtons(in, row)
	in.TakeTop(u.Px(14))
	if rep.word != "" {
		in.TakeTop(u.Banner(*in, rep.word, widgets.Warn) + u.Px(10))
	} else if v := s.view.Result; v != nil {
		in.TakeTop(u.Banner(*in, say.T("Handed in: mean %s%s %s, %s. A new report replaces it.", un.um(v.MeanUm), un.plusMinus(v.ExpandedUm), un.name(), decided(v.Verdict)), widgets.Truth) + u.Px(10))
	}
	return done
}

// drawRecordForm draws the record sheet.
func (a *App) drawRecordForm(in *paint.Rect) {
	u, rep := a.ui, &a.report
	u.Heading(in.TakeTop(u.Px(28)), say.T("Your record"))
	in.TakeTop(u.SmallParagraph(*in, say.T("What you would write down at work, so that somebody else can check it. The debrief sets it beside what happened.")) + u.Px(6))
	names := min(u.Px(190), in.W*0.4)
	hints := paint.Font{Face: paint.Regular, Size: u.Px(11)}
	for i := range rep.lines {
		l := &rep.lines[i]
		row := in.TakeTop(u.RowH())
		in.TakeTop(u.Px(4))
		label := row.TakeLeft(names)
		label.TakeRight(u.Px(6))
		if l.asks != "" {
			// Beside the box, not in it: what stands in a box has been written there.
			u.Line(label.TakeBottom(u.Px(15)), l.asks, hints, u.Theme.InkSoft, paint.Left)
		}
		u.Line(label, l.name, u.Small(), u.Theme.Ink, paint.Left)
		a.note("record-"+l.key, row)
		u.TextField("record-"+l.key, row, &l.text, "")
	}
}

// decisionButtons draws what may be decided, in as many rows as it takes.
func (a *App) decisionButtons(in *paint.Rect, row paint.Rect) {
	u, rep := a.ui, &a.report
	w := 0.0
	for _, v := range a.verdicts() {
		w = max(w, a.keyedW(say.T(decisionButtons[v].label), decisionButtons[v].key)+u.Px(20))
	}
	for i, v := range a.verdicts() {
		if i > 0 && row.W < w {
			in.TakeTop(u.Px(8))
			row = in.TakeTop(u.RowH())
		}
		b := decisionButtons[v]
		if a.keyed(b.id, row.TakeLeft(w), say.T(b.label), b.key, widgets.ButtonAs{On: rep.decision == i}) {
			rep.decision = i
		}
		row.TakeLeft(u.Px(8))
	}
}

// keepRecord writes the lines of the record sheet that have changed to the log.
func (a *App) keepRecord() {
	s := a.sitting
	for i := range a.report.lines {
		l := &a.report.lines[i]
		if text := strings.TrimSpace(l.text); text != s.Bench.Record().Written(l.key) {
			s.do(a.now, bench.Action{Do: bench.WriteRecord, Item: l.key, Text: text})
		}
	}
}

// typeMean lets a figure be typed without going to its box first.
func (a *App) typeMean() {
	for n := range 10 {
		if key := a.pen.Labels.Whole(n); a.pressed(key) {
			a.report.mean, a.report.written = key, true
			a.ui.SetFocus("mean")
		}
	}
}

// reportLabels are the buttons at the foot of the report sheet, with keys.
var reportLabels = [...]struct {
	text say.Text
	key  string
}{{"Hand in and finish", "Enter"}, {"Hand in, keep working", "H"}, {"Back to the bench", "Esc"}}

func (a *App) reportWidths() []float64 {
	var w []float64
	for _, l := range reportLabels {
		w = append(w, a.keyedW(say.T(l.text), l.key)+a.ui.Px(12))
	}
	return w
}

func (a *App) reportButtons(r paint.Rect, done bool) {
	at := a.flowPlaces(r, a.reportWidths())
	button := func(i int, id string, look widgets.Look) bool {
		return a.keyed(id, at[i], say.T(reportLabels[i].text), reportLabels[i].key, widgets.ButtonAs{Look: look})
	}
	if button(0, "finish", widgets.Primary) || done {
		if a.handIn() {
			a.report.asking = true
		}
	}
	if button(1, "hand-in", widgets.Normal) && a.handIn() {
		a.goTo(pageBench)
	}
	if button(2, "back", widgets.Normal) {
		a.keepRecord()
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
	allowance, fits := a.allowance()
	switch {
	case !ok:
		rep.word = say.T("Write the mean as a number.")
		return false
	case !fine || expanded < 0:
		rep.word = say.T("Write the uncertainty as a number of 0 or above, or leave it empty.")
		return false
	case !fits:
		rep.word = say.T("Write what you deduct for roughness as a number, or leave it empty.")
		return false
	case rep.decision < 0:
		rep.word = say.T("Choose a decision.")
		return false
	case s.served() && s.view.Statistics.N == 0:
		rep.word = say.T("There are no readings to report.") // the server's refusal would come too late
		return false
	}
	a.keepRecord()
	if !s.do(a.now, bench.Action{Do: bench.Report, Counts: counts, Uncertainty: expanded, Allowance: allowance, Text: a.verdicts()[rep.decision]}) {
		rep.word = say.T("Not handed in: %s.", s.refusal)
		return false
	}
	rep.word = ""
	return true
}

// allowance is what is deducted for roughness, in counts; nothing where the
// field is empty.
func (a *App) allowance() (counts int64, ok bool) {
	if strings.TrimSpace(a.report.deduct) == "" {
		return 0, true
	}
	counts, ok = a.units().parse(a.report.deduct)
	return counts, ok && counts >= 0
}

// deducted says what is left of the mean.
func (a *App) deducted() string {
	un := a.units()
	counts, ok := un.parse(a.report.mean)
	allowance, fits := a.allowance()
	if !ok || !fits {
		return say.T("Mean less allowance: not yet known")
	}
	return say.T("Mean less allowance: %s %s; the same is deducted from every spot", un.counts(counts-allowance), un.name())
}

func (a *App) askFinish() {
	yes, no := a.confirm("finish-now", say.T("Finish the attempt"),
		say.T("The report is handed in. Finishing ends the attempt and opens the debrief; nothing can be measured or verified afterwards."),
		say.T("Finish"), say.T("Not yet"), widgets.Primary)
	if no {
		a.report.asking = false
	}
	if yes {
		a.report.asking = false
		if a.sitting.do(a.now, bench.Action{Do: bench.Finish}) {
			if a.sitting.served() {
				a.handedIn = true
				a.leave()
				return
			}
			if a.Finished != nil {
				a.Finished(grade.Grade(a.sitting.Bench.Record()))
			}
			a.openDebrief(a.sitting.Name)
		} else {
			a.report.word = say.T("Not finished: %s.", a.sitting.refusal)
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
		return say.T("none yet")
	}
	return text
}
