package grade

import (
	"fmt"
	"math"

	"foilwright/sim/bench"
)

var verifications = []Check{
	{
		ID: "verify-missing-start", Name: "Adjustment not verified", Group: Verification, Severity: Critical,
		Means: "the part was measured with an adjustment that had not been verified on a foil", Source: commonPractice,
		find: func(v *evidence) []Finding {
			for _, s := range v.states {
				if len(s.kept) > 0 && v.before(s) == nil {
					return []Finding{{
						Entries: v.entries(s.kept[:1]), Readings: len(s.kept), Of: len(v.kept),
						What: "The part was measured without a verification after the adjustment.",
						Do:   fmt.Sprintf("Measure %s again before you measure the part.", v.toVerifyOn()),
					}}
				}
			}
			return nil
		},
	},
	{
		ID: "verify-failed-ignored", Name: "Failed verification ignored", Group: Verification, Severity: Critical,
		Means: "the verification before the readings was out of tolerance or judged bad, and the part was measured all the same", Source: commonPractice,
		find: func(v *evidence) []Finding {
			for _, s := range v.states {
				if c := v.before(s); c != nil && !v.good(c) {
					return []Finding{{
						Entries: []int{c.Entry}, What: v.failure(c) + " The part was measured all the same.",
						Do: "When a verification fails, find the cause and repeat from zero.",
					}}
				}
			}
			return nil
		},
	},
	{
		ID: "verify-piece-mismatch", Name: "Verified on the wrong piece", Group: Verification, Severity: Major,
		Means: "the verification was made on a piece that does not match the part, or on a coating", Source: commonPractice,
		find: func(v *evidence) []Finding {
			var entries []int
			piece := ""
			for i := range v.r.Verifications {
				c := &v.r.Verifications[i]
				if v.decides(c) && (v.wrong(c.Piece) || v.coated(c.Piece) && !v.w.Matches(c.Piece)) {
					entries, piece = append(entries, c.Entry), c.Piece
				}
			}
			if len(entries) == 0 {
				return nil
			}
			return found(fmt.Sprintf("The verification was made on %q, which tells nothing about the part's metal.", v.label(piece)),
				fmt.Sprintf("Verify on %q.", v.twin()), entries...)
		},
	},
	{
		ID: "verify-missing-end", Name: "Not verified at the end", Group: Verification, Severity: Major,
		Means: "no verification after the last reading, so nobody knows whether the instrument was still right", Source: commonPractice,
		find: func(v *evidence) []Finding {
			if len(v.kept) == 0 || v.after() != nil {
				return nil
			}
			return found("There was no verification after the last reading of the part.",
				fmt.Sprintf("Measure %s once more before you report.", v.toVerifyOn()), v.entries(v.kept[len(v.kept)-1:])...)
		},
	},
	{
		ID: "verify-overdue", Name: "Verification overdue", Group: Verification, Severity: Minor,
		Means: "readings taken long after the last verification", Source: commonPractice, mask: bench.Drift,
		find: func(v *evidence) []Finding {
			var late []int
			longest := 0.0
			for _, i := range v.kept {
				c, last := v.contact(i), int64(-1)
				for k := range v.r.Verifications {
					if x := &v.r.Verifications[k]; x.Entry < c.Entry {
						last = v.r.Entries[x.Entry-1].Action.At
					}
				}
				if last < 0 {
					continue
				}
				if minutes := float64(c.CapturedAt-last) / 60_000; minutes > v.limits.OverdueMin {
					late, longest = append(late, i), math.Max(longest, minutes)
				}
			}
			if len(late) == 0 {
				return nil
			}
			return []Finding{{
				Entries: v.entries(late[:1]), Readings: len(late), Of: len(v.kept),
				What: fmt.Sprintf("%s taken up to %.0f minutes after the last verification.", plural(len(late), "reading"), longest),
				Do:   fmt.Sprintf("Verify again after a break, at the latest after %.0f minutes.", v.limits.OverdueMin),
			}}
		},
	},
	{
		ID: "unsafe-readings-kept", Name: "Readings kept after a failed verification", Group: Verification, Severity: Critical,
		Means: "the verification after the readings failed, and the readings back to the last good one were reported all the same", Source: "inspect.Suspect: SSPC-PA 2 and ASTM D7091 practice (from memory)",
		find: func(v *evidence) []Finding {
			for i := range v.r.Verifications {
				c := &v.r.Verifications[i]
				if v.good(c) || v.r.Result == nil {
					continue
				}
				var unsafe []int
				for _, k := range v.kept {
					if v.following(v.contact(k).Entry) == c {
						unsafe = append(unsafe, k)
					}
				}
				if len(unsafe) > 0 {
					return []Finding{{
						Entries: []int{c.Entry, v.r.Result.Entry}, Readings: len(unsafe), Of: len(v.kept),
						What: fmt.Sprintf("%s %s before it were reported all the same.", v.failure(c), plural(len(unsafe), "reading")),
						Do:   "When a verification fails, drop the readings back to the last good one, adjust again and repeat them.",
					}}
				}
			}
			return nil
		},
	},
}

