package screens

import (
	"math"

	"foilwright/internal/paint"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
)

// pin marks a moment of an attempt that something is said of.
type pin struct {
	atMs float64
	tone widgets.Tone
	text string
}

// timeLineH is the height of a time line.
func (a *App) timeLineH() float64 { return a.ui.Px(104) }

// drawTimeLine draws an attempt from its beginning to its end, to be gone
// through by dragging or by keys.
func (a *App) drawTimeLine(r paint.Rect, p *playback, pins []pin) {
	u := a.ui
	area := u.Area("time-line", r)
	a.note("time-line", r)
	u.L.Rect(r, u.Theme.Sheet)
	u.L.Frame(r, u.Theme.Hairline, u.Theme.Edge)
	in := r.InsetXY(u.Px(14), u.Px(8))
	span := math.Max(p.endMs, 1)
	x := func(ms float64) float64 { return in.X + ms/span*in.W }
	if area.Held {
		p.playing = false
		p.seek((area.X - in.X) / math.Max(in.W, 1) * span)
	}
	if area.Hot || area.Held {
		u.SetCursor(widgets.CursorHand)
	}
	if area.Focused {
		a.timeLineKeys(area.Events, p)
	}
	a.drawSpans(in.TakeTop(u.Px(20)), p, x)
	in.TakeTop(u.Px(4))
	ticks := in.TakeTop(u.Px(16))
	for i := range p.moments {
		m := &p.moments[i]
		at := x(m.atMs)
		switch {
		case m.lost:
			u.L.Ring(at, ticks.Bottom()-u.Px(5), u.Px(3), 1, u.Theme.InkSoft)
		case m.read:
			u.L.Rule(at, ticks.Y, at, ticks.Bottom(), u.Px(1.5), u.Theme.Ink)
		default:
			u.L.Rule(at, ticks.Bottom()-u.Px(5), at, ticks.Bottom(), 1, u.Theme.InkSoft)
		}
	}
	u.L.Rule(in.X, ticks.Bottom(), in.Right(), ticks.Bottom(), u.Theme.Hairline, u.Theme.Ink)
	lane := in.TakeTop(u.Px(20))
	for i := range pins {
		f := &pins[i]
		u.Mark(f.tone, x(f.atMs), lane.Y+lane.H/2, u.Px(13))
	}
	a.drawClockScale(in, span, x)
	at := x(p.atMs)
	u.L.Rule(at, r.Y+u.Px(2), at, r.Bottom()-u.Px(2), u.Px(2), u.Theme.Act)
	u.L.Disc(at, lane.Y+lane.H/2, u.Px(4), u.Theme.Act)
	if area.Hot && !area.Held {
		u.Tip(r, a.timeTip((area.X-in.X)/math.Max(in.W, 1)*span, span/math.Max(in.W, 1), p, pins))
	}
}

func (a *App) timeLineKeys(events []widgets.Event, p *playback) {
	for _, e := range events {
		if e.Kind != widgets.KeyDown || e.Ctrl || e.Alt {
			continue
		}
		switch e.Key {
		case "Home":
			p.playing = false
			p.seek(0)
		case "End":
			p.playing = false
			p.seek(p.endMs)
		default:
			continue
		}
		a.ui.KeyTaken()
	}
}

// drawSpans draws what the instrument was set to do, as bands.
func (a *App) drawSpans(r paint.Rect, p *playback, x func(float64) float64) {
	u := a.ui
	f := paint.Font{Face: paint.Medium, Size: u.Px(12)}
	for i := range p.spans {
		s := &p.spans[i]
		band := paint.R(x(s.fromMs), r.Y, math.Max(x(s.toMs)-x(s.fromMs), 1), r.H)
		fill := u.Theme.Well
		if s.mode != bench.Measuring {
			fill = u.Theme.TruthTint
		}
		u.L.Rect(band, fill)
		u.L.Frame(band, 1, u.Theme.Edge)
		if name := modeName(s.mode); f.Width(name)+u.Px(6) < band.W {
			u.L.TextIn(band, name, f, u.Theme.Ink, paint.Center)
		}
	}
}

// drawClockScale writes minutes and seconds along the foot of a time line.
func (a *App) drawClockScale(r paint.Rect, span float64, x func(float64) float64) {
	u := a.ui
	f := paint.Font{Face: paint.Regular, Size: u.Px(12)}
	step := 5_000.0
	for _, s := range [...]float64{5e3, 10e3, 15e3, 30e3, 60e3, 120e3, 300e3, 600e3, 1800e3, 3600e3} {
		step = s
		if r.W*s/span >= u.Px(64) {
			break
		}
	}
	for ms := 0.0; ms <= span; ms += step {
		at := x(ms)
		u.L.Rule(at, r.Y, at, r.Y+u.Px(4), 1, u.Theme.InkSoft)
		text := clockText(ms)
		left := math.Max(r.X, math.Min(at-f.Width(text)/2, r.Right()-f.Width(text)))
		u.L.Text(left, r.Y+u.Px(16), text, f, u.Theme.InkSoft)
	}
}

// timeTip says what happened about a place on the time line.
func (a *App) timeTip(ms, msPerPx float64, p *playback, pins []pin) string {
	reach := a.ui.Px(8) * msPerPx
	for i := range pins {
		if math.Abs(pins[i].atMs-ms) <= reach {
			return clockText(pins[i].atMs) + "  " + pins[i].text
		}
	}
	text := clockText(math.Max(ms, 0))
	if m := p.upTo(ms + reach); m != nil && math.Abs(m.atMs-ms) <= 4*reach {
		text += "  " + m.text
	}
	return text
}
