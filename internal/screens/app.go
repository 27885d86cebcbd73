package screens

import (
	"errors"
	"strings"
	"time"

	"foilwright/internal/attempt"
	"foilwright/internal/class/link"
	"foilwright/internal/hand"
	"foilwright/internal/paint"
	"foilwright/internal/picture"
	"foilwright/internal/say"
	"foilwright/internal/store"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
	"foilwright/sim/grade"
)

// page is what the window shows.
type page uint8

const (
	pageHome page = iota
	pageJob
	pageBench
	pageReport
	pageDebrief
	pageSettings
	pageHelp
	pageAbout
)

// Config is what an App is made of.
type Config struct {
	Store     *store.Store
	Exercises []*bench.Exercise
	Clock     func() time.Time                     // for the names of attempts
	Seed      func() uint64                        // of a new attempt
	Export    func(name string, data []byte) error // hands a file to the trainee; nil where attempts are files already

	// Whole gives the exercise of one that is a heading only, with what lists
	// show of it; nil where all of them are whole.
	Whole func(*bench.Exercise) *bench.Exercise
	// Fresh returns the exercises when they have changed, nil when not, and the
	// fault of a file that cannot be read; nil where they never change.
	Fresh func() ([]*bench.Exercise, error)
	// AddPack takes in a pack of exercises and returns all there are then; nil
	// where none can be added.
	AddPack func(name string, data []byte) ([]*bench.Exercise, error)

	// Finished is told how an attempt was judged that has just come to its end;
	// nil: nobody wants to know.
	Finished func(*grade.Sheet)

	// Language is what the bench speaks, by its code; "": English.
	Language string

	// Class is the class this bench belongs to; nil: none.
	Class *link.Link
}

// App is the whole app. Frame is all a window needs of it.
type App struct {
	Config
	ui  *widgets.UI
	pen picture.Pen

	settings Settings
	page     page
	back     page // where help and settings return to
	fault    string
	cautions []string // of all exercises, once About was opened
	now      int64    // input time of the pass, ms

	home     homeState
	sitting  *sitting
	desk     benchState
	report   reportState
	debrief  *debriefState
	debriefs int     // opened so far
	lesson   *lesson // the first minutes are being gone through
	later    func()  // slow work to be done after a frame that says so
	busy     string
	painted  bool   // the busy frame has been shown
	turn     func() // change of screen, made before the next pass
	quit     bool
	reply    widgets.Reply // of the last frame
	size     paint.Rect    // of the surface then
	movedMs  float64       // time of the last input
	still    int           // frames since something could have changed
	said     string        // fault shown then
	touched  bool          // an earlier part of this frame had events
	editing  bool          // a text field had the keyboard in the last pass

	classroom classroom
	handed    *bench.Exercise // by the class, where it is none of Exercises
	handedIn  bool            // the candidate has finished

	where map[string]paint.Rect // of what can be pressed, by id; kept for tests only
}

// New returns the app on its first screen.
func New(c Config) *App {
	a := &App{Config: c, ui: widgets.New()}
	a.pen.Labels = picture.NewLabels()
	var err error
	if a.settings, err = readSettings(c.Store); err != nil {
		a.fault = err.Error()
	}
	a.applySettings()
	a.openHome()
	return a
}

// Frame takes in what happened since the last frame and draws the next one.
func (a *App) Frame(in widgets.Input, l *paint.List) widgets.Reply {
	a.now = int64(in.NowMs)
	if len(in.Events) > 0 {
		a.now = int64(in.Events[0].AtMs)
	}
	if a.later != nil && a.painted {
		work := a.later
		a.later, a.busy, a.painted = nil, "", false
		work()
	}
	moved := len(in.Events) > 0
	// Each press, release and key has its own time: what it causes must not
	// depend on how the events are cut into frames.
	events := in.Events
	for i := 0; i < len(events); i++ {
		if movesOnly(events[i].Kind) {
			continue
		}
		part := in
		part.Events, part.NowMs = events[:i+1], events[i].AtMs
		a.pass(part, l)
		a.touched = true
		events = events[i+1:]
		i = -1
	}
	in.Events = events
	if len(in.Dropped) > 0 {
		a.takeDropped(in.Dropped)
	}
	a.refresh()
	if a.atRest(&in) {
		return a.reply
	}
	reply := a.pass(in, l)
	if a.later != nil {
		a.painted = true
	}
	reply.Quit = a.quit
	reply.Calm = a.calm(in.NowMs, moved)
	reply.Cue = a.takeCue()
	a.reply = reply
	a.reply.Cue = widgets.CueNone
	return reply
}

