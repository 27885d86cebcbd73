package screens

import (
	"fmt"

	"foilwright/internal/paint"
	"foilwright/internal/say"
)

func (a *App) drawSettings(screen paint.Rect) {
	u, set := a.ui, &a.settings
	in, top := a.beginAside(screen, say.T("Settings"))
	changed := false
	choice := func(id, name string, labels []string, at int) (int, bool) {
		u.Line(in.TakeTop(u.Px(24)), name, u.Strong(), u.Theme.Ink, paint.Left)
		ok := u.Radio(id, in, labels, &at)
		in.TakeTop(u.RadioH(in.W, labels) + u.Px(12))
		return at, ok
	}
	themes := []string{"light", "dark", "contrast"}
	if i, ok := choice("theme", say.T("Colours"), []string{say.T("Light"), say.T("Dark"), say.T("High contrast")}, index(themes, set.Theme)); ok {
		set.Theme, changed = themes[i], true
	}
	at, sizes := 0, []string{}
	for i, s := range textSizes {
		sizes = append(sizes, fmt.Sprintf("%d %%", s))
		if s <= set.TextPercent {
			at = i
		}
	}
	if i, ok := choice("text", say.T("Text size"), sizes, at); ok {
		set.TextPercent, changed = textSizes[i], true
	}
	if i, ok := choice("units", say.T("Thickness shown in"), []string{"µm", "mil"}, yes(set.Mil)); ok {
		set.Mil, changed = i == 1, true
	}
	if i, ok := choice("side", say.T("Hand: the instrument stands"), []string{say.T("at the right"), say.T("at the left")}, yes(set.LeftHanded)); ok {
		set.LeftHanded, changed = i == 1, true
	}
	if i, ok := choice("hints", say.T("Hints at practice"), []string{say.T("on"), say.T("off")}, yes(set.NoHints)); ok {
		set.NoHints, changed = i == 1, true
	}
	if i, ok := choice("sound", say.T("Sounds, where there is a device for them"), []string{say.T("on"), say.T("off")}, yes(set.Silent)); ok {
		set.Silent, changed = i == 1, true
	}
	if i, ok := choice("motion", say.T("Small movements that catch the eye"), []string{say.T("on"), say.T("off")}, yes(set.Still)); ok {
		set.Still, changed = i == 1, true
	}
	if i, ok := choice("press", say.T("Lower the probe"), []string{say.T("hold to press, let go to lift"), say.T("press once, press again to lift")}, yes(set.PressOnce)); ok {
		set.PressOnce, changed = i == 1, true
	}
	u.SmallParagraph(in, say.T("Readings and logs are always kept in µm; mil is for display. Attempts are kept in %s.", a.Store.Place()))
	in.TakeTop(u.Px(60))
	a.endAside(in, top)
	if changed {
		a.keep()
	}
}

func yes(b bool) int {
	if b {
		return 1
	}
	return 0
}

func index(list []string, s string) int {
	for i, x := range list {
		if x == s {
			return i
		}
	}
	return 0
}

// beginAside opens a page that returns to where it was opened.
func (a *App) beginAside(screen paint.Rect, title string) (in paint.Rect, top float64) {
	u := a.ui
	r := screen
	head := r.TakeTop(u.Px(46))
	a.titleCells(a.titleButtons(head, []titleButton{{"back", say.T("Back"), "Esc", func() { a.goTo(a.back) }}}), title)
	col := a.column(r, 760)
	in = u.BeginScroll("aside", col)
	top = in.Y
	in.H = 1e6
	in.TakeTop(u.Px(18))
	u.Title(in.TakeTop(u.Px(38)), title)
	in.TakeTop(u.Px(8))
	return in, top
}

func (a *App) endAside(in paint.Rect, top float64) { a.ui.EndScroll(in.Y - top + a.ui.Px(20)) }
