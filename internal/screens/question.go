package screens

import (
	"fmt"

	"foilwright/internal/paint"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
)

// reasons a trainee may give for discarding a reading: what goes to the log,
// and what it means.
var reasons = [][2]string{
	{"probe tilted", "The probe leaned"}, {"probe slipped", "The probe slipped or was dragged"}, {"lifted too soon", "Lifted before it settled"},
	{"blemish or edge", "On a blemish, or too near an edge"}, {"", "No reason (counts against you)"},
}

const reasonsText = "A reading may be dropped only for a fault in how it was taken, and is taken again. Both are recorded. What was wrong?"

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
		yes, no := a.confirm("clear-all", "Clear the memory",
			fmt.Sprintf("All %s go, also those of this job. This cannot be undone.", readings(len(a.sitting.view.Memory))), "Clear all", "Keep them", widgets.Danger)
		if yes {
			a.clearMemory()
		}
		if yes || no {
			d.asking = askNothing
		}
	case askLeave:
		yes, no := a.confirm("leave-broken", "Leave without a full log",
			"The log could not be written to its end. What you did since then is lost when you leave.", "Leave", "Stay", widgets.Danger)
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
	in := u.BeginModal("reasons", fmt.Sprintf("Drop the reading %s %s", a.units().counts(last.Counts), a.units().name()), 460, 96+float64(len(reasons)+1)*40+u.Small().Height(reasonsText, u.Px(416))/u.TextScale+8)
	in.TakeTop(u.SmallParagraph(in, reasonsText) + u.Px(8))
	done := false
	for i, r := range reasons {
		if a.keyed(r[1], in.TakeTop(u.RowH()), r[1], a.pen.Labels.Whole(i+1), widgets.ButtonAs{}) {
			s.do(a.now, bench.Action{Do: bench.DeleteLast, Text: r[0]})
			done = true
		}
		in.TakeTop(u.Px(6))
	}
	if u.Quiet("keep", in.TakeTop(u.RowH()), "Keep the reading") {
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
		id := s.view.Foil
		if id == "" {
			s.refusal = "lay a foil first; K then reads its certificate"
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