// toVerifyOn is what the job is verified on, in words.
func (v *evidence) toVerifyOn() string {
	if v.e.Job.OnCoated() {
		return "a certified coated piece"
	}
	return "a foil on the uncoated piece"
}

// before is the last verification between the last change of a state and its
// first reading.
func (v *evidence) before(s state) *bench.Verification {
	var last *bench.Verification
	if len(s.kept) == 0 {
		return nil
	}
	first := v.contact(s.kept[0]).Entry
	for i := range v.r.Verifications {
		if c := &v.r.Verifications[i]; c.Entry > s.since && c.Entry < first {
			last = c
		}
	}
	return last
}

// following is the first verification after an entry.
func (v *evidence) following(entry int) *bench.Verification {
	for i := range v.r.Verifications {
		if c := &v.r.Verifications[i]; c.Entry > entry {
			return c
		}
	}
	return nil
}

// after is the verification after the last kept reading.
func (v *evidence) after() *bench.Verification {
	return v.following(v.contact(v.kept[len(v.kept)-1]).Entry)
}

// decides reports whether a verification is one that stands for kept readings.
func (v *evidence) decides(c *bench.Verification) bool {
	for _, s := range v.states {
		if v.before(s) == c {
			return true
		}
	}
	return len(v.kept) > 0 && v.after() == c
}

// deviationUm is by how much a verification was off in a replay, and how much
// is allowed; false when there is nothing to compare with.
func (v *evidence) deviationUm(c *bench.Verification, out *bench.Rerun) (off, allowed float64, ok bool) {
	f, known := v.e.Known(c.Piece, c.Foil)
	if !known || len(c.Contacts) == 0 {
		return 0, 0, false
	}
	sum := 0.0
	for _, i := range c.Contacts {
		sum += out.ReadingUm[i]
	}
	allowed = v.w.VerificationUm(f.CertifiedUm, f.ExpandedUm)
	return sum/float64(len(c.Contacts)) - f.CertifiedUm, allowed, true
}

// inTolerance reports whether the figures of a verification were good.
func (v *evidence) inTolerance(c *bench.Verification, out *bench.Rerun) bool {
	off, allowed, ok := v.deviationUm(c, out)
	return !ok || math.Abs(off) <= allowed
}

func (v *evidence) good(c *bench.Verification) bool {
	return c.Judged == "good" && v.inTolerance(c, &v.whole)
}

// failure says in a sentence how a verification failed.
func (v *evidence) failure(c *bench.Verification) string {
	off, allowed, ok := v.deviationUm(c, &v.whole)
	if ok && math.Abs(off) > allowed {
		f, _ := v.e.Known(c.Piece, c.Foil)
		on := "foil"
		if c.Foil == "" {
			on = "coated piece"
		}
		return fmt.Sprintf("The verification read %.1f µm on the %s of %.1f µm, outside ±%.1f µm, and was judged %s.", c.MeanUm, on, f.CertifiedUm, allowed, c.Judged)
	}
	return "The verification was judged bad."
}