// restFrames is how many frames are drawn after the last that could have
// changed something, for what needs a second pass.
const restFrames = 3

// atRest reports whether nothing can have changed since the last frame, so that
// its picture stands. Time goes on at the bench; elsewhere only in what plays or
// catches the eye.
func (a *App) atRest(in *widgets.Input) bool {
	size := paint.R(0, 0, in.W, in.H)
	moving := a.sitting != nil || a.Class != nil || a.later != nil || a.turn != nil || a.page == pageDebrief && a.debrief.shown().playing
	if moving || len(in.Events) > 0 || len(in.Dropped) > 0 || size != a.size || a.ui.Restless(in.NowMs) || a.touched || a.fault != a.said {
		a.still, a.size, a.touched, a.said = 0, size, false, a.fault
		return false
	}
	a.still++
	return a.still > restFrames
}

// calmAfterMs is how long after the last input the bench counts as left alone.
const calmAfterMs = 2000

// calm reports whether nothing moves but the unrest of a hand that holds the
// probe in the air, which is no reason to keep a processor busy.
func (a *App) calm(nowMs float64, moved bool) bool {
	if moved {
		a.movedMs = nowMs
	}
	return a.sitting != nil && !a.sitting.view.Touching && !a.desk.down && nowMs-a.movedMs > calmAfterMs
}

// takeCue takes the sound of the frame, if sounds are wanted.
func (a *App) takeCue() widgets.Cue {
	if a.sitting == nil {
		return widgets.CueNone
	}
	cue := a.sitting.cue
	a.sitting.cue = widgets.CueNone
	if a.settings.Silent {
		return widgets.CueNone
	}
	return cue
}

func movesOnly(k widgets.EventKind) bool {
	return k == widgets.PointerMove || k == widgets.Wheel
}

func (a *App) pass(in widgets.Input, l *paint.List) widgets.Reply {
	a.now = int64(in.NowMs)
	reply := a.ui.Frame(in, l, a.draw)
	a.editing = reply.Editing
	return reply
}

// pressed reports whether a key was pressed for the screen: not while text is
// being written.
func (a *App) pressed(key string) bool { return !a.editing && a.ui.Pressed(key) }

// slowly does work after a frame that shows why nothing else happens.
func (a *App) slowly(why string, work func()) { a.busy, a.later, a.painted = why, work, false }

// draw is one pass over the screen.
func (a *App) draw(screen paint.Rect) {
	if turn := a.turn; turn != nil {
		a.turn = nil
		turn()
	}
	a.attend()
	u := a.ui
	clear(a.where)
	a.pen.List, a.pen.Size = u.L, u.Px(12)
	u.L.Rect(screen, u.Theme.Paper)
	if a.later != nil {
		a.drawBusy(screen)
		return
	}
	if a.Class != nil {
		screen = a.drawClass(screen)
		if a.classroom.paused && a.page != pageHome {
			a.drawPaused(screen)
			return
		}
	}
	switch a.page {
	case pageHome:
		if a.Class != nil {
			a.drawClassHome(screen)
		} else {
			a.drawHome(screen)
		}
	case pageJob:
		a.drawJob(screen)
	case pageBench:
		a.drawBench(screen)
	case pageReport:
		a.drawReport(screen)
	case pageDebrief:
		a.drawDebrief(screen)
	case pageSettings:
		a.drawSettings(screen)
	case pageHelp:
		a.drawHelp(screen)
	case pageAbout:
		a.drawAbout(screen)
	}
	if a.fault != "" {
		a.drawFault(screen)
	}
}

// goTo changes the screen with the next pass: the present one is drawn to its
// end. The clock of the attempt runs on the bench, the job sheet and the report
// sheet only.
func (a *App) goTo(p page) { a.turn = func() { a.show(p) } }

func (a *App) show(p page) {
	a.page = p
	if a.sitting != nil {
		if p != pageBench && a.desk.down {
			a.desk.down = false
			a.sitting.grip(a.now, hand.Lift, 0, 0)
		}
		on := p == pageBench || p == pageJob || p == pageReport
		a.sitting.run(a.now, on && !a.sitting.view.Finished)
	}
	if p == pageBench {
		a.ui.SetFocus(planID)
	}
}

// aside opens a screen that returns to where it was opened.
func (a *App) aside(p page) {
	if a.page != pageSettings && a.page != pageHelp && a.page != pageAbout {
		a.back = a.page
	}
	a.goTo(p)
	if p != pageSettings {
		a.ui.SetFocus("aside") // so that the keys scroll the text
	}
}

