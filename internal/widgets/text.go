package widgets

import (
	"strconv"

	"foilwright/internal/paint"
)

// Fonts of the kit at the present text size.
func (u *UI) Body() paint.Font        { return paint.Font{Face: paint.Regular, Size: u.Px(15)} }
func (u *UI) Small() paint.Font       { return paint.Font{Face: paint.Regular, Size: u.Px(13)} }
func (u *UI) Strong() paint.Font      { return paint.Font{Face: paint.Medium, Size: u.Px(15)} }
func (u *UI) HeadingFont() paint.Font { return paint.Font{Face: paint.Medium, Size: u.Px(18)} }
func (u *UI) TitleFont() paint.Font   { return paint.Font{Face: paint.Bold, Size: u.Px(24)} }
func (u *UI) MonoFont() paint.Font    { return paint.Font{Face: paint.Mono, Size: u.Px(14)} }

// leastLine is how small a line may be set to fit, as a share of its size: longer words of other languages stay whole.
const leastLine = 0.8

// Line draws one line of text in r, a little smaller where that lets it fit; what does not fit then ends in "…" and
// shows whole in a tooltip.
func (u *UI) Line(r paint.Rect, s string, f paint.Font, c paint.Color, a paint.Align) {
	if w := f.Width(s); w > r.W && w*leastLine < r.W {
		f.Size *= r.W / w * 0.995
	}
	if u.L.TextIn(r, s, f, c, a) {
		u.offerTip(r, s)
		if u.Check {
			u.faults["label cut: "+s] = true
		}
	}
}

// Label draws a line in the body font.
func (u *UI) Label(r paint.Rect, s string) { u.Line(r, s, u.Body(), u.Theme.Ink, paint.Left) }

// Note draws a line of secondary text.
func (u *UI) Note(r paint.Rect, s string) { u.Line(r, s, u.Small(), u.Theme.InkSoft, paint.Left) }

// Heading draws the heading of a panel.
func (u *UI) Heading(r paint.Rect, s string) {
	u.Line(r, s, u.HeadingFont(), u.Theme.Ink, paint.Left)
}

// Title draws the title of a screen.
func (u *UI) Title(r paint.Rect, s string) { u.Line(r, s, u.TitleFont(), u.Theme.Ink, paint.Left) }

// Paragraph draws wrapped body text from the top of r and returns the height it took.
func (u *UI) Paragraph(r paint.Rect, s string) float64 {
	return u.L.TextBlock(r, s, u.Body(), u.Theme.Ink, paint.Left)
}

// SmallParagraph draws wrapped secondary text and returns the height it took.
func (u *UI) SmallParagraph(r paint.Rect, s string) float64 {
	return u.L.TextBlock(r, s, u.Small(), u.Theme.InkSoft, paint.Left)
}

// number is a key of the cache of formatted numbers.
type number struct {
	v        float64
	decimals int
	signed   bool
	unit     string
}

// Num formats a number with fixed decimals, a true minus sign, and no allocation for numbers seen lately.
func (u *UI) Num(v float64, decimals int) string {
	k := number{v: v, decimals: decimals}
	if s, ok := u.numbers[k]; ok {
		return s
	}
	if len(u.numbers) > 4096 {
		clear(u.numbers)
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if s[0] == '-' {
		zero := true
		for i := 1; i < len(s); i++ {
			if s[i] != '0' && s[i] != '.' {
				zero = false
			}
		}
		if s = s[1:]; !zero {
			s = "−" + s
		}
	}
	u.numbers[k] = s
	return s
}

// Panel draws a sheet with a hairline border and returns its inside.
func (u *UI) Panel(r paint.Rect) paint.Rect {
	u.L.Rect(r, u.Theme.Sheet)
	u.L.Frame(r, u.Theme.Hairline, u.Theme.Line)
	return r.Inset(u.Px(14))
}

// TitledPanel is a panel with a heading over a ruling, the way of a drawing's title block.
func (u *UI) TitledPanel(r paint.Rect, title string) paint.Rect {
	in := u.Panel(r)
	head := in.TakeTop(u.Px(26))
	u.L.Rect(paint.R(r.X, head.Y+u.Px(2), u.Px(4), u.Px(22)), u.Theme.Ink)
	u.Heading(head, title)
	u.L.Rule(in.X, in.Y+u.Px(3), in.Right(), in.Y+u.Px(3), u.Theme.Hairline, u.Theme.Line)
	in.TakeTop(u.Px(12))
	return in
}

// Divider rules off the top of r and returns the height used.
func (u *UI) Divider(r paint.Rect) float64 {
	y := r.Y + u.Px(6)
	u.L.Rule(r.X, y, r.Right(), y, u.Theme.Hairline, u.Theme.Line)
	return u.Px(13)
}

// Field draws a caption over a control and returns the control's rectangle; its height in all is FieldH.
func (u *UI) Field(r paint.Rect, caption string) paint.Rect {
	u.Line(r.TakeTop(u.Px(20)), caption, u.Small(), u.Theme.InkSoft, paint.Left)
	return r.TakeTop(u.RowH())
}

// FieldH is the height of a captioned control.
func (u *UI) FieldH() float64 { return u.Px(20) + u.RowH() }
