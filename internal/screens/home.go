package screens

import (
	"fmt"
	"strings"

	"foilwright/internal/paint"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
)

// homeState is what home shows of the store.
type homeState struct {
	shelf []shelved
}

func (a *App) openHome() {
	a.page = pageHome
	list, err := shelf(a.Store, a.Exercises)
	if err != nil {
		a.fault = err.Error()
	}
	a.home.shelf = list
}

func (a *App) drawHome(screen paint.Rect) {
	u := a.ui
	r := screen
	head := r.TakeTop(u.Px(46))
	a.titleCells(a.titleButtons(head, []titleButton{
		{"about", "About", "I", func() { a.aside(pageAbout) }},
		{"help", "Keys", "F1", a.openHelp},
		{"settings", "Settings", "O", func() { a.aside(pageSettings) }},
	}), "Practice for coating thickness measurement")
	in := u.BeginScroll("home", r)
	body := a.column(in, 1120)
	body.H = 1e6
	body.TakeTop(u.Px(18))
	left := body
	var right paint.Rect
	wide := body.W > u.Px(860)
	if wide {
		right = left.TakeRight(u.Px(340))
		left.TakeRight(u.Px(22))
	}
	a.homeExercises(&left)
	if wide {
		a.homeShelf(&right)
		left.Y = max(left.Y, right.Y)
	} else {
		a.homeShelf(&left)
	}
	u.EndScroll(left.Y - in.Y + u.Px(18))
}

// unfinished returns the newest attempt that can be taken up again.
func (a *App) unfinished() *shelved {
	for i := range a.home.shelf {
		if h := &a.home.shelf[i]; !h.finished && h.damage == "" {
			return h
		}
	}
	return nil
}

func (a *App) homeExercises(r *paint.Rect) {
	u := a.ui
	if h := a.unfinished(); h != nil {
		a.continueCard(r, h)
		r.TakeTop(u.Px(16))
	}
	a.caption(r.TakeTop(u.Px(20)), "EXERCISES")
	for i, e := range a.Exercises {
		u.Scope("exercise", i)
		r.TakeTop(a.exerciseCard(*r, e, i) + u.Px(12))
		u.EndScope()
	}
	r.TakeTop(u.Px(8))
	a.caption(r.TakeTop(u.Px(20)), "THE WORK, IN ORDER")
	r.TakeTop(a.drawSteps(*r))
}

// workSteps is how a job goes, for those who are new to it.
var workSteps = [6][2]string{
	{"Prepare", "Read the job sheet. Look at the tip and wipe it, read the foil's certificate, clear what is left in the memory."},
	{"Zero", "On a bare piece like the part under its film: lower the probe, wait for the reading, lift it clear, again."},
	{"Foil", "Lay a foil near the expected thickness on the bare piece, set its certified value, take readings."},
	{"Verify", "Measure another foil and judge whether the instrument may be relied on."},
	{"Measure", "On the part, at spots spread over the area: probe square, still, away from edges."},
	{"Report", "Verify again, write the mean, accept or reject, and read where every part of your error came from."},
}

// drawSteps draws the steps as cells of a ruled table.
func (a *App) drawSteps(r paint.Rect) float64 {
	u := a.ui
	columns := 3
	if r.W < u.Px(560) {
		columns = 1
	}
	w := r.W / float64(columns)
	h := 0.0
	for _, s := range workSteps {
		h = max(h, u.Small().Height(s[1], w-u.Px(24)))
	}
	h += u.Px(46)
	for i, s := range workSteps {
		c := paint.R(r.X+float64(i%columns)*w, r.Y+float64(i/columns)*h, w, h)
		u.L.Frame(paint.R(c.X, c.Y, c.W+1, c.H+1), 1, u.Theme.Edge)
		in := c.InsetXY(u.Px(12), u.Px(8))
		head := in.TakeTop(u.Px(24))
		a.balloon(head.X+u.Px(9), head.Y+head.H/2, i+1, u.Theme.Act)
		head.TakeLeft(u.Px(26))
		u.Line(head, s[0], u.Strong(), u.Theme.Ink, paint.Left)
		u.SmallParagraph(in, s[1])
	}
	return h * float64((len(workSteps)+columns-1)/columns)
}

// continueCard offers the attempt that was left.
func (a *App) continueCard(r *paint.Rect, h *shelved) {
	u := a.ui
	pad := u.Px(16)
	title := "On the bench: " + h.title
	note := fmt.Sprintf("begun %s, %d min on the clock, as you left it", when(*h), h.minutes)
	width := a.keyedW("Continue", "Enter") + u.Px(16)
	text := r.W - 2*pad
	beside := text-width > u.Px(380)
	if beside {
		text -= width + u.Px(12)
	}
	high := u.HeadingFont().Height(title, text) + u.Px(4) + u.Small().Height(note, text)
	h2 := high
	if !beside {
		h2 += u.Px(10) + u.RowH()
	}
	box := r.TakeTop(h2 + 2*u.Px(14))
	u.L.Rect(box, u.Theme.ActTint)
	u.L.Frame(box, u.Px(1.5), u.Theme.Act)
	in := box.InsetXY(pad, u.Px(14))
	b := paint.R(in.X, in.Y+high+u.Px(10), width, u.RowH())
	if beside {
		b = in.TakeRight(width)
		b = b.Centered(b.W, u.RowH())
	}
	in.W = text
	in.TakeTop(a.say(in, title, u.HeadingFont(), u.Theme.Ink) + u.Px(4))
	a.say(in, note, u.Small(), u.Theme.InkSoft)
	name := h.name
	if a.keyed("continue", b, "Continue", "Enter", widgets.ButtonAs{Look: widgets.Primary}) {
		a.resume(name)
	}
}

