package report

import (
	"fmt"

	"foilwright/sim/bench"
)

// Lanes of the time line, from top to bottom.
const (
	LanePrepare = "prepare"
	LaneZero    = "zero"
	LaneFoil    = "foil"
	LaneVerify  = "verify"
	LaneMeasure = "measure"
	LaneReport  = "report"
)

var lanes = []string{LanePrepare, LaneZero, LaneFoil, LaneVerify, LaneMeasure, LaneReport}

// Moment is one step of the work. Readings are the times of the readings that
// belong to it.
type Moment struct {
	Lane     string  `json:"lane"`
	From     int64   `json:"from_ms"`
	To       int64   `json:"to_ms"`
	First    int     `json:"first_entry"`
	Last     int     `json:"last_entry"`
	What     string  `json:"what"`
	Readings []int64 `json:"readings_ms"`
	Refused  bool    `json:"refused"` // the bench would not do it
}

// walk follows the entries and gathers them into steps.
type walk struct {
	b    *builder
	list []Moment
	open int // the step that readings now belong to, as 1 + its index; 0: none
	mode bench.Mode
	// What a place or lay-foil said last.
	piece, foil string
	below       string // foil under that one
}

func (b *builder) timeline() []Moment {
	w := walk{b: b, mode: bench.Measuring, list: []Moment{}}
	for i := range b.r.Entries {
		w.entry(&b.r.Entries[i])
	}
	w.end(b.lasted(), len(b.r.Entries))
	for i := range w.list {
		w.list[i].What = plain(w.list[i].What, sentenceLimit)
		if w.list[i].Readings == nil {
			w.list[i].Readings = []int64{}
		}
	}
	return w.list
}

// point adds a step that takes no time.
func (w *walk) point(e *bench.Entry, lane, what string) {
	w.list = append(w.list, Moment{Lane: lane, From: e.Action.At, To: e.Action.At, First: e.N, Last: e.N, What: what})
}

// begin opens a step that takes time.
func (w *walk) begin(e *bench.Entry, lane, what string) {
	w.end(e.Action.At, e.N-1)
	w.point(e, lane, what)
	w.open = len(w.list)
}

// end closes the open step.
func (w *walk) end(at int64, entry int) {
	if w.open == 0 {
		return
	}
	m := &w.list[w.open-1]
	if m.Lane == LaneMeasure {
		m.What = fmt.Sprintf("Measured: %s on %s", count(len(m.Readings), "reading"), m.What)
		if n := len(m.Readings); n > 0 {
			at = m.Readings[n-1]
		}
	} else if m.Last == m.First {
		m.What += ", not carried through"
	}
	m.To, m.Last = max(at, m.From), max(entry, m.Last)
	w.open = 0
}

// finish closes the open step with what came of it.
func (w *walk) finish(e *bench.Entry, lane, what string) {
	if w.open == 0 || w.list[w.open-1].Lane != lane {
		w.point(e, lane, what)
		return
	}
	m := &w.list[w.open-1]
	m.What = fmt.Sprintf("%s: %s", what, count(len(m.Readings), "reading"))
	if w.piece != "" {
		m.What += " on " + w.piece
	}
	if w.foil != "" && lane != LaneZero {
		m.What += " with " + w.foil
	}
	m.To, m.Last = e.Action.At, e.N
	w.open = 0
}

