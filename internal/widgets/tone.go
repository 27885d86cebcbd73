package widgets

import (
	"math"

	"foilwright/internal/paint"
)

// Tone is the standing of a message. Each has a shape of its own beside its colour.
type Tone uint8

// Tones.
const (
	Plain Tone = iota
	Act        // where the trainee acts: a pointer
	Truth      // truth and explanation: a diamond
	Good       // a disc with a tick
	Warn       // a triangle
	Bad        // a square with a cross
)

// Colors returns the tone's strong colour, the text colour on it, and its faint ground.
func (u *UI) Colors(t Tone) (strong, on, tint paint.Color) {
	th := u.Theme
	switch t {
	case Act:
		return th.Act, th.OnAct, th.ActTint
	case Truth:
		return th.Truth, th.OnTruth, th.TruthTint
	case Good:
		return th.Good, th.OnGood, th.GoodTint
	case Warn:
		return th.Warn, th.OnWarn, th.WarnTint
	case Bad:
		return th.Bad, th.OnBad, th.BadTint
	}
	return th.Ink, th.Paper, th.Sheet
}

// Mark draws the shape of a tone, size pixels across, around a centre.
func (u *UI) Mark(t Tone, x, y, size float64) {
	c, on, _ := u.Colors(t)
	r, w := size/2, max(size/9, 1.2)
	l := u.L
	poly := func(k float64, at ...float64) []paint.Point {
		u.points = u.points[:0]
		for i := 0; i+1 < len(at); i += 2 {
			u.points = append(u.points, paint.Point{X: x + at[i]*k, Y: y + at[i+1]*k})
		}
		return u.points
	}
	switch t {
	case Act:
		l.Polygon(poly(r, -0.7, -1, 0.95, 0, -0.7, 1), c)
	case Truth:
		l.Polygon(poly(r, 0, -1.05, 1.05, 0, 0, 1.05, -1.05, 0), c)
	case Good:
		l.Disc(x, y, r, c)
		l.Polyline(poly(r, -0.5, 0.05, -0.12, 0.45, 0.52, -0.4), w*1.2, on)
	case Warn:
		l.Polygon(poly(r, 0, -1, 1.1, 0.9, -1.1, 0.9), c)
		l.Line(x, y-r*0.4, x, y+r*0.3, w*1.2, on)
		l.Disc(x, y+r*0.6, w*0.75, on)
	case Bad:
		l.Rect(paint.R(x-r*0.9, y-r*0.9, r*1.8, r*1.8), c)
		l.Line(x-r*0.45, y-r*0.45, x+r*0.45, y+r*0.45, w*1.2, on)
		l.Line(x-r*0.45, y+r*0.45, x+r*0.45, y-r*0.45, w*1.2, on)
	default:
		l.Ring(x, y, r*0.8, w, c)
	}
}

// Badge draws a small tag with the tone's shape and a word, its left end centred vertically in r, and returns its width.
func (u *UI) Badge(r paint.Rect, text string, t Tone) float64 {
	strong, _, tint := u.Colors(t)
	f := u.Small()
	h := u.Px(22)
	lead := u.Px(24)
	if t == Plain {
		lead = u.Px(8)
	}
	w := math.Min(lead+f.Width(text)+u.Px(8), r.W)
	b := paint.R(r.X, r.Y+(r.H-h)/2, w, h)
	u.L.RoundRect(b, u.Px(2), tint)
	u.L.RoundFrame(b, u.Px(2), u.Theme.Hairline, strong)
	if t != Plain {
		u.Mark(t, b.X+u.Px(13), b.Y+h/2, u.Px(11))
	}
	u.Line(paint.R(b.X+lead, b.Y, w-lead-u.Px(6), h), text, f, strong, paint.Left)
	return w
}

// Banner draws a boxed message with the tone's shape, wrapped to the width of r, and returns its height.
func (u *UI) Banner(r paint.Rect, text string, t Tone) float64 {
	strong, _, tint := u.Colors(t)
	h := u.BannerH(r.W, text)
	b := paint.R(r.X, r.Y, r.W, h)
	u.L.Rect(b, tint)
	u.L.Rect(paint.R(b.X, b.Y, u.Px(4), h), strong)
	u.Mark(t, b.X+u.Px(22), b.Y+u.Px(10)+u.Body().LineHeight()/2, u.Px(16))
	u.L.TextBlock(paint.R(b.X+u.Px(40), b.Y+u.Px(10), b.W-u.Px(52), h), text, u.Body(), u.Theme.Ink, paint.Left)
	return h
}

// BannerH is the height Banner takes at a width.
func (u *UI) BannerH(w float64, text string) float64 {
	return u.Body().Height(text, w-u.Px(52)) + u.Px(20)
}

// Progress draws a bar filled with section lines up to share, 0..1, with its word at the right.
func (u *UI) Progress(r paint.Rect, share float64, word string) {
	share = math.Min(math.Max(share, 0), 1)
	if word != "" {
		t := r.TakeRight(u.Small().Width(word) + u.Px(8))
		u.Line(t, word, u.Small(), u.Theme.InkSoft, paint.Right)
	}
	b := paint.R(r.X, r.Y+(r.H-u.Px(12))/2, r.W, u.Px(12))
	u.L.Rect(b, u.Theme.Well)
	done := paint.R(b.X, b.Y, b.W*share, b.H)
	if share > 0 {
		u.L.PushClip(done)
		u.L.Rect(b, u.Theme.ActTint)
		u.L.Hatch(b, u.Px(5), 60, u.Px(1.4), u.Theme.Act)
		u.L.PopClip()
		u.L.Rule(done.Right(), b.Y, done.Right(), b.Bottom(), u.Px(2), u.Theme.Act)
	}
	u.L.Frame(b, u.Theme.Hairline, u.Theme.Edge)
}
