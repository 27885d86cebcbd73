package screens

import (
	"fmt"
	"math"
	"strconv"

	"foilwright/internal/hand"
	"foilwright/internal/paint"
	"foilwright/internal/picture"
	"foilwright/internal/say"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
	"foilwright/sim/part"
	"foilwright/sim/probe"
)

const planID = "plan"

// benchState is what the bench screen remembers besides the attempt.
type benchState struct {
	value   string // in the box for the foil's value
	card    string // foil or piece whose certificate is open
	asking  question
	latched bool // the steady hand is switched on
	shift   bool // it is held by key
	resting bool // as the hand has been told
	down    bool // the probe is being lowered by pointer or key
	byKey   bool
	area    part.Area
	coach   coach
	field   fieldView

	magnified    bool
	lensX, lensY float64 // what the magnifier is held over, mm

	// What is written on the screen, rebuilt only when it changes.
	textAt   int // changes of the sitting it was written at; -1: write anew
	guide    string
	foilName string // what lies on the piece
	newest   string
	newestL  string
	stats    [5]string // n, mean, s, lowest, highest
	earlier  string    // how many of them are of an earlier job
	adjust   string
	lift     string
	liftMm   int // it was written for
	liftMost string

	tilt     string // how far the probe is tilted on purpose
	tiltDeg  int    // it was written for
	tiltMost string
	clock    string
	clockAt  int64
	marks    []picture.Mark
	spotX    float64
	spotY    float64
	spotMm   float64
	lines    []written
	cardOf   string // foil whose card is written below
	title    string
	rows     [4]formRow
	buttons  []titleButton
}

// written is a line of the ledger as it is drawn.
type written struct {
	left, figure string
	kind         lineKind
	struck       bool
}

// question is what the bench asks before it does something.
type question uint8

const (
	askNothing question = iota
	askReason
	askClear
	askLeave
)

func (a *App) newBenchState() benchState {
	d := benchState{textAt: -1, clockAt: -1, buttons: []titleButton{
		{"leave", say.T("Leave"), "Esc", a.askLeave},
		{"help", say.T("Keys"), "F1", a.openHelp},
		{"report", say.T("Report"), "R", a.openReport},
		{"job", say.T("Job sheet"), "J", a.openJob},
	}}
	if !a.sitting.Assessment {
		d.buttons = append(d.buttons, titleButton{"field", say.T("Field"), "E", a.toggleField})
	}
	return d
}

// write brings what is written on the screen up to date.
func (a *App) write() {
	d, s := &a.desk, a.sitting
	if sec := s.lastMs / 1000; sec != d.clockAt {
		d.clockAt = sec
		d.clock = fmt.Sprintf("%d:%02d", sec/60, sec%60)
	}
	if f, ok := s.card(d.card); ok && (d.cardOf != d.card || d.textAt < 0) {
		a.writeCard(&f)
	}
	d.write(s, a.units())
}

// write brings what the instrument shows up to date.
func (d *benchState) write(s *sitting, u units) {
	if d.textAt == s.changes {
		return
	}
	d.textAt = s.changes
	v := &s.view
	d.guide = guide(s, u)
	d.foilName = s.ledger.names[v.Foil]
	if v.Below != "" {
		d.foilName = say.T("%s on %s", d.foilName, s.ledger.names[v.Below])
	}
	d.adjust = say.T("Adjustment: %s", v.Adjustment)
	d.newest, d.newestL = "–", say.T("no reading yet")
	for i := len(s.ledger.lines) - 1; i >= 0; i-- {
		if l := s.ledger.lines[i]; l.kind == lineReading && !l.struck && (v.HasLast || !l.inMem) {
			d.newest, d.newestL = u.counts(l.counts), l.left
			break
		}
	}
	st := v.Statistics
	res := u.resolutionUm
	d.earlier = ""
	if n := earlierReadings(v.Memory); n > 0 {
		d.earlier = say.T("%d of them left from an earlier job", n)
	}
	d.stats = [5]string{strconv.Itoa(st.N), "–", "–", "–", "–"}
	if st.N > 0 {
		d.stats[1] = u.um(st.Mean * res)
		d.stats[3], d.stats[4] = u.um(st.Min*res), u.um(st.Max*res)
	}
	if st.N > 1 {
		d.stats[2] = u.um(st.SD * res)
	}
	d.writeLines(s.ledger.lines, u)
	d.writeMarks(s)
}

