package screens

import (
	"foilwright/internal/paint"
	"foilwright/internal/say"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
)

// noticed is what the trainee was told by looking or by the cloth, by what was
// looked at. It goes when another piece or foil is in its place.
type noticed struct{ tip, piece, foil string }

// take keeps what an action showed.
func (n *noticed) take(a bench.Action, events []bench.Event) {
	for _, e := range events {
		if e.Kind == bench.Refused {
			return
		}
	}
	switch a.Do {
	case bench.PlacePiece:
		n.piece, n.foil = "", ""
	case bench.LayFoil, bench.TakeFoilAway:
		n.foil = ""
	case bench.SmoothFoil:
		n.foil = say.T("smoothed down: it lies flat")
	}
	for _, e := range events {
		if e.Kind != bench.Noticed {
			continue
		}
		switch a.Do {
		case bench.LookAtTip, bench.WipeTip:
			n.tip = e.Text
		case bench.LookAtPiece, bench.WipePiece, bench.Demagnetise:
			n.piece = e.Text
		case bench.LookAtFoil, bench.WipeFoil:
			n.foil = e.Text
		}
	}
}

// care is one thing to do to tip, piece or foil.
type care struct {
	id         string
	label, tip say.Text
	key        string
	act        bench.Action
}

var (
	tipCare = []care{
		{"look-tip", "Look", "Look at the tip through the magnifier", "L", bench.Action{Do: bench.LookAtTip}},
		{"wipe-tip", "Wipe", "Wipe the tip with the cloth", "W", bench.Action{Do: bench.WipeTip}},
	}
	pieceCare = []care{
		{"look-piece", "Look over", "Look for dust, take the temperature of the piece, and see whether a steel pin clings to it, as it does where steel is magnetised", "O", bench.Action{Do: bench.LookAtPiece}},
		{"wipe-piece", "Wipe", "Wipe the piece with the cloth", "I", bench.Action{Do: bench.WipePiece}},
	}
	demagnetise = []care{{"demagnetise", "Demagnetise", "Move the demagnetiser over the piece and draw it away", "Y", bench.Action{Do: bench.Demagnetise}}}
	foilCare    = []care{
		{"look-foil", "Look", "Look at the foil against the light", "A", bench.Action{Do: bench.LookAtFoil}},
		{"wipe-foil", "Wipe", "Wipe the foil with the cloth", "", bench.Action{Do: bench.WipeFoil}},
	}
	smoothing = []care{{"smooth-foil", "Smooth down", "Smooth down what lies on the piece", "=", bench.Action{Do: bench.SmoothFoil}}}
)

// restMs is how long a rest lets things take on the temperature of the room.
const restMs = 10 * 60_000

// trayCare draws what can be done to look after tip, piece, foil and time.
func (a *App) trayCare(in *paint.Rect) {
	u, s := a.ui, a.sitting
	a.careRow(in, tipCare)
	a.careWords(in, s.noticed.tip)
	if s.view.Piece != "" {
		in.TakeTop(u.Px(4))
		a.trayHead(in, say.T("PIECE ON THE BENCH"))
		a.careRow(in, pieceCare)
		if s.exercise.Demagnetiser {
			in.TakeTop(u.Px(5))
			a.careRow(in, demagnetise)
		}
		a.careWords(in, s.noticed.piece)
	}
	if s.view.Foil != "" {
		in.TakeTop(u.Px(4))
		a.trayHead(in, say.T("FOIL ON THE PIECE"))
		a.careRow(in, foilCare)
		in.TakeTop(u.Px(5))
		a.careRow(in, smoothing)
		if s.view.Below != "" {
			a.careWords(in, say.T("it lies on %s", s.ledger.names[s.view.Below]))
		}
		a.careWords(in, s.noticed.foil)
	}
	in.TakeTop(u.Px(4))
	a.trayHead(in, say.T("TIME"))
	row := in.TakeTop(u.RowH())
	a.note("rest", row)
	if u.ButtonWith("rest", row, say.T("Rest 10 minutes"), widgets.ButtonAs{Tip: say.T("Let 10 minutes pass, so that things take on the temperature of the room")}) {
		s.rest(a.now, restMs)
	}
}

// careRow draws buttons side by side.
func (a *App) careRow(in *paint.Rect, row []care) {
	u, s := a.ui, a.sitting
	r := in.TakeTop(u.RowH())
	places := [2]paint.Rect{r}
	if len(row) == 2 {
		places = a.pair(r, [2]string{say.T(row[0].label), say.T(row[1].label)}, [2]string{row[0].key, row[1].key})
	}
	for i, c := range row {
		at := places[i]
		fired := false
		if c.key == "" {
			a.note(c.id, at)
			fired = u.ButtonWith(c.id, at, say.T(c.label), widgets.ButtonAs{Tip: say.T(c.tip)})
		} else {
			fired = a.keyed(c.id, at, say.T(c.label), c.key, widgets.ButtonAs{Tip: say.T(c.tip)})
		}
		if fired {
			act := c.act
			if act.Do == bench.LookAtFoil || act.Do == bench.WipeFoil {
				act.Item = s.view.Foil
			}
			if s.do(a.now, act) {
				a.desk.card = "" // put down, since it would lie over what is found
			}
		}
	}
}

// careWords tells what was noticed.
func (a *App) careWords(in *paint.Rect, text string) {
	if text == "" {
		return
	}
	u := a.ui
	in.TakeTop(u.Px(4))
	in.TakeTop(u.SmallParagraph(paint.R(in.X, in.Y, in.W, 0), capital(text)+"."))
}

// rest lets time pass at once.
func (s *sitting) rest(nowMs, ms int64) {
	s.advance(nowMs)
	s.lastMs += ms
	s.startMs -= ms
	s.give(bench.Action{At: s.lastMs, Do: bench.Wait})
}
