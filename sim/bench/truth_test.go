package bench_test

import (
	"strings"
	"testing"

	"foilwright/sim/bench"
	"foilwright/sim/inspect"
	"foilwright/sim/part"
)

// The right verdict is what the decision rule of the job makes of the truth.
// The acceptance limits are worked out by hand after JCGM 106:2012, 8.3.2 (one
// guard band inward from each tolerance limit): 240 + 15 = 255 and 340 - 15 = 325.
func TestTheRightVerdictKeepsTheGuardBand(t *testing.T) {
	w := newWorld(t, 1)
	truth := func(q inspect.Requirement, meanUm float64) *bench.World {
		e, some := *w.Exercise, *w
		q.Terms = inspect.Terms{MinimumUm: 240, MaximumUm: 340}
		q.Acceptance = "pa2-level-3"
		e.Job.Rule = rule(q)
		e.Part.Coating.MeanUm = []part.Range{{Low: meanUm, High: meanUm}}
		some.Exercise = &e
		return some.Reseed(1)
	}
	fixed := inspect.Requirement{Decision: "guard-band", GuardUm: 15}
	own := inspect.Requirement{Decision: "guard-band"}
	four := inspect.Requirement{Decision: "non-binary", GuardUm: 15}
	for _, c := range []struct {
		name       string
		q          inspect.Requirement
		meanUm     float64
		expandedUm float64
		want       string
	}{
		{"bare minimum", inspect.Requirement{}, 247, 0, bench.Accept},
		{"bare minimum, whatever the uncertainty", inspect.Requirement{}, 247, 20, bench.Accept},
		{"in the band above the minimum", fixed, 247, 0, bench.Reject},
		{"in the band, and the uncertainty is small", fixed, 247, 2, bench.Reject},
		{"past the band", fixed, 256.5, 0, bench.Accept},
		{"short of the band below the maximum", fixed, 323.5, 0, bench.Accept},
		{"in the band below the maximum", fixed, 327, 0, bench.Reject},
		{"above the maximum", fixed, 342, 0, bench.Reject},
		{"clear by its own uncertainty", own, 247, 4, bench.Accept},
		{"not clear by its own uncertainty", own, 247, 9, bench.Reject},
		{"below the minimum, however sure", own, 238, 0.1, bench.Reject},
		{"four answers, clear", four, 257, 0, bench.Accept},
		{"four answers, inside by less than the band", four, 247, 0, bench.ConditionalAccept},
		{"four answers, outside by less than the band", four, 232, 0, bench.ConditionalReject},
		{"four answers, clear outside", four, 223, 0, bench.Reject},
	} {
		// Waviness moves the mean over the area by a fraction of a micrometre.
		film := truth(c.q, c.meanUm)
		if d := film.TrueMeanUm - c.meanUm; d > 1.2 || d < -1.2 {
			t.Fatalf("%s: the mean is %.2f µm", c.name, film.TrueMeanUm)
		}
		if got := film.TrueVerdict(c.expandedUm); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
	why := truth(fixed, 247).TrueGrounds(0)
	if !strings.HasPrefix(why, "area mean 24") || !strings.Contains(why, "is below 255 µm (minimum with a guard band of 15 µm)") {
		t.Errorf("grounds: %q", why)
	}
	if why := truth(inspect.Requirement{}, 240.5).TrueGrounds(0); !strings.Contains(why, "is not below 240 µm") {
		t.Errorf("grounds of an accepted film: %q", why)
	}
}

// An uncertainty that suits the verdict does not make it right: one that the
// readings do not bear out is set aside for theirs.
func TestTheUncertaintyThatHolds(t *testing.T) {
	r := bench.Record{World: newWorld(t, 1)} // a stated one may be off by a factor of 2 and one step of 0.1 µm
	if got := r.HoldingUm(); got != 0 {
		t.Errorf("without a report: %g", got)
	}
	for _, c := range []struct{ stated, budget, want float64 }{
		{4, 3, 4}, {6, 3, 6}, {6.2, 3, 3}, {1.5, 3, 1.5}, {1.3, 3, 3}, {0, 3, 3}, {40, 0, 40}, {0, 0, 0},
	} {
		r.Result = &bench.Result{ExpandedUm: c.stated, BudgetUm: c.budget}
		if got := r.HoldingUm(); got != c.want {
			t.Errorf("stated %g, budget %g: %g holds, want %g", c.stated, c.budget, got, c.want)
		}
	}
}
