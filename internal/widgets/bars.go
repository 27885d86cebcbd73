package widgets

import (
	"math"

	"foilwright/internal/paint"
)

// Bar is one row of a bar chart.
type Bar struct {
	Label string
	Value float64
	Tone  Tone
	Link  bool // leads somewhere: can be pressed
}

// Bars draws labelled horizontal bars from a common zero, one to a row of BarH, with their values.
func (u *UI) Bars(r paint.Rect, bars []Bar, decimals int, unit string) {
	lo, hi := 0.0, 0.0
	for _, b := range bars {
		lo, hi = math.Min(lo, b.Value), math.Max(hi, b.Value)
	}
	u.barRows(r, bars, lo, hi, false, decimals, unit)
}

// Waterfall draws how signed parts add up: each bar starts where the one before ended, and a last row shows the sum.
// It has one row more than bars. It returns which linked bar was pressed, else -1.
func (u *UI) Waterfall(id string, r paint.Rect, bars []Bar, total string, decimals int, unit string) (pressed int) {
	k := u.use(id)
	lo, hi, sum := 0.0, 0.0, 0.0
	for _, b := range bars {
		sum += b.Value
		lo, hi = math.Min(lo, sum), math.Max(hi, sum)
	}
	end := u.barRows(r, bars, lo, hi, true, decimals, unit)
	row := paint.R(r.X, r.Y+float64(len(bars))*u.BarH(), r.W, u.BarH())
	u.L.Rule(r.X, row.Y, r.Right(), row.Y, u.Theme.Hairline, u.Theme.Ink)
	u.barRow(row, Bar{Label: total, Value: end, Tone: Truth}, 0, lo, hi, true, decimals, unit)
	pressed = -1
	for i := range bars {
		if bars[i].Link && u.barLink(k, i, paint.R(r.X, r.Y+float64(i)*u.BarH(), r.W, u.BarH())) {
			pressed = i
		}
	}
	return pressed
}

// barLink makes the row of a bar a thing to press.
func (u *UI) barLink(chart ID, i int, row paint.Rect) bool {
	k := (chart ^ ID(i+1)) * 1099511628211
	hot, _, clicked := u.sense(k, row)
	focused := u.stop(k, row)
	if hot {
		u.cursor = CursorHand
		u.L.Frame(row, u.Theme.Hairline, u.Theme.Act)
	}
	u.focusRing(focused, row)
	return clicked || u.activated(focused)
}

// BarH is the height of a row of Bars and Waterfall.
func (u *UI) BarH() float64 { return u.Px(28) }

func (u *UI) barRows(r paint.Rect, bars []Bar, lo, hi float64, running bool, decimals int, unit string) float64 {
	from := 0.0
	for i, b := range bars {
		row := paint.R(r.X, r.Y+float64(i)*u.BarH(), r.W, u.BarH())
		start := 0.0
		if running {
			start = from
		}
		u.barRow(row, b, start, lo, hi, false, decimals, unit)
		from += b.Value
		if running {
			x := u.barX(row, from, lo, hi)
			u.L.Rule(x, row.Bottom()-u.Px(6), x, row.Bottom()+u.Px(6), u.Theme.Hairline, u.Theme.Edge)
		}
	}
	return from
}

func (u *UI) barLabelW(row paint.Rect) float64 { return math.Min(u.Px(210), row.W*0.5) }

func (u *UI) barValueW(row paint.Rect) float64 { return math.Min(u.Px(92), row.W*0.24) }

func (u *UI) barX(row paint.Rect, v, lo, hi float64) float64 {
	x0 := row.X + u.barLabelW(row) + u.Px(10)
	w := row.W - u.barLabelW(row) - u.barValueW(row) - u.Px(20)
	if hi <= lo {
		return x0
	}
	return x0 + (v-lo)/(hi-lo)*math.Max(w, 0)
}

func (u *UI) barRow(row paint.Rect, b Bar, start, lo, hi float64, whole bool, decimals int, unit string) {
	th := u.Theme
	f := u.Body()
	if whole {
		f = u.Strong()
	}
	label := f
	if label.Width(b.Label) > u.barLabelW(row) {
		label.Size = u.Px(13)
	}
	u.Line(paint.R(row.X, row.Y, u.barLabelW(row), row.H), b.Label, label, th.Ink, paint.Left)
	zero := u.barX(row, 0, lo, hi)
	u.L.Rule(zero, row.Y, zero, row.Bottom(), th.Hairline, th.Edge)
	x0, x1 := u.barX(row, start, lo, hi), u.barX(row, start+b.Value, lo, hi)
	if x1 < x0 {
		x0, x1 = x1, x0
	}
	strong, _, tint := u.Colors(b.Tone)
	bar := paint.R(x0, row.Y+u.Px(6), math.Max(x1-x0, 1), row.H-u.Px(12))
	if whole {
		u.L.Rect(bar, strong)
	} else {
		u.L.Rect(bar, tint)
		u.L.PushClip(bar)
		// Up rises to the right, down falls: the sign can be read without the colour.
		angle := 45.0
		if b.Value < 0 {
			angle = 135
		}
		u.L.Hatch(bar, u.Px(6), angle, u.Px(1.3), strong)
		u.L.PopClip()
		u.L.Frame(bar, th.Hairline, strong)
	}
	value := paint.R(row.Right()-u.barValueW(row), row.Y, u.barValueW(row), row.H)
	u.Line(value, u.signed(b.Value, decimals, unit), f, th.Ink, paint.Right)
}

// signed writes a number with its sign and unit, from the cache of numbers.
func (u *UI) signed(v float64, decimals int, unit string) string {
	k := number{v, decimals, true, unit}
	if s, ok := u.numbers[k]; ok {
		return s
	}
	s := u.Num(v, decimals)
	if v > 0 {
		s = "+" + s
	}
	if unit != "" {
		s += " " + unit
	}
	u.numbers[k] = s
	return s
}
