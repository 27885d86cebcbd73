package grade

import (
	"slices"

	"foilwright/sim/bench"
)

// absorb moves findings that others fully explain to those others.
func (v *evidence) absorb(all []Finding) []Finding {
	gone := make([]bool, len(all))
	index := func(check string) int {
		return slices.IndexFunc(all, func(f Finding) bool { return f.Check == check })
	}
	move := func(from, to int) {
		all[to].Followed = append(all[to].Followed, Followed{all[from].Check, all[from].What, all[from].Entries})
		all[to].Followed = append(all[to].Followed, all[from].Followed...)
		gone[from] = true
	}
	for _, rule := range absorptions {
		from, to := index(rule.finding), index(rule.by)
		if from >= 0 && to >= 0 && !gone[from] && !gone[to] && (rule.when == nil || rule.when(v, &all[from], &all[to])) {
			move(from, to)
		}
	}
	// A failed verification is explained when it would have been good without
	// what the other findings brought in.
	for _, check := range []string{"verify-failed-ignored", "unsafe-readings-kept"} {
		from := index(check)
		if from < 0 || gone[from] {
			continue
		}
		c := v.verificationAt(all[from].Entries[0])
		if c == nil || c.Judged != "good" {
			continue // judged bad: known, and ignored
		}
		to, most := -1, 0.0
		var mask bench.Influence
		for i := range all {
			check, _ := CheckByID(all[i].Check)
			if i == from || gone[i] || check.mask == 0 {
				continue
			}
			mask |= check.mask
			if by := v.movedUm(c, check.mask); to < 0 || by > most {
				to, most = i, by
			}
		}
		if to >= 0 && v.inTolerance(c, v.replay.Run(bench.All&^mask)) {
			move(from, to)
		}
	}
	var left []Finding
	for i := range all {
		if !gone[i] {
			left = append(left, all[i])
		}
	}
	return left
}

// absorption says that one finding is explained by another.
type absorption struct {
	finding, by string
	when        func(v *evidence, finding, by *Finding) bool // nil: always
}

var absorptions = []absorption{
	// A probe of the wrong principle finds nothing to zero on, or another piece than the one that fits.
	{finding: "zero-missing", by: "principle-fit"},
	{finding: "zero-piece-mismatch", by: "principle-fit"},
	{finding: "verify-piece-mismatch", by: "principle-fit"},
	{finding: "foil-missing", by: "order"},
	// On such a zero the instrument may refuse the foil.
	{finding: "foil-missing", by: "zero-on-coating", when: foilRefused},
	{finding: "foil-missing", by: "zero-edge", when: foilRefused},
	{finding: "verify-missing-start", by: "zero-on-coating", when: triedToVerify},
	{finding: "verify-missing-end", by: "zero-on-coating", when: triedToVerify},
	{finding: "verify-missing-start", by: "zero-edge", when: triedToVerify},
	{finding: "verify-missing-end", by: "zero-edge", when: triedToVerify},
	{finding: "verify-piece-mismatch", by: "zero-piece-mismatch", when: func(v *evidence, f, _ *Finding) bool {
		// The same piece was taken for the part's twin throughout.
		c := v.verificationAt(f.Entries[0])
		for _, a := range append(v.used(bench.Zeroing), v.used(bench.Foiling)...) {
			if c != nil && a.Piece == c.Piece {
				return true
			}
		}
		return false
	}},
	{finding: "verify-failed-ignored", by: "verify-piece-mismatch", when: judgedGood},
	{finding: "unsafe-readings-kept", by: "verify-piece-mismatch", when: judgedGood},
	{finding: "unsafe-readings-kept", by: "verify-failed-ignored", when: judgedGood},
	// What scattered the zero was the place it was taken at.
	{finding: "zero-scatter", by: "zero-edge", when: func(v *evidence, f, by *Finding) bool {
		const place = bench.Edge | bench.Feature
		return scatteredBy(place)(v, f, by) || widenedBy(place)(v, f, by)
	}},
	{finding: "zero-scatter", by: "surface-dirty", when: widenedBy(bench.Dirt)},
	{finding: "zero-scatter", by: "zero-on-coating", when: scatteredBy(bench.Piece)},
	{finding: "zero-scatter", by: "zero-piece-mismatch", when: scatteredBy(bench.Piece)},
	// A wide probe feels tilt and noise more; one of short range allows no foil
	// above it.
	{finding: "zero-scatter", by: "probe-fit", when: scatteredBy(byHand | bench.Noise)},
	{finding: "foil-choice", by: "probe-fit", when: func(v *evidence, _, by *Finding) bool {
		return v.beyondRange(by.contacts[0])
	}},
	// On such an adjustment readings of the part fall out of range.
	{finding: "readings-few", by: "zero-on-coating", when: outOfRange},
	{finding: "spots-few", by: "zero-on-coating", when: outOfRange},
	{finding: "report-missing", by: "zero-on-coating", when: nothingRead},
	{finding: "report-missing", by: "zero-edge", when: nothingRead},
	{finding: "readings-few", by: "zero-edge", when: outOfRange},
	{finding: "spots-few", by: "zero-edge", when: outOfRange},
	// One slip of the hand in the zero: the fault is to have stored it.
	{finding: "press", by: "zero-scatter", when: oneSlip},
	{finding: "tilt", by: "zero-scatter", when: oneSlip},
	{finding: "dwell-short", by: "zero-scatter", when: oneSlip},
	{finding: "lift-short", by: "zero-scatter", when: oneSlip},
	{finding: "spot-wide", by: "spots-few", when: func(v *evidence, _, _ *Finding) bool {
		return len(v.kept) >= v.e.Job.Spots*v.e.Job.PerSpot // the spots were measured, not marked
	}},
	{finding: "decision-wrong", by: "memory-uncleared", when: func(v *evidence, _, _ *Finding) bool {
		shown := float64(v.r.Result.Shown.Mean*v.res) - v.r.Result.AllowanceUm
		return v.decisionFollowsFrom(shown) || v.decisionFollowsFrom(shown, v.oldMeanUm())
	}},
	{finding: "decision-wrong", by: "record-wrong", when: func(v *evidence, _, _ *Finding) bool {
		return v.decisionFollowsFrom(v.r.Result.MeanUm)
	}},
}

