package widgets

import (
	"math"

	"foilwright/internal/paint"
)

// List is a scrolling list of n rows of which one may be chosen; only rows in view are asked for. It is one Tab stop;
// arrows, PgUp, PgDn, Home and End move the choice. It returns the row fired by Enter or a second click, else -1.
func (u *UI) List(id string, r paint.Rect, n int, rowH float64, chosen *int, row func(i int, r paint.Rect)) (fired int) {
	k := u.use(id)
	th := u.Theme
	u.L.Rect(r, th.Well)
	focused := u.stop(k, r)
	fired = -1
	was := *chosen
	if focused {
		page := max(int(r.H/rowH)-1, 1)
		switch {
		case u.takeKey("PageDown"):
			*chosen = min(*chosen+page, n-1)
		case u.takeKey("PageUp"):
			*chosen = max(*chosen-page, 0)
		default:
			u.arrows(true, chosen, n, "ArrowUp", "ArrowDown")
		}
		if n > 0 && *chosen >= 0 && u.activated(true) {
			fired = *chosen
		}
	}
	in := u.beginScroll(k^0x115701, r, true)
	p := u.panes[len(u.panes)-1]
	if *chosen != was && *chosen >= 0 {
		p.content = float64(n) * rowH
		p.show(paint.R(r.X, in.Y+float64(*chosen)*rowH, in.W, rowH))
		in.Y = r.Y - p.y
	}
	first := max(int(math.Floor((r.Y-in.Y)/rowH)), 0)
	last := min(int(math.Ceil((r.Bottom()-in.Y)/rowH)), n)
	width := r.W
	if p.content > r.H {
		width = in.W
	}
	for i := first; i < last; i++ {
		cell := paint.R(r.X, in.Y+float64(i)*rowH, width, rowH)
		ik := (k ^ ID(i+1)) * 1099511628211
		hot, _, clicked := u.sense(ik, cell)
		if u.pressed && u.active == ik {
			u.focus = k
		}
		if clicked {
			if *chosen == i {
				fired = i
			}
			*chosen = i
		}
		if hot {
			u.cursor = CursorHand
		}
		u.rowGround(cell, i == *chosen, hot)
		row(i, cell.InsetXY(u.Px(10), 0))
		u.L.Rule(cell.X, cell.Bottom()-0.5, cell.Right(), cell.Bottom()-0.5, th.Hairline, th.Line)
	}
	u.EndScroll(float64(n) * rowH)
	u.L.Frame(r, th.Hairline, th.Edge)
	u.focusRing(focused, r)
	return fired
}

func (u *UI) rowGround(cell paint.Rect, chosen, hot bool) {
	switch {
	case chosen:
		u.L.Rect(cell, u.Theme.ActTint)
		u.L.Rect(paint.R(cell.X, cell.Y, u.Px(4), cell.H), u.Theme.Act)
	case hot:
		u.L.Rect(cell, u.Theme.Ink.Fade(0.05))
	}
}

// Column is a column of a table. Share is its part of the width left over by fixed columns.
type Column struct {
	Title string
	Width float64 // logical pixels at text size 1; 0: take a share
	Share float64
	Align paint.Align
}

// Table is a list with a ruled header; cell returns the text of a cell. See List for keys and the result.
func (u *UI) Table(id string, r paint.Rect, cols []Column, n int, chosen *int, cell func(row, col int) string) (fired int) {
	return u.TableWith(id, r, cols, n, chosen, func(row, col int, at paint.Rect) {
		u.Line(at, cell(row, col), u.Body(), u.Theme.Ink, cols[col].Align)
	})
}

// TableWith is a table whose cells are drawn by the caller.
func (u *UI) TableWith(id string, r paint.Rect, cols []Column, n int, chosen *int, cell func(row, col int, at paint.Rect)) (fired int) {
	th := u.Theme
	head := r.TakeTop(u.Px(30))
	u.L.Rect(head, th.Sheet)
	u.L.Frame(paint.R(head.X, head.Y, head.W, head.H+th.Hairline), th.Hairline, th.Edge)
	inner := head
	inner.W -= u.barW()
	inner = inner.InsetXY(u.Px(10), 0)
	for i := range cols {
		u.Line(u.columnAt(inner, cols, i), cols[i].Title, paint.Font{Face: paint.Medium, Size: u.Px(13)}, th.Ink, cols[i].Align)
	}
	u.L.Rule(head.X, head.Bottom(), head.Right(), head.Bottom(), 2*th.Hairline, th.Ink)
	return u.List(id, r, n, u.Px(30), chosen, func(i int, at paint.Rect) {
		for c := range cols {
			cell(i, c, u.columnAt(paint.R(inner.X, at.Y, inner.W, at.H), cols, c))
		}
	})
}

func (u *UI) columnAt(r paint.Rect, cols []Column, at int) paint.Rect {
	gap := u.Px(12)
	fixed, shares := 0.0, 0.0
	for _, c := range cols {
		fixed += u.Px(c.Width)
		if c.Width == 0 {
			shares += math.Max(c.Share, 1e-9)
		}
	}
	free := math.Max(r.W-fixed-gap*float64(len(cols)-1), 0)
	x := r.X
	for i, c := range cols {
		w := u.Px(c.Width)
		if c.Width == 0 {
			w = free * math.Max(c.Share, 1e-9) / shares
		}
		if i == at {
			return paint.R(x, r.Y, w, r.H)
		}
		x += w + gap
	}
	return paint.Rect{}
}
