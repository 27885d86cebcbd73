package screens

import (
	"foilwright/internal/attempt"
	"foilwright/internal/hand"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
	"foilwright/sim/part"
)

// sitting is an attempt while the trainee sits at it: the bench with its log,
// the hand, the ledger, and what they last gave, kept so that a frame in which
// nothing happens costs nothing.
type sitting struct {
	*attempt.Attempt
	exercise *bench.Exercise
	hand     *hand.Hand
	ledger   *ledger
	view     bench.View
	changes  int // counts changes of view and ledger

	// Assessment: graded for others. Nothing on the bench helps or hints.
	Assessment bool
	past       bool      // looked back on, not worked at: there is no hand and no log
	posed      hand.Held // how the probe was held; past only

	refusal string // of the newest action, until the next one
	noticed noticed
	missed  string // why the newest contact gave no reading
	broken  error  // the log cannot be written

	cue    widgets.Cue // of what happened since it was last taken
	readAt int64       // attempt time of the newest reading, for the eye

	running bool
	startMs int64 // input time at which attempt time would have been 0
	lastMs  int64 // newest attempt time
}

// sitDown takes a place at an attempt that has begun or been resumed.
func sitDown(a *attempt.Attempt) *sitting {
	e := a.World.Exercise
	s := &sitting{Attempt: a, exercise: e, ledger: newLedger(e)}
	entries := a.Bench.Record().Entries
	for _, entry := range entries {
		s.ledger.take(entry)
	}
	s.refresh()
	s.lastMs = s.view.NowMs
	s.hand = hand.New(a.World.Seed, s.lastMs, s.view.Pose)
	s.hand.Know(s.outline())
	return s
}

// held is how the probe is held.
func (s *sitting) held() hand.Held {
	if s.past {
		return s.posed
	}
	return s.hand.Held()
}

func (s *sitting) refresh() {
	s.view = s.Bench.View()
	s.changes++
}

// piece returns the piece under the probe, nil when there is none.
func (s *sitting) piece() *part.Piece {
	if s.view.Piece == "" {
		return nil
	}
	return s.World.Piece(s.view.Piece)
}

// outline returns the size in mm of the piece under the probe.
func (s *sitting) outline() (width, height float64) {
	if p := s.piece(); p != nil {
		return p.Width * 1e3, p.Height * 1e3
	}
	return 0, 0
}

// run starts or stops the clock of the attempt. nowMs is input time.
func (s *sitting) run(nowMs int64, on bool) {
	if on == s.running {
		return
	}
	if on {
		s.startMs = nowMs - s.lastMs
	} else {
		s.advance(nowMs)
	}
	s.running = on
}

// clock turns input time into attempt time; it never runs backwards.
func (s *sitting) clock(nowMs int64) int64 {
	if s.running {
		s.lastMs = max(s.lastMs, nowMs-s.startMs)
	}
	return s.lastMs
}

// grip hands an event of pointer or keys to the hand; atMs is input time.
func (s *sitting) grip(atMs int64, k hand.Kind, x, y float64) {
	at := atMs - s.startMs
	s.hand.Do(hand.Event{AtMs: max(at, s.view.NowMs), Kind: k, X: x, Y: y})
}

// advance lets the hand go on to input time nowMs and the bench with it.
func (s *sitting) advance(nowMs int64) {
	s.takeIn()
	if s.view.Finished {
		return
	}
	s.hand.Advance(s.clock(nowMs))
	for _, a := range s.hand.Take() {
		s.give(a)
	}
}

// do carries out something other than moving the probe, now.
func (s *sitting) do(nowMs int64, a bench.Action) bool {
	s.advance(nowMs)
	a.At = s.clock(nowMs)
	ok := s.give(a)
	if ok && a.Do == bench.PlacePiece && !s.served() {
		s.hand.Over(s.outline())
	}
	return ok
}

// give hands an action to the bench and takes in what came of it; false when
// the bench refused it.
func (s *sitting) give(a bench.Action) bool {
	a.At = max(a.At, s.view.NowMs)
	events, err := s.Do(a)
	if err != nil && s.broken == nil {
		s.broken = err
	}
	entries := s.Bench.Record().Entries
	if len(entries) == s.view.Entries {
		return false
	}
	if !s.served() {
		s.ledger.take(entries[len(entries)-1])
		s.noticed.take(a, events)
	}
	ok := s.saw(a, events)
	if len(events) > 0 || a.Do != bench.MoveProbe {
		s.refresh()
	} else {
		// A pose alone changes nothing but the pose.
		s.view.Pose, s.view.NowMs, s.view.Entries = *a.Pose, a.At, len(entries)
	}
	return ok
}

// saw takes in what the trainee saw of an action; false when it was refused.
func (s *sitting) saw(a bench.Action, events []bench.Event) bool {
	if a.Do != bench.MoveProbe && a.Do != bench.Wait || len(events) > 0 {
		s.refusal = ""
	}
	if a.Do != bench.MoveProbe && a.Do != bench.Wait {
		s.missed = ""
	}
	ok := true
	for _, e := range events {
		s.cue = max(s.cue, cues[e.Kind])
		if e.Kind == bench.ReadingNew {
			s.readAt = a.At
		}
		switch e.Kind {
		case bench.Refused:
			s.refusal, ok = e.Text, false
		case bench.NoReading:
			s.missed = e.Text
		case bench.Touched, bench.ReadingNew:
			s.missed = ""
		}
	}
	return ok
}

// cues are the sounds of what happens at the bench.
var cues = map[bench.Kind]widgets.Cue{
	bench.Touched: widgets.CueTouch, bench.NoReading: widgets.CueMissed, bench.ReadingNew: widgets.CueReading,
	bench.Adjusted: widgets.CueStored, bench.Verified: widgets.CueStored, bench.Reported: widgets.CueStored,
	bench.Refused: widgets.CueRefused,
}

// foil returns a foil's description by id.
func (s *sitting) foil(id string) (part.FoilSpec, bool) {
	for _, f := range s.exercise.Foils {
		if f.ID == id {
			return f, true
		}
	}
	return part.FoilSpec{}, false
}

// card returns what has a certificate, by its id: a foil, or a coated piece.
func (s *sitting) card(id string) (part.FoilSpec, bool) {
	if piece, ok := s.exercise.Known(id, ""); ok {
		return piece, true
	}
	return s.foil(id)
}

// under is the id of what has a certificate under the probe: of the foil on the
// piece, or of the certified piece itself; empty when neither has one.
func (s *sitting) under() string {
	if s.view.Foil != "" {
		return s.view.Foil
	}
	if _, ok := s.exercise.Known(s.view.Piece, ""); ok {
		return s.view.Piece
	}
	return ""
}

// seenFoil is what a look at a foil showed last.
func (s *sitting) seenFoil(id string) bench.FoilSeen {
	for i, f := range s.exercise.Foils {
		if f.ID == id && i < len(s.view.Foils) {
			return s.view.Foils[i]
		}
	}
	return bench.FoilSeen{}
}