// writeLines writes the ledger with the newest step of the work on top, and below
// the heading of a step what came of it, newest first. What was laid out after a
// step stands above it.
func (d *benchState) writeLines(lines []ledgerLine, u units) {
	d.lines = d.lines[:0]
	put := func(l *ledgerLine) {
		w := written{left: l.left, kind: l.kind, struck: l.struck}
		if l.figure {
			w.figure = u.counts(l.counts)
		}
		d.lines = append(d.lines, w)
	}
	for end := len(lines); end > 0; {
		head := end - 1
		for head > 0 && lines[head].kind != lineHeading {
			head--
		}
		for end > head && lines[end-1].setup {
			end--
			put(&lines[end])
		}
		if end == head {
			continue
		}
		first := head
		if lines[head].kind == lineHeading {
			put(&lines[head])
			first++
		}
		for i := end - 1; i >= first; i-- {
			put(&lines[i])
		}
		end = head
	}
}

// writeMarks collects where readings were taken on the piece under the probe.
func (d *benchState) writeMarks(s *sitting) {
	d.marks, d.spotMm = d.marks[:0], 0
	record := s.Bench.Record()
	contacts, cleared := record.Contacts, 0 // the entry that cleared the memory last
	if n := len(record.Cleared); n > 0 {
		cleared = record.Cleared[n-1]
	}
	first, numbered := true, 0
	for i := range contacts {
		c := &contacts[i]
		if c.Piece != s.view.Piece || c.Outcome != bench.Read {
			continue
		}
		gone := c.Deleted || c.Mode == bench.Measuring && c.Entry < cleared
		m := picture.Mark{X: float64(c.XUm) / 1e3, Y: float64(c.YUm) / 1e3, Spot: c.Spot, Struck: gone}
		m.First = c.Mode == bench.Measuring && c.Spot != numbered && !gone
		if m.First {
			numbered = c.Spot
		}
		if c.Mode != bench.Measuring {
			m.Spot = 0
		} else if c.Spot == s.view.Spot && !gone && first && s.view.Mode == bench.Measuring {
			first = false
			d.spotX, d.spotY, d.spotMm = m.X, m.Y, s.exercise.Limits.SpotMm
		}
		d.marks = append(d.marks, m)
	}
	if n := len(d.marks); n > 0 {
		d.marks[n-1].Newest = true
	}
}

// drawBench draws the bench and carries out what is done on it.
func (a *App) drawBench(screen paint.Rect) {
	u, s := a.ui, a.sitting
	lay := a.lay(screen)
	if a.lesson != nil && !lay.small {
		a.drawLesson(lay.plan.TakeTop(a.lessonHeight(lay.plan.W)))
		lay.plan.TakeTop(u.Px(6))
	}
	fieldOn := a.desk.field.on
	var fieldAt paint.Rect
	if fieldOn {
		fieldAt = a.layField(&lay)
	}
	plan, pl := a.planRects(s, lay.plan)
	if a.desk.magnified {
		pl = a.desk.lens(s, plan, pl)
	}
	u.L.Rect(lay.plan, u.Theme.Sheet)
	u.L.Frame(lay.plan, u.Theme.Hairline, u.Theme.Edge)
	if a.desk.asking == askNothing {
		a.handle(plan, pl)
	}
	s.advance(a.now)
	if a.coached() {
		a.desk.coach.listen(s)
	}
	a.write()

	a.drawBenchHead(lay.head)
	a.drawPlan(s, &a.desk, lay.plan, plan, pl)
	if fieldOn {
		a.drawField(fieldAt)
	} else {
		a.drawSection(s, lay.section)
	}
	if !lay.small {
		a.drawGrip(lay.grip)
	}
	if !lay.small && !fieldOn {
		a.drawDetail(s, lay.detail)
	}
	if lay.narrow {
		r := u.BeginScroll("side", lay.side)
		top := r.Y
		r.H = 1e6
		if a.lesson != nil && lay.small {
			a.drawLesson(r.TakeTop(a.lessonHeight(r.W)))
			r.TakeTop(u.Px(8))
		}
		a.drawInstrument(r.TakeTop(u.Px(560)))
		r.TakeTop(u.Px(8))
		if lay.small {
			a.drawGrip(r.TakeTop(a.gripHeight(r.W)))
			r.TakeTop(u.Px(8))
		}
		if a.carded() {
			r.TakeTop(a.certificate(r) + u.Px(8))
		}
		r.TakeTop(a.drawTray(r) + u.Px(8))
		if lay.small {
			a.drawDetail(s, r.TakeTop(r.W*0.8))
		}
		u.EndScroll(r.Y - top)
	} else {
		var card paint.Rect
		if a.carded() {
			// In sight, however long the tray is.
			card = lay.tray.TakeBottom(a.certificateH())
			lay.tray.TakeBottom(u.Px(8))
		}
		r := u.BeginScroll("tray", lay.tray)
		u.EndScroll(a.drawTray(r))
		if card.H > 0 && a.carded() {
			a.certificate(card)
		}
		a.drawInstrument(lay.instrument)
	}
	a.benchKeys()
	a.drawQuestion(screen)
}

