package screens

import (
	"math"
	"strings"

	"foilwright/internal/history"
	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/internal/widgets"
	"foilwright/scenarios"
	"foilwright/sim/bench"
)

// homeState is what home shows of the store.
type homeState struct {
	shelf    []shelved
	standing *history.Standing
	best     map[string]best
	groups   []exerciseGroup
	filter   string
	lookedAt int64 // input time at which files were last looked at, ms
	open     bool  // only what has not been passed
}

// best is the best finished attempt at an exercise.
type best struct {
	technique float64
	passed    bool
	times     int
}

// exerciseGroup is a chapter of the path, or the exercises that train one skill
// first of all.
type exerciseGroup struct {
	name, about string
	list        []*bench.Exercise
}

func (a *App) openHome() {
	a.page, a.still = pageHome, 0
	list, err := shelf(a.Store, a.Exercises)
	if err != nil {
		a.fault = err.Error()
	}
	a.home.shelf = list
	a.home.groups = grouped(a.Exercises)
	a.readProgress()
}

// readProgress works out where the trainee stands.
func (a *App) readProgress() {
	h := &a.home
	h.best = map[string]best{}
	attempts, err := a.book().Attempts()
	if err == nil {
		h.standing, err = history.Evaluate(attempts, offered(h.groups))
	}
	if err != nil {
		a.fault = say.T("Your progress cannot be read: %s", err.Error())
		return
	}
	for _, t := range attempts {
		if !t.Finished {
			continue
		}
		b := h.best[t.Exercise]
		if b.times == 0 || t.Passed && !b.passed || t.Passed == b.passed && t.Technique > b.technique {
			b.technique, b.passed = math.Round(t.Technique), t.Passed
		}
		b.times++
		h.best[t.Exercise] = b
	}
}

// offered lists the exercises as a history knows them, in the order of the path.
func offered(groups []exerciseGroup) []history.Exercise {
	var out []history.Exercise
	for _, g := range groups {
		for _, e := range g.list {
			out = append(out, history.Exercise{ID: e.ID, Title: e.Title, Skills: e.Skills, After: e.Prerequisites})
		}
	}
	return out
}

// grouped puts exercises into the chapters of the path. Those in no chapter go
// by the skill they train first of all, in the order of the work; those that
// train most skills come first of these, as whole jobs.
func grouped(list []*bench.Exercise) []exerciseGroup {
	var groups []exerciseGroup
	for _, c := range scenarios.Chapters() {
		groups = append(groups, exerciseGroup{name: c.Title, about: c.What})
	}
	chapters, skills := len(groups), history.Skills()
	groups = append(groups, exerciseGroup{name: say.T("whole jobs")})
	for _, s := range skills {
		groups = append(groups, exerciseGroup{name: s})
	}
	for _, e := range scenarios.InOrder(list) {
		at := chapters + skillGroup(e, skills)
		for i, c := range scenarios.Chapters() {
			if c.ID == e.Chapter {
				at = i
			}
		}
		groups[at].list = append(groups[at].list, e)
	}
	return groups
}

// refresh takes up exercises that changed on disk, at most once a second and
// only where the list is shown.
func (a *App) refresh() {
	const everyMs = 1000
	if a.Fresh == nil || a.page != pageHome || a.now-a.home.lookedAt < everyMs {
		return
	}
	a.home.lookedAt = a.now
	list, err := a.Fresh()
	if err != nil {
		a.fault = err.Error()
	}
	if list != nil {
		a.Exercises = list
		a.openHome()
	}
}

// takeDropped adds packs of exercises that were dropped on the window.
func (a *App) takeDropped(files []widgets.DroppedFile) {
	for _, f := range files {
		if a.AddPack == nil {
			a.fault = say.T("%s cannot be taken here", f.Name)
			continue
		}
		list, err := a.AddPack(f.Name, f.Data)
		if err != nil {
			a.fault = err.Error()
			continue
		}
		a.Exercises = list
		if a.page == pageHome {
			a.openHome()
		}
	}
}

// skillGroup is 0 for a whole job, else 1 and on for the skill trained first.
func skillGroup(e *bench.Exercise, skills []string) int {
	first := history.Exercise{Skills: e.Skills[:min(1, len(e.Skills))]}
	all := history.Exercise{Skills: e.Skills}
	at, n := len(skills), 0
	for i, s := range skills {
		if first.Trains(s) {
			at = min(at, i+1)
		}
		if all.Trains(s) {
			n++
		}
	}
	if n >= 5 {
		return 0
	}
	return at
}