// exerciseCard draws an exercise and returns the height used.
func (a *App) exerciseCard(r paint.Rect, e *bench.Exercise, i int) float64 {
	u := a.ui
	pad := u.Px(16)
	text := r.W - 2*pad
	skills := "Trains: " + strings.Join(e.Skills, ", ")
	best := "Not finished yet"
	if b, ok := a.settings.Best[e.ID]; ok {
		best = fmt.Sprintf("Best technique %.0f of 100, %s", b.Technique, passWord(b.Passed))
	}
	h := pad + u.Px(30) + u.Body().Height(e.Summary, text) + u.Px(6) + u.Small().Height(skills, text) + u.Px(12) + u.RowH() + pad
	box := r
	box.H = h
	u.L.Rect(box, u.Theme.Sheet)
	u.L.Frame(box, u.Theme.Hairline, u.Theme.Edge)
	in := box.Inset(pad)
	u.Heading(in.TakeTop(u.Px(30)), e.Title)
	in.TakeTop(u.Paragraph(in, e.Summary) + u.Px(6))
	in.TakeTop(u.SmallParagraph(in, skills) + u.Px(12))
	row := in.TakeTop(u.RowH())
	key := a.pen.Labels.Whole(i + 1)
	look := widgets.Normal
	if a.unfinished() == nil && i == a.nextUp() {
		look = widgets.Primary
	}
	if a.keyed("start-"+e.ID, row.TakeLeft(a.keyedW("Start", key)+u.Px(24)), "Start", key, widgets.ButtonAs{Look: look}) {
		a.begin(e)
	}
	row.TakeLeft(u.Px(14))
	u.Note(row, fmt.Sprintf("about %d min  ·  %s", e.Minutes, best))
	return h
}

// nextUp is the first exercise that has not been passed yet.
func (a *App) nextUp() int {
	for i, e := range a.Exercises {
		if !a.settings.Best[e.ID].Passed {
			return i
		}
	}
	return 0
}

func passWord(ok bool) string {
	if ok {
		return "passed"
	}
	return "not passed"
}

func when(h shelved) string {
	if h.when.IsZero() {
		return "earlier"
	}
	return h.when.Local().Format("2 Jan 2006, 15:04")
}

func (a *App) homeShelf(r *paint.Rect) {
	u := a.ui
	a.caption(r.TakeTop(u.Px(20)), "YOUR ATTEMPTS")
	if len(a.home.shelf) == 0 {
		box := r.TakeTop(u.Px(60))
		u.L.Frame(box, u.Theme.Hairline, u.Theme.Line)
		u.Note(box.InsetXY(u.Px(12), 0), "None yet.")
	}
	for i := range a.home.shelf {
		h := a.home.shelf[i]
		u.Scope("attempt", i)
		a.shelfRow(r.TakeTop(u.Px(54)), &h)
		u.EndScope()
	}
	r.TakeTop(u.Px(16))
	for _, c := range cautions {
		r.TakeTop(u.SmallParagraph(*r, c) + u.Px(8))
	}
}

func (a *App) shelfRow(r paint.Rect, h *shelved) {
	u := a.ui
	u.L.Rect(r, u.Theme.Sheet)
	u.L.Frame(paint.R(r.X, r.Y, r.W, r.H+1), 1, u.Theme.Line)
	in := r.InsetXY(u.Px(10), u.Px(6))
	name := h.name
	label, do := "Debrief", func() { a.openDebrief(name) }
	word := fmt.Sprintf("%s, finished", when(*h))
	switch {
	case h.damage != "":
		label, word = "Why", "cannot be opened"
		damage := h.damage
		do = func() { a.fault = damage }
	case !h.finished:
		label, word = "Continue", fmt.Sprintf("%s, unfinished", when(*h))
		do = func() { a.resume(name) }
	}
	b := in.TakeRight(u.ButtonW("Continue"))
	in.TakeRight(u.Px(8))
	if u.Button("open", b.Centered(b.W, u.RowH()), label) {
		do()
	}
	u.Line(in.TakeTop(u.Px(22)), h.title, u.Body(), u.Theme.Ink, paint.Left)
	u.Line(in, word, u.Small(), u.Theme.InkSoft, paint.Left)
}

// drawFault draws what went wrong, over everything.
func (a *App) drawFault(screen paint.Rect) {
	u := a.ui
	const width = 560
	h := u.Body().Height(a.fault, u.Px(width-44-52)) + u.Px(20)
	in := u.BeginModal("fault", "This did not work", width, 60+h/u.TextScale+20+34+44)
	foot := in.TakeBottom(u.RowH())
	u.Banner(in, a.fault, widgets.Bad)
	ok := a.keyed("understood", foot.TakeRight(a.keyedW("Understood", "Enter")+u.Px(10)), "Understood", "Enter", widgets.ButtonAs{Look: widgets.Primary})
	if u.EndModal() || ok {
		a.fault = ""
	}
}
