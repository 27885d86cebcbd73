// Package gallery shows every widget of the kit in every state, for those who change the kit and for its golden
// pictures. It is an app of its own: see Gallery.Frame.
package gallery

import (
	"math"

	"foilwright/internal/paint"
	"foilwright/internal/widgets"
)

// Gallery is the state of the sample screens.
type Gallery struct {
	UI    *widgets.UI
	Page  int
	Theme int

	size            float64
	clicks          int
	held, tick      bool
	off             bool
	choice, tab     int
	level, count    float64
	limit           float64
	name, remark    string
	row, line       int
	dialog, confirm bool
	xs, ys, smooth  []float64
	pts             []paint.Point
}

// New returns the gallery at its first page.
func New() *Gallery {
	g := &Gallery{UI: widgets.New(), size: 1, level: 40, count: 5, limit: 120, tick: true, row: 2}
	for i := range 60 {
		x := float64(i) * 4
		g.xs = append(g.xs, x)
		g.smooth = append(g.smooth, 120*(1-math.Exp(-x/70))+4)
		g.ys = append(g.ys, g.smooth[i]+5*math.Sin(float64(i*i)))
	}
	return g
}

var pages = []string{"Buttons and choices", "Fields", "Lists and tables", "Charts", "Messages", "Drawing"}

// Frame runs the gallery over the input and leaves its picture in l.
func (g *Gallery) Frame(in widgets.Input, l *paint.List) widgets.Reply {
	return g.UI.Frame(in, l, g.body)
}

func (g *Gallery) body(screen paint.Rect) {
	u := g.UI
	u.TextScale = g.size
	u.L.Rect(screen, u.Theme.Paper)
	r := screen.InsetXY(u.Px(16), u.Px(10))
	g.bar(&r)
	u.Tabs("pages", r.TakeTop(u.TabsH(r.W, pages)), pages, &g.Page)
	r.TakeTop(u.Px(10))
	content := u.BeginScroll("page", r)
	used := [...]func(paint.Rect) float64{g.buttons, g.fields, g.lists, g.charts, g.messages, g.drawing}[g.Page](content)
	u.EndScroll(used)
	g.dialogs()
}

// bar holds the title, the theme and the text size.
func (g *Gallery) bar(r *paint.Rect) {
	u := g.UI
	top := r.TakeTop(u.Px(40))
	names := []string{"Light", "Dark", "High contrast"}
	u.Title(top.TakeLeft(min(u.Px(180), top.W)), "Kit gallery")
	if top.W < u.Px(560) {
		top = r.TakeTop(u.Px(40))
	}
	if u.Radio("theme", top.TakeLeft(min(u.Px(330), top.W)), names, &g.Theme) {
		u.Theme = paint.Themes()[g.Theme]
	}
	u.Note(top.TakeLeft(min(u.Px(66), top.W)), "Text size")
	u.Slider("size", top.TakeLeft(min(u.Px(160), top.W)), &g.size, 1, 2, 0.25)
	r.TakeTop(u.Px(6))
}

// columns splits the content into as many columns as fit; at(i) is the i-th panel's place.
func (g *Gallery) columns(r paint.Rect, least float64) (n int, gap float64) {
	gap = g.UI.Px(14)
	n = int(max(1, min(3, math.Floor((r.W+gap)/(g.UI.Px(least)+gap)))))
	return n, gap
}

// panels lays out titled panels of one height in columns and returns the height used.
func (g *Gallery) panels(r paint.Rect, least, height float64, titles []string, draw func(i int, r paint.Rect)) float64 {
	n, gap := g.columns(r, least)
	h := g.UI.Px(height)
	for i, title := range titles {
		at := r.Column(i%n, n, gap)
		at.Y += float64(i/n) * (h + gap)
		at.H = h
		draw(i, g.UI.TitledPanel(at, title))
	}
	return float64((len(titles)+n-1)/n) * (h + gap)
}

func (g *Gallery) next(r *paint.Rect) paint.Rect {
	row := r.TakeTop(g.UI.RowH())
	r.TakeTop(g.UI.Gap())
	return row
}

