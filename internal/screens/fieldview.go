package screens

import (
	"fmt"
	"math"

	"foilwright/internal/paint"
	"foilwright/internal/picture"
	"foilwright/internal/say"
	"foilwright/sim/bench"
	"foilwright/sim/field"
	"foilwright/sim/part"
)

// fieldView shows the field under the probe: here, and on the place of the last
// adjustment. It knows nothing of the hidden film: both sections carry the film
// of the job sheet. Nil pictures mean that it is switched off.
type fieldView struct {
	on    bool
	fault string
	probe string // design the pictures are made for

	here, there           *field.Picture
	panelHere, panelThere picture.FieldPanel
	labelHere, labelThere [2]string // name and signal
	why                   string
	note                  string // what of the picture is an approximation, or not drawn
	text                  string // both

	shown   fieldShown // what is drawn, so that a frame in which little moves works nothing out
	shownMs int64      // attempt time at which it was worked out
	at      standing   // of the adjustment
}

// fieldShown is what a picture was worked out for.
type fieldShown struct {
	piece, foil, probe string
	adjustings         int
	mil                bool
	spot               fieldSpot
}

// fieldSpot is how the probe stands, for the field.
type fieldSpot struct {
	place    field.Place // EdgeDistance beyond reach is NoEdge
	height   float64     // above what lies on the metal, m
	lean     float64     // along the section, radians
	along    [2]float64  // the way of the section on the piece, toward what it shows
	left     bool        // that lies at the left
	touching bool
	shown    shown

	of   [field.MostBeside]*part.Feature // what each one in place.Beside is
	bent bool                            // on a bend of the piece
}

const degree = math.Pi / 180

// The probe counts as where it was until it has gone as far as this.
const (
	fieldReach            = 4       // how far away an edge is still seen, in outer radii of the winding
	fieldMoved            = 0.15e-3 // toward an edge, m
	fieldLifted           = 0.08    // share of the height
	fieldLeaned           = 2 * degree
	fieldAway             = 30e-3 // higher up nothing changes
	fieldEveryMs          = 60    // while the probe moves
	assessedView say.Text = "the field is not shown in an assessment"
)

// toggleField switches the view of the field on or off.
func (a *App) toggleField() {
	f, s := &a.desk.field, a.sitting
	if s.Assessment {
		s.refusal = say.T(assessedView)
		return
	}
	if f.on {
		f.on = false
		return
	}
	a.slowly(say.T("Working out the field"), func() {
		f.on = true
		f.shown = fieldShown{}
		a.prepareField()
	})
}

// prepareField makes the pictures of the probe in hand.
func (a *App) prepareField() {
	f, s := &a.desk.field, a.sitting
	piece := s.view.Piece
	if piece == "" {
		piece = s.World.Part.ID
	}
	sense, err := s.World.Sense(s.view.Probe, piece)
	if err == nil && (f.probe != sense.Design.ID || f.here == nil) {
		f.probe = sense.Design.ID
		if f.here, err = sense.Sensor.NewPicture(field.FrameFor(sense.Design.Head)); err == nil {
			f.there = f.here.Another()
		}
	}
	if p := s.World.Piece(piece); err == nil && p != nil {
		err = prepareGrounds(f.here, p, sense.Design.Head)
	}
	f.fault = ""
	if err != nil {
		f.fault = err.Error()
	}
}

// prepareGrounds makes ready what the pictures of a piece need of its holes, steps, welds and walls, so that none has to
// be made while the probe moves.
func prepareGrounds(q *field.Picture, p *part.Piece, h field.Head) error {
	if err := q.On(p.Base()); err != nil {
		return err
	}
	near, far := 0.05*q.Frame().Half, 0.95*q.Frame().Half
	var err error
	ready := func(f ...field.Feature) {
		var beside [field.MostBeside]field.Feature
		copy(beside[:], f)
		if e := q.Prepare(beside); e != nil {
			err = e
		}
	}
	for i := range p.Features {
		f := &p.Features[i]
		switch f.Kind {
		case part.Hole:
			ready(field.Hole(near, f.Radius))
		case part.Step:
			ready(field.StepDown(near, f.Height))
			ready(field.StepUp(near, f.Height))
		case part.Weld:
			// Beside it, from near and where its far side no longer counts; and on it.
			ready(field.StepUp(near, f.Height), field.StepDown(near+f.Width, f.Height))
			ready(field.StepUp(far, f.Height), field.StepDown(far+f.Width, f.Height))
			ready(field.StepDown(f.Width/2, f.Height), field.StepDown(f.Width/2, f.Height))
		}
	}
	for _, side := range [4]part.Ending{p.Sides.Left, p.Sides.Right, p.Sides.Bottom, p.Sides.Top} {
		if side == part.Wall {
			ready(h.Wall(near))
			break
		}
	}
	return err
}

