package widgets

import (
	"math"

	"foilwright/internal/paint"
)

// Look is how much a button asks for attention.
type Look uint8

// Looks.
const (
	Normal Look = iota
	Primary
	Quiet
	Danger
)

// ButtonAs are the less usual sides of a button.
type ButtonAs struct {
	Look Look
	On   bool   // shown as chosen
	Off  bool   // cannot be used now; Tip should say why
	Tip  string // shown after hovering, or beside the keyboard focus
}

// Button is a plain push button.
func (u *UI) Button(id string, r paint.Rect, label string) bool {
	return u.ButtonWith(id, r, label, ButtonAs{})
}

// Primary is the button of the step that comes next; at most one on a screen.
func (u *UI) Primary(id string, r paint.Rect, label string) bool {
	return u.ButtonWith(id, r, label, ButtonAs{Look: Primary})
}

// Quiet is a button without a border, for side paths.
func (u *UI) Quiet(id string, r paint.Rect, label string) bool {
	return u.ButtonWith(id, r, label, ButtonAs{Look: Quiet})
}

// Toggle is a button that stays down; it returns whether it was switched.
func (u *UI) Toggle(id string, r paint.Rect, label string, on *bool) bool {
	if u.ButtonWith(id, r, label, ButtonAs{On: *on}) {
		*on = !*on
		return true
	}
	return false
}

// ButtonW is the width at which a button shows its label whole.
func (u *UI) ButtonW(label string) float64 { return math.Ceil(u.Strong().Width(label)) + u.Px(28) }

// ButtonWith is a button with its less usual sides.
func (u *UI) ButtonWith(id string, r paint.Rect, label string, as ButtonAs) bool {
	k := u.use(id)
	hot, held, clicked := u.sense(k, r)
	focused := false
	if as.Off {
		held, clicked = false, false
	} else {
		focused = u.stop(k, r)
		clicked = clicked || u.activated(focused)
		if hot {
			u.cursor = CursorHand
		}
	}
	if as.Tip != "" && (hot || focused && u.ring) {
		u.showTip(k, r, as.Tip)
	}
	u.drawButton(r, label, as, hot && !as.Off, held)
	u.focusRing(focused, r)
	return clicked
}

// Hold is a button that acts for as long as it is pressed. It takes no focus: it is for pointers, beside a key that does
// the same.
func (u *UI) Hold(id string, r paint.Rect, label string, on bool) (began, ended bool) {
	k := u.use(id)
	hot, held, _ := u.sense(k, r)
	if hot {
		u.cursor = CursorHand
	}
	u.drawButton(r, label, ButtonAs{On: on}, hot, held)
	return u.pressed && u.active == k, u.released && u.active == k
}

func (u *UI) drawButton(r paint.Rect, label string, as ButtonAs, hot, held bool) {
	th, l := u.Theme, u.L
	radius := u.Px(3)
	ground, border, ink := th.Sheet, th.Edge, th.Ink
	width := th.Hairline
	switch {
	case as.On:
		ground, border, ink = th.Ink, th.Ink, th.Paper
	case as.Look == Primary:
		ground, border, ink = th.Act, th.Act, th.OnAct
	case as.Look == Danger:
		border, ink = th.Bad, th.Bad
	case as.Look == Quiet:
		ground, border, ink = paint.Color{}, paint.Color{}, th.Truth
	}
	if hot || held {
		switch {
		case as.On || as.Look == Primary:
			ground = ground.Mix(th.Ink, 0.18)
			if as.On {
				ground = th.Ink.Mix(th.Paper, 0.12)
			}
		case as.Look == Quiet:
			ground = th.Ink.Fade(0.07)
		default:
			ground = ground.Mix(th.Ink, 0.06)
		}
		if held && as.Look != Quiet {
			width = th.Hairline + 1
		}
	}
	if as.Off {
		ground, border, ink = paint.Color{}, th.Line, th.InkOff
	}
	l.RoundRect(r, radius, ground)
	if as.Off {
		// Out of use is told by section lines under the word, not by paleness alone.
		l.PushClip(r)
		l.Hatch(r, u.Px(7), 45, 1, th.Hatch.Fade(0.55))
		l.PopClip()
		w := u.Strong().Width(label) + u.Px(8)
		l.Rect(r.Centered(min(w, r.W-2), u.Px(20)), th.Sheet)
	}
	if border.A > 0 {
		l.RoundFrame(r, radius, width, border)
	}
	text := r.InsetXY(u.Px(8), 0)
	if held {
		text = text.Move(0, 1)
	}
	u.Line(text, label, u.Strong(), ink, paint.Center)
	if as.Look == Quiet && !as.Off {
		w := min(u.Strong().Width(label), text.W)
		y := r.Y + r.H/2 + u.Px(10)
		l.DashLine(text.X+(text.W-w)/2, y, text.X+(text.W+w)/2, y, 1, 3, 2, ink)
	}
}

