package screens

import (
	"fmt"
	"strings"

	"foilwright/internal/say"
	"foilwright/sim/bench"
)

// lineKind says how a line of the ledger is written.
type lineKind uint8

const (
	lineHeading lineKind = iota // a step of the work
	lineReading
	lineNote   // something the trainee should notice
	lineResult // an adjustment or verification that was ended
)

// ledgerLine is one line of the instrument's paper strip.
type ledgerLine struct {
	kind   lineKind
	left   string
	counts int64 // of a reading or a result that has a figure
	figure bool
	struck bool // deleted or cleared: no longer in the memory
	inMem  bool // a reading that was stored in the memory
	setup  bool // tells what was laid out: it stands between steps, not in one
}

// ledger is everything the instrument has written in an attempt, oldest first.
// It holds only what the trainee could see.
type ledger struct {
	lines  []ledgerLine
	mode   bench.Mode
	spot   int
	inSpot int
	taken  int
	laid   int  // foils on the piece
	headed bool // the last heading is of measuring
	res    float64
	names  map[string]string // of pieces and foils, by id
	whole  map[string]string // of pieces, with numbers and their units kept on one line
}

// newLedger begins the strip with what was in the memory before the attempt.
func newLedger(e *bench.Exercise) *ledger {
	l := &ledger{mode: bench.Measuring, spot: 1, res: e.Instrument.ResolutionUm, names: map[string]string{}, whole: map[string]string{}}
	for _, p := range append([]bench.PieceSpec{e.Part}, e.References...) {
		l.names[p.Piece.ID] = p.Piece.Name
		l.whole[p.Piece.ID] = strings.ReplaceAll(p.Piece.Name, " mm", "\u00a0mm")
	}
	plain := units{resolutionUm: 1}
	for _, f := range e.Foils {
		l.names[f.ID] = say.T("foil %s µm", plain.plain(f.LabelUm))
	}
	if n := len(e.Instrument.EarlierReadingUm); n > 0 {
		l.add(ledgerLine{kind: lineHeading, left: say.T("in memory from before")})
		for i, um := range e.Instrument.EarlierReadingUm {
			l.add(ledgerLine{kind: lineReading, left: say.T("earlier %d", i+1), counts: int64(um/l.res + 0.5), figure: true, inMem: true})
		}
	}
	return l
}

func (l *ledger) add(line ledgerLine) { l.lines = append(l.lines, line) }

// take writes what came of one entry.
func (l *ledger) take(e bench.Entry) {
	for _, ev := range e.Events {
		l.event(e.Action, ev)
	}
	if refused(e.Events) {
		return
	}
	switch a := e.Action; a.Do {
	case bench.BeginZero:
		l.begin(bench.Zeroing, modeName(bench.Zeroing))
	case bench.BeginFoil:
		l.begin(bench.Foiling, modeName(bench.Foiling))
	case bench.BeginVerify:
		l.begin(bench.Verifying, modeName(bench.Verifying))
	case bench.BeginMeasure:
		l.begin(bench.Measuring, say.T("measure, spot %d", l.spot))
	case bench.SetFoilValue:
		l.add(ledgerLine{kind: lineNote, left: say.T("foil value set to"), counts: a.Counts, figure: true})
	case bench.NewSpot:
		l.spot, l.inSpot, l.headed = l.spot+1, 0, true
		l.add(ledgerLine{kind: lineHeading, left: say.T("spot %d", l.spot)})
	case bench.PlacePiece:
		l.laid = 0
		l.add(ledgerLine{kind: lineNote, setup: true, left: say.T("on: %s", l.names[a.Item])})
	case bench.LayFoil:
		if l.laid++; l.laid > 1 {
			l.add(ledgerLine{kind: lineNote, setup: true, left: say.T("%s laid on the other foil", l.names[a.Item])})
			return
		}
		l.add(ledgerLine{kind: lineNote, setup: true, left: say.T("%s laid on", l.names[a.Item])})
	case bench.SmoothFoil:
		l.add(ledgerLine{kind: lineNote, left: say.T("foil smoothed down")})
	case bench.TakeFoilAway:
		l.laid = max(0, l.laid-1)
		l.add(ledgerLine{kind: lineNote, setup: true, left: say.T("foil taken away")})
	case bench.StoreZero, bench.StoreFoil, bench.JudgeVerify, bench.ResetAdjustment:
		l.mode, l.taken = bench.Measuring, 0
	}
}

func (l *ledger) begin(m bench.Mode, heading string) {
	l.mode, l.taken, l.headed = m, 0, m == bench.Measuring
	l.add(ledgerLine{kind: lineHeading, left: heading})
}

func (l *ledger) event(a bench.Action, ev bench.Event) {
	switch ev.Kind {
	case bench.ReadingNew:
		line := ledgerLine{kind: lineReading, counts: ev.Counts, figure: true}
		if l.mode == bench.Measuring {
			if !l.headed { // measuring goes on by itself after a store or a verdict
				l.begin(bench.Measuring, say.T("measure, spot %d", l.spot))
			}
			l.inSpot++
			line.left, line.inMem = say.T("spot %d · %d", l.spot, l.inSpot), true
		} else {
			l.taken++
			line.left = fmt.Sprintf("%s %d", modeName(l.mode), l.taken)
		}
		if ev.Text != "" {
			line.left += " · " + ev.Text
		}
		l.add(line)
	case bench.NoReading:
		short, _, _ := strings.Cut(ev.Text, ":")
		l.add(ledgerLine{kind: lineNote, left: say.T("no reading, %s", short)})
	case bench.Adjusted:
		text := say.T("adjustment: %s", ev.Text)
		if ev.N > 0 {
			text = say.T("stored from %d: %s", ev.N, ev.Text)
		}
		l.add(ledgerLine{kind: lineResult, left: text})
	case bench.Verified:
		l.add(ledgerLine{kind: lineResult, left: say.T("verified, %s, mean of %d", judged(ev.Text), ev.N), counts: ev.Counts, figure: true})
	case bench.ProbeChosen:
		l.mode, l.taken = bench.Measuring, 0
		l.add(ledgerLine{kind: lineResult, left: say.T("probe in hand: %s", ev.Text)})
	case bench.Deleted:
		l.strike(a.Text)
	case bench.Cleared:
		for i := range l.lines {
			if line := &l.lines[i]; line.inMem {
				line.inMem, line.struck = false, true
			}
		}
		l.spot, l.inSpot = 1, 0
		l.add(ledgerLine{kind: lineResult, left: say.N(int(ev.Counts), "memory cleared, %d reading", "memory cleared, %d readings")})
	case bench.Reported:
		l.add(ledgerLine{kind: lineResult, left: say.T("reported, %s", ev.Text), counts: ev.Counts, figure: true})
	}
}

// strike marks the newest reading in memory as deleted.
func (l *ledger) strike(reason string) {
	for i := len(l.lines) - 1; i >= 0; i-- {
		line := &l.lines[i]
		if line.kind != lineReading || !line.inMem || line.struck {
			continue
		}
		line.struck, line.inMem = true, false
		if reason != "" {
			line.left += " · " + reasonText(reason)
		}
		l.inSpot = max(0, l.inSpot-1)
		return
	}
}

func refused(events []bench.Event) bool {
	for _, e := range events {
		if e.Kind == bench.Refused {
			return true
		}
	}
	return false
}