// spotOf tells how a probe at a place on a piece stands, for the field. X, y and
// height are metres, tilts radians along x and y. Reach is how far away an edge
// is still seen.
func spotOf(p *part.Piece, x, y, height, tiltX, tiltY, reach float64) fieldSpot {
	q := fieldSpot{height: height, along: [2]float64{1, 0}}
	q.place = field.Place{EdgeDistance: field.NoEdge, Curvature: p.Curvature(), Tilt: math.Hypot(tiltX, tiltY)}
	nearest := math.Inf(1)
	for i, d := range [4]float64{x, p.Width - x, y, p.Height - y} {
		if [4]part.Ending{p.Sides.Left, p.Sides.Right, p.Sides.Bottom, p.Sides.Top}[i] == part.FreeEdge {
			nearest = math.Min(nearest, d)
		}
	}
	if nearest < reach {
		bench.SetEdges(&q.place, reach/fieldReach, p, x, y)
		q.place.EdgeDistance = math.Max(nearest, 0)
	}
	q.of = bench.Surround(&q.place, reach/fieldReach, p, x, y)
	q.bent = q.place.Curvature != p.Curvature()
	q.show(p, x, y, reach)
	q.left = q.along[0] < -1e-9 || math.Abs(q.along[0]) < 1e-9 && q.along[1] < 0
	q.lean = tiltX*q.along[0] + tiltY*q.along[1]
	return q
}

// near reports whether a picture worked out for p still shows q.
func (p *fieldSpot) near(q *fieldSpot) bool {
	edge := p.place.EdgeDistance == q.place.EdgeDistance || math.Abs(p.place.EdgeDistance-q.place.EdgeDistance) < fieldMoved
	lift := p.height == q.height || math.Abs(p.height-q.height) < fieldLifted*math.Min(p.height, q.height)
	wall := p.place.WallNearness == q.place.WallNearness || math.Abs(1/p.place.WallNearness-1/q.place.WallNearness) < fieldMoved
	turned := p.along[0]*q.along[0]+p.along[1]*q.along[1] < math.Cos(fieldLeaned)
	for i, f := range p.place.Beside {
		g := q.place.Beside[i]
		wall = wall && p.of[i] == q.of[i] && f.Kind == g.Kind && math.Abs(f.Distance-g.Distance) < fieldMoved
	}
	return edge && lift && wall && p.bent == q.bent && p.touching == q.touching && !turned && p.shown.kind == q.shown.kind &&
		math.Abs(p.lean-q.lean) < fieldLeaned && math.Abs(p.place.Tilt-q.place.Tilt) < fieldLeaned
}

// followField works the pictures out anew when the probe has gone on to another place.
func (a *App) followField() {
	f, s := &a.desk.field, a.sitting
	piece := s.piece()
	if f.fault != "" || f.here == nil || piece == nil {
		return
	}
	k := s.held()
	reach := fieldReach * f.panelHere.Head.Coil.OuterRadius
	if reach == 0 {
		reach = f.here.Frame().Half
	}
	now := fieldShown{piece: s.view.Piece, foil: s.view.Foil, probe: s.view.Probe, adjustings: len(s.Bench.Record().Adjustings), mil: a.settings.Mil}
	now.spot = spotOf(piece, k.X*1e-3, k.Y*1e-3, math.Min(k.Height*1e-3, fieldAway), k.TiltY*degree, k.TiltX*degree, reach)
	now.spot.touching = k.Height == 0
	was := &f.shown
	fresh := now.piece != was.piece || now.foil != was.foil || now.probe != was.probe || now.adjustings != was.adjustings || now.mil != was.mil
	if !fresh {
		if was.spot.near(&now.spot) || now.spot.touching == was.spot.touching && s.lastMs-f.shownMs < fieldEveryMs {
			return
		}
	} else if a.prepareField(); f.fault != "" {
		return
	}
	f.shown, f.shownMs = now, s.lastMs
	if err := a.workOutField(piece, &now.spot, reach, fresh); err != nil {
		f.fault = err.Error()
	}
}

// standing is where the instrument was adjusted: on a piece, or on the metal of
// its built-in curve.
type standing struct {
	name  string
	base  field.Base
	over  *field.Over
	place field.Place
	spot  fieldSpot
}

