package grade_test

import (
	"testing"

	"foilwright/sim/bench"
	"foilwright/sim/grade"
)

// An attempt that is broken off earns no more than what was reached: cutting a
// competent attempt short anywhere gives a score that only rises with what was
// done, none at the start, all at the report.
func TestWhatWasNeverReachedEarnsNothing(t *testing.T) {
	w := world(t, 5)
	whole := play(t, w, 5)
	b := bench.New(w)
	empty := grade.Grade(b.Record())
	if empty.Technique != 0 || empty.Passed {
		t.Errorf("nothing done scores %.0f", empty.Technique)
	}
	for _, g := range empty.Groups {
		if g.Score != 0 || len(g.Lost) == 0 || g.Lost[0].Check != grade.NotReached || g.Lost[0].Points != g.Weight {
			t.Errorf("nothing done: %+v", g)
		}
	}
	placement, reported := 0.0, false
	for i, e := range whole.Entries {
		if _, err := b.Do(e.Action); err != nil {
			t.Fatal(err)
		}
		if e.Action.Do == bench.Report {
			reported = true
		}
		if i%40 != 0 && e.Action.Do != bench.Report {
			continue
		}
		s := grade.Grade(b.Record())
		if !reported && s.Technique >= 90 {
			t.Errorf("entry %d, nothing reported: technique %.0f", e.N, s.Technique)
		}
		for _, g := range s.Groups {
			if g.Group == grade.Placement {
				if g.Score < placement {
					t.Errorf("entry %d: placement fell from %.1f to %.1f", e.N, placement, g.Score)
				}
				placement = g.Score
			}
			if g.Group == grade.Recording && !reported && g.Score != 0 {
				t.Errorf("entry %d: %.1f points for a report that is not there", e.N, g.Score)
			}
		}
		if reported && s.Technique != 100 {
			t.Errorf("reported: technique %.0f, %v", s.Technique, names(s))
		}
	}
}