func (a *App) lay(screen paint.Rect) benchLayout {
	return layBench(screen, a.ui.Px(15), a.settings.LeftHanded, a.gripHeight)
}

// planRects returns the drawing area of the plan and its scale.
func (a *App) planRects(s *sitting, r paint.Rect) (paint.Rect, picture.Plan) {
	u := a.ui
	r.TakeTop(u.Px(20))
	r = r.Inset(u.Px(4))
	w, h := s.outline()
	if w == 0 {
		w, h = 120, 80
	}
	return r, picture.PlanIn(r, w, h, u.Px(12))
}

// lensPower is how much the magnifier enlarges.
const lensPower = 4

// lens is the plan through the magnifier. It follows the probe only when that
// leaves it, so that places do not move under the pointer.
func (d *benchState) lens(s *sitting, r paint.Rect, pl picture.Plan) picture.Plan {
	scale := pl.Scale * lensPower
	x, y := s.hand.Target()
	if math.Abs(x-d.lensX)*scale > r.W*0.55 || math.Abs(y-d.lensY)*scale > r.H*0.55 {
		d.lensX, d.lensY = x, y
	}
	c := r.Center()
	w, h := pl.Width*scale, pl.Height*scale
	pl.Scale = scale
	pl.Outline = paint.R(c.X-d.lensX*scale, c.Y+d.lensY*scale-h, w, h)
	return pl
}

// drawLensScale draws a length to go by through the magnifier.
func (a *App) drawLensScale(r paint.Rect, scale float64) {
	u := a.ui
	f := u.Small()
	y, x := r.Bottom()-u.Px(12), r.X+u.Px(14)
	w := 10 * scale
	u.L.Rect(paint.R(x-u.Px(6), y-u.Px(22), max(w, f.Width("10 mm"))+u.Px(12), u.Px(28)), u.Theme.Sheet)
	u.L.Rule(x, y, x+w, y, u.Px(2), u.Theme.Ink)
	u.L.Rule(x, y-u.Px(4), x, y+u.Px(4), 1, u.Theme.Ink)
	u.L.Rule(x+w, y-u.Px(4), x+w, y+u.Px(4), 1, u.Theme.Ink)
	u.L.Text(x, y-u.Px(7), "10 mm", f, u.Theme.Ink)
}

// handle turns events over the plan into motions of the hand.
func (a *App) handle(r paint.Rect, pl picture.Plan) {
	u, s, d := a.ui, a.sitting, &a.desk
	area := u.Area(planID, r)
	a.note(planID, r)
	for _, e := range area.Events {
		at := int64(e.AtMs)
		switch e.Kind {
		case widgets.PointerMove:
			if area.Held || r.Contains(e.X, e.Y) {
				x, y := pl.Mm(e.X, e.Y)
				s.grip(at, hand.Point, x, y)
			}
		case widgets.PointerDown:
			if area.Held && e.Button == 0 {
				x, y := pl.Mm(e.X, e.Y)
				s.grip(at, hand.Point, x, y)
				// A finger hides what it points at: it brings the probe there, and
				// the button beside the plan lowers it.
				if e.Device != widgets.Touch {
					a.press(at, false)
				}
			}
		case widgets.Wheel:
			// Over the instrument or the tray the wheel scrolls, and must not spoil the lift.
			if r.Contains(e.X, e.Y) {
				s.grip(at, hand.Hover, 0, -2*e.WheelY)
			}
		case widgets.KeyDown:
			if area.Focused && a.planKey(&e, at) {
				u.KeyTaken()
			}
		case widgets.Blur, widgets.PointerCancel:
			if d.down && !a.settings.PressOnce {
				a.release(at)
			}
		case widgets.KeyUp:
			if e.Key == "Space" && d.down && d.byKey {
				a.release(at)
			}
		}
		if e.Kind == widgets.KeyDown || e.Kind == widgets.KeyUp {
			a.steady(at, e.Shift)
		}
	}
	if area.Lifted && area.Device != widgets.Touch && d.down && !d.byKey {
		a.release(a.now)
	}
	if d.down && d.byKey && !area.Focused && !a.settings.PressOnce {
		a.release(a.now)
	}
	if area.Hot {
		u.SetCursor(widgets.CursorCross)
	}
}

