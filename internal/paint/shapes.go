package paint

import "math"

// Rect fills r. Its edges are moved to whole device pixels, so that they are crisp; it never vanishes.
func (l *List) Rect(r Rect, c Color) {
	l.add(op{kind: opRect, color: c, a: float32(r.X), b: float32(r.Y), c: float32(r.W), d: float32(r.H)})
}

// RoundRect fills r with rounded corners.
func (l *List) RoundRect(r Rect, radius float64, c Color) {
	l.add(op{kind: opRoundRect, color: c, a: float32(r.X), b: float32(r.Y), c: float32(r.W), d: float32(r.H), e: float32(radius)})
}

// Frame draws the outline of r, width pixels wide and wholly inside r.
func (l *List) Frame(r Rect, width float64, c Color) { l.RoundFrame(r, 0, width, c) }

// RoundFrame draws the outline of r with rounded corners, wholly inside r.
func (l *List) RoundFrame(r Rect, radius, width float64, c Color) {
	l.add(op{kind: opRoundFrame, color: c, a: float32(r.X), b: float32(r.Y), c: float32(r.W), d: float32(r.H),
		e: float32(radius), f: float32(width)})
}

// Gradient fills r with a linear change of colour, downward or to the right.
func (l *List) Gradient(r Rect, from, to Color, downward bool) {
	l.add(op{kind: opGradient, color: from, color2: to, closed: downward,
		a: float32(r.X), b: float32(r.Y), c: float32(r.W), d: float32(r.H)})
}

// Line draws an anti-aliased straight line.
func (l *List) Line(x0, y0, x1, y1, width float64, c Color) {
	l.DashLine(x0, y0, x1, y1, width, 0, 0, c)
}

// DashLine draws a dashed straight line: on pixels drawn, off pixels left out.
func (l *List) DashLine(x0, y0, x1, y1, width, on, off float64, c Color) {
	lo := int32(len(l.points))
	l.points = append(l.points, point32{float32(x0), float32(y0)}, point32{float32(x1), float32(y1)})
	l.add(op{kind: opPolyline, color: c, a: float32(width), b: float32(on), c: float32(off), lo: lo, hi: lo + 2})
}

// Rule draws a horizontal or vertical line moved to whole device pixels, for rulings and axes. It runs along the larger
// of its two extents and is at least one device pixel wide.
func (l *List) Rule(x0, y0, x1, y1, width float64, c Color) {
	l.add(op{kind: opRule, color: c, a: float32(x0), b: float32(y0), c: float32(x1), d: float32(y1), e: float32(width)})
}

// Polyline draws an open line through the points.
func (l *List) Polyline(pts []Point, width float64, c Color) {
	lo, hi := l.addPoints(pts)
	l.add(op{kind: opPolyline, color: c, a: float32(width), lo: lo, hi: hi})
}

// DashPolyline draws an open dashed line through the points.
func (l *List) DashPolyline(pts []Point, width, on, off float64, c Color) {
	lo, hi := l.addPoints(pts)
	l.add(op{kind: opPolyline, color: c, a: float32(width), b: float32(on), c: float32(off), lo: lo, hi: hi})
}

// Outline draws a closed line through the points, half of its width on either side.
func (l *List) Outline(pts []Point, width float64, c Color) {
	lo, hi := l.addPoints(pts)
	l.add(op{kind: opPolyline, closed: true, color: c, a: float32(width), lo: lo, hi: hi})
}

// Polygon fills a simple polygon, convex or concave, wound either way.
func (l *List) Polygon(pts []Point, c Color) {
	lo, hi := l.addPoints(pts)
	l.add(op{kind: opPolygon, color: c, lo: lo, hi: hi})
}

// Disc fills a circle.
func (l *List) Disc(x, y, radius float64, c Color) {
	l.add(op{kind: opDisc, color: c, a: float32(x), b: float32(y), c: float32(radius)})
}

// Ring draws a circle line; half of its width lies outside the radius.
func (l *List) Ring(x, y, radius, width float64, c Color) {
	l.Arc(x, y, radius, 0, 2*math.Pi, width, c)
}

// Arc draws a part of a circle line. Angles are radians, 0 to the right, growing clockwise as seen (y is downward).
func (l *List) Arc(x, y, radius, from, to, width float64, c Color) {
	l.add(op{kind: opArc, color: c, a: float32(x), b: float32(y), c: float32(radius), d: float32(from), e: float32(to), f: float32(width)})
}

