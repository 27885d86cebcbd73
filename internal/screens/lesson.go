package screens

import (
	"cmp"
	"math"
	"slices"

	"foilwright/internal/attempt"
	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
	"foilwright/sim/part"
	"foilwright/sim/probe"
)

// lesson is the first five minutes: on a bench of its own that is not written
// down, a newcomer takes a correct reading and sees an edge spoil one.
type lesson struct {
	step  int
	good  int // contact of the correct reading; -1: not yet
	edge  int // contact of the spoilt one; -1: not yet
	text  string
	wrote int // step the text was written for, and changes of the sitting
	at    int
}

// Where in the lesson a reading counts as far from edges and as at one, mm.
const (
	lessonFarMm  = 25
	lessonNearMm = 4
	lessonZeros  = 3
)

// The steps of the lesson.
const (
	lessonPlace = iota
	lessonZero
	lessonTouch
	lessonStore
	lessonPart
	lessonGood
	lessonEdge
	lessonDone
)

// lessonExercise is the one whose bench the first minutes are written for.
const lessonExercise = "painted-panel"

// beginLesson opens the bench of the lesson: that of lessonExercise, or, where
// that is not offered, of the first exercise that suits.
func (a *App) beginLesson() {
	a.slowly(say.T("Setting out the bench"), func() {
		list := slices.Clone(a.Exercises)
		slices.SortStableFunc(list, func(x, y *bench.Exercise) int {
			return cmp.Compare(rank(x.ID != lessonExercise), rank(y.ID != lessonExercise))
		})
		for _, e := range list {
			e := *a.whole(e)
			if !suitsLesson(&e) {
				continue
			}
			// Nothing lies about that the lesson does not speak of.
			e.Instrument.EarlierReadingUm, e.Instrument.TipDirtUm = nil, part.Range{}
			w, err := bench.NewWorld(&e, a.Seed())
			if err != nil {
				a.fault = err.Error()
				return
			}
			if lessonPiece(w) == "" {
				continue
			}
			a.sit(attempt.Unkept(w))
			a.sitting.do(a.now, bench.Action{Do: bench.ReadJob})
			a.lesson = &lesson{good: -1, edge: -1, wrote: -1}
			a.goTo(pageBench)
			return
		}
		a.fault = say.T("The first minutes need a flat painted steel part and a bare piece like it; no exercise offered here has both.")
	})
}

func rank(later bool) int {
	if later {
		return 1
	}
	return 0
}

// suitsLesson reports whether the words of the lesson are true of an exercise,
// and a side of its part spoils a reading enough to be seen: one magnetic probe
// in good order, and smooth flat steel under a single film.
func suitsLesson(e *bench.Exercise) bool {
	p := &e.Part.Piece
	flat := p.RadiusX == 0 && p.RadiusY == 0 && len(p.Features) == 0 && p.Texture == part.Texture{}
	plain := len(p.Layers) == 0 && p.RemanenceT == 0 && p.DustUm == 0 && p.TemperatureC == 0 && e.Instrument.TipWearUm == 0
	return len(e.Offered()) == 1 && e.Probe.Principle == probe.MagneticInduction && flat && plain
}

// lessonPiece is the bare piece to zero on, empty when there is none.
func lessonPiece(w *bench.World) string {
	for _, p := range w.References {
		if w.Matches(p.ID) && !p.Coating.Present() {
			return p.ID
		}
	}
	return ""
}

// endLesson leaves the bench of the lesson; it is not offered first again.
func (a *App) endLesson() {
	a.settings.Seen = true
	a.keep()
	a.leave()
}

// follow moves the lesson on by what has happened on the bench.
func (l *lesson) follow(s *sitting) {
	v := &s.view
	for {
		was := l.step
		switch l.step {
		case lessonPlace:
			l.pass(v.Piece == lessonPiece(s.World))
		case lessonZero:
			l.pass(v.Mode == bench.Zeroing || v.Zeroed)
		case lessonTouch:
			l.pass(len(v.Taken) >= lessonZeros || v.Zeroed)
		case lessonStore:
			l.pass(v.Zeroed)
		case lessonPart:
			l.pass(v.Piece == s.World.Part.ID)
		case lessonGood:
			l.good = l.find(s, func(mm float64) bool { return mm >= lessonFarMm })
			l.pass(l.good >= 0)
		case lessonEdge:
			l.edge = l.find(s, func(mm float64) bool { return mm <= lessonNearMm })
			l.pass(l.edge >= 0 && !v.Touching)
		}
		if l.step == was {
			return
		}
	}
}

