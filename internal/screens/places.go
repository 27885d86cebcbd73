package screens

import "foilwright/internal/paint"

// Places tells where what can be pressed was drawn last, by its id, for tests
// that work the bench from outside, in a real window. The app remembers it from
// the first call on.
func (a *App) Places() map[string]paint.Rect {
	if a.where == nil {
		a.where = map[string]paint.Rect{}
		a.touched = true // so that it is drawn once more
	}
	return a.where
}

// OnPiece tells where a place of the piece under the probe is drawn, for the
// same tests; mm from the lower left corner. It is false away from the bench.
func (a *App) OnPiece(xMm, yMm float64) (paint.Point, bool) {
	if a.page != pageBench || a.sitting == nil {
		return paint.Point{}, false
	}
	_, pl := a.planRects(a.sitting, a.lay(a.size).plan)
	return pl.At(xMm, yMm), true
}
