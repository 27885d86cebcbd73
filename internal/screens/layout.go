package screens

import "foilwright/internal/paint"

// benchLayout is where the parts of the bench screen are.
type benchLayout struct {
	head, tray, plan, grip, section, detail, instrument paint.Rect
	// narrow: instrument and tray share one scrolling column, side.
	narrow bool
	// small: little height or large lettering; the controls of the hand and
	// the enlarged tip go to the side column too.
	small bool
	side  paint.Rect
}

// layBench divides the window. em is the size of the lettering; gripHeight
// tells the height of the controls of the hand at a width.
func layBench(r paint.Rect, em float64, leftHanded bool, gripHeight func(w float64) float64) benchLayout {
	var b benchLayout
	b.head = r.TakeTop(em * 3)
	gap := em * 0.6
	r = r.Inset(gap)
	b.narrow = r.W < em*66
	b.small = b.narrow && (r.H < em*40 || r.W < em*50)
	if b.narrow && r.W < em*36 && r.H > r.W {
		// A tablet held upright, with large lettering: one above the other.
		b.small = true
		b.plan = r.TakeTop(r.H * 0.34)
		r.TakeTop(gap)
		b.section = r.TakeTop(r.H * 0.28)
		r.TakeTop(gap)
		b.side = r
		return b
	}
	takeNear, takeFar := r.TakeLeft, r.TakeRight
	if leftHanded {
		takeNear, takeFar = r.TakeRight, r.TakeLeft
	}
	if b.narrow {
		b.side = takeFar(min(max(em*19.5, r.W*0.4), r.W*0.58))
		takeFar(gap)
	} else {
		b.tray = takeNear(min(max(em*16, r.W*0.18), em*20))
		takeNear(gap)
		b.instrument = takeFar(min(max(em*22, r.W*0.27), em*30))
		takeFar(gap)
	}
	low := r.TakeBottom(min(max(r.H*0.36, em*11), em*24))
	r.TakeBottom(gap)
	if !b.small {
		b.grip = r.TakeBottom(gripHeight(r.W))
		b.detail = low.TakeRight(min(low.W*0.4, low.H))
		low.TakeRight(gap)
	}
	b.plan, b.section = r, low
	return b
}