func (g *Gallery) buttons(r paint.Rect) float64 {
	u := g.UI
	return g.panels(r, 330, 330, []string{"Buttons", "Buttons, other states", "Choices"}, func(i int, r paint.Rect) {
		switch i {
		case 0:
			if u.Primary("primary", g.next(&r), "Take the reading") {
				g.clicks++
				u.Notify(widgets.Good, "The button was pressed.")
			}
			if u.Button("normal", g.next(&r), "Lay a foil") {
				g.clicks++
			}
			if u.Quiet("quiet", g.next(&r), "Why this step?") {
				g.dialog = true
			}
			if u.ButtonWith("danger", g.next(&r), "Abandon the attempt", widgets.ButtonAs{Look: widgets.Danger}) {
				g.confirm = true
			}
			row := g.next(&r)
			u.Label(row.TakeLeft(u.Px(110)), "Times pressed")
			u.Label(row, u.Num(float64(g.clicks), 0))
		case 1:
			u.ButtonWith("off", g.next(&r), "Not yet", widgets.ButtonAs{Off: true, Tip: "Take five readings on the spot first."})
			u.ButtonWith("offp", g.next(&r), "Not yet", widgets.ButtonAs{Look: widgets.Primary, Off: true})
			u.Toggle("toggle", g.next(&r), "Hold", &g.held)
			u.ButtonWith("on", g.next(&r), "Chosen", widgets.ButtonAs{On: true})
			u.ButtonWith("long", g.next(&r).Column(0, 2, 8), "A label far too long for its button", widgets.ButtonAs{})
		case 2:
			u.CheckBox("tick", g.next(&r), "Show the field lines", &g.tick)
			u.CheckBox("untick", g.next(&r), "Sound", &g.off)
			labels := []string{"Panel", "Pipe", "Ground edge"}
			u.Radio("radio", r.TakeTop(u.RadioH(r.W, labels)), labels, &g.choice)
			r.TakeTop(u.Gap())
			u.Tabs("tabs", g.next(&r), []string{"Zero", "Foils", "Spots"}, &g.tab)
			u.Slider("slider", g.next(&r), &g.level, 0, 100, 1)
			u.Progress(g.next(&r), g.level/100, u.Num(g.level, 0))
		}
	})
}

func (g *Gallery) fields(r paint.Rect) float64 {
	u := g.UI
	return g.panels(r, 330, 300, []string{"Text", "Numbers", "Wrapped text"}, func(i int, r paint.Rect) {
		switch i {
		case 0:
			u.TextField("name", u.Field(r.TakeTop(u.FieldH()), "Name of the trainee"), &g.name, "given and family name")
			r.TakeTop(u.Gap())
			u.TextField("remark", u.Field(r.TakeTop(u.FieldH()), "Remark"), &g.remark, "")
			r.TakeTop(u.Gap())
			u.Note(r.TakeTop(u.Px(20)), "Ctrl+A, C, X, V work; Shift selects.")
		case 1:
			u.Number("count", u.Field(r.TakeTop(u.FieldH()), "Readings on a spot"), &g.count, widgets.NumberAs{Min: 1, Max: 12})
			r.TakeTop(u.Gap())
			u.Number("limit", u.Field(r.TakeTop(u.FieldH()), "Lower limit"), &g.limit,
				widgets.NumberAs{Min: 0, Max: 2000, Step: 5, Decimals: 1, Unit: "µm", Tip: "The specification's nominal thickness is 160 µm."})
		case 2:
			r.TakeTop(u.Paragraph(r, "A foil laid on bare metal must lie flat: bent or stacked foils trap air, and each micrometre of air reads as a micrometre of coating."))
			r.TakeTop(u.Gap())
			u.SmallParagraph(r, "µ ± ² ≤ ≥ Δ σ ° – … × → ½ Ω √ ∞ ‰\nŁódź, Tromsø, Győr, Plzeň, İzmir")
		}
	})
}

func (g *Gallery) lists(r paint.Rect) float64 {
	u := g.UI
	cols := []widgets.Column{{Title: "Spot", Width: 50, Align: paint.Right}, {Title: "Place", Share: 1},
		{Title: "Mean, µm", Width: 84, Align: paint.Right}, {Title: "s, µm", Width: 60, Align: paint.Right}}
	return g.panels(r, 480, 420, []string{"Table", "List"}, func(i int, r paint.Rect) {
		switch i {
		case 0:
			u.Table("table", r, cols, 200, &g.row, func(row, col int) string {
				switch col {
				case 0:
					return u.Num(float64(row+1), 0)
				case 1:
					return []string{"car deck, frame 41", "ramp hinge", "bulwark, port side"}[row%3]
				case 2:
					return u.Num(150+20*math.Sin(float64(row)), 1)
				}
				return u.Num(2+math.Sin(float64(row))/2, 2)
			})
		case 1:
			u.List("list", r, 40, u.Px(44), &g.line, func(i int, r paint.Rect) {
				u.Badge(r.TakeRight(u.Px(92)), []string{"passed", "look again", "failed"}[i%3], []widgets.Tone{widgets.Good, widgets.Warn, widgets.Bad}[i%3])
				u.Line(r.TakeTop(r.H*0.55), []string{"Car deck", "Ramp hinge", "Bulwark"}[i%3], u.Strong(), u.Theme.Ink, paint.Left)
				u.Note(r, "painted panel, five spots")
			})
		}
	})
}

