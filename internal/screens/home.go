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
	a.titleBlock(head, "Practice for coating thickness measurement")
	row := paint.R(head.X, head.Y+(head.H-u.RowH())/2, head.W-u.Px(12), u.RowH())
	for _, b := range [...]struct {
		id, label, key string
		p              page
	}{{"about", "About", "I", pageAbout}, {"help", "Keys", "F1", pageHelp}, {"settings", "Settings", "O", pageSettings}} {
		if a.keyed(b.id, row.TakeRight(a.keyedW(b.label, b.key)), b.label, b.key, widgets.ButtonAs{}) {
			a.aside(b.p)
		}
		row.TakeRight(u.Px(6))
	}
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
		h := *h
		box := r.TakeTop(u.Px(96))
		u.L.Rect(box, u.Theme.ActTint)
		u.L.Frame(box, u.Px(1.5), u.Theme.Act)
		in := box.InsetXY(u.Px(16), u.Px(12))
		b := in.TakeRight(a.keyedW("Continue", "Enter") + u.Px(16))
		u.Heading(in.TakeTop(u.Px(28)), "On the bench: "+h.title)
		u.Note(in.TakeTop(u.Px(22)), fmt.Sprintf("begun %s, %d min on the clock, as you left it", when(h), h.minutes))
		if a.keyed("continue", b.Centered(b.W, u.RowH()), "Continue", "Enter", widgets.ButtonAs{Look: widgets.Primary}) {
			a.resume(h.name)
		}
		r.TakeTop(u.Px(16))
	}
	a.caption(r.TakeTop(u.Px(20)), "EXERCISES")
	for i, e := range a.Exercises {
		u.Scope("exercise", i)
		r.TakeTop(a.exerciseCard(*r, e, i) + u.Px(12))
		u.EndScope()
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
	look := widgets.Primary
	if a.unfinished() != nil {
		look = widgets.Normal
	}
	if a.keyed("start", row.TakeLeft(a.keyedW("Start", key)+u.Px(24)), "Start", key, widgets.ButtonAs{Look: look}) {
		a.begin(e)
	}
	row.TakeLeft(u.Px(14))
	u.Note(row, fmt.Sprintf("about %d min  ·  %s", e.Minutes, best))
	return h
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
	box := *r
	if len(a.home.shelf) == 0 {
		box = r.TakeTop(u.Px(60))
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
	label, do := "Debrief", func() { a.slowly("Working out the debrief", func() { a.openDebrief(h.name) }) }
	name := h.name
	word := fmt.Sprintf("%s, finished", when(*h))
	switch {
	case h.damage != "":
		label, word = "Why", "cannot be opened"
		damage := h.damage
		do = func() { a.fault = damage }
	case !h.finished:
		label, word = "Continue", fmt.Sprintf("%s, unfinished", when(*h))
		do = func() { a.resume(name) }
	default:
		do = func() { a.slowly("Working out the debrief", func() { a.openDebrief(name) }) }
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
