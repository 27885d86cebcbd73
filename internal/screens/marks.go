package screens

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"foilwright/internal/history"
	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
	"foilwright/sim/grade"
)

// remember notes a finished attempt in the book of attempts. One begun from a
// moment of another counts for nothing: its truth was known.
func (a *App) remember(d *debriefState) {
	if !d.record.Finished || strings.HasSuffix(d.name, againMark) {
		return
	}
	date := ""
	if h := look(a.Store, d.name, a.Exercises); !h.when.IsZero() {
		date = h.when.Format("2006-01-02")
	}
	err := a.book().Note(history.Of(history.Given{Seed: d.record.World.Seed, Date: date, Log: d.name}, d.sheet))
	if err != nil {
		a.fault = say.T("This attempt could not be noted for your progress: %s", err.Error())
	}
}

// book is the history of the attempts made here.
func (a *App) book() history.Book {
	return history.Book{Name: say.T("the book of attempts"), Load: a.Store.ReadBook, Append: a.Store.AppendBook}
}

// scores writes the boxes at the head of the debrief.
func (d *debriefState) scores() []scoreBox {
	s, un := d.sheet, d.units
	technique := scoreBox{say.T("TECHNIQUE"), say.T("%.0f of 100", s.Technique), say.T("%.0f are needed", s.PassMark), widgets.Good}
	if s.Technique < s.PassMark {
		technique.tone = widgets.Bad
	}
	if s.Capped {
		technique.word += say.T("; with a critical finding at most 49")
	}
	result := scoreBox{say.T("RESULT"), say.T("none reported"), say.T("nothing to compare with the truth"), widgets.Bad}
	verdict := scoreBox{say.T("DECISION"), say.T("none"), say.T("no decision was handed in"), widgets.Bad}
	if r := s.Result; r != nil {
		within := say.T("inside")
		result = scoreBox{say.T("RESULT"), un.signed(r.ErrorUm) + " " + un.name(), "", widgets.Good}
		if !r.Within {
			within, result.tone = say.T("outside"), widgets.Bad
		}
		result.word = say.T("reported %s, true %s: %s the expanded uncertainty of ± %s %s", un.um(r.ReportedUm), un.um(r.TrueUm), within, un.um(r.ExpandedUm), un.name())
		if r.ExpandedUm > r.AcceptedUm {
			result.word = say.T("reported %s, true %s: the readings scatter too much, known only to ± %s; ± %s %s is the most", un.um(r.ReportedUm), un.um(r.TrueUm), un.um(r.ExpandedUm), un.um(r.AcceptedUm), un.name())
		}
		verdict = scoreBox{say.T("DECISION"), decided(r.Given), say.T("right: the true thickness is to be %s", decided(r.True)), widgets.Good}
		switch {
		case !r.Right:
			verdict.word, verdict.tone = say.T("wrong: the true thickness is to be %s", decided(r.True)), widgets.Bad
		case s.Capped || !r.Within:
			verdict.word, verdict.tone = say.T("right, but by luck: the measurement does not bear it out"), widgets.Warn
		}
	}
	all := scoreBox{say.T("ALL IN ALL"), say.T("Passed"), say.T("technique, result and decision are good"), widgets.Good}
	if !s.Passed {
		var missing []string
		for _, w := range s.Why {
			if m, ok := strings.CutPrefix(w, "not met: "); ok {
				missing = append(missing, m)
			}
		}
		all = scoreBox{say.T("ALL IN ALL"), say.T("Not passed"), say.T("%d of %d requirements not met", len(missing), len(s.Why)), widgets.Bad}
	}
	return []scoreBox{all, technique, result, verdict}
}

func decided(verdict string) string {
	switch verdict {
	case bench.Accept:
		return say.T("accepted")
	case bench.ConditionalAccept:
		return say.T("accepted conditionally")
	case bench.ConditionalReject:
		return say.T("rejected conditionally")
	case bench.Reject:
		return say.T("rejected")
	}
	return verdict
}