func (g *Gallery) charts(r paint.Rect) float64 {
	u := g.UI
	parts := []widgets.Bar{{Label: "zero taken on the coat", Value: -8.4, Tone: widgets.Bad}, {Label: "near an edge", Value: 3.2, Tone: widgets.Warn},
		{Label: "probe tilted", Value: 5.1, Tone: widgets.Warn}, {Label: "texture", Value: 1.3, Tone: widgets.Plain}, {Label: "noise", Value: -0.2, Tone: widgets.Plain}}
	return g.panels(r, 480, 340, []string{"Readings", "Error by cause", "Parts", "Empty scale"}, func(i int, r paint.Rect) {
		switch i {
		case 0:
			p := u.NewPlot(r, widgets.Axis{Lo: 0, Hi: 240, Label: "foil, µm"}, widgets.Axis{Lo: 0, Hi: 160, Label: "indication, µm"})
			p.Band(70, 110, u.Theme.Good)
			p.Line(g.xs, g.smooth, u.Px(2), u.Theme.Truth)
			p.Crosses(g.xs, g.ys, u.Px(8), u.Theme.Act)
			p.Level(130, "upper limit", u.Theme.Bad)
		case 1:
			u.Waterfall("causes", r, parts, "error of the mean", 1, "µm")
		case 2:
			u.Bars(r, parts, 1, "µm")
		case 3:
			u.NewPlot(r, widgets.Axis{Lo: -0.02, Hi: 0.013, Label: "share"}, widgets.Axis{Lo: 1e5, Hi: 4e5})
		}
	})
}

func (g *Gallery) messages(r paint.Rect) float64 {
	u := g.UI
	tones := []widgets.Tone{widgets.Plain, widgets.Act, widgets.Truth, widgets.Good, widgets.Warn, widgets.Bad}
	banners := []string{"Set the probe down square to the surface.", "The coat was 84.5 µm here; you read 90.",
		"The foil check lies within its limits.", "The spread is larger than the texture explains.", "The zero was taken on paint."}
	words := []string{"plain", "your turn", "truth", "good", "look again", "failed"}
	return g.panels(r, 330, 470, []string{"Tags and banners", "Dialogs and notices", "Colours"}, func(i int, r paint.Rect) {
		switch i {
		case 0:
			at := r.TakeTop(u.Px(28))
			for k, t := range tones {
				if at.W < u.Px(110) {
					at = r.TakeTop(u.Px(28))
				}
				at.TakeLeft(u.Badge(at, words[k], t) + u.Px(8))
			}
			r.TakeTop(u.Gap())
			for k, t := range tones[1:] {
				r.TakeTop(u.Banner(r, banners[k], t) + u.Gap())
			}
		case 1:
			if u.Button("dialog", g.next(&r), "Open a dialog") {
				g.dialog = true
			}
			if u.Button("confirm", g.next(&r), "Ask a question") {
				g.confirm = true
			}
			for k, t := range tones[3:] {
				u.Scope("notice", k)
				if u.Button("show", g.next(&r), words[k+3]) {
					u.Notify(t, "The second foil of the pair is still on the bench.")
				}
				u.EndScope()
			}
		case 2:
			g.swatches(r)
		}
	})
}

func (g *Gallery) swatches(r paint.Rect) {
	u, th := g.UI, g.UI.Theme
	colors := []paint.Color{th.Ink, th.InkSoft, th.InkOff, th.Edge, th.Line, th.Paper, th.Act, th.ActTint, th.Truth, th.TruthTint,
		th.Good, th.GoodTint, th.Warn, th.WarnTint, th.Bad, th.BadTint, th.Focus, th.Series[4]}
	for k, c := range colors {
		at := r.Column(k%6, 6, u.Px(6))
		at.Y += float64(k/6) * u.Px(46)
		at.H = u.Px(40)
		u.L.Rect(at, c)
		u.L.Frame(at, th.Hairline, th.Edge)
	}
}

func (g *Gallery) dialogs() {
	u := g.UI
	if g.dialog {
		in := u.BeginModal("why", "Why zero on bare metal first?", 520, 300)
		foot := in.TakeBottom(u.RowH())
		u.Paragraph(in, "The gauge knows only its own curve. Zero tells it where this metal, this shape and this probe begin; a foil then tells it the slope.")
		if u.Primary("done", foot.TakeRight(u.ButtonW("Understood")), "Understood") {
			g.dialog = false
		}
		foot.TakeRight(u.Gap())
		u.CheckBox("again", foot, "Do not show again", &g.off)
		if u.EndModal() {
			g.dialog = false
		}
	}
	if g.confirm {
		yes, no := u.Confirm("leave", "Abandon the attempt?", "What was measured so far stays in the log, but the attempt counts as not finished.", "Abandon", "Go on measuring", true)
		if yes || no {
			g.confirm = false
		}
	}
}
