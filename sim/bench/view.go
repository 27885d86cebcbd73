package bench

import (
	"slices"

	"foilwright/sim/gauge"
	"foilwright/sim/inspect"
)

// View is what a trainee can see of the bench at a moment. It holds nothing of
// the hidden truth.
type View struct {
	NowMs    int64
	Pose     Pose
	Touching bool
	Captured bool  // the present contact has given its reading
	HeldMs   int64 // of the present contact
	Piece    string
	Foil     string
	Below    string // foil under that one; two are stacked
	Smoothed bool   // what lies there was smoothed down

	Tip   TipSeen    // as it looked last
	Foils []FoilSeen // as they looked last, in the order of the exercise
	Over  PieceSeen  // the piece under the probe, as it looked last

	Probe      string // id of the probe in hand
	Principle  string // of the newest reading or refusal, in words
	Mode       Mode
	Adjustment string // name of the adjustment in force
	Zeroed     bool
	FoilCount  int
	SetFoilUm  float64 // value set for the foil under way; 0: not set yet
	Taken      []int64 // displayed readings of the adjustment or verification under way
	Last       int64   // newest displayed reading
	HasLast    bool

	Resolution float64 // um per count
	Memory     []gauge.Stored
	Spot       int
	Statistics inspect.Statistics // of the memory, in counts

	JobRead, TipSeen bool
	Certificates     []string // foils whose certificate has been read
	Verifications    []Verification
	Result           *Result
	Finished         bool
	Entries          int
}

// View returns what can be seen now. Slices are shared with the bench and must
// not be changed.
func (b *Bench) View() View {
	s := b.session
	v := View{
		NowMs: b.hand.at, Pose: b.hand.pose, Touching: b.hand.touching, Captured: b.hand.captured,
		Mode: s.mode, Adjustment: s.describe(), Zeroed: s.adjust().ZeroSignal > 0, FoilCount: len(s.adjust().Foils),
		Probe: b.record.World.Exercise.Offered()[s.probe].ID, Principle: b.record.World.channels[s.channel].design.Principle.Words(),
		SetFoilUm: s.setUm, Taken: slices.Clone(s.taken), Resolution: b.record.World.Exercise.Instrument.ResolutionUm,
		Memory: s.memory.Readings, Spot: s.memory.Spot, Statistics: s.memory.Statistics(),
		Verifications: b.record.Verifications, Result: b.record.Result, Finished: b.record.Finished,
		Entries: len(b.record.Entries),
	}
	if b.hand.touching {
		v.HeldMs = b.hand.at - b.hand.touchedAt
	}
	if b.placed >= 0 {
		v.Piece = b.record.World.pieces[b.placed].ID
		v.Over = b.things.pieces[b.placed]
	}
	if b.foil >= 0 {
		v.Foil = b.record.World.Foils[b.foil].ID
	}
	if b.below >= 0 {
		v.Below = b.record.World.Foils[b.below].ID
	}
	v.Smoothed, v.Tip, v.Foils = b.things.smooth, b.things.tip, b.things.foils
	for i := len(b.record.Contacts) - 1; i >= 0; i-- {
		if c := &b.record.Contacts[i]; c.Outcome == Read {
			v.Last, v.HasLast = c.Counts, true
			break
		}
	}
	for _, l := range b.record.Looked {
		switch l.Verb {
		case ReadJob:
			v.JobRead = true
		case LookAtTip, WipeTip:
			v.TipSeen = true
		case ReadCertificate:
			v.Certificates = append(v.Certificates, l.Item)
		}
	}
	return v
}

// Record returns everything that has happened so far, for grading and
// explanation. It holds the hidden truth: never show it during an attempt.
func (b *Bench) Record() *Record { return &b.record }
