package grade_test

import (
	"fmt"
	"testing"

	"foilwright/scenarios"
	"foilwright/sim/bench"
	"foilwright/sim/grade"
	"foilwright/sim/trainee"
)

// world is the first exercise with one seed.
func world(t testing.TB, seed uint64) *bench.World {
	t.Helper()
	e, err := scenarios.ByID("painted-panel")
	if err != nil {
		t.Fatal(err)
	}
	w, err := bench.NewWorld(e, seed)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func play(t testing.TB, w *bench.World, seed uint64, faults ...string) *bench.Record {
	t.Helper()
	b, err := trainee.Play(w, seed, faults...)
	if err != nil {
		t.Fatalf("seed %d, faults %v: %v", seed, faults, err)
	}
	return b.Record()
}

func names(s *grade.Sheet) string {
	text := ""
	for _, f := range s.Findings {
		text += " " + f.Check
		for _, x := range f.Followed {
			text += "(" + x.Check + ")"
		}
	}
	return text
}

// Every planted fault gives exactly its own finding, and competence gives none,
// in every exercise.
func TestASinglePlantedFaultGivesExactlyItsFinding(t *testing.T) {
	seeds := uint64(20)
	if testing.Short() {
		seeds = 3
	}
	for _, e := range scenarios.Shipped() {
		first, err := bench.NewWorld(e, 0)
		if err != nil {
			t.Fatal(err)
		}
		for seed := range seeds {
			w := first.Reseed(seed)
			s := grade.Grade(play(t, w, seed))
			if len(s.Findings) > 0 || s.Technique != 100 || !s.Result.Right {
				t.Errorf("%s, seed %d: competent attempt scores %.0f with%s, verdict right: %v", e.ID, seed, s.Technique, names(s), s.Result.Right)
			}
			for _, f := range trainee.Faults() {
				if !f.Applies(e) {
					continue
				}
				if s := grade.Grade(play(t, w, seed, f.ID)); len(s.Findings) != 1 || s.Findings[0].Check != f.Check {
					t.Errorf("%s, seed %d, %s planted: found%s", e.ID, seed, f.ID, names(s))
				}
			}
		}
	}
}

// Every check can be triggered by a planted fault, so that none is idle.
func TestEveryCheckHasItsFault(t *testing.T) {
	planted := map[string]bool{}
	for _, f := range trainee.Faults() {
		planted[f.Check] = true
		if _, ok := grade.CheckByID(f.Check); !ok {
			t.Errorf("fault %s names an unknown check %s", f.ID, f.Check)
		}
	}
	seen := map[string]bool{}
	for _, c := range grade.Checks() {
		if !planted[c.ID] {
			t.Errorf("no fault is planted for check %s", c.ID)
		}
		if c.Name == "" || c.Means == "" || c.Source == "" || c.Group == "" || c.Severity == "" || seen[c.ID] {
			t.Errorf("check %s lacks name, meaning, source, group or severity, or stands twice", c.ID)
		}
		seen[c.ID] = true
	}
}

func TestGradingIsTheSameTwice(t *testing.T) {
	w := world(t, 3)
	r := play(t, w, 3, "zero-piece-mismatch", "tilt")
	a, b := grade.Grade(r), grade.Grade(play(t, world(t, 3), 3, "zero-piece-mismatch", "tilt"))
	if x, y := fmt.Sprintf("%+v", a), fmt.Sprintf("%+v", b); x != y && a.Technique != b.Technique {
		t.Errorf("two gradings differ:\n%s\n%s", x, y)
	}
}

func BenchmarkGrade(b *testing.B) {
	r := play(b, world(b, 1), 1, "zero-piece-mismatch", "tilt", "edge-near")
	b.ResetTimer()
	for b.Loop() {
		grade.Grade(r)
	}
}