func (l *lesson) pass(done bool) {
	if done {
		l.step++
	}
}

// find is the newest reading of the part whose distance from the rim fits.
func (l *lesson) find(s *sitting, fits func(mm float64) bool) int {
	contacts := s.Bench.Record().Contacts
	for i := len(contacts) - 1; i >= 0; i-- {
		c := &contacts[i]
		if c.Outcome != bench.Read || c.Mode != bench.Measuring || c.Piece != s.World.Part.ID || c.Foil != "" {
			continue
		}
		if fits(rimMm(s, c)) {
			return i
		}
	}
	return -1
}

// rimMm is the distance of a contact from the nearest side of its piece.
func rimMm(s *sitting, c *bench.Contact) float64 {
	p := s.World.Piece(c.Piece)
	x, y := float64(c.XUm)/1e3, float64(c.YUm)/1e3
	return math.Min(math.Min(x, p.Width*1e3-x), math.Min(y, p.Height*1e3-y))
}

// words writes what is to be done now.
func (l *lesson) words(s *sitting, un units) string {
	name := func(id string) string { return s.ledger.names[id] }
	switch l.step {
	case lessonPlace:
		return say.T("This is the bench. The part is painted steel; “%s” is the same steel, bare. Choose it in the tray, or press its number.", name(lessonPiece(s.World)))
	case lessonZero:
		return say.T("Press Zero (Z). The instrument then takes the next readings as bare metal: thickness nought.")
	case lessonTouch:
		return say.T("Point at the middle of the plate. Hold the button (or Space, or a finger) until the figure shows, then let go: the probe comes down, reads, and lifts clear. Do it three times: %d so far.", len(s.view.Taken))
	case lessonStore:
		return say.T("Store the zero (S). From now on the instrument shows what lies on this steel.")
	case lessonPart:
		return say.T("Now the painted part: choose “%s”, or press 1.", name(s.World.Part.ID))
	case lessonGood:
		return say.T("Take a reading in the middle of the part, far from every side, the same way: hold until the figure shows, let go.")
	case lessonEdge:
		c := &s.Bench.Record().Contacts[l.good]
		return say.T("A correct reading: %s %s. The probe stood square and still, far from the sides, on a zero made on the same steel. Now spoil one: take a reading at the very rim, no more than %d mm from a side.", un.counts(c.Counts), un.name(), lessonNearMm)
	}
	r := s.Bench.Record()
	good, edge := &r.Contacts[l.good], &r.Contacts[l.edge]
	off := func(c *bench.Contact) string { return un.signed(float64(c.Counts)*un.resolutionUm - r.TrueUm(c.Index)) }
	return say.T("In the middle %s, off by %s (a foil takes most of that out; the exercises show how); %.0f mm from the side %s, off by %s %s. The paint did not change: near a side part of the probe's field has no steel under it, so the instrument takes it for more paint. "+
		"The debrief of every exercise shows your errors like this, each with its cause.",
		un.counts(good.Counts), off(good), rimMm(s, edge), un.counts(edge.Counts), off(edge), un.name())
}

// lessonHeight is how high the card of the lesson is: the same for all steps,
// so that nothing moves under the pointer.
func (a *App) lessonHeight(w float64) float64 {
	u := a.ui
	const longest = 330 // letters of the longest step
	letters := (w - u.Px(38)) / u.Px(6.6)
	return u.Small().LineHeight()*math.Ceil(longest/letters) + u.Px(36) + a.flowHeight(w-u.Px(24), a.lessonFoot())
}

const lessonLeave say.Text = "Leave these minutes"

// lessonFoot is the widths of what stands at the foot of the card.
func (a *App) lessonFoot() []float64 {
	return []float64{a.ui.Px(16) * float64(lessonDone), a.ui.ButtonW(say.T(lessonLeave))}
}

