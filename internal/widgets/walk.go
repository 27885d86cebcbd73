package widgets

import (
	"fmt"

	"foilwright/internal/paint"
)

// placed is where a widget was in a pass.
type placed struct {
	id    ID
	r     paint.Rect
	pane  *pane // innermost; nil: the screen
	layer int
}

func (u *UI) place(id ID, r paint.Rect) {
	p := placed{id: id, r: r, layer: u.layer}
	if n := len(u.panes); n > 0 {
		p.pane = u.panes[n-1]
	}
	u.placed = append(u.placed, p)
}

// walk goes through the widgets of a pass and notes those that are too small to be used, reach out of the screen or
// their pane, or overlap. What a pane has scrolled away is no fault.
func (u *UI) walk() {
	const slack = 2.5
	for i := range u.placed {
		p := &u.placed[i]
		if p.r.W < u.Px(7) || p.r.H < u.Px(7) {
			u.faults[fmt.Sprintf("%s has no room: %.0f by %.0f", u.nameOf(p.id), p.r.W, p.r.H)] = true
		}
		room := u.Screen
		if p.pane != nil {
			room = p.pane.view
			room.Y, room.H = p.r.Y, p.r.H
		}
		if p.r.X < room.X-slack || p.r.Right() > room.Right()+slack || p.r.Y < room.Y-slack || p.r.Bottom() > room.Bottom()+slack {
			u.faults[fmt.Sprintf("%s reaches out of its place: %.0f to %.0f across, %.0f to %.0f down", u.nameOf(p.id), p.r.X, p.r.Right(), p.r.Y, p.r.Bottom())] = true
		}
		for k := range i {
			q := &u.placed[k]
			if q.layer != p.layer || q.pane != p.pane {
				continue
			}
			if o := p.r.Intersect(q.r); o.W > slack && o.H > slack {
				u.faults[fmt.Sprintf("%s and %s overlap", u.nameOf(q.id), u.nameOf(p.id))] = true
			}
		}
	}
}

// nameOf is the name a widget was asked for by; parts of widgets have none.
func (u *UI) nameOf(id ID) string {
	if name, ok := u.seen[id]; ok {
		return name
	}
	return "a part of a widget"
}