// Sector fills a slice of a circle, at most a half; angles as for Arc.
func (l *List) Sector(x, y, radius, from, to float64, c Color) {
	l.add(op{kind: opSector, color: c, a: float32(x), b: float32(y), c: float32(radius), d: float32(from), e: float32(to)})
}

// Hatch draws the section lines of engineering drawings in r: parallel lines spacing pixels apart at an angle in
// degrees, 0 along the x axis, 45 rising to the right.
func (l *List) Hatch(r Rect, spacing, degrees, width float64, c Color) {
	lo := int32(len(l.points))
	x0, y0, x1, y1 := float32(r.X), float32(r.Y), float32(r.X+r.W), float32(r.Y+r.H)
	l.points = append(l.points, point32{x0, y0}, point32{x1, y0}, point32{x1, y1}, point32{x0, y1})
	l.add(op{kind: opHatch, color: c, a: float32(spacing), b: float32(degrees), c: float32(width), lo: lo, hi: lo + 4})
}

// HatchPolygon hatches a polygon by the even-odd rule; see Hatch. The lines are tied to the first point, so they move
// with the shape.
func (l *List) HatchPolygon(pts []Point, spacing, degrees, width float64, c Color) {
	lo, hi := l.addPoints(pts)
	l.add(op{kind: opHatch, color: c, a: float32(spacing), b: float32(degrees), c: float32(width), lo: lo, hi: hi})
}

// Shade is a corner of a triangle with its own colour.
type Shade struct {
	X, Y  float64
	Color Color
}

// Triangles fills triangles, three corners each, with colours running between their corners; edges are not smoothed.
// It is meant for colour maps.
func (l *List) Triangles(corners []Shade) {
	lo := int32(len(l.shades))
	for _, s := range corners {
		l.shades = append(l.shades, shade{float32(s.X), float32(s.Y), s.Color})
	}
	l.add(op{kind: opTriangles, lo: lo, hi: int32(len(l.shades))})
}

// PushClip limits what follows to r and to the clips already in force, at whole device pixels.
func (l *List) PushClip(r Rect) {
	l.depth++
	l.add(op{kind: opPushClip, a: float32(r.X), b: float32(r.Y), c: float32(r.W), d: float32(r.H)})
}

// PopClip ends the last PushClip.
func (l *List) PopClip() {
	if l.depth == 0 {
		panic("paint: PopClip without PushClip")
	}
	l.depth--
	l.add(op{kind: opPopClip})
}

// Align says where text stands in a rectangle.
type Align uint8

// Horizontal places; text in a rectangle is always centred vertically.
const (
	Left Align = iota
	Center
	Right
)

// Text draws a line of text with its left end at x and its baseline at y.
func (l *List) Text(x, y float64, s string, f Font, c Color) {
	if s == "" {
		return
	}
	lo, hi := l.addText(s)
	l.add(op{kind: opText, face: f.Face, color: c, a: float32(x), b: float32(y), c: float32(f.Size), lo: lo, hi: hi})
}

// TextUp draws text that runs upward (turned a quarter left), its start at y and its baseline at x.
func (l *List) TextUp(x, y float64, s string, f Font, c Color) {
	if s == "" {
		return
	}
	lo, hi := l.addText(s)
	l.add(op{kind: opTextUp, face: f.Face, color: c, a: float32(x), b: float32(y), c: float32(f.Size), lo: lo, hi: hi})
}

// TextIn draws one line of text in r, centred vertically on its capitals. What does not fit is cut and ends in "…";
// it returns whether that happened.
func (l *List) TextIn(r Rect, s string, f Font, c Color, a Align) (cut bool) {
	y := r.Y + r.H/2 + f.CapHeight()/2
	w := f.Width(s)
	if w <= r.W+0.01 {
		x := r.X
		switch a {
		case Center:
			x += (r.W - w) / 2
		case Right:
			x += r.W - w
		}
		l.Text(x, y, s, f, c)
		return false
	}
	room := r.W - f.Width("…")
	n := f.Fit(s, room)
	for n > 0 && s[n-1] == ' ' {
		n--
	}
	if room < 0 {
		return true
	}
	lo, _ := l.addText(s[:n])
	l.text = append(l.text, "…"...)
	l.add(op{kind: opText, face: f.Face, color: c, a: float32(r.X), b: float32(y), c: float32(f.Size), lo: lo, hi: int32(len(l.text))})
	return true
}