func (a *App) drawHome(screen paint.Rect) {
	u := a.ui
	r := screen
	head := r.TakeTop(u.Px(46))
	a.titleCells(a.titleButtons(head, []titleButton{
		{"about", say.T("About"), "I", a.openAbout},
		{"help", say.T("Keys"), "F1", a.openHelp},
		{"settings", say.T("Settings"), "O", func() { a.aside(pageSettings) }},
	}), say.T("Practice for coating thickness measurement"))
	in := u.BeginScroll("home", r)
	body := a.column(in, 1880)
	body.H = 1e6
	body.TakeTop(u.Px(18))
	left := body
	var right paint.Rect
	wide := body.W > u.Px(860)
	if wide {
		right = left.TakeRight(min(u.Px(460), max(u.Px(340), body.W*0.27)))
		left.TakeRight(u.Px(22))
	}
	a.homeExercises(&left)
	if wide {
		a.homeSide(&right)
		left.Y = max(left.Y, right.Y)
	} else {
		left.TakeTop(u.Px(16))
		a.homeSide(&left)
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
	u, h := a.ui, &a.home
	left := a.unfinished()
	if left != nil {
		a.continueCard(r, left)
		r.TakeTop(u.Px(16))
	}
	a.welcome(r)
	if len(a.Exercises) > 6 {
		a.homeFilter(r)
	}
	number, shown := 0, 0
	for i := range h.groups {
		shown += a.groupCards(r, &h.groups[i], &number)
	}
	if shown == 0 {
		r.TakeTop(u.Banner(*r, say.T("No exercise fits the filter. Clear it to see all %s.", a.pen.Labels.Whole(len(a.Exercises))), widgets.Plain) + u.Px(12))
	}
	if a.AddPack != nil {
		u.Note(r.TakeTop(u.Px(20)), say.T("More exercises: drop a pack of them (.zip) on this window."))
	}
	if h.standing == nil || h.standing.Attempts == 0 {
		r.TakeTop(u.Px(8))
		a.caption(r.TakeTop(u.Px(20)), say.T("THE WORK, IN ORDER"))
		r.TakeTop(a.drawSteps(*r))
	}
}

// homeFilter narrows a long list of exercises.
func (a *App) homeFilter(r *paint.Rect) {
	u, h := a.ui, &a.home
	row := r.TakeTop(u.RowH())
	r.TakeTop(u.Px(12))
	box := row.TakeLeft(min(u.Px(300), row.W))
	a.note("filter", box)
	u.TextField("filter", box, &h.filter, say.T("find by title or skill"))
	row.TakeLeft(u.Px(16))
	if label := say.T("only those not passed yet"); row.W > u.Body().Width(label)+u.Px(40) {
		u.CheckBox("open", row, label, &h.open)
	}
}

// fits reports whether an exercise is to be listed.
func (a *App) fits(e *bench.Exercise) bool {
	h := &a.home
	if h.open && h.best[e.ID].passed {
		return false
	}
	text := strings.ToLower(e.Title + " " + e.Summary + " " + strings.Join(e.Skills, " "))
	for _, w := range strings.Fields(strings.ToLower(h.filter)) {
		if !strings.Contains(text, w) {
			return false
		}
	}
	return true
}

// groupCards draws the exercises of a group that fit the filter and returns how
// many. number goes on over all groups: the first nine have keys.
func (a *App) groupCards(r *paint.Rect, g *exerciseGroup, number *int) int {
	u := a.ui
	columns := max(1, int((r.W+u.Px(14))/u.Px(430)))
	shown, x, high := 0, 0, 0.0
	for i, e := range g.list {
		if !a.fits(e) {
			continue
		}
		if shown == 0 {
			head := r.TakeTop(u.Px(20))
			a.caption(head, strings.ToUpper(g.name))
			head.TakeLeft(a.captionW(strings.ToUpper(g.name)) + u.Px(10))
			if u.Small().Width(g.about) < head.W {
				u.Note(head, g.about)
			}
		}
		shown++
		*number++
		if x == 0 {
			high = a.cardRowHeight(g.list[i:], columns, r.Column(0, columns, u.Px(14)).W)
		}
		at := r.Column(x, columns, u.Px(14))
		at.H = high
		u.Scope("exercise", *number)
		a.exerciseCard(at, e, *number)
		u.EndScope()
		if x++; x == columns {
			r.TakeTop(high + u.Px(14))
			x = 0
		}
	}
	if x > 0 {
		r.TakeTop(high + u.Px(14))
	}
	return shown
}

// cardRowHeight is the height of the next row of cards: that of its highest.
func (a *App) cardRowHeight(list []*bench.Exercise, columns int, width float64) float64 {
	high := 0.0
	for _, e := range list {
		if columns == 0 {
			break
		}
		if a.fits(e) {
			w := a.cardWords(e)
			high = max(high, a.cardHeight(e, &w, width))
			columns--
		}
	}
	return high
}

// workSteps is how a job goes, for those who are new to it.
var workSteps = [6][2]say.Text{
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
		h = max(h, u.Small().Height(say.T(s[1]), w-u.Px(24)))
	}
	h += u.Px(46)
	for i, s := range workSteps {
		c := paint.R(r.X+float64(i%columns)*w, r.Y+float64(i/columns)*h, w, h)
		u.L.Frame(paint.R(c.X, c.Y, c.W+1, c.H+1), 1, u.Theme.Edge)
		in := c.InsetXY(u.Px(12), u.Px(8))
		head := in.TakeTop(u.Px(24))
		a.balloon(head.X+u.Px(9), head.Y+head.H/2, i+1, u.Theme.Act)
		head.TakeLeft(u.Px(26))
		u.Line(head, say.T(s[0]), u.Strong(), u.Theme.Ink, paint.Left)
		u.SmallParagraph(in, say.T(s[1]))
	}
	return h * float64((len(workSteps)+columns-1)/columns)
}

