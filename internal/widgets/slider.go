package widgets

import (
	"math"

	"foilwright/internal/paint"
)

// Slider is a graduated rule with a pointer. It moves in steps (0: freely) by drag, arrows, PgUp, PgDn, Home and End, and
// returns whether the value changed.
func (u *UI) Slider(id string, r paint.Rect, value *float64, lo, hi, step float64) bool {
	k := u.use(id)
	hot, held, _ := u.sense(k, r)
	focused := u.stop(k, r)
	was := *value
	pad := u.Px(8)
	track := paint.R(r.X+pad, r.Y+r.H*0.62, r.W-2*pad, 0)
	if held && track.W > 0 {
		*value = lo + (hi-lo)*math.Min(math.Max((u.x-track.X)/track.W, 0), 1)
	}
	small := step
	if small <= 0 {
		small = (hi - lo) / 100
	}
	if focused {
		switch {
		case u.takeKey("ArrowLeft"), u.takeKey("ArrowDown"):
			*value -= small
		case u.takeKey("ArrowRight"), u.takeKey("ArrowUp"):
			*value += small
		case u.takeKey("PageDown"):
			*value -= (hi - lo) / 10
		case u.takeKey("PageUp"):
			*value += (hi - lo) / 10
		case u.takeKey("Home"):
			*value = lo
		case u.takeKey("End"):
			*value = hi
		}
	}
	if *value != was {
		if step > 0 {
			*value = lo + math.Round((*value-lo)/step)*step
		}
		*value = math.Min(math.Max(*value, lo), hi)
	}
	if hot || held {
		u.cursor = CursorHand
	}
	u.drawSlider(r, track, (math.Min(math.Max(*value, lo), hi)-lo)/math.Max(hi-lo, 1e-300), hot || held)
	u.focusRing(focused, r)
	return *value != was
}

func (u *UI) drawSlider(r, track paint.Rect, share float64, strong bool) {
	th, l := u.Theme, u.L
	l.Rule(track.X, track.Y, track.Right(), track.Y, u.Px(1.5), th.Edge)
	for i := range 11 {
		x := track.X + track.W*float64(i)/10
		h := u.Px(4)
		if i%5 == 0 {
			h = u.Px(7)
		}
		l.Rule(x, track.Y, x, track.Y+h, th.Hairline, th.Edge)
	}
	x := track.X + track.W*share
	l.Rule(track.X, track.Y, x, track.Y, u.Px(3), th.Act)
	w, h := u.Px(7), u.Px(16)
	u.points = append(u.points[:0], paint.Point{X: x - w, Y: track.Y - h}, paint.Point{X: x + w, Y: track.Y - h},
		paint.Point{X: x + w, Y: track.Y - h*0.45}, paint.Point{X: x, Y: track.Y + 1}, paint.Point{X: x - w, Y: track.Y - h*0.45})
	l.Polygon(u.points, th.Act)
	if strong {
		l.Outline(u.points, u.Px(2), th.Ink)
	}
}
