package authoring_test

import (
	"slices"
	"strings"
	"testing"

	"foilwright/internal/authoring"
	"foilwright/scenarios"
	"foilwright/sim/bench"
	"foilwright/sim/part"
)

func panel(t *testing.T) *bench.Exercise {
	t.Helper()
	e, err := scenarios.ByID("painted-panel")
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func TestTrialTellsWhoPasses(t *testing.T) {
	for _, c := range []struct {
		name    string
		change  func(*bench.Exercise)
		warning string // part of the only warning; empty: none
	}{
		{"good", func(e *bench.Exercise) {
			e.Mistakes = []bench.Mistake{{Check: "zero-piece-mismatch"}, {Check: "lift-short"}}
		}, ""},
		{"no mistakes named", func(e *bench.Exercise) { e.Mistakes = nil }, "no typical mistakes are named"},
		{"everybody passes", func(e *bench.Exercise) { e.Mistakes = []bench.Mistake{{Check: "jerk"}} }, "everybody passes"},
		{"nobody passes", func(e *bench.Exercise) {
			e.Mistakes = []bench.Mistake{{Check: "zero-missing"}}
			e.Limits.PassTechnique = 100
			e.Instrument.NoiseRelative = 0.2 // nothing can be measured with it
		}, "nobody can pass"},
	} {
		e := *panel(t)
		c.change(&e)
		trial, err := authoring.Try(&e, 6, nil)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		warnings := strings.Join(trial.Warnings(), "\n")
		if c.warning == "" && warnings != "" || !strings.Contains(warnings, c.warning) {
			t.Errorf("%s: %+v warns %q, want %q", c.name, trial, warnings, c.warning)
		}
	}
}

func TestAMistakeThatCannotBeMadeIsToldOf(t *testing.T) {
	e := *panel(t)
	e.Instrument.EarlierReadingUm = nil
	e.Mistakes = []bench.Mistake{{Check: "memory-uncleared"}}
	if _, err := authoring.Try(&e, 1, nil); err == nil || !strings.Contains(err.Error(), `"memory-uncleared" cannot be made`) {
		t.Errorf("got %v", err)
	}
}

func TestCoverageFollowsWhatIsOnTheBench(t *testing.T) {
	e := *panel(t)
	with, err := authoring.Cover(&e, 1)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Contains(with.Checks, "memory-uncleared") || !slices.Contains(with.Influences, "old-readings") || slices.Contains(with.Influences, "curvature") {
		t.Errorf("painted panel: %+v", with)
	}
	e.Instrument.EarlierReadingUm = nil
	e.Foils = append([]part.FoilSpec(nil), e.Foils...)
	for i := range e.Foils {
		e.Foils[i].LabelUm = e.Foils[i].CertifiedUm // a label that tells no lie
	}
	without, err := authoring.Cover(&e, 1)
	if err != nil {
		t.Fatal(err)
	}
	if slices.Contains(without.Checks, "memory-uncleared") || slices.Contains(without.Checks, "foil-label") || slices.Contains(without.Influences, "old-readings") {
		t.Errorf("with an empty memory and true labels: %+v", without)
	}
}

func TestANewExerciseLoads(t *testing.T) {
	for _, e := range scenarios.Shipped() {
		text, shelves, err := authoring.New(e.ID, "my-own", `The "own" one`)
		if err != nil {
			t.Errorf("%s: %v", e.ID, err)
			continue
		}
		own, err := scenarios.LoadText("own.yaml", text, shelves)
		if err != nil || own.ID != "my-own" || own.Title != `The "own" one` || !strings.Contains(string(text), "#") {
			t.Errorf("%s: %v, %+v", e.ID, err, own)
		}
	}
	if _, _, err := authoring.New("painted-panel", "Not An Id", "t"); err == nil {
		t.Error("a bad id was taken")
	}
	if _, _, err := authoring.New("painted-pannel", "x", "t"); err == nil || !strings.Contains(err.Error(), "did you mean") {
		t.Errorf("unknown template: %v", err)
	}
}
