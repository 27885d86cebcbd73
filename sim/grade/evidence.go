package grade

import (
	"fmt"
	"math"
	"slices"

	"foilwright/sim/bench"
	"foilwright/sim/part"
)

// evidence is an attempt prepared for the checks.
type evidence struct {
	r      *bench.Record
	w      *bench.World
	e      *bench.Exercise
	limits bench.Limits
	res    float64

	replay *bench.Counterfactual
	whole  bench.Rerun // with everything acting

	read    []int // contacts that gave a reading and were not deleted
	kept    []int // readings of the part's series: those reported, or those in memory where nothing was
	spotOf  []int // by kept reading, its spot
	foreign []int // contacts kept in the series that were not on the part
	states  []state

	needsMm []float64 // least distance, by obstacle
}

// state is the adjustment in force for some of the kept readings: which
// Adjustings made it. zero is -1 without a zero.
type state struct {
	zero  int
	foils []int
	lost  []int // foil adjustments that a later zero wiped
	since int   // entry of the last change
	kept  []int // contacts; none in a state that let no reading come about
}

func gather(r *bench.Record) *evidence {
	v := &evidence{r: r, w: r.World, e: r.World.Exercise, limits: r.World.Exercise.Limits}
	v.res = v.e.Instrument.ResolutionUm
	v.replay = r.Counterfactual()
	v.whole = v.rerun(bench.All)
	for _, o := range part.Obstacles() {
		v.needsMm = append(v.needsMm, v.w.LimitMm(o))
	}
	for i := range r.Contacts {
		if c := &r.Contacts[i]; c.Outcome == bench.Read && !c.Deleted {
			v.read = append(v.read, i)
		}
	}
	v.series()
	v.adjustments()
	return v
}

// rerun replays and keeps a copy.
func (v *evidence) rerun(on bench.Influence) bench.Rerun {
	return v.replay.Run(on).Clone()
}

func (v *evidence) contact(i int) *bench.Contact { return &v.r.Contacts[i] }

// series finds the readings that make up the result.
func (v *evidence) series() {
	add := func(i, spot int) {
		if v.contact(i).Piece != v.w.Part.ID {
			v.foreign = append(v.foreign, i)
			return
		}
		v.kept, v.spotOf = append(v.kept, i), append(v.spotOf, spot)
	}
	if v.r.Result == nil {
		cleared := 0
		if n := len(v.r.Cleared); n > 0 {
			cleared = v.r.Cleared[n-1]
		}
		for _, i := range v.read {
			if c := v.contact(i); c.Mode == bench.Measuring && c.Entry > cleared {
				add(i, c.Spot)
			}
		}
		return
	}
	byEntry := make(map[int]int, len(v.read))
	for _, i := range v.read {
		byEntry[v.contact(i).Entry] = i
	}
	for _, s := range v.r.Result.Readings {
		if i, ok := byEntry[s.Entry]; ok && s.Entry > 0 {
			add(i, s.Spot)
		}
	}
}

// adjustments finds which adjustment was in force for each kept reading.
func (v *evidence) adjustments() {
	now := state{zero: -1}
	next := 0 // adjusting not yet passed
	resets := v.r.Resets()
	for _, i := range v.kept {
		entry := v.contact(i).Entry
		changed := len(v.states) == 0
		for next < len(v.r.Adjustings) && v.r.Adjustings[next].Entry < entry {
			a := &v.r.Adjustings[next]
			if len(resets) > 0 && resets[0] < a.Entry {
				now, resets = state{zero: -1, since: resets[0]}, resets[1:]
			}
			if a.Mode == bench.Zeroing {
				now = state{zero: next, lost: slices.Clone(now.foils), since: a.Entry}
			} else {
				now.foils = v.r.FoilsAfter(now.foils, next)
				now.since = a.Entry
			}
			next++
			changed = true
		}
		for len(resets) > 0 && resets[0] < entry {
			now, resets, changed = state{zero: -1, since: resets[0]}, resets[1:], true
		}
		if changed {
			v.states = append(v.states, now)
		}
		last := &v.states[len(v.states)-1]
		last.kept = append(last.kept, i)
	}
	if len(v.kept) == 0 {
		v.states = []state{v.final()}
	}
}

// final is the adjustment in force at the end, which counts where it let no
// reading of the part come about.
func (v *evidence) final() state {
	now := state{zero: -1}
	for _, n := range v.r.Resets() {
		now.since = n
	}
	for k := range v.r.Adjustings {
		a := &v.r.Adjustings[k]
		switch {
		case a.Entry < now.since:
		case a.Mode == bench.Zeroing:
			now = state{zero: k, lost: slices.Clone(now.foils), since: now.since}
		default:
			now.foils = v.r.FoilsAfter(now.foils, k)
		}
	}
	return now
}