// drawScores draws the scores of technique and result, apart.
func (a *App) drawScores(r paint.Rect) float64 {
	u, d := a.ui, a.debrief
	boxes := d.scores()
	columns, gap := 4, u.Px(12)
	if r.W < u.Px(900) {
		columns = 2
	}
	if r.W < u.Px(460) {
		columns = 1
	}
	rows := (len(boxes) + columns - 1) / columns
	h := 0.0
	for _, b := range boxes {
		h = max(h, a.scoreHeight(r.Column(0, columns, gap).W, b))
	}
	for i, b := range boxes {
		at := r.Column(i%columns, columns, gap)
		a.drawScore(paint.R(at.X, r.Y+float64(i/columns)*(h+gap), at.W, h), b)
	}
	return float64(rows)*(h+gap) - gap
}

// scoreBox is one of the boxes at the head of the debrief.
type scoreBox struct {
	caption, figure, word string
	tone                  widgets.Tone
}

func (a *App) scoreHeight(w float64, b scoreBox) float64 {
	u := a.ui
	return u.Px(20) + u.Px(8) + u.Px(40) + u.Small().Height(b.word, w-u.Px(28)) + u.Px(12)
}

func (a *App) drawScore(r paint.Rect, b scoreBox) {
	u := a.ui
	strong, _, tint := u.Colors(b.tone)
	u.L.Rect(r, tint)
	u.L.Frame(r, u.Px(1.5), strong)
	a.caption(r, b.caption)
	in := r.InsetXY(u.Px(14), u.Px(4))
	in.TakeTop(u.Px(20))
	row := in.TakeTop(u.Px(40))
	u.Mark(b.tone, row.X+u.Px(10), row.Y+row.H/2, u.Px(20))
	row.TakeLeft(u.Px(30))
	size := 26.0
	for f := (paint.Font{Face: paint.Medium, Size: u.Px(size)}); size > 15 && f.Width(b.figure) > row.W; {
		size--
		f.Size = u.Px(size)
	}
	u.Line(row, b.figure, paint.Font{Face: paint.Medium, Size: u.Px(size)}, u.Theme.Ink, paint.Left)
	u.L.TextBlock(in, b.word, u.Small(), u.Theme.Ink, paint.Left)
}

// wellDone is what is said of a part of the work in which nothing was found.
var wellDone = map[grade.Group]say.Text{
	grade.Preparation:  "Tip, certificates and memory were seen to before they mattered.",
	grade.Adjustment:   "Zero and foil were made on the right piece, with the right value and enough readings.",
	grade.Verification: "The instrument was verified, and the verdict on it was kept to.",
	grade.Handling:     "The probe was square, still and lifted clear.",
	grade.Placement:    "The spots lay where the job asks, away from edges, and there were enough of them.",
	grade.Recording:    "Figures and decision follow from your own readings.",
}

// drawWentWell draws the parts of the work in which nothing was found, with
// what was good about them, then those that lost points.
func (a *App) drawWentWell(r paint.Rect) float64 {
	u, d := a.ui, a.debrief
	top := r.Y
	for _, well := range [...]bool{true, false} {
		title := say.T("WHAT WENT WELL")
		if !well {
			title = say.T("WHERE POINTS WERE LOST")
		}
		begun := false
		for _, g := range d.sheet.Groups {
			if good := len(g.Lost) == 0 && g.Score >= g.Weight; good != well {
				continue
			}
			if !begun {
				begun = true
				a.caption(r.TakeTop(u.Px(20)), title)
				r.TakeTop(u.Px(6))
			}
			r.TakeTop(a.drawGroup(r, &g, well) + u.Px(3))
		}
		if begun {
			r.TakeTop(u.Px(10))
		}
	}
	return r.Y - top
}