func (a *App) applySettings() {
	if err := say.Speak(a.Language); err != nil {
		a.fault = err.Error()
	}
	switch a.settings.Theme {
	case "dark":
		a.ui.Theme = paint.Dark()
	case "contrast":
		a.ui.Theme = paint.HighContrast()
	default:
		a.ui.Theme = paint.Light()
	}
	a.ui.TextScale = float64(a.settings.TextPercent) / 100
	t := a.ui.Theme
	a.pen.Inks = picture.Inks{
		Paper: t.Sheet, Ink: t.Ink, Soft: t.InkSoft, Faint: t.Line,
		Metal: t.Sheet.Mix(t.InkSoft, 0.16), Film: t.Sheet.Mix(t.Series[5], 0.30), Foil: t.Sheet.Mix(t.Truth, 0.22),
		Act: t.Act, Truth: t.Truth, Bad: t.Bad, Current: t.Series[4],
	}
}

// note remembers where something can be pressed, for tests.
func (a *App) note(id string, r paint.Rect) { a.noteOf("", id, r) }

func (a *App) noteOf(what, id string, r paint.Rect) {
	if a.where != nil {
		a.where[what+id] = r
	}
}

// keep stores the settings and shows them.
func (a *App) keep() {
	a.applySettings()
	a.desk.textAt = -1
	if err := a.settings.write(a.Store); err != nil {
		a.fault = say.T("The settings could not be kept: %s", err.Error())
	}
}

// whole returns all of an exercise of the list.
func (a *App) whole(e *bench.Exercise) *bench.Exercise {
	if a.Whole == nil {
		return e
	}
	return a.Whole(e)
}

// find returns an exercise by id, for logs.
func (a *App) find(id string) (*bench.Exercise, error) {
	e, err := a.listed(id)
	if err != nil {
		return nil, err
	}
	return a.whole(e), nil
}

// listed returns an exercise by id as lists show it.
func (a *App) listed(id string) (*bench.Exercise, error) {
	if a.handed != nil && a.handed.ID == id {
		return a.handed, nil
	}
	for _, e := range a.Exercises {
		if e.ID == id {
			return e, nil
		}
	}
	return nil, errors.New(say.T("the exercise %q is not in this program; use the version that has it", id))
}

// begin starts a new attempt and opens its job sheet. In an assessment nothing
// on the bench helps.
func (a *App) begin(e *bench.Exercise, assessed bool) {
	mark := ""
	if assessed {
		mark = assessedMark
	}
	a.slowly(say.T("Setting out the bench"), func() {
		seed := a.Seed()
		w, err := bench.NewWorld(a.whole(e), seed)
		if err != nil {
			a.fault = err.Error()
			return
		}
		at, err := attempt.Begin(a.Store, attemptName(e.ID, a.Clock(), seed, mark), w, "")
		if err != nil {
			a.fault = say.T("A new attempt could not be begun: %s", err.Error())
			return
		}
		a.sit(at)
	})
}

// resume takes up an attempt where its log ends.
func (a *App) resume(name string) {
	a.slowly(say.T("Laying out the bench as you left it"), func() {
		at, err := attempt.Resume(a.Store, name, a.find)
		if err != nil {
			a.fault = err.Error()
			return
		}
		a.sit(at)
	})
}

func (a *App) sit(at *attempt.Attempt) {
	a.debrief, a.lesson = nil, nil
	a.sitting = sitDown(at)
	a.sitting.Assessment = at.World.Exercise.Assessment || strings.HasSuffix(at.Name, assessedMark)
	a.desk = a.newBenchState()
	a.report = reportState{}
	if a.sitting.view.JobRead {
		a.goTo(pageBench)
	} else {
		a.openJob()
	}
}

// leave puts the attempt away as it is; it can be taken up again.
func (a *App) leave() {
	a.turn = func() {
		a.putAway()
		a.openHome()
	}
}

func (a *App) putAway() {
	if a.sitting == nil {
		return
	}
	a.sitting.run(a.now, false)
	if err := a.sitting.Close(); err != nil && a.sitting.broken == nil {
		a.fault = say.T("The log could not be closed: %s", err.Error())
	}
	a.sitting, a.lesson = nil, nil
}

// units are those of the exercise at hand.
func (a *App) units() units {
	u := units{mil: a.settings.Mil, resolutionUm: 0.1}
	if a.sitting != nil {
		u.resolutionUm = a.sitting.exercise.Instrument.ResolutionUm
	}
	return u
}
