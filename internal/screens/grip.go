package screens

import (
	"math"

	"foilwright/internal/hand"
	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/internal/widgets"
)

// The controls of the hand, for those who do not use keys, flow in groups that
// are not broken.

const gripCount = 6

const (
	holdLabel    say.Text = "Hold to lower"
	supportLabel say.Text = "Two-point support"
	magnifyLabel say.Text = "Magnify"
	tiltLabel    say.Text = "tilt %d°"
)

// gripGroups returns the widths of the groups.
func (a *App) gripGroups() [gripCount]float64 {
	u := a.ui
	gap := u.Px(5)
	return [gripCount]float64{
		u.ButtonW(say.T(holdLabel)),
		a.keyedW(say.T(supportLabel), "Shift"),
		a.liftRoom() + gap + 2*u.Px(34) + gap,
		a.tiltRoom() + 4*(u.Px(38)+gap),
		a.keyedW(say.T("Upright"), "U"),
		a.keyedW(say.T(magnifyLabel), "Q"),
	}
}

// tiltRoom is the width of the word before the buttons that lean the probe.
func (a *App) tiltRoom() float64 {
	d := &a.desk
	if d.tiltMost == "" {
		d.tiltMost = say.T(tiltLabel, 88)
	}
	return a.ui.Small().Width(d.tiltMost)
}

// tiltText says how far the probe is tilted on purpose.
func (a *App) tiltText() string {
	d := &a.desk
	if deg := int(math.Round(a.sitting.hand.Tipped())); deg != d.tiltDeg || d.tilt == "" {
		d.tiltDeg, d.tilt = deg, say.T(tiltLabel, deg)
	}
	return d.tilt
}

// gripPlaces lays the groups out in a width and returns the height.
func (a *App) gripPlaces(r paint.Rect) (at [gripCount]paint.Rect, height float64) {
	u := a.ui
	pad, between, h := u.Px(6), u.Px(14), u.Px(28)
	x, y := r.X+pad, r.Y+pad
	for i, w := range a.gripGroups() {
		if x > r.X+pad && x+w > r.Right()-pad {
			x, y = r.X+pad, y+h+u.Px(5)
		}
		at[i] = paint.R(x, y, min(w, r.W-2*pad), h)
		x += w + between
	}
	return at, y + h + pad - r.Y
}

func (a *App) gripHeight(w float64) float64 {
	_, h := a.gripPlaces(paint.R(0, 0, w, 0))
	return h
}

func (a *App) drawGrip(r paint.Rect) {
	u, s, d := a.ui, a.sitting, &a.desk
	u.L.Rect(r, u.Theme.Sheet)
	u.L.Frame(r, u.Theme.Hairline, u.Theme.Edge)
	at, _ := a.gripPlaces(r)
	gap := u.Px(5)

	a.note("hold", at[0])
	switch began, ended := u.Hold("hold", at[0], say.T(holdLabel), d.down); {
	case began:
		a.press(a.now, false)
	case ended:
		a.release(a.now)
	}
	if a.keyed("steady", at[1], say.T(supportLabel), "Shift", widgets.ButtonAs{On: d.latched, Tip: say.T("Rest two fingers on the part: the probe trembles less")}) {
		d.latched = !d.latched
		a.settle(a.now)
	}

	g := at[2]
	u.Line(g.TakeLeft(a.liftRoom()+gap), a.liftText(), u.Small(), u.Theme.InkSoft, paint.Left)
	if u.Button("lower-lift", g.TakeLeft(u.Px(34)), "−") {
		s.grip(a.now, hand.Hover, 0, -2)
	}
	g.TakeLeft(gap)
	if u.Button("raise-lift", g.TakeLeft(u.Px(34)), "+") {
		s.grip(a.now, hand.Hover, 0, 2)
	}

	g = at[3]
	u.Line(g.TakeLeft(a.tiltRoom()+gap), a.tiltText(), u.Small(), u.Theme.InkSoft, paint.Left)
	for _, t := range [...]struct {
		id, label string
		x, y      float64
	}{{"tilt-left", "←", -1, 0}, {"tilt-right", "→", 1, 0}, {"tilt-up", "↑", 0, 1}, {"tilt-down", "↓", 0, -1}} {
		if u.Button(t.id, g.TakeLeft(u.Px(38)), t.label) {
			s.grip(a.now, hand.Tip, t.y, t.x)
		}
		g.TakeLeft(gap)
	}
	if a.keyed("upright", at[4], say.T("Upright"), "U", widgets.ButtonAs{}) {
		s.grip(a.now, hand.Upright, 0, 0)
	}
	if a.keyed("magnify", at[5], say.T(magnifyLabel), "Q", widgets.ButtonAs{On: d.magnified, Tip: say.T("Look at the place under the probe through the magnifier")}) {
		d.magnified = !d.magnified
		d.lensX, d.lensY = s.hand.Target()
	}
}
