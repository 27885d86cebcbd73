package screens

import (
	"foilwright/internal/history"
	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/internal/widgets"
	"foilwright/sim/inspect"
)

// drawProgress draws how far each skill is mastered and what to practise next.
func (a *App) drawProgress(r *paint.Rect) {
	u, s := a.ui, a.home.standing
	if s == nil {
		return
	}
	a.caption(r.TakeTop(u.Px(20)), say.T("PRACTISE NEXT"))
	r.TakeTop(u.Px(6))
	r.TakeTop(a.say(*r, s.Next.Why, u.Body(), u.Theme.Ink) + u.Px(8))
	if e, err := a.listed(s.Next.Exercise); err == nil && s.Attempts > 0 {
		label := say.T("Practise")
		at := r.TakeTop(u.RowH())
		at.W = a.keyedW(label, "P") + u.Px(16)
		if a.keyed("practise", at, label, "P", widgets.ButtonAs{}) {
			a.begin(e, false)
		}
		r.TakeTop(u.Px(8))
	}
	r.TakeTop(u.Px(6))
	a.caption(r.TakeTop(u.Px(20)), say.T("YOUR SKILLS"))
	r.TakeTop(u.Px(4))
	for i := range s.Skills {
		a.drawSkill(r, &s.Skills[i])
	}
	if s.Attempts > 0 {
		r.TakeTop(u.SmallParagraph(*r, say.T("To go: so many good attempts in a row would show the skill beyond doubt.")) + u.Px(4))
	}
	if n := len(s.Curve); n > 0 {
		r.TakeTop(u.Px(8))
		a.drawCurve(r.TakeTop(u.Px(150)), s.Curve)
		r.TakeTop(u.SmallParagraph(*r, say.T("%s counted, %d passed.", say.N(s.Attempts, "%d attempt", "%d attempts"), s.Passed)))
	}
}

// drawSkill draws the chart of one skill as a bar: how much of the way to
// competence has been gone.
func (a *App) drawSkill(r *paint.Rect, k *history.Skill) {
	u := a.ui
	row := r.TakeTop(u.Px(26))
	word, tone := "", widgets.Plain
	share := 0.0
	if k.Pass < 0 {
		share = k.Sum / k.Pass
	}
	switch k.State {
	case inspect.Competent:
		word, tone, share = say.T("competent"), widgets.Good, 1
	case inspect.BelowStandard:
		word, tone = say.T("below standard"), widgets.Warn
	default:
		word = say.T("%d to go", k.ToGo)
		if k.Tried == 0 {
			word = say.T("not tried")
		}
	}
	f := u.Small()
	w := u.Px(22) + f.Width(say.T("below standard"))
	at := row.TakeRight(w)
	u.Mark(tone, at.X+u.Px(8), at.Y+at.H/2, u.Px(12))
	at.TakeLeft(u.Px(20))
	u.Line(at, word, f, u.Theme.Ink, paint.Left)
	row.TakeRight(u.Px(10))
	name := capital(k.Name)
	bar := row.TakeRight(max(0, row.W-f.Width(say.T("Placement and sampling"))-u.Px(10)))
	u.Line(row, name, f, u.Theme.Ink, paint.Left)
	if bar.W > u.Px(40) {
		u.Progress(bar, share, "")
	}
}

// drawCurve draws technique over the attempts.
func (a *App) drawCurve(r paint.Rect, curve []history.Point) {
	u := a.ui
	n := float64(len(curve))
	p := u.NewPlot(r, widgets.Axis{Lo: 0.5, Hi: max(n, 5) + 0.5, Label: say.T("attempt")}, widgets.Axis{Lo: 0, Hi: 100, Label: say.T("technique; line: mean of the last five")})
	xs, ys, mean := make([]float64, len(curve)), make([]float64, len(curve)), make([]float64, len(curve))
	for i, c := range curve {
		xs[i], ys[i], mean[i] = float64(c.N), c.Technique, c.Mean
	}
	p.Line(xs, mean, u.Px(2), u.Theme.Truth)
	p.Crosses(xs, ys, u.Px(8), u.Theme.Ink)
}
