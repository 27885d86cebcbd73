// Package widgets is a small immediate-mode kit over a paint.List. A screen is a function called on every pass: it asks
// for widgets by id and rectangle, and gets their answers at once; only focus, scroll places, carets and the like are
// kept between passes, by id. Start with UI.Frame.
//
//	reply := ui.Frame(in, list, func(screen paint.Rect) {
//		r := screen.Inset(ui.Px(16))
//		ui.Title(r.TakeTop(ui.Px(32)), "Take a zero")
//		if ui.Primary("zero", r.TakeTop(ui.RowH()), "Zero on bare metal") { ... }
//	})
//
// A frame runs the body once for each press, release, key or text of its Input (and once more at the end), so that no
// quick press between two frames is lost; the list holds the last pass. Bodies therefore must not advance time by
// counting passes: use UI.NowMs. Everything works by keyboard, and everything grows with UI.TextScale.
//
// Not here: anything that knows of gauges, windows or files.
package widgets
