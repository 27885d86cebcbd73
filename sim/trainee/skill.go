package trainee

import (
	"foilwright/sim/bench"
	"foilwright/sim/num"
)

// Skill is a level of a trainee: how likely each fault is.
type Skill struct {
	Name   string
	Chance float64 // of each fault that the exercise gives room for
}

// Skills lists graded levels, lowest first. The chances are assumptions
// (common practice, no source), made to give populations that differ.
func Skills() []Skill {
	return []Skill{{"beginner", 0.20}, {"learner", 0.08}, {"apprentice", 0.03}, {"journeyman", 0.008}}
}

// PlaySkill plays an exercise with the faults that a trainee of a skill
// happens to make.
func PlaySkill(w *bench.World, seed uint64, s Skill) (*bench.Bench, error) {
	stream := num.NewStream(seed, "skill "+s.Name)
	var made []string
	var planted []Fault
	for _, f := range faults {
		if stream.Float64() < s.Chance && f.Applies(w.Exercise) && Together(planted, f) {
			made, planted = append(made, f.ID), append(planted, f)
		}
	}
	return Play(w, seed, made...)
}

// Together reports whether a fault can be planted with those planted already.
func Together(planted []Fault, f Fault) bool {
	for _, p := range planted {
		if !compatible(p, f) {
			return false
		}
	}
	return true
}

// Pairs lists the pairs of faults that one attempt can hold both of, in order.
func Pairs(of []Fault) [][2]Fault {
	var list [][2]Fault
	for i, a := range of {
		for _, b := range of[i+1:] {
			if compatible(a, b) {
				list = append(list, [2]Fault{a, b})
			}
		}
	}
	return list
}

// exclusive are sets of faults of which an attempt can hold only one, because
// one takes away what the other needs, or because both are the same choice
// made differently.
var exclusive = [][]string{
	// Where, and whether, the zero is taken.
	{"zero-missing", "zero-few", "zero-piece-mismatch", "zero-on-coating", "zero-scatter", "zero-edge", "order"},
	// What the foil adjustment is made on, and whether.
	{"foil-missing", "foil-few", "foil-label", "foil-value", "foil-choice", "foil-on-coating", "fallback-unjustified", "order"},
	{"foil-missing", "foil-few", "foil-on-coating", "fallback-unjustified", "zero-piece-mismatch", "zero-on-coating"},
	{"foil-missing", "foil-on-coating", "fallback-unjustified", "order", "zero-on-coating", "foil-stacked", "foil-damaged", "foil-airgap", "foil-expired", "surface-dirty"},
	{"foil-choice", "foil-damaged", "foil-stacked", "foil-expired", "foil-airgap"},
	{"press", "press-hard", "surface-dirty"},
	// What becomes of the verifications.
	{"verify-missing-start", "verify-failed-ignored", "verify-piece-mismatch", "verify-overdue"},
	{"verify-missing-end", "unsafe-readings-kept", "verify-piece-mismatch"},
	{"verify-piece-mismatch", "zero-piece-mismatch"},
	// The other principle may sense nothing on the other piece.
	{"principle-fit", "verify-piece-mismatch", "zero-piece-mismatch"},
	// What one probe makes of slips another would not.
	{"probe-fit", "principle-fit", "zero-scatter", "zero-piece-mismatch"},
	// Where the spots are.
	{"edge-near", "feature-near", "area-outside", "spots-clustered", "spot-wide"},
	// No report, nothing to record wrongly.
	{"report-missing", "record-wrong", "decision-wrong", "memory-uncleared", "spots-few", "readings-few", "spots-clustered", "unsafe-readings-kept",
		"uncertainty-missing", "uncertainty-wrong", "allowance-missed", "allowance-wrong"},
	{"discard-unexplained", "discard-excess", "spots-picked"},
	{"spots-picked", "edge-near", "feature-near", "area-outside", "spot-wide", "report-missing"},
}

// compatible reports whether one attempt can hold both faults.
func compatible(a, b Fault) bool {
	for _, set := range exclusive {
		inA, inB := false, false
		for _, id := range set {
			inA, inB = inA || id == a.ID, inB || id == b.ID
		}
		if inA && inB {
			return false
		}
	}
	return true
}
