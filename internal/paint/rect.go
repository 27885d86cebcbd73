package paint

// Point is a place in logical pixels, y downward.
type Point struct{ X, Y float64 }

// Rect is a rectangle in logical pixels: left, top, width, height. The Take methods cut strips off it in place, which is
// how screens are laid out: header := r.TakeTop(48), side := r.TakeLeft(240), the rest is r.
type Rect struct{ X, Y, W, H float64 }

// R returns the rectangle at x, y of width w and height h.
func R(x, y, w, h float64) Rect { return Rect{x, y, w, h} }

// Right is the x of the right edge.
func (r Rect) Right() float64 { return r.X + r.W }

// Bottom is the y of the bottom edge.
func (r Rect) Bottom() float64 { return r.Y + r.H }

// Center is the middle of r.
func (r Rect) Center() Point { return Point{r.X + r.W/2, r.Y + r.H/2} }

// Contains says whether the point lies in r; left and top edges belong to it, right and bottom do not.
func (r Rect) Contains(x, y float64) bool {
	return x >= r.X && y >= r.Y && x < r.X+r.W && y < r.Y+r.H
}

// Empty says whether r has no area.
func (r Rect) Empty() bool { return r.W <= 0 || r.H <= 0 }

// Intersect is the common part of two rectangles, with zero size if there is none.
func (r Rect) Intersect(o Rect) Rect {
	x0, y0 := max(r.X, o.X), max(r.Y, o.Y)
	x1, y1 := min(r.X+r.W, o.X+o.W), min(r.Y+r.H, o.Y+o.H)
	return Rect{x0, y0, max(x1-x0, 0), max(y1-y0, 0)}
}

// Inset returns r made smaller by d on all sides (larger if d is negative).
func (r Rect) Inset(d float64) Rect { return r.InsetXY(d, d) }

// InsetXY returns r made smaller by dx left and right and by dy above and below.
func (r Rect) InsetXY(dx, dy float64) Rect {
	return Rect{r.X + dx, r.Y + dy, max(r.W-2*dx, 0), max(r.H-2*dy, 0)}
}

// Move returns r shifted.
func (r Rect) Move(dx, dy float64) Rect { return Rect{r.X + dx, r.Y + dy, r.W, r.H} }

// TakeTop cuts a strip of height h off the top of r and returns it.
func (r *Rect) TakeTop(h float64) Rect {
	h = min(max(h, 0), r.H)
	cut := Rect{r.X, r.Y, r.W, h}
	r.Y += h
	r.H -= h
	return cut
}

// TakeBottom cuts a strip of height h off the bottom of r and returns it.
func (r *Rect) TakeBottom(h float64) Rect {
	h = min(max(h, 0), r.H)
	r.H -= h
	return Rect{r.X, r.Y + r.H, r.W, h}
}

// TakeLeft cuts a strip of width w off the left of r and returns it.
func (r *Rect) TakeLeft(w float64) Rect {
	w = min(max(w, 0), r.W)
	cut := Rect{r.X, r.Y, w, r.H}
	r.X += w
	r.W -= w
	return cut
}

// TakeRight cuts a strip of width w off the right of r and returns it.
func (r *Rect) TakeRight(w float64) Rect {
	w = min(max(w, 0), r.W)
	r.W -= w
	return Rect{r.X + r.W, r.Y, w, r.H}
}

// Column is the i-th of n equal columns of r with gaps between them.
func (r Rect) Column(i, n int, gap float64) Rect {
	w := (r.W - gap*float64(n-1)) / float64(n)
	return Rect{r.X + float64(i)*(w+gap), r.Y, max(w, 0), r.H}
}

// Row is the i-th of n equal rows of r with gaps between them.
func (r Rect) Row(i, n int, gap float64) Rect {
	h := (r.H - gap*float64(n-1)) / float64(n)
	return Rect{r.X, r.Y + float64(i)*(h+gap), r.W, max(h, 0)}
}

// Centered is a rectangle of the given size in the middle of r, no larger than r.
func (r Rect) Centered(w, h float64) Rect {
	w, h = min(w, r.W), min(h, r.H)
	return Rect{r.X + (r.W-w)/2, r.Y + (r.H-h)/2, w, h}
}