func (w *walk) entry(e *bench.Entry) {
	for _, v := range e.Events {
		switch v.Kind {
		case bench.Refused:
			w.point(e, laneOf(e.Action.Do), fmt.Sprintf("Refused (%s): %s", e.Action.Do, v.Text))
			w.list[len(w.list)-1].Refused = true
			return
		case bench.ReadingNew:
			w.reading(e)
		}
	}
	a := &e.Action
	switch a.Do {
	case bench.ReadJob:
		w.point(e, LanePrepare, "Read the job sheet")
	case bench.LookAtTip:
		w.point(e, LanePrepare, "Looked at the tip")
	case bench.WipeTip:
		w.point(e, LanePrepare, "Wiped the tip")
	case bench.LookAtPiece:
		w.point(e, LanePrepare, "Looked "+w.piece+" over")
	case bench.WipePiece:
		w.point(e, LanePrepare, "Wiped "+w.piece)
	case bench.Demagnetise:
		w.point(e, LanePrepare, "Demagnetised "+w.piece)
	case bench.LookAtFoil:
		w.point(e, LanePrepare, "Looked at "+w.foilName(a.Item))
	case bench.WipeFoil:
		w.point(e, LanePrepare, "Wiped "+w.foilName(a.Item))
	case bench.SmoothFoil:
		w.point(e, LanePrepare, "Smoothed the foil down")
	case bench.ReadCertificate:
		w.point(e, LanePrepare, "Read the certificate of "+w.foilName(a.Item))
	case bench.ClearMemory:
		w.end(a.At, e.N-1)
		w.point(e, LanePrepare, "Cleared the memory")
	case bench.PlacePiece:
		w.piece, w.foil, w.below = w.pieceName(a.Item), "", ""
		w.closeMeasuring(e)
		w.point(e, LanePrepare, "Placed "+w.piece)
	case bench.LayFoil:
		under := w.foil
		w.foil = w.foilName(a.Item)
		if w.below = under; under != "" {
			w.point(e, LanePrepare, "Laid "+w.foil+" on "+under)
			return
		}
		w.point(e, LanePrepare, "Laid "+w.foil+" on it")
	case bench.TakeFoilAway:
		w.foil, w.below = w.below, ""
		w.point(e, LanePrepare, "Took the foil away")
	case bench.BeginZero:
		w.mode = bench.Zeroing
		w.begin(e, LaneZero, "Began to zero")
	case bench.StoreZero:
		w.mode = bench.Measuring
		w.finish(e, LaneZero, "Zero stored")
	case bench.BeginFoil:
		w.mode = bench.Foiling
		w.begin(e, LaneFoil, "Began a foil adjustment")
	case bench.SetFoilValue:
		on := "foil"
		if w.foil == "" {
			on = "coated piece"
		}
		w.point(e, LaneFoil, fmt.Sprintf("Set %s µm for the %s", Number(float64(a.Counts)*w.b.res).short(), on))
	case bench.StoreFoil:
		w.mode = bench.Measuring
		w.finish(e, LaneFoil, "Foil adjustment stored")
	case bench.BeginVerify:
		w.mode = bench.Verifying
		w.begin(e, LaneVerify, "Began a verification")
	case bench.JudgeVerify:
		w.mode = bench.Measuring
		what := fmt.Sprintf("Verification judged %s", a.Text)
		for _, v := range w.b.r.Verifications {
			if v.Entry == e.N {
				what += fmt.Sprintf(", mean %s µm", Number(v.MeanUm).fixed(1))
			}
		}
		w.finish(e, LaneVerify, what)
	case bench.BeginMeasure:
		w.mode = bench.Measuring
		w.end(a.At, e.N-1)
	case bench.ResetAdjustment:
		w.mode = bench.Measuring
		w.end(a.At, e.N-1)
		w.point(e, LaneZero, "Took the adjustment back to that of the maker")
	case bench.DeleteLast:
		reason := a.Text
		if reason == "" {
			reason = "no reason given"
		}
		w.point(e, LaneMeasure, "Deleted the last reading: "+reason)
	case bench.Report:
		w.end(a.At, e.N-1)
		less := ""
		if a.Allowance > 0 {
			less = fmt.Sprintf(", less %s µm for roughness", Number(float64(a.Allowance)*w.b.res).short())
		}
		w.point(e, LaneReport, fmt.Sprintf("Reported a mean of %s µm%s: %s", Number(float64(a.Counts)*w.b.res).short(), less, a.Text))
	case bench.Finish:
		w.end(a.At, e.N-1)
		w.point(e, LaneReport, "Finished")
	}
}

// reading adds a reading to the step it belongs to.
func (w *walk) reading(e *bench.Entry) {
	if w.open == 0 {
		if w.mode != bench.Measuring {
			return
		}
		w.begin(e, LaneMeasure, w.piece)
	}
	at := e.Action.At
	if c := w.b.r.ContactAt(e.N); c != nil {
		at = c.CapturedAt
	}
	m := &w.list[w.open-1]
	if m.Lane == LaneMeasure && at < m.From {
		m.From = at
	}
	m.Readings = append(m.Readings, at)
	m.Last = e.N
}

// closeMeasuring ends a step of measuring when another piece comes.
func (w *walk) closeMeasuring(e *bench.Entry) {
	if w.open > 0 && w.list[w.open-1].Lane == LaneMeasure {
		w.end(e.Action.At, e.N-1)
	}
}

func laneOf(v bench.Verb) string {
	switch v {
	case bench.BeginZero, bench.StoreZero, bench.ResetAdjustment:
		return LaneZero
	case bench.BeginFoil, bench.StoreFoil, bench.SetFoilValue:
		return LaneFoil
	case bench.BeginVerify, bench.JudgeVerify:
		return LaneVerify
	case bench.NewSpot, bench.DeleteLast, bench.MoveProbe, bench.BeginMeasure:
		return LaneMeasure
	case bench.Report, bench.Finish:
		return LaneReport
	}
	return LanePrepare
}

func (w *walk) pieceName(id string) string {
	if p := w.b.r.World.Piece(id); p != nil && p.Name != "" {
		return "“" + p.Name + "”"
	}
	return id
}

func (w *walk) foilName(id string) string {
	for _, f := range w.b.r.World.Foils {
		if f.ID == id {
			return fmt.Sprintf("the foil labelled %s µm", Number(f.LabelUm).short())
		}
	}
	return w.pieceName(id)
}

// count writes a number with its noun.
func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
