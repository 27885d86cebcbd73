package widgets

import (
	"math"

	"foilwright/internal/paint"
)

type notice struct {
	text  string
	tone  Tone
	until float64
}

type tooltip struct {
	text string
	at   paint.Rect
}

// tipDelay is how long the pointer rests before a tooltip opens, in milliseconds.
const tipDelay = 450

// Notify shows a short notice at the foot of the screen for a few seconds, longer for longer texts.
func (u *UI) Notify(t Tone, text string) {
	u.notices = append(u.notices, notice{text, t, u.NowMs + 3500 + 45*float64(len(text))})
	if len(u.notices) > 3 {
		u.notices = append(u.notices[:0], u.notices[1:]...)
	}
}

func (u *UI) drawNotices() {
	keep := u.notices[:0]
	for _, n := range u.notices {
		if n.until > u.NowMs {
			keep = append(keep, n)
		}
	}
	u.notices = keep
	w := math.Min(u.Px(440), u.Screen.W-u.Px(32))
	y := u.Screen.H - u.Px(16)
	for i := len(u.notices) - 1; i >= 0; i-- {
		n := u.notices[i]
		h := u.BannerH(w, n.text)
		y -= h
		r := paint.R(u.Screen.W-w-u.Px(16), y, w, h)
		u.Banner(r, n.text, n.tone)
		u.L.Frame(r, u.Theme.Hairline, u.Theme.Edge)
		y -= u.Px(8)
	}
}

// Restless reports whether the picture may change by time alone: a notice that will go, a tooltip that will come, a caret
// that blinks, a button that is held.
func (u *UI) Restless(nowMs float64) bool {
	return len(u.notices) > 0 || u.editing || u.down || u.inside && nowMs-math.Max(u.movedAt, u.hotSince) < 2*tipDelay
}

// Tip offers a tooltip for a region that is not a widget.
func (u *UI) Tip(r paint.Rect, text string) { u.offerTip(r, text) }

// offerTip shows the tooltip when the pointer has been still over whatever is there.
func (u *UI) offerTip(r paint.Rect, text string) {
	if u.device == Mouse && !u.down && u.over(r) && u.NowMs-u.movedAt > tipDelay {
		u.tip = tooltip{text, u.visible(r)}
	}
}

// showTip shows the tooltip of a widget the pointer rests on, or that the keyboard came to; once it was pressed, what it
// says is no longer in the way of what it did.
func (u *UI) showTip(k ID, r paint.Rect, text string) {
	if u.focus == k && u.ring || u.NowMs-u.hotSince > tipDelay && !u.down && u.tipOff != k {
		u.tip = tooltip{text, u.visible(r)}
	}
}

// tipPlace puts a tooltip beside what it belongs to, where it covers none of what stands above and below; only where
// there is no room beside, below or above it.
func (u *UI) tipPlace(w, h float64) paint.Rect {
	at, gap := u.tip.at, u.Px(8)
	box := paint.R(at.Right()+gap, at.Y+(at.H-h)/2, w, h)
	if box.Right() > u.Screen.W-4 {
		box.X = at.X - gap - w
	}
	if box.X < 4 {
		box.X, box.Y = at.X, at.Bottom()+gap
		if box.Bottom() > u.Screen.H-4 {
			box.Y = at.Y - h - gap
		}
	}
	return box
}

func (u *UI) drawTip() {
	if u.tip.text == "" {
		return
	}
	th := u.Theme
	f := u.Small()
	w := math.Min(f.Width(u.tip.text)+2, u.Px(340))
	h := f.Height(u.tip.text, w)
	box := u.tipPlace(w+u.Px(16), h+u.Px(10))
	box.X = math.Max(math.Min(box.X, u.Screen.W-box.W-4), 4)
	box.Y = math.Max(box.Y, 4)
	u.L.Rect(box, th.Ink)
	u.L.TextBlock(box.InsetXY(u.Px(8), u.Px(5)), u.tip.text, f, th.Paper, paint.Left)
}