// CheckBox is a box with a word; it returns whether it was switched.
func (u *UI) CheckBox(id string, r paint.Rect, label string, on *bool) bool {
	k := u.use(id)
	box := u.Px(18)
	area := paint.R(r.X, r.Y, min(r.W, box+u.Px(18)+u.Body().Width(label)), r.H)
	hot, held, clicked := u.sense(k, area)
	focused := u.stop(k, area)
	if clicked || u.activated(focused) {
		*on = !*on
		clicked = true
	}
	if hot {
		u.cursor = CursorHand
	}
	b := paint.R(r.X+u.Px(2), r.Y+(r.H-box)/2, box, box)
	th := u.Theme
	u.L.Rect(b, th.Well)
	if *on {
		u.L.Rect(b, th.Ink)
	}
	width := th.Hairline
	if hot || held {
		width++
	}
	u.L.Frame(b, width, th.Edge)
	if *on {
		u.points = append(u.points[:0], paint.Point{X: b.X + box*0.22, Y: b.Y + box*0.52},
			paint.Point{X: b.X + box*0.42, Y: b.Y + box*0.74}, paint.Point{X: b.X + box*0.8, Y: b.Y + box*0.24})
		u.L.Polyline(u.points, u.Px(2.2), th.Paper)
	}
	u.Line(paint.R(b.Right()+u.Px(10), r.Y, max(r.Right()-b.Right()-u.Px(10), 0), r.H), label, u.Body(), th.Ink, paint.Left)
	u.focusRing(focused, area)
	return clicked
}

// arrows moves a choice within a group by the arrow keys.
func (u *UI) arrows(focused bool, chosen *int, n int, back, forth string) bool {
	if !focused || n == 0 {
		return false
	}
	was := *chosen
	switch {
	case u.takeKey(back):
		*chosen = max(*chosen-1, 0)
	case u.takeKey(forth):
		*chosen = min(*chosen+1, n-1)
	case u.takeKey("Home"):
		*chosen = 0
	case u.takeKey("End"):
		*chosen = n - 1
	}
	return *chosen != was
}

// choose is one cell of a group of exclusive choices; the group is the Tab stop. taken says that the choice came here.
func (u *UI) choose(group ID, i int, cell paint.Rect, chosen *int) (hot, taken bool) {
	k := (group ^ ID(i+1)) * 1099511628211
	hot, _, clicked := u.sense(k, cell)
	if u.pressed && u.active == k {
		u.focus = group
	}
	if hot {
		u.cursor = CursorHand
	}
	if clicked && *chosen != i {
		*chosen = i
		return hot, true
	}
	return hot, false
}

// Radio is a row of exclusive choices, one Tab stop with arrows inside; it returns whether the choice changed. Choices
// that do not fit beside each other flow onto further rows of the same height: ask RadioH for the height.
func (u *UI) Radio(id string, r paint.Rect, labels []string, chosen *int) bool {
	k := u.use(id)
	area := paint.R(r.X, r.Y, r.W, u.RadioH(r.W, labels))
	focused := u.stop(k, area)
	changed := u.arrows(focused, chosen, len(labels), "ArrowLeft", "ArrowRight") || u.arrows(focused, chosen, len(labels), "ArrowUp", "ArrowDown")
	x, y := r.X, r.Y
	for i, label := range labels {
		w := u.radioW(label)
		if x > r.X && x+w > r.Right() {
			x, y = r.X, y+u.RowH()
		}
		cell := paint.R(x, y, min(w, r.W), u.RowH())
		hot, taken := u.choose(k, i, cell, chosen)
		changed = changed || taken
		u.drawRadio(cell, label, i == *chosen, hot)
		x += w + u.Px(10)
	}
	u.focusRing(focused, area)
	return changed
}