// adjusting returns the adjustments used for kept readings: zeroes and foils.
func (v *evidence) used(mode bench.Mode) []*bench.Adjusting {
	var list []*bench.Adjusting
	add := func(i int) {
		if a := &v.r.Adjustings[i]; !slices.Contains(list, a) {
			list = append(list, a)
		}
	}
	for _, s := range v.states {
		if mode == bench.Zeroing && s.zero >= 0 {
			add(s.zero)
		}
		if mode == bench.Foiling {
			for _, i := range s.foils {
				add(i)
			}
		}
	}
	return list
}

func (v *evidence) foil(id string) *part.Foil {
	for i := range v.w.Foils {
		if v.w.Foils[i].ID == id {
			return &v.w.Foils[i]
		}
	}
	return nil
}

// coated reports whether a piece bears a coating, certified whether its
// thickness has a certificate; wrong whether it is a piece of the kind the job is
// to be adjusted on, or bare, that does not match the part.
func (v *evidence) coated(piece string) bool {
	p := v.w.Piece(piece)
	return p != nil && p.Coating.Present()
}

func (v *evidence) certified(piece string) bool {
	_, known := v.e.Known(piece, "")
	return known
}

func (v *evidence) wrong(piece string) bool {
	if v.w.Piece(piece) == nil || v.w.Matches(piece) {
		return false
	}
	return !v.coated(piece) || v.e.Job.OnCoated() && v.certified(piece)
}

// differing says in what a piece differs from what the job is to be adjusted on.
func (v *evidence) differing(piece string) string {
	differences := v.e.Mismatch(v.w.Piece(piece))
	if len(differences) == 1 {
		return differences[0] + " differs"
	}
	return list(differences) + " differ"
}

// label is what is written on a piece.
func (v *evidence) label(piece string) string {
	if p := v.w.Piece(piece); p != nil && p.Name != "" {
		return p.Name
	}
	return piece
}

// twin names the piece that matches the part.
func (v *evidence) twin() string {
	for _, p := range v.w.References {
		if v.w.Matches(p.ID) {
			return p.Name
		}
	}
	if v.e.Job.OnCoated() {
		return "a certified coated piece that matches the part"
	}
	return "an uncoated piece that matches the part"
}

// clearance is how far a contact was from an obstacle of its piece, and how far
// the probe has to be.
type clearance struct {
	from        part.Obstacle
	mm, needsMm float64
}

// room is the share of the distance needed that was kept; 1 and more is enough.
func (c clearance) room() float64 { return c.mm / c.needsMm }

// String says how near, for a sentence.
func (c clearance) String() string {
	if c.mm < 0.05 {
		return fmt.Sprintf("right at the %s; this probe needs %.0f mm", c.from, math.Ceil(c.needsMm))
	}
	return fmt.Sprintf("as near as %.1f mm to the %s; this probe needs %.0f mm", c.mm, c.from, math.Ceil(c.needsMm))
}

// tightest is the clearance of a contact from what it was nearest to, compared
// with what is needed.
func (v *evidence) tightest(i int) clearance {
	worst := clearance{part.AtEdge, math.Inf(1), 1}
	for k, o := range part.Obstacles() {
		if c := (clearance{o, v.distanceMm(i, o), v.needsMm[k]}); c.room() < worst.room() {
			worst = c
		}
	}
	return worst
}

// distanceMm is how far a contact was from an obstacle of its piece.
func (v *evidence) distanceMm(i int, o part.Obstacle) float64 {
	c := v.contact(i)
	return float64(1e3 * v.w.Piece(c.Piece).Distance(o, float64(c.XUm)*1e-6, float64(c.YUm)*1e-6))
}

// entries lists the log entries of contacts.
func (v *evidence) entries(contacts []int) []int {
	var list []int
	for _, i := range contacts {
		list = append(list, v.contact(i).Entry)
	}
	return list
}

// costUm is by how much some influences moved the mean: the reported one, or
// that of the kept readings where nothing was reported.
func (v *evidence) costUm(mask bench.Influence) float64 {
	if mask == 0 {
		return 0
	}
	without := v.replay.Run(bench.All &^ mask)
	if v.whole.Reported {
		return v.whole.MeanErrorUm - without.MeanErrorUm
	}
	sum := 0.0
	for _, i := range v.kept {
		sum += v.whole.ErrorUm[i] - without.ErrorUm[i]
	}
	if len(v.kept) == 0 || math.IsNaN(sum) {
		return 0
	}
	return sum / float64(len(v.kept))
}

// ruleVerdict is what the rule says of a replay.
func (v *evidence) ruleVerdict(out *bench.Rerun) string {
	return v.replay.Verdict(out, 0)
}

// changesVerdict reports whether the rule would have said otherwise without
// some influences.
func (v *evidence) changesVerdict(mask bench.Influence) bool {
	if !v.whole.Reported {
		return false
	}
	return v.ruleVerdict(&v.whole) != v.ruleVerdict(v.replay.Run(bench.All&^mask))
}