// judgedGood reports whether the verification a finding is about had been
// judged good.
func judgedGood(v *evidence, f, _ *Finding) bool {
	c := v.verificationAt(f.Entries[0])
	return c != nil && c.Judged == "good"
}

// triedToVerify reports whether a verification gave no readings because the
// instrument was out of range.
func triedToVerify(v *evidence, _, _ *Finding) bool {
	return slices.ContainsFunc(v.r.Contacts, func(c bench.Contact) bool {
		return c.Mode == bench.Verifying && c.Outcome == bench.NoMetal
	})
}

// scatteredBy tells whether the zero readings would have agreed without some
// influences.
func scatteredBy(mask bench.Influence) func(v *evidence, _, _ *Finding) bool {
	return func(v *evidence, _, _ *Finding) bool {
		out := v.replay.Run(bench.All &^ mask)
		for _, a := range v.used(bench.Zeroing) {
			if v.spreadUm(a, out) > v.w.ZeroScatterUm() {
				return false
			}
		}
		return true
	}
}

// widenedBy tells whether some influences made most of the spread of the zero
// readings.
func widenedBy(mask bench.Influence) func(v *evidence, _, _ *Finding) bool {
	return func(v *evidence, _, _ *Finding) bool {
		out := v.replay.Run(bench.All &^ mask)
		for _, a := range v.used(bench.Zeroing) {
			if v.spreadUm(a, out) > v.spreadUm(a, &v.whole)/2 {
				return false
			}
		}
		return true
	}
}

// outOfRange reports whether readings of the part showed no value.
func outOfRange(v *evidence, _, _ *Finding) bool {
	return slices.ContainsFunc(v.r.Contacts, func(c bench.Contact) bool {
		return c.Mode == bench.Measuring && c.Outcome == bench.NoMetal && c.Piece == v.w.Part.ID
	})
}

// nothingRead reports whether all readings of the part were out of range.
func nothingRead(v *evidence, f, by *Finding) bool { return len(v.kept) == 0 && outOfRange(v, f, by) }

// oldMeanUm is the mean of the readings of an earlier job in the series, which
// a trainee may have taken for a spot.
func (v *evidence) oldMeanUm() float64 {
	sum, n := 0.0, 0
	for _, s := range v.r.Result.Readings {
		if s.Entry == 0 {
			sum += float64(float64(s.Counts) * v.res)
			n++
		}
	}
	return sum/float64(n) - v.r.Result.AllowanceUm
}

// oneSlip reports whether a finding is about a single reading of the other's.
func oneSlip(_ *evidence, f, by *Finding) bool {
	return len(f.contacts) == 1 && slices.Contains(by.contacts, f.contacts[0])
}

func (v *evidence) verificationAt(entry int) *bench.Verification {
	for i := range v.r.Verifications {
		if v.r.Verifications[i].Entry == entry {
			return &v.r.Verifications[i]
		}
	}
	return nil
}

// movedUm is by how much some influences moved the mean of a verification.
func (v *evidence) movedUm(c *bench.Verification, mask bench.Influence) float64 {
	with, _, _ := v.deviationUm(c, &v.whole)
	without, _, _ := v.deviationUm(c, v.replay.Run(bench.All&^mask))
	if with > without {
		return with - without
	}
	return without - with
}

// foilRefused reports whether the instrument refused to store a foil.
func foilRefused(v *evidence, _, _ *Finding) bool {
	return slices.ContainsFunc(v.r.Entries, func(e bench.Entry) bool {
		return e.Action.Do == bench.StoreFoil && len(e.Events) > 0 && e.Events[0].Kind == bench.Refused
	})
}