// continueCard offers the attempt that was left.
func (a *App) continueCard(r *paint.Rect, h *shelved) {
	u := a.ui
	pad := u.Px(16)
	title := say.T("On the bench: %s", h.title)
	note := say.T("begun %s, %d min on the clock, as you left it", when(*h), h.minutes)
	width := a.keyedW(say.T("Continue"), "Enter") + u.Px(16)
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
	if a.keyed("continue", b, say.T("Continue"), "Enter", widgets.ButtonAs{Look: widgets.Primary}) {
		a.resume(name)
	}
}

// cardPad is the margin of an exercise's card, before scaling.
const cardPad = 14

// cardWords are the small lines of an exercise's card.
type cardWords struct{ skills, done string }

func (a *App) cardWords(e *bench.Exercise) cardWords {
	skills := say.T("Trains: %s", strings.Join(e.Skills, ", "))
	if before := a.before(e); before != "" {
		skills += say.T(". Best done after %s", before)
	}
	b := a.home.best[e.ID]
	done := say.T("about %d min  ·  not finished yet", e.Minutes)
	if b.times > 0 {
		done = say.T("about %d min  ·  %s  ·  best technique %.0f", e.Minutes, passWord(b.passed), b.technique)
	}
	return cardWords{skills, done}
}

// cardHeight is the height that the words of a card need in a width.
func (a *App) cardHeight(e *bench.Exercise, w *cardWords, width float64) float64 {
	u := a.ui
	pad := u.Px(cardPad)
	text := width - 2*pad
	return 2*pad + u.HeadingFont().Height(e.Title, text) + u.Px(4) + u.Body().Height(e.Summary, text) + u.Px(6) + u.Small().Height(w.skills, text) + u.Px(4) +
		u.Small().Height(w.done, text) + u.Px(10) + u.RowH()
}

// exerciseCard draws an exercise, its buttons at the foot of the card.
func (a *App) exerciseCard(box paint.Rect, e *bench.Exercise, number int) {
	u := a.ui
	words := a.cardWords(e)
	assess := say.T("Be assessed")
	u.L.Rect(box, u.Theme.Sheet)
	u.L.Frame(box, u.Theme.Hairline, u.Theme.Edge)
	if a.home.best[e.ID].passed {
		u.L.Rect(paint.R(box.X, box.Y, u.Px(4), box.H), u.Theme.Good)
		u.Mark(widgets.Good, box.Right()-u.Px(18), box.Y+u.Px(18), u.Px(16))
	}
	in := box.Inset(u.Px(cardPad))
	row := in.TakeBottom(u.RowH())
	in.TakeTop(a.say(in, e.Title, u.HeadingFont(), u.Theme.Ink) + u.Px(4))
	in.TakeTop(u.Paragraph(in, e.Summary) + u.Px(6))
	in.TakeTop(u.SmallParagraph(in, words.skills) + u.Px(4))
	u.SmallParagraph(in, words.done)
	look := widgets.Normal
	if a.unfinished() == nil && !a.newcomer() && e.ID == a.nextUp() {
		look = widgets.Primary
	}
	id := "start-" + e.ID
	if number <= 9 {
		key := a.pen.Labels.Whole(number)
		if a.keyed(id, row.TakeLeft(min(row.W, a.keyedW(say.T("Start"), key)+u.Px(16))), say.T("Start"), key, widgets.ButtonAs{Look: look}) {
			a.begin(e, false)
		}
	} else {
		at := row.TakeLeft(u.ButtonW(say.T("Start")) + u.Px(16))
		a.note(id, at)
		if u.ButtonWith(id, at, say.T("Start"), widgets.ButtonAs{Look: look}) {
			a.begin(e, false)
		}
	}
	row.TakeLeft(u.Px(10))
	if w := u.ButtonW(assess); w <= row.W && !e.Assessment {
		at := row.TakeLeft(w)
		a.note("assess-"+e.ID, at)
		if u.ButtonWith("assess", at, assess, widgets.ButtonAs{Look: widgets.Quiet, Tip: say.T("The same job without hints and without the field view; for others to grade.")}) {
			a.begin(e, true)
		}
	}
}