// drawLesson draws the card that leads through the first minutes.
func (a *App) drawLesson(r paint.Rect) {
	u, l, s := a.ui, a.lesson, a.sitting
	l.follow(s)
	if l.wrote != l.step || l.at != s.changes {
		l.wrote, l.at, l.text = l.step, s.changes, l.words(s, a.units())
	}
	u.L.Rect(r, u.Theme.TruthTint)
	u.L.Frame(r, u.Px(1.5), u.Theme.Truth)
	a.caption(r, say.T("THE FIRST FIVE MINUTES"))
	in := r.InsetXY(u.Px(12), u.Px(6))
	in.TakeTop(u.Px(18))
	foot := a.flowPlaces(in.TakeBottom(a.flowHeight(in.W, a.lessonFoot())), a.lessonFoot())
	steps := foot[0]
	for i := range lessonDone {
		x, y := steps.X+u.Px(8)+u.Px(16)*float64(i), steps.Y+steps.H/2
		if i < l.step {
			u.Mark(widgets.Good, x, y, u.Px(13))
		} else {
			u.L.Ring(x, y, u.Px(5), 1, u.Theme.InkSoft)
		}
	}
	label, look := say.T(lessonLeave), widgets.Quiet
	if l.step == lessonDone {
		label, look = say.T("To the exercises"), widgets.Primary
	}
	a.note("lesson-end", foot[1])
	if u.ButtonWith("lesson-end", foot[1], label, widgets.ButtonAs{Look: look}) {
		a.endLesson()
	}
	box := u.BeginScroll("lesson", in)
	u.EndScroll(u.L.TextBlock(box, l.text, u.Small(), u.Theme.Ink, paint.Left))
}

// newcomer is who has neither had the first minutes, nor put them away, nor
// passed an exercise without them.
func (a *App) newcomer() bool {
	if a.settings.Seen {
		return false
	}
	for _, b := range a.home.best {
		if b.passed {
			return false
		}
	}
	return true
}

// welcome offers the first minutes to a newcomer.
func (a *App) welcome(r *paint.Rect) {
	u := a.ui
	if !a.newcomer() {
		return
	}
	text := say.T("Five guided minutes on the bench: take a correct reading, then see an edge spoil one. Nothing is graded or kept.")
	pad := u.Px(14)
	wide := r.W - 2*pad
	h := 2*pad + u.HeadingFont().Height(say.T("New here?"), wide) + u.Px(4) + u.Body().Height(text, wide) + u.Px(10) + u.RowH()
	box := r.TakeTop(h)
	r.TakeTop(u.Px(16))
	u.L.Rect(box, u.Theme.TruthTint)
	u.L.Frame(box, u.Px(1.5), u.Theme.Truth)
	in := box.Inset(pad)
	in.TakeTop(a.say(in, say.T("New here?"), u.HeadingFont(), u.Theme.Ink) + u.Px(4))
	in.TakeTop(u.Paragraph(in, text) + u.Px(10))
	places := a.flowPlaces(in, []float64{a.keyedW(say.T("Show me"), "G") + u.Px(16), u.ButtonW(say.T("Not now"))})
	if a.keyed("lesson", places[0], say.T("Show me"), "G", widgets.ButtonAs{Look: widgets.Primary}) {
		a.beginLesson()
	}
	a.note("no-lesson", places[1])
	if u.Quiet("no-lesson", places[1], say.T("Not now")) {
		a.settings.Seen = true
		a.keep()
	}
}

// lessonAgain offers the first minutes to whoever has had them or put them away.
func (a *App) lessonAgain(r *paint.Rect) {
	u := a.ui
	if a.newcomer() {
		return
	}
	label := say.T("First five minutes")
	r.TakeTop(u.Px(16))
	a.caption(r.TakeTop(u.Px(20)), say.T("FROM THE BEGINNING"))
	r.TakeTop(u.Px(6))
	r.TakeTop(u.SmallParagraph(*r, say.T("The guided minutes can be gone through as often as you like; nothing of them is kept.")) + u.Px(6))
	at := r.TakeTop(u.RowH())
	at.W = min(at.W, a.keyedW(label, "G")+u.Px(16))
	if a.keyed("lesson", at, label, "G", widgets.ButtonAs{}) {
		a.beginLesson()
	}
}
