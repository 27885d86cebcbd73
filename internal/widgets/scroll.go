package widgets

import (
	"math"

	"foilwright/internal/paint"
)

// pane is what a scroll pane remembers.
type pane struct {
	y        float64 // scrolled by
	content  float64 // height of the content in the last pass
	view     paint.Rect
	id       ID
	stops    int // length of the order when it began
	dragging bool
	grabY    float64
	grabAt   float64
	plain    bool // not a Tab stop itself
}

func (p *pane) clamp() { p.y = math.Min(math.Max(p.y, 0), math.Max(p.content-p.view.H, 0)) }

// show scrolls so that r, in its present place, comes into view.
func (p *pane) show(r paint.Rect) {
	const margin = 8
	if r.Y-margin < p.view.Y {
		p.y -= p.view.Y - (r.Y - margin)
	} else if r.Bottom()+margin > p.view.Bottom() {
		p.y += math.Min(r.Bottom()+margin-p.view.Bottom(), r.Y-margin-p.view.Y)
	}
	p.clamp()
}

// BeginScroll opens a pane over r. It returns where the content goes: as wide as the pane less its bar, shifted by what
// is scrolled. Lay the content out from its top and tell EndScroll how high it was.
func (u *UI) BeginScroll(id string, r paint.Rect) paint.Rect {
	return u.beginScroll(u.use(id), r, false)
}

func (u *UI) beginScroll(k ID, r paint.Rect, plain bool) paint.Rect {
	p := u.paneOf[k]
	if p == nil {
		p = &pane{id: k, plain: plain}
		u.paneOf[k] = p
	}
	p.view, p.stops = r, len(u.order)
	p.clamp()
	if p.content > r.H && !plain {
		u.stop(k, r)
	}
	u.dragPane(p)
	u.panes = append(u.panes, p)
	u.pushClip(r)
	return paint.R(r.X, r.Y-p.y, r.W-u.barW(), r.H)
}

func (u *UI) barW() float64 { return u.Px(14) }

// dragPane lets a finger or pen pull the content; a pull of more than a few pixels takes the press from the widget.
func (u *UI) dragPane(p *pane) {
	if u.device == Mouse || p.content <= p.view.H {
		p.dragging = false
		return
	}
	if u.pressed && u.over(p.view) {
		p.dragging, p.grabY, p.grabAt = true, u.y, p.y
	}
	if !p.dragging {
		return
	}
	if u.down || u.released {
		if math.Abs(u.y-p.grabY) > u.Px(8) {
			u.activeOff = true
		}
		if u.activeOff {
			p.y = p.grabAt - (u.y - p.grabY)
			p.clamp()
		}
	}
	if !u.down {
		p.dragging = false
	}
}

// EndScroll closes the pane opened last; content is the height used, from the top of the rectangle BeginScroll gave.
func (u *UI) EndScroll(content float64) {
	p := u.panes[len(u.panes)-1]
	u.panes = u.panes[:len(u.panes)-1]
	u.popClip()
	p.content = content
	u.wheelPane(p)
	focusIn := false
	for _, s := range u.order[min(p.stops, len(u.order)):] {
		focusIn = focusIn || s == u.focus
	}
	own := u.focus == p.id
	if content > p.view.H && (focusIn || own || u.focus == 0 && u.over(p.view)) && u.layer >= u.topLayer {
		u.paneKeys(p, own || u.focus == 0)
	}
	p.clamp()
	u.drawBar(p)
	u.drawMore(p)
	u.focusRing(own, p.view.Inset(u.Px(3)))
}

// wheelHoldMs is how long a pane that is being scrolled by the wheel keeps it, so that another one that comes under the
// pointer meanwhile does not catch it.
const wheelHoldMs = 300

// wheelPane scrolls a pane by the wheel, unless it can go no farther that way or another pane is being scrolled.
func (u *UI) wheelPane(p *pane) {
	room := math.Max(p.content-p.view.H, 0)
	if u.wheelY == 0 || room == 0 || !u.over(p.view) || u.wheelY < 0 && p.y <= 0 || u.wheelY > 0 && p.y >= room {
		return
	}
	if o := u.paneOf[u.wheeled]; o != nil && o != p && u.NowMs-u.wheeledAt < wheelHoldMs && u.over(o.view) {
		return
	}
	p.y += u.wheelY * u.Px(40)
	u.wheelY, u.wheeled, u.wheeledAt = 0, p.id, u.NowMs
}

func (u *UI) paneKeys(p *pane, arrows bool) {
	page := p.view.H * 0.85
	switch {
	case u.takeKey("PageDown"):
		p.y += page
	case u.takeKey("PageUp"):
		p.y -= page
	case u.takeKey("Home"):
		p.y = 0
	case u.takeKey("End"):
		p.y = p.content
	case arrows && u.takeKey("ArrowDown"):
		p.y += u.Px(40)
	case arrows && u.takeKey("ArrowUp"):
		p.y -= u.Px(40)
	}
}

// drawMore shades the edge beyond which a pane goes on, so that what is cut there is seen to go on.
func (u *UI) drawMore(p *pane) {
	h, least := u.Px(14), u.Px(4)
	none, shade := u.Theme.Ink.Fade(0), u.Theme.Ink.Fade(0.16)
	v := p.view
	v.W -= u.barW()
	if p.content-p.view.H-p.y > least {
		foot := paint.R(v.X, v.Bottom()-h, v.W, h)
		u.L.Gradient(foot, none, shade, true)
		// At the foot of the bar, where it lies over nothing.
		x, y, s := p.view.Right()-u.Px(6), v.Bottom()-u.Px(7), u.Px(3)
		u.L.Disc(x, y, u.Px(6), u.Theme.Sheet)
		u.L.Ring(x, y, u.Px(6), 1, u.Theme.Edge)
		tip := [3]paint.Point{{X: x - s, Y: y - s*0.5}, {X: x + s, Y: y - s*0.5}, {X: x, Y: y + s*0.7}}
		u.L.Polygon(tip[:], u.Theme.Ink)
	}
	if p.y > least {
		u.L.Gradient(paint.R(v.X, v.Y, v.W, h/2), shade, none, true)
	}
}

func (u *UI) drawBar(p *pane) {
	if p.content <= p.view.H+0.5 {
		return
	}
	th := u.Theme
	bar := paint.R(p.view.Right()-u.Px(10), p.view.Y+2, u.Px(8), p.view.H-4)
	k := p.id ^ 0x5c0115ba5
	size := math.Max(bar.H*p.view.H/p.content, u.Px(24))
	travel := bar.H - size
	room := p.content - p.view.H
	thumb := paint.R(bar.X, bar.Y+travel*p.y/room, bar.W, size)
	hot, held, _ := u.sense(k, bar.InsetXY(-u.Px(3), 0))
	if u.pressed && u.active == k {
		if !thumb.Contains(thumb.X, u.y) {
			p.y += math.Copysign(p.view.H*0.85, u.y-thumb.Y)
			p.clamp()
		}
		p.grabY, p.grabAt = u.y, p.y
	}
	if held && travel > 0 {
		p.y = p.grabAt + (u.y-p.grabY)*room/travel
		p.clamp()
		thumb.Y = bar.Y + travel*p.y/room
	}
	x := bar.X + bar.W/2
	u.L.Rule(x, bar.Y, x, bar.Bottom(), th.Hairline, th.Line)
	w, c := u.Px(4), th.Edge
	if hot || held {
		w, c = u.Px(7), th.Ink
	}
	u.L.RoundRect(paint.R(x-w/2, thumb.Y, w, size), w/2, c)
}
