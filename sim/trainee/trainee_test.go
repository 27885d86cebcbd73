package trainee_test

import (
	"math"
	"testing"

	"foilwright/scenarios"
	"foilwright/sim/bench"
	"foilwright/sim/trainee"
)

// world is of an exercise that comes with the program.
func world(t *testing.T, id string) *bench.World {
	t.Helper()
	e, err := scenarios.ByID(id)
	if err != nil {
		t.Fatal(err)
	}
	w, err := bench.NewWorld(e, 11)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func played(t *testing.T, w *bench.World, seed uint64, faults ...string) *bench.Record {
	t.Helper()
	b, err := trainee.Play(w, seed, faults...)
	if err != nil {
		t.Fatalf("%s: %v", w.Exercise.ID, err)
	}
	return b.Record()
}

func TestCompetentHandsAreHumanAndGood(t *testing.T) {
	for _, e := range scenarios.Shipped() {
		w, err := bench.NewWorld(e, 11)
		if err != nil {
			t.Fatal(err)
		}
		limits := w.Exercise.Limits
		higher := int64(1e3 * math.Max(0, limits.LiftMm-25))
		var tilts float64
		least := int64(1500) // mN
		if e.Part.Coating.SoftUmPerN > 0 {
			least = 1000 // a light hand, the sleeve still home
		}
		r := played(t, w, 5)
		for i, c := range r.Contacts {
			if c.Outcome != bench.Read || c.TiltDeg > 2.51 || c.LandingMmPerS < 9 || c.LandingMmPerS > 45 || c.HeldMs < limits.DwellMs ||
				c.SlideUm > 300 || c.PressMN < least || i > 0 && (c.LiftedUm < 27_000+higher || c.LiftedUm > 51_000+higher) {
				t.Errorf("%s: contact %d: %+v", w.Exercise.ID, i, c)
			}
			tilts += c.TiltDeg
		}
		if mean := tilts / float64(len(r.Contacts)); mean < 0.3 {
			t.Errorf("%s: mean tilt %.2f degrees: no human hand", w.Exercise.ID, mean)
		}
		if !r.Finished || r.Result == nil {
			t.Errorf("%s: the job was not finished", w.Exercise.ID)
		}
	}
}

func TestTheSameSeedGivesTheSameAttempt(t *testing.T) {
	w := world(t, "painted-panel")
	a, b, c := played(t, w, 5, "tilt"), played(t, w, 5, "tilt"), played(t, w, 6, "tilt")
	if a.Digest() != b.Digest() || a.Digest() == c.Digest() {
		t.Error("an attempt does not depend on the seed of the hand alone")
	}
}

// In two worlds of one exercise the same hand does the same things, as long as
// it sees the same: the hidden truth plays no part in what it does.
func TestTheHandDoesNotKnowTheTruth(t *testing.T) {
	w := world(t, "painted-panel")
	a, b := played(t, w, 5), played(t, w.Reseed(12), 5)
	if len(a.Entries) != len(b.Entries) {
		t.Fatalf("%d and %d entries", len(a.Entries), len(b.Entries))
	}
	for i := range a.Entries {
		x, y := a.Entries[i].Action, b.Entries[i].Action
		if x.Do == bench.Report {
			if math.Abs(float64(x.Counts-y.Counts)) < 1 {
				t.Error("two worlds gave the same mean")
			}
			continue
		}
		same := x.Do == y.Do && x.At == y.At && x.Item == y.Item && x.Counts == y.Counts && x.Text == y.Text
		if x.Pose != nil && y.Pose != nil {
			same = same && *x.Pose == *y.Pose
		}
		if !same {
			t.Fatalf("entry %d: %+v and %+v", i+1, x, y)
		}
	}
}

func TestUnknownFaultsAreRefused(t *testing.T) {
	w := world(t, "painted-panel")
	if _, err := trainee.Play(w, 1, "juggling"); err == nil {
		t.Error("an unknown fault was planted")
	}
}
