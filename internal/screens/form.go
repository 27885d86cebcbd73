package screens

import (
	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/internal/widgets"
)

// flowPlaces lays widths of one height out in rows, as many to a row as fit.
func (a *App) flowPlaces(r paint.Rect, widths []float64) []paint.Rect {
	gap, h := a.ui.Px(8), a.ui.RowH()
	x, y := r.X, r.Y
	places := make([]paint.Rect, 0, len(widths))
	for _, w := range widths {
		w = min(w, r.W)
		if x > r.X && x+w > r.Right()+0.5 {
			x, y = r.X, y+h+gap
		}
		places = append(places, paint.R(x, y, w, h))
		x += w + gap
	}
	return places
}

// flowHeight is the height flowPlaces takes in a width.
func (a *App) flowHeight(w float64, widths []float64) float64 {
	at := a.flowPlaces(paint.R(0, 0, w, 0), widths)
	return at[len(at)-1].Bottom()
}

// pair divides a row between two buttons: equally, or where that is too little
// for one, by their words.
func (a *App) pair(r paint.Rect, labels, keys [2]string) (at [2]paint.Rect) {
	gap, f := a.ui.Px(6), a.ui.Strong()
	var words, need [2]float64
	for i := range labels {
		words[i], need[i] = f.Width(labels[i]), a.keyedW(labels[i], keys[i])
	}
	first := (r.W - gap) / 2
	if max(need[0], need[1]) > first {
		pads := need[0] + need[1] - words[0] - words[1]
		first = need[0] - words[0] + words[0]*(r.W-gap-pads)/(words[0]+words[1])
	}
	at[0] = r.TakeLeft(first)
	r.TakeLeft(gap)
	at[1] = r
	return at
}

// keyed is a button with the key that does the same shown on it.
func (a *App) keyed(id string, r paint.Rect, label, key string, as widgets.ButtonAs) bool {
	fired := a.cap(id, r, label, key, as)
	return a.shortcut(key) || fired
}

// capped is a button that shows a key whose press is taken elsewhere.
func (a *App) capped(id string, r paint.Rect, label, key string) bool {
	return a.cap(id, r, label, key, widgets.ButtonAs{})
}

// cap draws a button with a key on it.
func (a *App) cap(id string, r paint.Rect, label, key string, as widgets.ButtonAs) bool {
	u := a.ui
	fired := u.ButtonWith(id, r, "", as)
	a.note(id, r)
	c, soft := u.Theme.Ink, u.Theme.InkSoft
	switch {
	case as.On:
		c, soft = u.Theme.Paper, u.Theme.Paper
	case as.Look == widgets.Primary:
		c, soft = u.Theme.OnAct, u.Theme.OnAct
	case as.Look == widgets.Danger:
		c = u.Theme.Bad
	}
	taken := a.keyCap(r, key, soft)
	text := r.InsetXY(u.Px(8), 0)
	text.TakeRight(taken)
	u.Line(text, label, u.Strong(), c, paint.Center)
	return fired
}

// keyedW is the width at which a keyed button shows its label and key whole.
func (a *App) keyedW(label, key string) float64 {
	f := paint.Font{Face: paint.Medium, Size: a.ui.Px(11)}
	return a.ui.Strong().Width(label) + max(f.Width(key)+a.ui.Px(8), a.ui.Px(17)) + a.ui.Px(36)
}

// shortcut reports whether the key on a button was pressed.
func (a *App) shortcut(key string) bool {
	switch key {
	case "Shift":
		return false
	case "Esc":
		return a.pressed("Escape")
	}
	if len(key) == 1 && 'A' <= key[0] && key[0] <= 'Z' {
		const letters = "abcdefghijklmnopqrstuvwxyz"
		i := key[0] - 'A'
		key = letters[i : i+1]
	}
	return a.pressed(key)
}

// keyCap draws the key of a shortcut at the right end of a control and returns
// the width it took.
func (a *App) keyCap(r paint.Rect, key string, c paint.Color) float64 {
	u := a.ui
	f := paint.Font{Face: paint.Medium, Size: u.Px(11)}
	w := max(f.Width(key)+u.Px(8), u.Px(17))
	b := paint.R(r.Right()-w-u.Px(6), r.Y+(r.H-u.Px(17))/2, w, u.Px(17))
	u.L.RoundFrame(b, u.Px(3), 1, c.Fade(0.65))
	u.L.TextIn(b, key, f, c, paint.Center)
	return w + u.Px(6)
}

// caption draws the small heading of a drawing at its upper left.
func (a *App) caption(r paint.Rect, s string) {
	u := a.ui
	f := paint.Font{Face: paint.Medium, Size: u.Px(12)}
	b := paint.R(r.X, r.Y, a.captionW(s), u.Px(20))
	u.L.Rect(b, u.Theme.Ink)
	u.L.TextIn(b, s, f, u.Theme.Sheet, paint.Center)
}

