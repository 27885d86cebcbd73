package widgets

import (
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"foilwright/internal/paint"
)

// editor is the state of the one text field that has the keyboard.
type editor struct {
	id            ID
	text          string // only for fields that keep a draft
	caret, anchor int    // byte offsets; the selection lies between them
	scroll        float64
	since         float64 // for the caret's blinking
	dirty         bool
}

func (e *editor) selection() (lo, hi int) { return min(e.caret, e.anchor), max(e.caret, e.anchor) }

// TextField edits one line of text. Placeholder shows while it is empty. It returns whether the text changed in this
// pass and whether Enter was pressed.
func (u *UI) TextField(id string, r paint.Rect, text *string, placeholder string) (changed, done bool) {
	k := u.use(id)
	focused := u.fieldFocus(k, r, *text, false)
	if focused {
		changed = u.editText(text, nil)
		done = u.takeKey("Enter")
		if u.takeKey("Escape") {
			u.focus = 0 // the next Escape is the screen's
		}
	}
	u.drawField(k, r, *text, placeholder, "", focused)
	return changed, done
}

// fieldFocus handles getting the keyboard, the pointer's caret and selection.
func (u *UI) fieldFocus(k ID, r paint.Rect, text string, selectAll bool) bool {
	hot, held, _ := u.sense(k, r)
	focused := u.stop(k, r)
	if hot {
		u.cursor = CursorText
	}
	if !focused {
		return false
	}
	u.editing = true
	e := &u.edit
	if e.id != k {
		if e.dirty {
			u.left = *e
		}
		*e = editor{id: k, since: u.NowMs, caret: len(text), anchor: len(text)}
		if selectAll || u.ring {
			e.anchor = 0
		}
	}
	e.caret, e.anchor = min(e.caret, len(text)), min(e.anchor, len(text))
	if held && (u.pressed || u.x != u.pressX) {
		at := u.Body().At(text, u.x-(r.X+u.Px(9))+e.scroll)
		e.caret = at
		if u.pressed {
			e.anchor = at
		}
		e.since = u.NowMs
	}
	return true
}

// editText applies the key or text of this pass; allow, if given, filters what may be typed.
func (u *UI) editText(text *string, allow func(rune) bool) (changed bool) {
	e := &u.edit
	was := *text
	insert := func(s string) {
		s = strings.Map(func(r rune) rune {
			if r < ' ' || r == 0x7f || allow != nil && !allow(r) {
				return -1
			}
			return r
		}, s)
		lo, hi := e.selection()
		*text = (*text)[:lo] + s + (*text)[hi:]
		e.caret = lo + len(s)
		e.anchor = e.caret
	}
	if u.text != "" {
		insert(u.text)
		u.text = ""
		e.since = u.NowMs
	}
	if u.key != nil {
		u.editKey(text, insert)
	}
	return *text != was
}

func (u *UI) editKey(text *string, insert func(string)) {
	e, key := &u.edit, u.key
	word := key.Ctrl || key.Alt || key.Meta
	lo, hi := e.selection()
	move := func(to int) {
		e.caret = to
		if !key.Shift {
			e.anchor = to
		}
	}
	used := true
	switch {
	case key.Key == "ArrowLeft" && lo != hi && !key.Shift:
		move(lo)
	case key.Key == "ArrowRight" && lo != hi && !key.Shift:
		move(hi)
	case key.Key == "ArrowLeft":
		move(before(*text, e.caret, word))
	case key.Key == "ArrowRight":
		move(after(*text, e.caret, word))
	case key.Key == "Home":
		move(0)
	case key.Key == "End":
		move(len(*text))
	case key.Key == "Backspace":
		if lo == hi {
			e.anchor = before(*text, e.caret, word)
		}
		insert("")
	case key.Key == "Delete":
		if lo == hi {
			e.anchor = after(*text, e.caret, word)
		}
		insert("")
	case (key.Ctrl || key.Meta) && key.Key == "a":
		e.anchor, e.caret = 0, len(*text)
	case (key.Ctrl || key.Meta) && (key.Key == "c" || key.Key == "x"):
		if lo != hi {
			u.clipboard = (*text)[lo:hi]
			if key.Key == "x" {
				insert("")
			}
		}
	case (key.Ctrl || key.Meta) && key.Key == "v":
		insert(u.clipboard)
	default:
		// Printable keys also come as Text; they must not reach shortcuts.
		used = !word && utf8.RuneCountInString(key.Key) == 1 || key.Key == "Space"
	}
	if used {
		u.key = nil
		e.since = u.NowMs
	}
}

func before(s string, at int, word bool) int {
	_, n := utf8.DecodeLastRuneInString(s[:at])
	at -= n
	for word && at > 0 && s[at-1] != ' ' {
		at--
	}
	return at
}

func after(s string, at int, word bool) int {
	_, n := utf8.DecodeRuneInString(s[at:])
	at += n
	for word && at < len(s) && s[at] != ' ' {
		at++
	}
	return at
}