// drawGroup draws the score of one part of the work and returns its height.
func (a *App) drawGroup(r paint.Rect, g *grade.GroupScore, well bool) float64 {
	u := a.ui
	top := r.Y
	tone, word := widgets.Good, say.T(wellDone[g.Group])
	if !well {
		found := slices.DeleteFunc(slices.Clone(g.Lost), func(l grade.Lost) bool { return l.Check == grade.NotReached })
		tone, word = widgets.Warn, say.N(len(found), "%d finding", "%d findings")
		if g.Reached < 1 {
			word = say.T("%.0f %% reached", 100*g.Reached)
		}
	}
	row := r.TakeTop(u.Px(24))
	u.Mark(tone, row.X+u.Px(9), row.Y+row.H/2, u.Px(14))
	row.TakeLeft(u.Px(24))
	u.L.TextIn(row.TakeRight(u.Px(70)), say.T("%.0f of %.0f", g.Score, g.Weight), u.Strong(), u.Theme.Ink, paint.Right)
	if f := u.Small(); !well {
		w := f.Width(word) + u.Px(8)
		u.L.TextIn(row.TakeRight(w), word, f, u.Theme.InkSoft, paint.Right)
	}
	u.Line(row, groupName(g.Group), u.Body(), u.Theme.Ink, paint.Left)
	if well {
		r.TakeTop(u.SmallParagraph(paint.R(row.X, r.Y, r.Right()-row.X-u.Px(74), 0), word))
	}
	return r.Y - top
}

// drawFindings draws what was found, with evidence and what to do.
func (a *App) drawFindings(r paint.Rect) float64 {
	u, d := a.ui, a.debrief
	top := r.Y
	a.caption(r.TakeTop(u.Px(20)), say.T("WHAT WAS FOUND"))
	r.TakeTop(u.Px(8))
	if len(d.sheet.Findings) == 0 {
		r.TakeTop(u.Banner(r, say.T("Nothing to find fault with. Every check of technique is clean."), widgets.Good) + u.Px(6))
	}
	for i := range d.sheet.Findings {
		u.Scope("finding", i)
		r.TakeTop(a.drawFinding(r, &d.sheet.Findings[i]) + u.Px(10))
		u.EndScope()
	}
	for _, c := range d.sheet.Consequences {
		r.TakeTop(u.Banner(r, quoted(c.What), widgets.Truth) + u.Px(6))
	}
	return r.Y - top
}

// drawComparison draws what a competent result looks like and the mistakes that
// are typical of the exercise, with those that were made marked.
func (a *App) drawComparison(r paint.Rect) float64 {
	u, d := a.ui, a.debrief
	top, e := r.Y, d.exercise
	if e.Competent != "" {
		a.caption(r.TakeTop(u.Px(20)), say.T("WHAT A COMPETENT RESULT LOOKS LIKE"))
		r.TakeTop(u.Px(6))
		r.TakeTop(u.SmallParagraph(r, e.Competent) + u.Px(12))
	}
	if len(e.Mistakes) > 0 {
		a.caption(r.TakeTop(u.Px(20)), say.T("MISTAKES TYPICAL OF THIS JOB"))
		r.TakeTop(u.Px(6))
	}
	for _, m := range e.Mistakes {
		tone, word := widgets.Good, say.T("Avoided: ")
		if d.sheet.Found(m.Check) {
			tone, word = widgets.Warn, say.T("Made: ")
		}
		u.Mark(tone, r.X+u.Px(9), r.Y+u.Small().LineHeight()/2, u.Px(13))
		text := r
		text.TakeLeft(u.Px(24))
		r.TakeTop(u.SmallParagraph(text, word+m.Text) + u.Px(4))
	}
	return r.Y - top
}

// seeButton leads to where a cause or a finding can be seen.
func (a *App) seeButton(r paint.Rect, l lead) {
	label := say.T("See where you measured")
	if l.entry > 0 {
		label = say.T("See it at %s", a.debrief.clockOf(l.entry))
	}
	if a.ui.Quiet("see", paint.R(r.X-a.ui.Px(14), r.Y, a.ui.ButtonW(label), r.H), label) {
		a.follow(l)
	}
}