// press and release lower and lift the probe. With press-once a press does
// both in turn.
func (a *App) press(at int64, byKey bool) {
	d := &a.desk
	if a.settings.PressOnce && d.down {
		d.down = false
		a.sitting.grip(at, hand.Lift, 0, 0)
		return
	}
	if !d.down {
		d.down, d.byKey = true, byKey
		a.sitting.grip(at, hand.Lower, 0, 0)
	}
}

func (a *App) release(at int64) {
	if a.settings.PressOnce {
		return
	}
	a.desk.down = false
	a.sitting.grip(at, hand.Lift, 0, 0)
}

// steady takes in whether the key that rests the hand is held.
func (a *App) steady(at int64, shift bool) {
	a.desk.shift = shift
	a.settle(at)
}

// settle tells the hand when it begins or stops to rest.
func (a *App) settle(at int64) {
	d := &a.desk
	is := d.latched || d.shift
	if is == d.resting {
		return
	}
	d.resting = is
	k := hand.Unsteady
	if is {
		k = hand.Steady
	}
	a.sitting.grip(at, k, 0, 0)
}

// planKey carries out a key pressed with the plan in focus.
func (a *App) planKey(e *widgets.Event, at int64) bool {
	s := a.sitting
	move := func(x, y float64) bool {
		switch {
		case e.Alt:
			s.grip(at, hand.Tip, y, x)
		case e.Ctrl && e.Repeat:
			s.grip(at, hand.NudgeOn, 2*x, 2*y) // a held key goes on smoothly, and stops where it is let go
		case e.Ctrl:
			s.grip(at, hand.NudgeOn, 10*x, 10*y)
		default:
			s.grip(at, hand.Nudge, x, y)
		}
		return true
	}
	switch e.Key {
	case "ArrowLeft":
		return move(-1, 0)
	case "ArrowRight":
		return move(1, 0)
	case "ArrowUp":
		return move(0, 1)
	case "ArrowDown":
		return move(0, -1)
	case "PageUp":
		s.grip(at, hand.Hover, 0, 2)
		return true
	case "PageDown":
		s.grip(at, hand.Hover, 0, -2)
		return true
	case "Space":
		if !e.Repeat {
			a.press(at, true)
		}
		return true
	}
	return false
}

// probeView is the probe as the pictures draw it.
func (s *sitting) probeView() picture.Probe {
	k := s.held()
	held, _ := probe.ByID(s.view.Probe)
	head := held.Head
	return picture.Probe{
		X: k.X, Y: k.Y, Height: k.Height, TiltX: k.TiltX, TiltY: k.TiltY,
		Touching: k.Phase == hand.Pressing, Beside: k.Beside, Read: s.view.Captured, PressN: k.PressN,
		BodyRadius: head.Coil.OuterRadius*1e3 + 4.5, TipRadius: head.TipRadius * 1e3,
	}
}

