package screens

import (
	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
)

// reason is why a reading was discarded, as it goes to the log.
type reason string

// reasons a trainee may give, what they mean, and how they are put where there
// is little room.
var reasons = []struct {
	logged      reason
	text, short say.Text
}{
	{"probe tilted", "The probe leaned", "probe tilted"},
	{"probe slipped", "The probe slipped or was dragged", "probe slipped"},
	{"lifted too soon", "Lifted before it settled", "lifted too soon"},
	{"blemish or edge", "On a blemish, or too near an edge", "blemish or edge"},
	{"", "No reason (counts against you)", "no reason"},
}

// reasonText puts a reason from a log into words.
func reasonText(logged string) string {
	for _, r := range reasons {
		if r.logged == reason(logged) {
			return say.T(r.short)
		}
	}
	return logged
}

const reasonsText say.Text = "A reading may be deleted only for a fault in how it was taken, and is taken again. Both are recorded. What was wrong?"

func (a *App) askDelete() {
	if len(a.sitting.view.Memory) == 0 {
		a.sitting.do(a.now, bench.Action{Do: bench.DeleteLast}) // the bench says why not
		return
	}
	a.desk.asking = askReason
}

func (a *App) askClear() {
	own := 0
	for _, m := range a.sitting.view.Memory {
		if m.Spot > 0 {
			own++
		}
	}
	if own == 0 {
		a.clearMemory()
		return
	}
	a.desk.asking = askClear
}

func (a *App) clearMemory() { a.sitting.do(a.now, bench.Action{Do: bench.ClearMemory}) }

// drawQuestion draws the question that is open, if any.
func (a *App) drawQuestion(screen paint.Rect) {
	d := &a.desk
	switch d.asking {
	case askReason:
		a.drawReasons()
	case askClear:
		yes, no := a.confirm("clear-all", say.T("Clear the memory"),
			say.T("All %s go, also those of this job. This cannot be undone.", readings(len(a.sitting.view.Memory))), say.T("Clear all"), say.T("Keep them"), widgets.Danger)
		if yes {
			a.clearMemory()
		}
		if yes || no {
			d.asking = askNothing
		}
	case askLeave:
		yes, no := a.confirm("leave-broken", say.T("Leave without a full log"),
			say.T("The log could not be written to its end. What you did since then is lost when you leave."), say.T("Leave"), say.T("Stay"), widgets.Danger)
		if yes {
			d.asking = askNothing
			a.leave()
		} else if no {
			d.asking = askNothing
		}
	}
}

func (a *App) drawReasons() {
	u, s := a.ui, a.sitting
	last := s.view.Memory[len(s.view.Memory)-1]
	in := u.BeginModal("reasons", say.T("Delete the reading %s %s", a.units().counts(last.Counts), a.units().name()), 460, 96+float64(len(reasons)+1)*40+u.Small().Height(say.T(reasonsText), u.Px(416))/u.TextScale+8)
	in.TakeTop(u.SmallParagraph(in, say.T(reasonsText)) + u.Px(8))
	done := false
	for i, r := range reasons {
		u.Scope("reason", i)
		if a.keyed("drop", in.TakeTop(u.RowH()), say.T(r.text), a.pen.Labels.Whole(i+1), widgets.ButtonAs{}) {
			s.do(a.now, bench.Action{Do: bench.DeleteLast, Text: string(r.logged)})
			done = true
		}
		u.EndScope()
		in.TakeTop(u.Px(6))
	}
	if u.Quiet("keep", in.TakeTop(u.RowH()), say.T("Keep the reading")) {
		done = true
	}
	if u.EndModal() || done {
		a.desk.asking = askNothing
	}
}

// benchKeys are the keys of the bench that stand on no button.
func (a *App) benchKeys() {
	u, d, s := a.ui, &a.desk, a.sitting
	switch {
	case a.pressed("p"):
		u.SetFocus(planID)
	case a.pressed("0"):
		s.do(a.now, bench.Action{Do: bench.TakeFoilAway})
	case a.pressed("k"):
		id := s.under()
		if id == "" {
			s.refusal = say.T("lay a foil first; K then reads its certificate")
		} else if d.card == id {
			d.card = ""
		} else if s.do(a.now, bench.Action{Do: bench.ReadCertificate, Item: id}) {
			d.card = id
		}
	case a.pressed("h"):
		a.toggleHints()
	case s.Assessment && a.pressed("e"):
		a.toggleField() // it says why not
	case s.view.Mode == bench.Foiling && a.pressed("Enter"):
		u.SetFocus("foil-value")
	}
}

// confirm asks a question over the screen; Escape is no.
func (a *App) confirm(id, title, question, yes, no string, look widgets.Look) (yesChosen, noChosen bool) {
	u := a.ui
	const width = 500
	text := u.Body().Height(question, min(u.Px(width), u.Screen.W-u.Px(24))-u.Px(44))
	in := u.BeginModal(id, title, width, 44+44+text/u.TextScale+22+34)
	foot := in.TakeBottom(u.RowH())
	u.Paragraph(in, question)
	yesChosen = a.keyed(id+"-yes", foot.TakeRight(a.keyedW(yes, "Enter")), yes, "Enter", widgets.ButtonAs{Look: look})
	foot.TakeRight(u.Gap())
	noChosen = a.keyed(id+"-no", foot.TakeRight(a.keyedW(no, "Esc")), no, "Esc", widgets.ButtonAs{})
	escape := u.EndModal()
	return yesChosen, noChosen || escape
}