func (u *UI) radioW(label string) float64 { return u.Px(32) + u.Body().Width(label) + 1 }

// RadioH is the height Radio needs at a width.
func (u *UI) RadioH(w float64, labels []string) float64 {
	x, rows := 0.0, 1.0
	for _, label := range labels {
		lw := u.radioW(label)
		if x > 0 && x+lw > w {
			x, rows = 0, rows+1
		}
		x += lw + u.Px(10)
	}
	return rows * u.RowH()
}

func (u *UI) drawRadio(cell paint.Rect, label string, on, hot bool) {
	th := u.Theme
	x, y, rad := cell.X+u.Px(11), cell.Y+cell.H/2, u.Px(9)
	u.L.Disc(x, y, rad, th.Well)
	width := max(th.Hairline, 1.2)
	if hot {
		width++
	}
	u.L.Ring(x, y, rad-width/2, width, th.Edge)
	f := u.Body()
	if on {
		u.L.Disc(x, y, rad*0.55, th.Ink)
	}
	u.Line(paint.R(cell.X+u.Px(27), cell.Y, max(cell.W-u.Px(27), 0), cell.H), label, f, th.Ink, paint.Left)
}

// Tabs is a row of index tabs, one Tab stop with arrows inside; it returns whether the choice changed. Tabs that do not
// fit beside each other take further rows of r: ask TabsH for its height.
func (u *UI) Tabs(id string, r paint.Rect, labels []string, chosen *int) bool {
	k := u.use(id)
	focused := u.stop(k, r)
	changed := u.arrows(focused, chosen, len(labels), "ArrowLeft", "ArrowRight")
	th := u.Theme
	total := 0.0
	for _, label := range labels {
		total += u.ButtonW(label)
	}
	rowH, squeeze := r.H/u.tabRows(r.W, labels), 1.0
	if rowH < u.Px(26) {
		// The caller left no room for more rows.
		rowH, squeeze = r.H, min(1, r.W/max(total, 1))
	}
	u.L.Rule(r.X, r.Bottom()-0.5, r.Right(), r.Bottom()-0.5, th.Hairline, th.Edge)
	x, y := r.X, r.Y
	for i, label := range labels {
		w := u.ButtonW(label) * squeeze
		if x > r.X && x+w > r.Right()+0.5 {
			x, y = r.X, y+rowH
		}
		cell := paint.R(x, y, min(w, r.W), rowH)
		hot, taken := u.choose(k, i, cell, chosen)
		changed = changed || taken
		u.drawTab(cell, label, i == *chosen, hot)
		x += w
	}
	u.focusRing(focused, r)
	return changed
}

// TabsH is the height Tabs needs at a width.
func (u *UI) TabsH(w float64, labels []string) float64 { return u.tabRows(w, labels) * u.Px(36) }

func (u *UI) tabRows(w float64, labels []string) float64 {
	x, rows := 0.0, 1.0
	for _, label := range labels {
		lw := u.ButtonW(label)
		if x > 0 && x+lw > w+0.5 {
			x, rows = 0, rows+1
		}
		x += lw
	}
	return rows
}

func (u *UI) drawTab(cell paint.Rect, label string, on, hot bool) {
	th := u.Theme
	f, ink := u.Body(), th.InkSoft
	if on {
		f, ink = u.Strong(), th.Ink
		u.L.Rect(cell, th.Sheet)
		u.L.Rule(cell.X, cell.Y, cell.X, cell.Bottom(), th.Hairline, th.Edge)
		u.L.Rule(cell.Right(), cell.Y, cell.Right(), cell.Bottom(), th.Hairline, th.Edge)
		u.L.Rect(paint.R(cell.X, cell.Y, cell.W, u.Px(3)), th.Ink)
	} else if hot {
		u.L.Rect(paint.R(cell.X, cell.Y, cell.W, cell.H-1), th.Ink.Fade(0.06))
	}
	u.Line(cell.InsetXY(min(u.Px(8), cell.W/8), 0), label, f, ink, paint.Center)
}
