package widgets

import (
	"math"

	"foilwright/internal/paint"
)

type modal struct {
	id    ID
	focus ID // had the keyboard before
}

// BeginModal opens a dialog over everything drawn before it in this pass; call it last in the body. Tab stays inside,
// widgets behind it are dead. It returns the inside of the sheet below the title. Width and height are logical pixels at
// text size 1.
func (u *UI) BeginModal(id, title string, w, h float64) paint.Rect {
	k := u.use(id)
	open := false
	for _, m := range u.modals {
		open = open || m.id == k
	}
	if !open {
		u.modals = append(u.modals, modal{k, u.focus})
	}
	u.passModals = append(u.passModals, k)
	u.layer++
	u.passTop = max(u.passTop, u.layer)
	u.order = u.order[:0]
	if u.over(u.Screen) {
		u.hotNext = k
	}
	th := u.Theme
	u.L.Rect(u.Screen, th.Scrim)
	sheet := u.Screen.Inset(u.Px(12)).Centered(u.Px(w), u.Px(h))
	u.L.Rect(sheet, th.Sheet)
	// The double line of a drawing's border.
	u.L.Frame(sheet, 2*th.Hairline, th.Ink)
	u.L.Frame(sheet.Inset(u.Px(6)), th.Hairline, th.Ink)
	in := sheet.Inset(u.Px(22))
	u.Heading(in.TakeTop(u.Px(28)), title)
	u.L.Rule(in.X, in.Y+u.Px(4), in.Right(), in.Y+u.Px(4), th.Hairline, th.Ink)
	in.TakeTop(u.Px(16))
	return in
}

// EndModal closes the dialog's content and returns whether Escape asks to close it.
func (u *UI) EndModal() (escape bool) {
	escape = u.takeKey("Escape")
	u.layer--
	return escape
}

// closeModals gives the keyboard back to where it was before a dialog that is no longer shown.
func (u *UI) closeModals() {
	for len(u.modals) > 0 {
		last := u.modals[len(u.modals)-1]
		for _, k := range u.passModals {
			if k == last.id {
				return
			}
		}
		u.modals = u.modals[:len(u.modals)-1]
		// Widgets below came too early in this pass to know that they are free again.
		u.focus, u.pendingFocus = 0, last.focus
	}
}

// Confirm is a whole dialog with a question and two buttons; it returns which was chosen. Escape is no.
func (u *UI) Confirm(id, title, question, yes, no string, danger bool) (yesChosen, noChosen bool) {
	const width = 480
	text := u.Body().Height(question, u.Px(width-44))
	in := u.BeginModal(id, title, width, 44+44+text/u.TextScale+20+34)
	foot := in.TakeBottom(u.RowH())
	u.Paragraph(in, question)
	look := Primary
	if danger {
		look = Danger
	}
	u.Scope(id, 0)
	yesChosen = u.ButtonWith("yes", foot.TakeRight(math.Min(u.ButtonW(yes), foot.W/2-u.Gap())), yes, ButtonAs{Look: look})
	foot.TakeRight(u.Gap())
	noChosen = u.Button("no", foot.TakeRight(u.ButtonW(no)), no)
	u.EndScope()
	if u.EndModal() {
		noChosen = true
	}
	return yesChosen, noChosen
}