func (u *UI) drawField(k ID, r paint.Rect, text, placeholder, unit string, focused bool) {
	th, l := u.Theme, u.L
	l.Rect(r, th.Well)
	border := th.Edge
	if focused {
		border = th.Focus
	}
	l.Frame(r, th.Hairline, border)
	in := r.InsetXY(u.Px(9), u.Px(4))
	if unit != "" {
		u.Line(in.TakeRight(u.Small().Width(unit)+1), unit, u.Small(), th.InkSoft, paint.Right)
		in.TakeRight(u.Px(6))
	}
	f := u.Body()
	base := in.Y + in.H/2 + f.CapHeight()/2
	if text == "" && !focused {
		u.Line(in, placeholder, f, th.InkSoft, paint.Left)
		return
	}
	if !focused {
		u.Line(in, text, f, th.Ink, paint.Left)
		return
	}
	e := &u.edit
	caret := f.Width(text[:e.caret])
	e.scroll = math.Max(math.Min(e.scroll, caret), caret-in.W+2)
	e.scroll = math.Max(math.Min(e.scroll, f.Width(text)-in.W+2), 0)
	l.PushClip(paint.R(in.X-1, r.Y, in.W+3, r.H))
	if lo, hi := e.selection(); lo != hi {
		x0, x1 := f.Width(text[:lo]), f.Width(text[:hi])
		l.Rect(paint.R(in.X+x0-e.scroll, in.Y, x1-x0, in.H), th.Focus.Fade(0.28))
	}
	l.Text(in.X-e.scroll, base, text, f, th.Ink)
	if text == "" {
		l.Text(in.X, base, placeholder, f, th.InkOff)
	}
	if math.Mod(u.NowMs-e.since, 1060) < 530 {
		x := in.X + caret - e.scroll
		l.Rect(paint.R(x, in.Y+u.Px(2), math.Max(1.5, u.Px(1.5)), in.H-u.Px(4)), th.Ink)
	}
	l.PopClip()
	u.focusRing(true, r)
}

// NumberAs says what a number field takes. Min and Max both 0: no limits.
type NumberAs struct {
	Min, Max float64
	Step     float64 // of the buttons and arrow keys; 0 is 1
	Decimals int
	Unit     string
	Tip      string
}

// Number is a field for a number with − and + buttons. A typed draft counts when Enter is pressed or the field is left;
// what is no number is dropped and the old value stays, what is out of limits is brought to the nearest limit. Arrow
// keys and buttons count at once. It returns whether the value changed.
func (u *UI) Number(id string, r paint.Rect, value *float64, as NumberAs) bool {
	k := u.use(id)
	if as.Step == 0 {
		as.Step = 1
	}
	was := *value
	set := func(v float64) {
		if as.Min != 0 || as.Max != 0 {
			v = math.Min(math.Max(v, as.Min), as.Max)
		}
		p := math.Pow(10, float64(as.Decimals))
		*value = math.Round(v*p) / p
	}
	minus, plus := r.TakeLeft(u.Px(30)), r.TakeRight(u.Px(30))
	stepped := 0.0
	if u.stepButton(k^0x3117, k, minus, false) {
		stepped = -as.Step
	}
	if u.stepButton(k^0x9105, k, plus, true) {
		stepped = as.Step
	}
	shown := u.Num(*value, as.Decimals)
	e := &u.edit
	if e.id == k && e.dirty && u.focus != k {
		u.left = *e
		*e = editor{}
	}
	if u.left.id == k {
		// The field was left: its draft counts now.
		if v, ok := parseNumber(u.left.text); ok {
			set(v)
		}
		u.left = editor{}
		shown = u.Num(*value, as.Decimals)
	}
	draft := shown
	if e.id == k && e.dirty {
		draft = e.text
	}
	focused := u.fieldFocus(k, r, draft, true)
	if focused {
		if u.editText(&draft, numeric) {
			e.text, e.dirty = draft, true
		}
		switch {
		case u.takeKey("ArrowUp"):
			stepped = as.Step
		case u.takeKey("ArrowDown"):
			stepped = -as.Step
		case e.dirty && u.takeKey("Enter"):
			if v, ok := parseNumber(draft); ok {
				set(v)
			}
			e.dirty = false
			draft = u.Num(*value, as.Decimals)
			e.caret, e.anchor = len(draft), 0
		case e.dirty && u.takeKey("Escape"):
			e.dirty = false
			draft = shown
			e.caret, e.anchor = len(draft), 0
		}
	}
	if stepped != 0 {
		if v, ok := parseNumber(draft); ok {
			set(v + stepped)
		}
		e.dirty = false
		draft = u.Num(*value, as.Decimals)
		e.caret, e.anchor = len(draft), len(draft)
	}
	if as.Tip != "" && (u.hot == k || focused && u.ring) {
		u.showTip(k, r, as.Tip)
	}
	u.drawField(k, r, draft, "", as.Unit, focused)
	return *value != was
}

func numeric(r rune) bool {
	return r >= '0' && r <= '9' || strings.ContainsRune(".,-−+ ", r)
}

// parseNumber reads a number typed with a point or a comma, and either minus sign.
func parseNumber(s string) (float64, bool) {
	s = strings.NewReplacer(",", ".", "−", "-", " ", "", "\u00a0", "").Replace(s)
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, false
	}
	return v, true
}

// stepButton repeats while it is held.
func (u *UI) stepButton(k, field ID, r paint.Rect, plus bool) bool {
	hot, held, _ := u.sense(k, r)
	fire := false
	if u.pressed && u.active == k {
		fire = true
		u.focus = field
		u.repeatAt = u.NowMs + 420
	} else if held && hot && u.NowMs >= u.repeatAt {
		fire = true
		u.repeatAt = u.NowMs + 75
	}
	if hot {
		u.cursor = CursorHand
	}
	th := u.Theme
	ground := th.Sheet
	if hot || held {
		ground = ground.Mix(th.Ink, 0.08)
	}
	u.L.Rect(r, ground)
	u.L.Frame(r, th.Hairline, th.Edge)
	c, a := r.Center(), u.Px(5)
	u.L.Rule(c.X-a, c.Y, c.X+a, c.Y, u.Px(1.6), th.Ink)
	if plus {
		u.L.Rule(c.X, c.Y-a, c.X, c.Y+a+0.5, u.Px(1.6), th.Ink)
	}
	return fire
}