// drawPlan draws the piece from above: at the bench, or as it was.
func (a *App) drawPlan(s *sitting, d *benchState, whole, r paint.Rect, pl picture.Plan) {
	u := a.ui
	a.caption(whole, say.T("PLAN"))
	head := paint.R(whole.X, whole.Y, whole.W, u.Px(20))
	head.TakeLeft(u.Px(64))
	p := s.piece()
	if p == nil {
		box, text := r.Centered(u.Px(340), u.Px(60)), say.T("Place a piece from the tray to begin. The numbers in circles are the keys of what lies there.")
		if s.past {
			text = say.T("No piece lies under the probe yet.")
		}
		u.L.PushClip(r)
		u.L.TextBlock(box, text, u.Body(), u.Theme.InkSoft, paint.Center)
		u.L.PopClip()
		return
	}
	hint := say.T("hold the mouse button on the piece to lower the probe")
	if s.past {
		hint = ""
	} else if u.Focused(planID) {
		hint = say.T("hold the mouse button or Space to lower  ·  arrows move 1 mm, with Ctrl 10 mm")
	}
	small := paint.Font{Face: paint.Regular, Size: u.Px(11)}
	// The tray names the piece too; here only where there is room.
	if w := u.Small().Width(p.Name) + u.Px(16); w < head.W {
		u.Line(head.TakeLeft(w), p.Name, u.Small(), u.Theme.Ink, paint.Left)
	}
	if w := small.Width(hint); w < head.W-u.Px(8) {
		u.L.TextIn(paint.R(head.X, head.Y, head.W-u.Px(8), head.H), hint, small, u.Theme.InkSoft, paint.Right)
	}
	above := picture.Above{
		Piece: p, Marks: d.marks, Probe: s.probeView(), EdgeBelow: 25,
		SpotMm: d.spotMm, SpotX: d.spotX, SpotY: d.spotY,
	}
	if p.ID == s.World.Part.ID {
		d.area = s.exercise.Job.Area
		above.Area, above.AreaName = &d.area, say.T("area to be measured")
	}
	if s.view.Foil != "" {
		above.FoilName, above.Foil = d.foilName, s.seenFoil(s.view.Foil)
	}
	a.pen.DrawPlan(pl, &above)
	if !s.past && d.magnified {
		a.drawLensScale(r, pl.Scale)
	}
}

// cut is what section and detail show. Film and foil are drawn as thick as the
// job sheet and the label say, never as they are.
func (s *sitting) cut() picture.Cut {
	c := picture.Cut{Piece: s.piece(), FilmUm: s.exercise.Job.NominalUm, Probe: s.probeView(), Hover: hand.HoverMm}
	if known, ok := s.exercise.Known(s.view.Piece, ""); ok {
		c.FilmUm = known.LabelUm
	}
	if !s.past {
		c.Hover = s.hand.HoverHeight()
	}
	if f, ok := s.foil(s.view.Foil); ok {
		c.FoilUm = f.LabelUm
		c.Seen = s.seenFoil(s.view.Foil)
		c.Smoothed = s.view.Smoothed
	}
	if f, ok := s.foil(s.view.Below); ok {
		c.BelowUm = f.LabelUm
	}
	c.Tip, c.Dusty = s.view.Tip, s.view.Over.Dusty
	return c
}

func (a *App) drawSection(s *sitting, r paint.Rect) {
	u, cut := a.ui, s.cut()
	u.L.Rect(r, u.Theme.Sheet)
	a.pen.DrawSection(r.Inset(1), &cut)
	u.L.Frame(r, u.Theme.Hairline, u.Theme.Edge)
	a.caption(r, say.T("SECTION"))
}

func (a *App) drawDetail(s *sitting, r paint.Rect) {
	u, cut := a.ui, s.cut()
	u.L.Rect(r, u.Theme.Sheet)
	in := r.Inset(1)
	in.TakeTop(u.Px(20))
	a.pen.DrawDetail(in, &cut)
	u.L.Frame(r, u.Theme.Hairline, u.Theme.Edge)
	a.caption(r, say.T("TIP, ENLARGED"))
}

func (a *App) drawBenchHead(r paint.Rect) {
	s := a.sitting
	cells := a.titleButtons(r, a.desk.buttons)
	a.titleCells(cells, s.exercise.Title, a.desk.clock)
}

func (a *App) askLeave() {
	if a.sitting.broken != nil {
		a.desk.asking = askLeave
		return
	}
	a.leave()
}

const liftLabel say.Text = "lift to %d mm"

// liftRoom is the width of the longest of them.
func (a *App) liftRoom() float64 {
	d := &a.desk
	if d.liftMost == "" {
		d.liftMost = say.T(liftLabel, int(hand.HoverTopMm))
	}
	return a.ui.Small().Width(d.liftMost)
}

// liftText says how high the probe is lifted between readings.
func (a *App) liftText() string {
	d := &a.desk
	if mm := int(math.Round(a.sitting.hand.HoverHeight())); mm != d.liftMm || d.lift == "" {
		d.liftMm, d.lift = mm, say.T(liftLabel, mm)
	}
	return d.lift
}
