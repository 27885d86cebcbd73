package screens

import (
	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
	"foilwright/sim/inspect"
)

// openJob opens the job sheet; reading it is part of the work and is logged.
func (a *App) openJob() {
	s := a.sitting
	a.goTo(pageJob)
	if !s.view.JobRead && !s.view.Finished {
		s.do(a.now, bench.Action{Do: bench.ReadJob})
	}
}

// formRow is one row of a ruled form.
type formRow struct{ name, text string }

// form draws ruled rows with their names at the left and returns the height.
func (a *App) form(r paint.Rect, rows []formRow) float64 {
	u := a.ui
	top, names := r.Y, u.Px(150)
	for _, row := range rows {
		text := paint.R(r.X+names+u.Px(10), r.Y+u.Px(6), r.W-names-u.Px(20), 0)
		h := max(u.Body().Height(row.text, text.W), u.Body().LineHeight(), u.Small().Height(row.name, names-u.Px(12))) + u.Px(12)
		u.L.Frame(paint.R(r.X, r.Y, r.W, h+1), 1, u.Theme.Edge)
		u.L.Rule(r.X+names, r.Y, r.X+names, r.Y+h, 1, u.Theme.Edge)
		u.L.TextBlock(paint.R(r.X+u.Px(8), r.Y+u.Px(7), names-u.Px(12), h), row.name, u.Small(), u.Theme.InkSoft, paint.Left)
		u.L.TextBlock(text, row.text, u.Body(), u.Theme.Ink, paint.Left)
		r.Y += h
	}
	return r.Y - top
}

// jobRows is the job sheet of an exercise.
func jobRows(e *bench.Exercise, u units) []formRow {
	j, l := &e.Job, &e.Limits
	thick := func(x float64) string { return u.plain(x) + " " + u.name() }
	rows := []formRow{
		{say.T("Customer"), j.Customer},
		{say.T("Item"), j.Item},
		{say.T("To be done"), j.Text},
		{say.T("Base metal"), j.Base},
		{say.T("Coating"), j.Coating},
		{say.T("Expected"), say.T("%s to %s %s", u.plain(j.ExpectedUm.Low), u.plain(j.ExpectedUm.High), u.name())},
		{say.T("Nominal dry film thickness (NDFT)"), thick(j.NominalUm)},
		{say.T("Adjustment"), capital(adjustmentText(e))},
		{say.T("Readings"), say.T("%d spots of %d, in the marked area; the readings of a spot within %g mm", j.Spots, j.PerSpot, l.SpotMm)},
		{say.T("Handling"), say.T("Lift at least %g mm clear between readings; hold the probe square, within %g°, until the reading shows", l.LiftMm, l.TiltDeg)},
		{say.T("Acceptance"), j.Rule.Name},
	}
	if text := roughness(e, thick); text != "" {
		rows = append(rows, formRow{say.T("Roughness"), text})
	}
	rows = append(rows, ruleRows(&j.Rule)...)
	for i, p := range e.Offered() {
		name := say.T("Probe")
		if i > 0 {
			name = say.T("Another probe")
		}
		text := say.T("%s, up to %s", p.Name, thick(p.RangeUm))
		if len(e.Offered()) > 1 {
			sheet := p.Sheet()
			text += say.T("; adjusted on flat, thick metal it serves down to a radius of %g mm, hollow %g mm, and metal of %g mm", sheet.ConvexRadiusMm, sheet.ConcaveRadiusMm, sheet.BaseThicknessMm)
		}
		rows = append(rows, formRow{name, text})
	}
	return rows
}

// adjustmentText says what the job is adjusted on.
func adjustmentText(e *bench.Exercise) string {
	l := &e.Limits
	switch e.Job.Adjustment {
	case bench.OneCoatedPiece:
		return say.T("no bare metal at hand: one certified coated piece, no zero; at least %d readings on it, set to its certified value", l.FoilReadings)
	case bench.TwoCoatedPieces:
		return say.T("no bare metal at hand: two certified coated pieces, no zero; at least %d readings on each, set to its certified value", l.FoilReadings)
	}
	adjust := map[string]string{bench.ZeroOnly: say.T("zero"), bench.OneFoil: say.T("zero and one foil"), bench.TwoFoils: say.T("zero and two foils")}[e.Job.Adjustment]
	return say.T("%s; at least %d readings for the zero and %d on each foil", adjust, l.ZeroReadings, l.FoilReadings)
}

// ruleRows tells which statement holds where the sheet names one.
func ruleRows(r *bench.Rule) []formRow {
	var rows []formRow
	if named, ok := inspect.AcceptanceRuleByID(r.Acceptance); ok {
		rows = append(rows, formRow{say.T("By the rule"), named.Text + " (" + named.Standard + ")"})
	}
	switch {
	case r.Decision == "":
	case r.GuardUm > 0:
		rows = append(rows, formRow{say.T("Uncertainty"), say.T("%s with a guard band of %g µm for the mean", r.Decision, r.GuardUm)})
	default:
		rows = append(rows, formRow{say.T("Uncertainty"), say.T("%s with the expanded uncertainty of the mean as guard band", r.Decision)})
	}
	if p, ok := r.Sampling(); ok {
		rows = append(rows, formRow{say.T("Sampling plan"), say.T("%s, for %g m²", p.Standard, r.AreaM2)})
	}
	if r.Accuracy != "" {
		rows = append(rows, formRow{say.T("Accuracy"), r.Tolerance().Standard})
	}
	if named, ok := r.Edge(); ok {
		rows = append(rows, formRow{say.T("Edges"), named.Standard})
	}
	return rows
}

// roughness says what the job has deducted for the blasted profile.
func roughness(e *bench.Exercise, thick func(um float64) string) string {
	switch {
	case e.Job.AllowanceUm > 0:
		return say.T("Adjust on smooth metal; deduct %s from the mean and from every spot", thick(e.Job.AllowanceUm))
	case e.Part.Piece.Texture.Rough():
		return say.T("Adjust on metal of the part's own finish; deduct nothing")
	}
	return ""
}

func (a *App) drawJob(screen paint.Rect) {
	u, s := a.ui, a.sitting
	s.advance(a.now)
	r := screen
	a.titleCells(a.titleButtons(r.TakeTop(u.Px(46)), nil), s.exercise.Title, say.T("Job sheet"))
	foot := r.TakeBottom(u.RowH() + u.Px(24))
	col := a.column(r, 760)
	col.TakeTop(u.Px(12))
	in := u.BeginScroll("job", col)
	top := in.Y
	in.H = 1e6
	u.Title(in.TakeTop(u.Px(36)), say.T("Job sheet"))
	in.TakeTop(u.Px(6))
	rows := jobRows(s.exercise, a.units())
	if s.Assessment {
		rows = append(rows, formRow{say.T("Assessment"), say.T("No hints are given and the field view is off; everything else works as in practice.")})
	}
	in.TakeTop(a.form(in, rows))
	in.TakeTop(u.Px(14))
	for _, c := range s.exercise.Cautions {
		in.TakeTop(u.Banner(in, c, widgets.Warn) + u.Px(6))
	}
	u.EndScroll(in.Y - top)
	label := say.T("To the bench")
	b := a.column(foot, 760)
	if a.keyed("to-bench", paint.R(b.X, b.Y+u.Px(12), a.keyedW(label, "Enter")+u.Px(30), u.RowH()), label, "Enter", widgets.ButtonAs{Look: widgets.Primary}) || a.pressed("Escape") || a.pressed("j") {
		a.goTo(pageBench)
	}
}