// adjustedAt is the place of the last zero or foil adjustment.
func (a *App) adjustedAt(sense *bench.Sense, reach float64) standing {
	s := a.sitting
	r := s.Bench.Record()
	for i := len(r.Adjustings) - 1; i >= 0; i-- {
		g := &r.Adjustings[i]
		p := s.World.Piece(g.Piece)
		if p == nil || len(g.Contacts) == 0 {
			continue
		}
		at, err := s.World.Sense(s.view.Probe, g.Piece)
		if err != nil || at.Design.ID != sense.Design.ID {
			continue // the other principle of the probe
		}
		c := &r.Contacts[g.Contacts[len(g.Contacts)-1]]
		spot := spotOf(p, float64(c.XUm)*1e-6, float64(c.YUm)*1e-6, 0, c.TiltDeg*degree, 0, reach)
		return standing{name: p.Name, base: p.Base(), over: at.Over, place: spot.place, spot: spot}
	}
	return standing{name: say.T("thick, flat, no edge"), base: sense.Design.Standard, over: sense.Standard,
		place: field.Flat(0), spot: fieldSpot{place: field.Flat(0), along: [2]float64{1, 0}}}
}

// workOutField draws the section here, the one of the adjustment when that may
// be another (fresh), and writes what they come to.
func (a *App) workOutField(piece *part.Piece, spot *fieldSpot, reach float64, fresh bool) error {
	f, s, un := &a.desk.field, a.sitting, a.units()
	sense, err := s.World.Sense(s.view.Probe, piece.ID)
	if err != nil {
		return err
	}
	if fresh {
		f.at = a.adjustedAt(&sense, reach)
	}
	there := f.at
	cut := s.cut()
	film := 0.0
	if piece.Coating.Present() {
		film = cut.FilmUm
	}
	gap := (film + cut.FoilUm) * 1e-6

	panel := func(q *field.Picture, base field.Base, at *fieldSpot, height float64) (picture.FieldPanel, error) {
		if err := q.On(base); err != nil {
			return picture.FieldPanel{}, err
		}
		place := at.drawn(gap+height, sense.Design.Head)
		if math.Abs(place.Tilt) < fieldLeaned {
			place.Tilt = 0
		}
		if err := q.At(place); err != nil {
			return picture.FieldPanel{}, err
		}
		p := picture.FieldPanel{Field: q, Head: sense.Design.Head, Base: base, FilmUm: film, FoilUm: cut.FoilUm,
			Height: height, Tilt: place.Tilt, Left: at.left}
		if !math.IsInf(q.EdgeAt, 1) || !q.Ground.Even() {
			p.EdgeAt = at.shown.at
			p.Edge = fmt.Sprintf("%.1f mm", math.Abs(at.shown.at)*1e3)
		}
		return p, nil
	}
	if f.panelHere, err = panel(f.here, piece.Base(), spot, spot.height); err != nil {
		return err
	}
	f.panelHere.Touch = spot.touching
	if fresh {
		if f.panelThere, err = panel(f.there, there.base, &there.spot, 0); err != nil {
			return err
		}
		for _, j := range f.there.Current {
			f.panelThere.Most = math.Max(f.panelThere.Most, j)
		}
	}
	f.panelHere.Most = f.panelThere.Most

	set := spot.place
	if !spot.touching {
		set.Tilt = 0 // how it will stand is not known yet
	}
	set.Gap, there.place.Gap = gap, gap
	signal := sense.Over.Amplitude(set) / there.over.Amplitude(there.place)
	f.labelThere = [2]string{there.name, say.T("signal 100 %")}
	f.labelHere = [2]string{piece.Name, say.T("signal %.1f %%", 100*signal)}
	f.why = whyField(&there, &standing{base: piece.Base(), over: sense.Over, place: set, spot: *spot}, un, spot.touching)
	f.note = spot.note(!f.here.Ground.Even() || !math.IsInf(f.here.EdgeAt, 1))
	f.text = f.why
	if f.note != "" {
		f.text += " " + f.note
	}
	return nil
}

// apparentUm is by how much an instrument adjusted at one place reads high at
// another, film and foil being the same, in µm of apparent thickness.
func apparentUm(there, here *standing) float64 {
	signal := here.over.Amplitude(here.place)
	at := there.place
	read := func(gap float64) float64 {
		at.Gap = gap
		return there.over.Amplitude(at)
	}
	own := there.place.Gap
	if zero := read(0); signal >= zero {
		// Above the bare metal's signal: on the tangent there, as the instrument does.
		const step = 1e-6
		return (-(signal-zero)/(zero-read(step))*step - own) * 1e6
	}
	low, high := 0.0, field.FarGap
	for range 48 {
		if middle := (low + high) / 2; read(middle) > signal {
			low = middle
		} else {
			high = middle
		}
	}
	return ((low+high)/2 - own) * 1e6
}

