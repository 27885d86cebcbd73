package screens

import "foilwright/internal/paint"

// benchLayout is where the parts of the bench screen are.
type benchLayout struct {
	head, tray, plan, grip, section, detail, instrument paint.Rect
	// narrow: tray and instrument share one scrolling column, side.
	narrow bool
	side   paint.Rect
}

// layBench divides the window. em is the size of the lettering.
func layBench(r paint.Rect, em float64, leftHanded bool) benchLayout {
	var b benchLayout
	b.head = r.TakeTop(em * 3)
	gap := em * 0.6
	r = r.Inset(gap)
	b.narrow = r.W < em*66
	takeNear, takeFar := r.TakeLeft, r.TakeRight
	if leftHanded {
		takeNear, takeFar = r.TakeRight, r.TakeLeft
	}
	if b.narrow {
		b.side = takeFar(min(max(em*19, r.W*0.4), r.W*0.56))
		takeFar(gap)
	} else {
		b.tray = takeNear(min(max(em*16, r.W*0.18), em*20))
		takeNear(gap)
		b.instrument = takeFar(min(max(em*22, r.W*0.27), em*30))
		takeFar(gap)
	}
	b.grip = paint.Rect{}
	low := r.TakeBottom(min(max(r.H*0.36, em*11), em*24))
	r.TakeBottom(gap)
	b.grip = r.TakeBottom(gripHeight(r.W, em))
	b.plan = r
	side := min(low.W*0.4, low.H)
	b.detail = low.TakeRight(side)
	low.TakeRight(gap)
	b.section = low
	return b
}

// gripHeight is the height of the row of hand controls, which wraps when there
// is little room.
func gripHeight(w, em float64) float64 {
	if w < em*37 {
		return em * 4.6
	}
	return em * 2.4
}