// captionW is the width of a caption.
func (a *App) captionW(s string) float64 {
	return paint.Font{Face: paint.Medium, Size: a.ui.Px(12)}.Width(s) + a.ui.Px(14)
}

// sheet draws a sheet with a thin frame and a caption and returns what is left
// inside.
func (a *App) sheet(r paint.Rect, title string) paint.Rect {
	u := a.ui
	u.L.Rect(r, u.Theme.Sheet)
	u.L.Frame(r, u.Theme.Hairline, u.Theme.Edge)
	if title != "" {
		a.caption(r, title)
		r.TakeTop(u.Px(20))
	}
	return r.Inset(u.Px(10))
}

// titleButton is a button in the title block.
type titleButton struct {
	id, label, key string
	do             func()
}

// titleButtons draws the strip at the top of a screen with its buttons, the
// first one at the right, and returns what is left for its cells.
func (a *App) titleButtons(r paint.Rect, buttons []titleButton) paint.Rect {
	u := a.ui
	u.L.Rect(r, u.Theme.Sheet)
	u.L.Rule(r.X, r.Bottom()-1, r.Right(), r.Bottom()-1, u.Px(1.5), u.Theme.Ink)
	in := r.InsetXY(u.Px(10), 0)
	all := 0.0
	for _, b := range buttons {
		all += a.keyedW(b.label, b.key) + u.Px(6)
	}
	caps := all < r.W*0.72
	bare := u.Px(6) * float64(len(buttons))
	for _, b := range buttons {
		bare += u.ButtonW(b.label)
	}
	tight := min(1, in.W/bare)
	for _, b := range buttons {
		w := u.ButtonW(b.label) * tight
		if caps {
			w = a.keyedW(b.label, b.key)
		}
		at := in.TakeRight(w)
		at = paint.R(at.X, r.Y+(r.H-u.RowH())/2, at.W, u.RowH())
		fired := false
		if caps {
			fired = a.keyed(b.id, at, b.label, b.key, widgets.ButtonAs{})
		} else {
			a.note(b.id, at)
			fired = u.Button(b.id, at, b.label) || a.shortcut(b.key)
		}
		if fired {
			b.do()
		}
		in.TakeRight(u.Px(6))
	}
	return in
}

// titleCells writes the cells of a title block, as many as there is room for.
func (a *App) titleCells(in paint.Rect, cells ...string) {
	u := a.ui
	name := paint.Font{Face: paint.Bold, Size: u.Px(15)}
	if w := name.Width("Foilwright"); w < in.W {
		u.L.TextIn(in.TakeLeft(w+u.Px(12)), "Foilwright", name, u.Theme.Ink, paint.Left)
	}
	for i, s := range cells {
		f := u.Body()
		if i > 0 {
			f = u.Small()
		}
		w := f.Width(s) + u.Px(26)
		if s == "" || w > in.W {
			continue
		}
		u.L.Rule(in.X, in.Y+u.Px(8), in.X, in.Bottom()-u.Px(8), 1, u.Theme.Edge)
		u.L.TextIn(in.TakeLeft(w).InsetXY(u.Px(12), 0), s, f, u.Theme.Ink, paint.Left)
	}
}

// column centres a column of readable width on a page below its title block.
func (a *App) column(r paint.Rect, most float64) paint.Rect {
	w := min(r.W-2*a.ui.Px(16), a.ui.Px(most))
	return paint.R(r.X+(r.W-w)/2, r.Y, w, r.H)
}

// drawBusy says what is being done while nothing can be drawn.
func (a *App) drawBusy(screen paint.Rect) {
	u := a.ui
	text := a.busy + " …"
	w := max(u.Px(420), u.HeadingFont().Width(text)+u.Px(40))
	in := a.sheet(screen.Centered(min(w, screen.W), u.Px(110)), say.T("ONE MOMENT"))
	u.Line(in, text, u.HeadingFont(), u.Theme.Ink, paint.Center)
}

// say draws a line of text in a tone of its own.
func (a *App) say(r paint.Rect, s string, f paint.Font, c paint.Color) float64 {
	return a.ui.L.TextBlock(r, s, f, c, paint.Left)
}

// numberField is a box for a thickness; it returns whether Enter was pressed.
func (a *App) numberField(id string, r paint.Rect, text *string) bool {
	a.note(id, r)
	asks := say.T("value")
	if a.ui.Body().Width(asks) > r.W-a.ui.Px(18) {
		asks = ""
	}
	_, done := a.ui.TextField(id, r, text, asks)
	return done
}