// before lists the exercises that should be passed before one and have not been.
func (a *App) before(e *bench.Exercise) string {
	var titles []string
	for _, id := range e.Prerequisites {
		if p, err := a.listed(id); err == nil && !a.home.best[id].passed {
			titles = append(titles, "“"+p.Title+"”")
		}
	}
	return strings.Join(titles, say.T(" and "))
}

// nextUp is the id of the exercise to practise next.
func (a *App) nextUp() string {
	if s := a.home.standing; s != nil && s.Next.Exercise != "" {
		return s.Next.Exercise
	}
	if len(a.Exercises) == 0 {
		return ""
	}
	return a.Exercises[0].ID
}

func passWord(ok bool) string {
	if ok {
		return say.T("passed")
	}
	return say.T("not passed")
}

func when(h shelved) string {
	if h.when.IsZero() {
		return say.T("earlier")
	}
	return h.when.Local().Format("2 Jan 2006, 15:04")
}

// homeSide draws where the trainee stands, the attempts made and the cautions.
func (a *App) homeSide(r *paint.Rect) {
	u := a.ui
	a.drawProgress(r)
	r.TakeTop(u.Px(16))
	a.caption(r.TakeTop(u.Px(20)), say.T("YOUR ATTEMPTS"))
	if len(a.home.shelf) == 0 {
		box := r.TakeTop(u.Px(60))
		u.L.Frame(box, u.Theme.Hairline, u.Theme.Line)
		u.Note(box.InsetXY(u.Px(12), 0), say.T("None yet."))
	}
	for i := range a.home.shelf {
		h := a.home.shelf[i]
		u.Scope("attempt", i)
		a.shelfRow(r.TakeTop(u.Px(54)), &h)
		u.EndScope()
	}
	a.lessonAgain(r)
	r.TakeTop(u.Px(16))
	for _, c := range cautions {
		r.TakeTop(u.SmallParagraph(*r, say.T(c)) + u.Px(8))
	}
}

func (a *App) shelfRow(r paint.Rect, h *shelved) {
	u := a.ui
	u.L.Rect(r, u.Theme.Sheet)
	u.L.Frame(paint.R(r.X, r.Y, r.W, r.H+1), 1, u.Theme.Line)
	in := r.InsetXY(u.Px(10), u.Px(6))
	name := h.name
	label, do := say.T("Debrief"), func() { a.openDebrief(name) }
	word := say.T("%s, finished", when(*h))
	switch {
	case h.damage != "":
		label, word = say.T("Why"), say.T("cannot be opened")
		damage := h.damage
		do = func() { a.fault = damage }
	case !h.finished:
		label, word = say.T("Continue"), say.T("%s, unfinished", when(*h))
		do = func() { a.resume(name) }
	}
	switch {
	case h.again:
		word += say.T(", tried again")
	case h.assessed:
		word += say.T(", assessment")
	}
	b := in.TakeRight(u.ButtonW(say.T("Continue")))
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
	in := u.BeginModal("fault", say.T("This did not work"), width, 60+h/u.TextScale+20+34+44)
	foot := in.TakeBottom(u.RowH())
	u.Banner(in, a.fault, widgets.Bad)
	ok := a.keyed("understood", foot.TakeRight(a.keyedW(say.T("Understood"), "Enter")+u.Px(10)), say.T("Understood"), "Enter", widgets.ButtonAs{Look: widgets.Primary})
	if u.EndModal() || ok {
		a.fault = ""
	}
}
