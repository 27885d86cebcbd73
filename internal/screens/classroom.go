package screens

import (
	"bytes"
	"strings"
	"time"

	"foilwright/internal/attempt"
	"foilwright/internal/class/link"
	"foilwright/internal/class/wire"
	"foilwright/internal/hand"
	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
)

// classroom is what the app remembers of the class it belongs to.
type classroom struct {
	status link.Status
	workN  int // of the work that was taken up
	paused bool
	asked  bool // to begin the attempt
}

// attend takes in what the class server says, before anything is drawn.
func (a *App) attend() {
	if a.Class == nil || a.later != nil {
		return
	}
	c := &a.classroom
	c.status = a.Class.Status()
	if c.workN != c.status.WorkN {
		c.workN, c.asked = c.status.WorkN, false
		a.takeUp(c.status.Work)
		return
	}
	if c.paused != c.status.Paused {
		c.paused = c.status.Paused
		a.standStill(c.paused)
	}
	s := a.sitting
	if s == nil {
		return
	}
	if s.served() {
		s.takeIn()
		if s.view.Finished {
			a.leave()
		}
	} else if c.status.Fault != nil && !s.view.Touching {
		if f := a.Class.TakeFault(); f != nil {
			s.do(a.now, *f)
		}
	}
}

// standStill stops the attempt's clock while the class is paused.
func (a *App) standStill(on bool) {
	if a.sitting == nil {
		return
	}
	if on {
		if a.desk.down {
			a.desk.down = false
			a.sitting.grip(a.now, hand.Lift, 0, 0)
		}
		a.sitting.run(a.now, false)
		return
	}
	a.show(a.page)
}

// takeUp puts away what was at hand and sits down to what was handed out.
func (a *App) takeUp(w *wire.Handed) {
	a.turn = nil
	a.putAway()
	a.openHome()
	if w == nil || w.Attempt == "" || w.Finished {
		return
	}
	a.slowly(say.T("Setting out the bench"), func() {
		sit := a.sitInPractice
		if w.Assessment {
			sit = a.sitAssessed
		}
		if err := sit(w); err != nil {
			a.fault = err.Error()
		}
	})
}

// sitInPractice resumes an attempt whose bench runs here. Whichever log is
// longer counts: this browser's, with what never reached the server, or the
// server's, when the attempt was begun elsewhere.
func (a *App) sitInPractice(w *wire.Handed) error {
	a.handed = nil
	if w.Text != nil {
		e, err := w.Text.Load(w.Exercise + ".yaml")
		if err != nil {
			return err
		}
		a.handed = e
	}
	server := []byte(w.Log)
	here, err := a.Store.Read(w.Attempt)
	if err != nil || !bytes.HasPrefix(here, server) {
		if err := a.Store.Replace(w.Attempt, server); err != nil {
			return err
		}
		here = server
	}
	at, err := attempt.Resume(a.Store, w.Attempt, a.find)
	if err != nil {
		return err
	}
	n := bytes.Count(server, []byte{'\n'}) - 1
	a.Class.Follow(w.Attempt, n)
	for line := range bytes.Lines(here[len(server):]) {
		if line[len(line)-1] == '\n' { // a torn last line was dropped by Resume
			n++
			a.Class.Line(n, line)
		}
	}
	at.Line = a.Class.Line
	a.sit(at)
	return nil
}

// sitAssessed sits down at a bench that the server runs.
func (a *App) sitAssessed(w *wire.Handed) error {
	if err := wire.Dress(w.Sheet); err != nil {
		return err
	}
	world, err := bench.NewWorld(w.Sheet, a.Seed()) // the seed is for the hand's tremor; nothing hidden is known here
	if err != nil {
		return err
	}
	n := 0
	if w.State != nil {
		n = w.State.View.Entries
	}
	a.Class.Follow(w.Attempt, n)
	a.sit(attempt.Served(w.Attempt, world, a.Class.Serve(world, w)))
	a.sitting.Assessment = true
	a.sitting.takeIn()
	return nil
}

// served reports whether a class server runs the bench.
func (s *sitting) served() bool {
	_, ok := s.Bench.(*link.Remote)
	return ok
}

// takeIn takes in what came of actions that the server has carried out.
func (s *sitting) takeIn() {
	remote, ok := s.Bench.(*link.Remote)
	if !ok {
		return
	}
	arrived := remote.Arrived()
	if len(arrived) == 0 {
		return
	}
	for _, e := range arrived {
		s.ledger.take(e)
		s.saw(e.Action, e.Events)
	}
	s.refresh()
	for _, e := range arrived {
		if e.Action.Do == bench.PlacePiece && !refused(e.Events) {
			s.hand.Over(s.outline())
		}
	}
}

