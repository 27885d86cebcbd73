package screens

import (
	"fmt"

	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
	"foilwright/sim/part"
)

// drawTray draws what lies on the bench: pieces, foils and the cloth.
// It returns the height used.
func (a *App) drawTray(r paint.Rect) float64 {
	u, s := a.ui, a.sitting
	top := r.Y
	number := 1
	in := r
	in.H = 1e6
	a.trayHead(&in, say.T("PIECES"))
	for i := range len(s.exercise.References) + 1 {
		p := &s.exercise.Part
		if i > 0 {
			p = &s.exercise.References[i-1]
		}
		u.Scope("piece", i)
		a.trayPiece(in.TakeTop(a.trayPieceH(p, in.W)), p, i == 0, number)
		u.EndScope()
		in.TakeTop(u.Px(5))
		number++
	}
	in.TakeTop(u.Px(4))
	a.trayHead(&in, say.T("FOILS"))
	for i := range s.exercise.Foils {
		u.Scope("foil", i)
		a.trayFoil(in.TakeTop(u.Px(36)), &s.exercise.Foils[i], number)
		u.EndScope()
		in.TakeTop(u.Px(5))
		number++
	}
	in.TakeTop(u.Px(4))
	a.trayProbes(&in)
	a.trayHead(&in, say.T("PROBE TIP"))
	a.trayCare(&in)
	return in.Y - top
}

// carded reports whether the card of a foil lies open.
func (a *App) carded() bool { return a.desk.card != "" && a.desk.card == a.desk.cardOf }

func (a *App) certificateH() float64 { return a.ui.Px(142) }

// trayProbes draws the probes on the bench where there is a choice.
func (a *App) trayProbes(in *paint.Rect) {
	u, s := a.ui, a.sitting
	probes := s.exercise.Offered()
	if len(probes) < 2 {
		return
	}
	a.trayHead(in, say.T("PROBES"))
	held := 0
	for i := range probes {
		on := s.view.Probe == probes[i].ID
		if on {
			held = i
		}
		u.Scope("probe", i)
		row := in.TakeTop(u.Px(36))
		a.note(probes[i].ID, row)
		if u.ButtonWith("take", row, "", widgets.ButtonAs{On: on, Tip: say.T("Take this probe; zero and foils are gone then")}) && !on {
			s.do(a.now, bench.Action{Do: bench.ChooseProbe, Item: probes[i].ID})
		}
		c := u.Theme.Ink
		if on {
			c = u.Theme.Paper
		}
		u.Line(row.InsetXY(u.Px(10), u.Px(4)), probes[i].Name, u.Small(), c, paint.Left)
		u.EndScope()
		in.TakeTop(u.Px(5))
	}
	if a.pressed("t") {
		s.do(a.now, bench.Action{Do: bench.ChooseProbe, Item: probes[(held+1)%len(probes)].ID})
	}
	in.TakeTop(u.Px(4))
}

func (a *App) trayHead(r *paint.Rect, s string) {
	a.caption(r.TakeTop(a.ui.Px(20)), s)
	r.TakeTop(a.ui.Px(5))
}

// balloon draws the number by which a thing on the tray is called.
func (a *App) balloon(x, y float64, n int, c paint.Color) {
	u := a.ui
	u.L.Ring(x, y, u.Px(9), 1, c)
	f := paint.Font{Face: paint.Medium, Size: u.Px(11)}
	s := a.pen.Labels.Whole(n)
	u.L.Text(x-f.Width(s)/2, y+f.CapHeight()/2, s, f, c)
}

// digit reports whether the key with a thing's number was pressed.
func (a *App) digit(n int) bool { return n <= 9 && a.pressed(a.pen.Labels.Whole(n)) }

// trayThing draws a thing on the tray as a button with its number, marked when
// it is laid out, and returns the room right of the number.
func (a *App) trayThing(id string, r paint.Rect, tip string, number int, on bool) (in paint.Rect, chosen bool) {
	u := a.ui
	chosen = u.ButtonWith(id, r, "", widgets.ButtonAs{Tip: tip}) || a.digit(number)
	if on {
		u.L.Rect(r.Inset(1), u.Theme.ActTint)
		u.L.Rect(paint.R(r.X, r.Y, u.Px(4), r.H), u.Theme.Act)
	}
	in = r.InsetXY(u.Px(10), u.Px(6))
	a.balloon(in.X+u.Px(9), in.Y+in.H/2, number, u.Theme.Ink)
	in.TakeLeft(u.Px(24))
	return in, chosen
}

// pieceBeside is the room beside the name of a piece on the tray, before scaling.
const pieceBeside = 86

// trayCardW is the width of the button for a certificate.
func (a *App) trayCardW() float64 { return a.ui.ButtonW(say.T("Card")) - a.ui.Px(4) }

// trayPieceH is the height of a piece on a tray of a width: higher where a
// certificate beside it leaves its name little room, since what is marked on such
// a piece tells it from the next.
func (a *App) trayPieceH(spec *bench.PieceSpec, width float64) float64 {
	u := a.ui
	if spec.Coating.Known.CertifiedUm == 0 {
		return u.Px(46)
	}
	return max(u.Px(46), u.Small().Height(spec.Piece.Name, width-a.trayCardW()-u.Px(5+pieceBeside))+u.Px(10))
}