var severityTone = map[grade.Severity]widgets.Tone{grade.Minor: widgets.Plain, grade.Major: widgets.Warn, grade.Critical: widgets.Bad}

// drawFinding draws one finding and returns the height used.
func (a *App) drawFinding(r paint.Rect, f *grade.Finding) float64 {
	u, d := a.ui, a.debrief
	top := r.Y
	strong, _, _ := u.Colors(severityTone[f.Severity])
	bar := r
	r.TakeLeft(u.Px(12))
	head := r.TakeTop(u.Px(26))
	points := say.T("−%.0f points", f.Points)
	if f.Points < 0.5 {
		points = say.T("no points were left here")
	}
	u.L.TextIn(head.TakeRight(u.Small().Width(points)+u.Px(4)), points, u.Small(), u.Theme.InkSoft, paint.Right)
	head.TakeLeft(u.Badge(head, severityName(f.Severity), severityTone[f.Severity]) + u.Px(8))
	if u.Strong().Width(f.Name) <= head.W {
		u.Line(head, f.Name, u.Strong(), u.Theme.Ink, paint.Left)
	} else {
		r.TakeTop(a.say(r, f.Name, u.Strong(), u.Theme.Ink))
	}
	r.TakeTop(u.Px(2))
	r.TakeTop(a.say(r, quoted(f.What), u.Small(), u.Theme.Ink) + u.Px(2))
	r.TakeTop(a.say(r, say.T("Next time: %s", quoted(f.Do)), u.Small(), u.Theme.Truth) + u.Px(2))
	r.TakeTop(u.SmallParagraph(r, d.evidence(f)) + u.Px(2))
	if len(f.Entries) > 0 {
		a.seeButton(r.TakeTop(u.RowH()), lead{entry: f.Entries[0]})
	}
	for _, x := range f.Followed {
		r.TakeTop(u.SmallParagraph(r, say.T("From this followed: %s", quoted(x.What))) + u.Px(2))
	}
	u.L.Rect(paint.R(bar.X, bar.Y, u.Px(3), r.Y-top), strong)
	return r.Y - top
}

// evidence writes where a finding comes from and what it cost.
func (d *debriefState) evidence(f *grade.Finding) string {
	text := ""
	switch n := len(f.Entries); {
	case n == 0:
		text = say.T("Evidence: it was not done at any time")
	case n == 1:
		text = say.T("Evidence: at %s on the clock", d.clockOf(f.Entries[0]))
	default:
		text = say.T("Evidence: %d moments, from %s to %s on the clock", n, d.clockOf(f.Entries[0]), d.clockOf(f.Entries[n-1]))
	}
	if r := d.sheet.Result; r != nil && math.Abs(f.CostUm) >= 0.5*d.units.resolutionUm {
		text += say.T(". Without it the mean would have read %s %s", d.units.um(r.ReportedUm-f.CostUm), d.units.name())
	}
	return text + "."
}

// clockOf is the time on the clock of a log entry.
func (d *debriefState) clockOf(entry int) string {
	if entry < 1 || entry > len(d.record.Entries) {
		return "0:00"
	}
	sec := d.record.Entries[entry-1].Action.At / 1000
	return fmt.Sprintf("%d:%02d", sec/60, sec%60)
}

// capital writes the first letter large.
func capital(s string) string {
	if s == "" {
		return s
	}
	first, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(first)) + s[n:]
}

// quoted sets the straight quotes of what the simulation writes as those of a sentence: opening before a word, else closing.
func quoted(s string) string {
	if !strings.Contains(s, "\"") {
		return s
	}
	var b strings.Builder
	before := ' '
	for _, c := range s {
		switch {
		case c != '"':
			b.WriteRune(c)
		case before == ' ' || before == '(':
			b.WriteRune('“')
		default:
			b.WriteRune('”')
		}
		before = c
	}
	return b.String()
}