// drawClass draws the strip that tells where the bench stands with its class,
// and returns what is left of the screen.
func (a *App) drawClass(screen paint.Rect) paint.Rect {
	u, s := a.ui, &a.classroom.status
	r := screen.TakeBottom(u.Px(28))
	ground, text := u.Theme.Sheet, say.T("connected")
	switch {
	case s.Problem != "":
		ground, text = u.Theme.BadTint, s.Problem
	case !s.Connected:
		ground, text = u.Theme.WarnTint, say.T("no connection; %d entries wait here and nothing is lost", s.Unsent)
	case s.Unsent > 200:
		text = say.T("sending, %d entries to go", s.Unsent)
	}
	u.L.Rect(r, ground)
	u.L.Rule(r.X, r.Y, r.Right(), r.Y, u.Theme.Hairline, u.Theme.Edge)
	in := r.InsetXY(u.Px(10), 0)
	who := s.Class
	if s.Trainee != "" {
		who += " · " + s.Trainee
	}
	if w := s.Work; w != nil && w.Assessment {
		who += say.T(" · assessment")
	}
	if !s.Ends.IsZero() && a.sitting != nil {
		who += say.T(" · %d min left", max(0, int(time.Until(s.Ends).Minutes()+0.5)))
	}
	right := in.TakeRight(in.W * 0.55)
	u.Line(in, who, u.Small(), u.Theme.InkSoft, paint.Left)
	u.Line(right, text, u.Small(), u.Theme.Ink, paint.Right)
	if s.Hint != "" {
		h := u.BannerH(screen.W-u.Px(150), say.T("From your instructor: %s", s.Hint)) + u.Px(12)
		strip := screen.TakeTop(h)
		u.L.Rect(strip, u.Theme.Sheet)
		button := strip.TakeRight(u.Px(120)).InsetXY(u.Px(8), u.Px(6))
		u.Banner(strip.InsetXY(u.Px(8), u.Px(6)), say.T("From your instructor: %s", s.Hint), widgets.Truth)
		if u.Button("hint-read", button, say.T("Got it")) {
			a.Class.TakeHint()
		}
	}
	return screen
}

// drawPaused is shown in place of the bench while the class is paused.
func (a *App) drawPaused(screen paint.Rect) {
	a.classCard(screen, say.T("The class is paused"), say.T("Your instructor has stopped the class. The clock stands still; the bench comes back as you left it."), "", nil)
}

// drawClassHome is home in a class: what was handed out, and its state.
func (a *App) drawClassHome(screen paint.Rect) {
	c := &a.classroom
	w := c.status.Work
	switch {
	case c.status.Taken:
		a.classCard(screen, say.T("Opened elsewhere"), c.status.Problem, "", nil)
	case c.status.Class == "":
		a.classCard(screen, say.T("Looking for the class"), say.T("Waiting for the class server to answer."), "", nil)
	case w == nil:
		a.classCard(screen, say.T("Nothing to do yet"), say.T("Your instructor has not handed out an exercise, or has closed it. This page changes by itself."), "", nil)
	case w.Waits != "":
		a.classCard(screen, w.Title, w.Waits, "", nil)
	case w.Attempt != "" && !w.Finished && a.unfinishedHere():
		a.classCard(screen, w.Title, say.T("You are in the middle of it."), say.T("Go on"), func() { a.takeUp(w) })
	case w.Turns > 0 && w.Turn >= w.Turns && w.Attempt != "":
		a.classCard(screen, w.Title, say.T("Handed in. There is nothing more to do here."), "", nil)
	default:
		text := []string{say.T("Attempt %d.", w.Turn+1)}
		if w.Assessment {
			text = append(text, say.T("This is an assessment: the server keeps the time and the readings, and nobody may help."))
		}
		if w.LeftMs > 0 {
			text = append(text, say.T("You have %d minutes.", w.LeftMs/60_000))
		}
		a.classCard(screen, w.Title, strings.Join(text, " "), say.T("Begin"), func() {
			if !c.asked {
				c.asked = true
				a.Class.Begin(w.Handout)
			}
		})
	}
}

// unfinishedHere reports whether the attempt that was handed out still waits
// for its end, as far as this bench knows.
func (a *App) unfinishedHere() bool {
	for _, h := range a.home.shelf {
		if h.name == a.classroom.status.Work.Attempt {
			return !h.finished
		}
	}
	return !a.classroom.status.Work.Assessment || !a.handedIn
}

// classCard is a screen with one message and at most one thing to do.
func (a *App) classCard(screen paint.Rect, title, text, button string, do func()) {
	u := a.ui
	u.L.Rect(screen, u.Theme.Paper)
	col := a.column(screen, 620)
	col.TakeTop(max(u.Px(20), screen.H*0.2))
	u.Title(col.TakeTop(u.Px(40)), title)
	col.TakeTop(u.Px(8))
	col.TakeTop(u.Paragraph(col, text) + u.Px(18))
	if button == "" {
		return
	}
	r := col.TakeTop(u.RowH())
	r = paint.R(r.X, r.Y, a.keyedW(button, "Enter")+u.Px(30), r.H)
	if a.keyed("class-go", r, button, "Enter", widgets.ButtonAs{Look: widgets.Primary}) {
		do()
	}
}