const (
	fieldNone   say.Text = "Place a piece from the tray: the field is drawn where the probe stands over it."
	fieldBeside say.Text = "There is no metal under the probe here."
)

// layField makes room for the view of the field: it takes the place of section
// and enlarged tip and, where they are low, what the plan can spare.
func (a *App) layField(lay *benchLayout) paint.Rect {
	u := a.ui
	r := lay.section
	if !lay.small {
		r.W = lay.detail.Right() - r.X
	}
	want := u.Px(20) + 4*u.Small().LineHeight() + math.Min(r.W/2*0.7, u.Px(210))
	if more := math.Min(want-r.H, lay.plan.H-u.Px(165)); more > 0 {
		lay.plan.H -= more
		lay.grip.Y -= more
		r.Y -= more
		r.H += more
	}
	return r
}

// drawField draws the view of the field.
func (a *App) drawField(r paint.Rect) {
	u, f, s := a.ui, &a.desk.field, a.sitting
	a.followField()
	u.L.Rect(r, u.Theme.Sheet)
	u.L.Frame(r, u.Theme.Hairline, u.Theme.Edge)
	a.caption(r, say.T("FIELD"))
	in := r.Inset(1)
	in.TakeTop(u.Px(20))
	text := f.text
	switch {
	case f.fault != "":
		text = f.fault
	case s.view.Piece == "" || f.panelHere.Field == nil:
		text = say.T(fieldNone)
	case s.held().Beside:
		text = say.T(fieldBeside)
	}
	width := in.W - u.Px(16)
	foot := in.TakeBottom(math.Max(u.Small().Height(text, width), 2*u.Small().LineHeight())+u.Px(8)).InsetXY(u.Px(8), u.Px(3))
	u.L.Rect(paint.R(r.X+1, foot.Y, u.Px(3), foot.H), u.Theme.Truth)
	u.L.TextBlock(foot, text, u.Small(), u.Theme.Ink, paint.Left)
	if text != f.text {
		return
	}
	a.drawFieldPanels(in)
}

// drawFieldPanels draws both sections, or where there is little room the one
// here alone.
func (a *App) drawFieldPanels(in paint.Rect) {
	u, f := a.ui, &a.desk.field
	gap := u.Px(8)
	there, here := in.Column(0, 2, gap).InsetXY(u.Px(6), 0), in.Column(1, 2, gap).InsetXY(u.Px(6), 0)
	small := u.Small()
	strong := paint.Font{Face: paint.Medium, Size: small.Size}
	// Both have the same lines of writing, so that they are drawn to one scale.
	apart := strong.Width(say.T(fieldThere))+gap+strong.Width(f.labelThere[1]) > there.W
	head := small.LineHeight()
	if apart {
		head *= 2
	}
	named := small.Width(f.labelThere[0]) <= there.W && small.Width(f.labelHere[0]) <= here.W && in.H-head > u.Px(150)
	if in.H-head < u.Px(60) {
		a.drawFieldPanel(in.InsetXY(u.Px(6), 0), say.T(fieldHere), &f.labelHere, &f.panelHere, false, false)
		return
	}
	a.drawFieldPanel(there, say.T(fieldThere), &f.labelThere, &f.panelThere, apart, named)
	mid := in.X + in.W/2
	u.L.Rule(mid, in.Y+u.Px(4), mid, in.Bottom()-u.Px(4), 1, u.Theme.Line)
	a.drawFieldPanel(here, say.T(fieldHere), &f.labelHere, &f.panelHere, apart, named)
}

// The names of the two sections.
const (
	fieldThere say.Text = "as adjusted"
	fieldHere  say.Text = "here"
)

// drawFieldPanel draws a section with its name and signal, one below the other
// when apart, and the piece's name below that.
func (a *App) drawFieldPanel(r paint.Rect, name string, label *[2]string, p *picture.FieldPanel, apart, named bool) {
	u := a.ui
	f := u.Small()
	strong := paint.Font{Face: paint.Medium, Size: f.Size}
	line := r.TakeTop(f.LineHeight())
	if apart {
		u.L.TextIn(r.TakeTop(f.LineHeight()), label[1], strong, u.Theme.Truth, paint.Left)
	} else {
		u.L.TextIn(line.TakeRight(strong.Width(label[1])), label[1], strong, u.Theme.Truth, paint.Right)
	}
	u.L.TextIn(line, name, strong, u.Theme.Ink, paint.Left)
	if named {
		u.L.TextIn(r.TakeTop(f.LineHeight()), label[0], f, u.Theme.InkSoft, paint.Left)
	}
	r.TakeTop(u.Px(2))
	a.pen.DrawField(r, p)
}
