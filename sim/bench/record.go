package bench

import (
	"foilwright/sim/gauge"
	"foilwright/sim/inspect"
)

// Entry is one line of the log: an action and what the trainee saw of it.
type Entry struct {
	N      int // from 1
	Action Action
	Events []Event
}

// Adjusting is one zero or foil adjustment that was stored.
type Adjusting struct {
	Entry    int
	Mode     Mode  // Zeroing or Foiling
	Contacts []int // the readings it was made of
	Taken    []int64
	SetUm    float64 // value set for a foil
	Piece    string
	Foil     string // empty: taken without a foil, on a coated reference piece
	After    gauge.Adjustment
}

// Verification is one re-measurement of a foil and what the trainee made of it.
type Verification struct {
	Entry    int
	Contacts []int
	Piece    string
	Foil     string
	MeanUm   float64
	Judged   string // "good", "bad"
}

// Result is what the trainee reported.
type Result struct {
	Entry      int
	MeanUm     float64 // the mean recorded, less the allowance
	ExpandedUm float64 // expanded uncertainty put down with it; 0: none
	BudgetUm   float64 // expanded uncertainty that readings and certificates give; 0: nothing to work it out from
	Verdict    string  // one of Rule.Verdicts
	// RecordedUm is the mean recorded, AllowanceUm what is deducted from it and
	// from every reading for roughness.
	RecordedUm, AllowanceUm float64
	// What the instrument showed when the report was made.
	Shown    inspect.Statistics // counts
	Readings []gauge.Stored
}

// Looked notes an entry at which the trainee looked at or did something once.
type Looked struct {
	Entry int
	Verb  Verb
	Item  string
}

// Record is everything that happened in an attempt, as grading and
// explanation read it. It is rebuilt from the log by Replay.
type Record struct {
	World         *World
	Entries       []Entry
	Contacts      []Contact
	Adjustings    []Adjusting
	Verifications []Verification
	Looked        []Looked
	Cleared       []int // entries that cleared the memory
	Result        *Result
	Finished      bool

	tape []step
}

// step is one thing that changed the instrument: a reading or an operation.
type step struct {
	contact int  // index of the contact read; -1: an operation
	verb    Verb // the operation
	setUm   float64
	probe   int // taken in hand
	entry   int
}

// Written returns what stands on a line of the record sheet, empty when nothing
// was written there.
func (r *Record) Written(line string) string {
	for i := len(r.Entries) - 1; i >= 0; i-- {
		e := &r.Entries[i]
		if e.Action.Do == WriteRecord && e.Action.Item == line && len(e.Events) == 0 {
			return e.Action.Text
		}
	}
	return ""
}

// SpotMeansUm returns the mean of each spot of the reported series, in um, less
// the allowance, in the order of the spots, leaving out readings of an earlier
// job.
func (r *Result) SpotMeansUm(resolutionUm float64) []float64 {
	var means []float64
	for _, s := range r.Spots(&Rule{}, resolutionUm) {
		means = append(means, inspect.Describe(s.ReadingsUm).Mean)
	}
	return means
}
