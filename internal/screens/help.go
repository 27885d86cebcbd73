package screens

import (
	"slices"

	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/internal/widgets"
)

func (a *App) openHelp() { a.aside(pageHelp) }

// keyHelp lists the keys by what they are for.
var keyHelp = []struct {
	title say.Text
	rows  [][2]say.Text // what to press, and what that does
}{
	{"The probe, when the plan has the keyboard (press P)", [][2]say.Text{
		{"Pointer", "The probe follows the pointer over the plan. Hold the button to lower it and press; let go to lift."},
		{"Arrow keys", "Move 1 mm; with Ctrl 10 mm, to the rim at most."},
		{"Space", "Hold to lower and press; let go to lift."},
		{"Shift", "Two-point support: rest two fingers on the part, and the probe trembles less."},
		{"Q", "Magnify the place under the probe."},
		{"Touch", "A finger on the plan brings the probe there; hold “Hold to lower” to take the reading."},
		{"Page Up, Page Down, wheel", "Lift higher or less high between readings."},
		{"Alt and arrow keys", "Tilt the probe on purpose; U sets it upright."},
	}},
	{"The instrument", [][2]say.Text{
		{"Z  F  V  M", "Zero, foil, verify, measure."},
		{"S", "Store the zero or the foil adjustment. In foil, Enter opens the box for the foil's value."},
		{"G  B", "Judge a verification good or bad."},
		{"N  D  C", "New spot, delete the last reading, clear the memory."},
		{"X", "Drop zero and foils: back to the built-in curve."},
	}},
	{"The bench", [][2]say.Text{
		{"1 to 9", "The things on the tray by their numbers: place a piece, lay a foil or take it away. A foil laid where one lies comes to lie on it. 0 takes the upper one away."},
		{"K", "Read the certificate of the foil that is laid."},
		{"L  W", "Look at the tip, wipe it."},
		{"T", "Take the next probe, where there are several."},
		{"O  I  Y", "Look the piece over, wipe it, demagnetise it."},
		{"A  =", "Look at the foil on the piece, smooth it down."},
		{"J  R", "Job sheet, report sheet."},
		{"E", "The field under the probe, here and where it was adjusted; not in an assessment."},
		{"H", "Hints on or off. In an assessment there are none."},
		{"P", "Go to the plan. Tab and Shift+Tab go through everything."},
		{"Esc", "Leave; the attempt is kept and can be continued."},
	}},
}

func (a *App) drawHelp(screen paint.Rect) {
	u := a.ui
	in, top := a.beginAside(screen, say.T("Keys"))
	for _, part := range keyHelp {
		in.TakeTop(a.say(in, say.T(part.title), u.HeadingFont(), u.Theme.Ink) + u.Px(6))
		rows := make([]formRow, len(part.rows))
		for i, row := range part.rows {
			rows[i] = formRow{say.T(row[0]), say.T(row[1])}
		}
		in.TakeTop(a.form(in, rows) + u.Px(14))
	}
	a.endAside(in, top)
}

const aboutText say.Text = "Foilwright is a bench for practice in measuring how thick paint and other films are. " +
	"The response of the probe is computed from the physics of the metal under it, the true thickness is known, and " +
	"after each attempt every part of the error is traced to its cause.\n\n" +
	"Every attempt is written to a log as it happens. You can leave at any moment and continue later."

func (a *App) openAbout() {
	a.cautions = nil
	a.aside(pageAbout)
}

// gatherCautions gathers the cautions of all exercises, which may have to be
// read first.
func (a *App) gatherCautions() {
	a.slowly(say.T("Gathering the cautions of all exercises"), func() {
		a.cautions = a.cautions[:0]
		for _, e := range a.Exercises {
			for _, c := range a.whole(e).Cautions {
				if !slices.Contains(a.cautions, c) {
					a.cautions = append(a.cautions, c)
				}
			}
		}
	})
}

func (a *App) drawAbout(screen paint.Rect) {
	u := a.ui
	in, top := a.beginAside(screen, say.T("About"))
	u.Heading(in.TakeTop(u.Px(30)), say.T("Cautions"))
	for _, c := range cautions {
		in.TakeTop(u.Banner(in, say.T(c), widgets.Warn) + u.Px(8))
	}
	in.TakeTop(u.Px(8))
	in.TakeTop(u.Paragraph(in, say.T(aboutText)) + u.Px(10))
	in.TakeTop(u.SmallParagraph(in, say.T("Attempts are kept in %s.", a.Store.Place())) + u.Px(16))
	a.exerciseCautions(&in)
	a.endAside(in, top)
}

// exerciseCautions is folded until it is asked for: it is long, and each job
// sheet has its own share of it.
func (a *App) exerciseCautions(in *paint.Rect) {
	u := a.ui
	u.Heading(in.TakeTop(u.Px(30)), say.T("Cautions of the exercises"))
	if len(a.cautions) == 0 {
		in.TakeTop(u.SmallParagraph(*in, say.T("Every job sheet ends with those of its job.")) + u.Px(6))
		label := say.T("Show those of all exercises")
		at := in.TakeTop(u.RowH())
		at.W = min(at.W, a.keyedW(label, "A")+u.Px(16))
		if a.keyed("all-cautions", at, label, "A", widgets.ButtonAs{}) {
			a.gatherCautions()
		}
		return
	}
	for _, c := range a.cautions {
		in.TakeTop(u.SmallParagraph(*in, "•  "+c) + u.Px(6))
	}
}