func (a *App) trayPiece(r paint.Rect, spec *bench.PieceSpec, isPart bool, number int) {
	u, s := a.ui, a.sitting
	p, coated := &spec.Piece, isPart || spec.Coating.Present()
	if spec.Coating.Known.CertifiedUm > 0 {
		card := r.TakeRight(a.trayCardW())
		r.TakeRight(u.Px(5))
		a.trayCard(card, p.ID, say.T("Read the certificate of this piece"))
	}
	a.note(p.ID, r)
	tip := ""
	if f := u.Small(); f.Height(p.Name, r.W-u.Px(pieceBeside)) > r.H-u.Px(8) {
		tip = p.Name // where it cannot be read whole
	}
	in, chosen := a.trayThing("place", r, tip, number, s.view.Piece == p.ID)
	if chosen {
		s.do(a.now, bench.Action{Do: bench.PlacePiece, Item: p.ID})
	}
	// The piece itself, small.
	w := u.Px(34)
	box := paint.R(in.X, in.Y+in.H/2-u.Px(10), w, u.Px(20))
	if p.Width/p.Height < 1.7 {
		box.H = min(box.W*p.Height/p.Width, in.H)
		box.Y = in.Y + (in.H-box.H)/2
	}
	fill := a.pen.Inks.Metal
	if coated {
		fill = a.pen.Inks.Film
	}
	u.L.Rect(box, fill)
	if !coated {
		u.L.Hatch(box, u.Px(4), 0, 1, u.Theme.InkSoft.Fade(0.35))
	}
	u.L.Frame(box, 1, u.Theme.Ink)
	in.TakeLeft(w + u.Px(8))
	f, name := u.Small(), s.ledger.whole[p.ID]
	if f.Height(name, in.W) > in.H+2 {
		f.Size *= 0.86 // three lines
	}
	h := min(f.Height(name, in.W), r.H)
	u.L.PushClip(r)
	u.L.TextBlock(paint.R(in.X, r.Y+(r.H-h)/2, in.W, h), name, f, u.Theme.Ink, paint.Left)
	u.L.PopClip()
}

func (a *App) trayFoil(r paint.Rect, f *part.FoilSpec, number int) {
	u, s := a.ui, a.sitting
	on, below := s.view.Foil == f.ID, s.view.Below == f.ID
	card := r.TakeRight(a.trayCardW())
	r.TakeRight(u.Px(5))
	label := a.foilLabel(f)
	a.note(f.ID, r)
	in, chosen := a.trayThing("lay", r, say.T("Lay the foil on the piece, or take it away"), number, on || below)
	if chosen {
		act := bench.Action{Do: bench.LayFoil, Item: f.ID}
		if on {
			act = bench.Action{Do: bench.TakeFoilAway}
		}
		s.do(a.now, act)
	}
	if below {
		u.Line(in.TakeRight(u.Small().Width(say.T("under"))), say.T("under"), u.Small(), u.Theme.InkSoft, paint.Left)
	}
	if box := paint.R(in.X, in.Y+in.H/2-u.Px(8), u.Px(34), u.Px(16)); !below || in.W > u.Px(42)+u.Small().Width(label) {
		u.L.RoundRect(box, u.Px(3), a.pen.Inks.Foil)
		u.L.RoundFrame(box, u.Px(3), 1, u.Theme.Ink)
		in.TakeLeft(u.Px(42))
	}
	u.Line(in, label, u.Small(), u.Theme.Ink, paint.Left)
	a.trayCard(card, f.ID, say.T("Read the certificate of this foil"))
}

// trayCard draws the button that opens and closes the certificate of a foil or a
// coated piece.
func (a *App) trayCard(r paint.Rect, id, tip string) {
	a.noteOf("card-", id, r)
	open := a.desk.card == id
	if !a.ui.ButtonWith("card", r, say.T("Card"), widgets.ButtonAs{On: open, Tip: tip}) {
		return
	}
	if open {
		a.desk.card = ""
	} else if a.sitting.do(a.now, bench.Action{Do: bench.ReadCertificate, Item: id}) {
		a.desk.card = id
	}
}

// foilLabel is what is printed on a foil.
func (a *App) foilLabel(f *part.FoilSpec) string {
	return a.sitting.ledger.names[f.ID]
}

// writeCard writes the certificate of a foil or a coated piece.
func (a *App) writeCard(f *part.FoilSpec) {
	d, un := &a.desk, a.units()
	marked := say.T("foil marked")
	if _, piece := a.sitting.exercise.Known(f.ID, ""); piece {
		marked = say.T("piece marked")
	}
	date := say.T("in date")
	if !f.Valid {
		date = say.T("out of date")
	}
	d.cardOf, d.title = f.ID, say.T("Certificate %s", f.Certificate)
	d.rows = [4]formRow{
		{marked, un.plain(f.LabelUm) + " " + un.name()},
		{say.T("certified value"), un.um(f.CertifiedUm) + " " + un.name()},
		{say.T("uncertainty U (k = 2)"), fmt.Sprintf("± %s %s", un.um(f.ExpandedUm), un.name())},
		{say.T("validity"), date},
	}
}

// certificate draws the card of a foil and returns its height.
func (a *App) certificate(r paint.Rect) float64 {
	u, d := a.ui, &a.desk
	r.H = a.certificateH()
	u.L.Rect(r, u.Theme.Well)
	u.L.Frame(r, u.Px(1.5), u.Theme.Ink)
	u.L.Frame(r.Inset(u.Px(4)), 1, u.Theme.Ink)
	in := r.Inset(u.Px(12))
	u.Line(in.TakeTop(u.Px(20)), d.title, u.Strong(), u.Theme.Ink, paint.Left)
	for i, l := range d.rows {
		row := in.TakeTop(u.Px(23))
		u.L.Rule(row.X, row.Y, row.Right(), row.Y, 1, u.Theme.Line)
		f := u.Small()
		if i == 1 {
			f = u.Strong() // the value that is to be set
		}
		u.L.TextIn(row.TakeRight(f.Width(l.text)+1), l.text, f, u.Theme.Ink, paint.Right)
		u.Line(row, l.name, u.Small(), u.Theme.InkSoft, paint.Left)
	}
	return r.H
}
