package detection_test

import (
	"encoding/json"
	"math"
	"testing"

	"foilwright/internal/detection"
	"foilwright/scenarios"
	"foilwright/sim/bench"
)

// representative are three exercises that differ most; foilwright-desk detect
// plays them all.
func representative(t *testing.T) []*bench.Exercise {
	t.Helper()
	var list []*bench.Exercise
	for _, id := range []string{"painted-panel", "ramp-hinge", "upper-deckhouse"} {
		e, err := scenarios.ByID(id)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, e)
	}
	return list
}

// In no exercise does the verdict hang on luck.
func TestNoVerdictHangsOnLuck(t *testing.T) {
	if testing.Short() {
		t.Skip("every exercise: for a run at full length")
	}
	table, err := detection.Measure(detection.Plan{Exercises: scenarios.Shipped(), Seeds: 1, FirstSeed: 100, Competent: 2})
	if err != nil {
		t.Fatal(err)
	}
	if len(table.Hardness) != len(scenarios.Shipped()) {
		t.Errorf("%d exercises told of, %d shipped", len(table.Hardness), len(scenarios.Shipped()))
	}
	for _, h := range table.Hardness {
		if !(h.LeastMarginU > 1) {
			t.Errorf("%s: %+v: the verdict hangs on luck", h.Exercise, h)
		}
	}
}

// A small population: what is planted is found, and nothing in competent work.
func TestMeasure(t *testing.T) {
	plan := detection.Plan{Exercises: representative(t), Seeds: 3, FirstSeed: 100, Competent: 4, Pairs: 12, Levels: true}
	table, err := detection.Measure(plan)
	if err != nil {
		t.Fatal(err)
	}
	if table.Single.Of < 100 || table.Single.Count < table.Single.Of*99/100 {
		t.Errorf("single faults: %d found of %d: %+v", table.Single.Count, table.Single.Of, table.Misses)
	}
	if table.Pairs.Of < 100 || table.Pairs.Count < table.Pairs.Of*95/100 {
		t.Errorf("pairs: %d found of %d: %+v", table.Pairs.Count, table.Pairs.Of, table.Misses)
	}
	if table.Competent.Of != 12*len(plan.Exercises) || table.Competent.Count > 0 {
		t.Errorf("competent attempts with findings: %d of %d: %+v", table.Competent.Count, table.Competent.Of, table.Misses)
	}
	if r := table.Single; !(r.Low < r.Share() && r.Share() <= r.High) {
		t.Errorf("the interval %v to %v does not hold %v", r.Low, r.High, r.Share())
	}
	for k, l := range table.Levels {
		if k > 0 && !(l.MeanScore > table.Levels[0].MeanScore) {
			t.Errorf("%s scores %.1f, the lowest level %.1f", l.Name, l.MeanScore, table.Levels[0].MeanScore)
		}
	}
	for _, h := range table.Hardness {
		if h.Seeds != 3 || math.IsNaN(h.OfSeed) {
			t.Errorf("%s: %+v", h.Exercise, h)
		}
	}
	// The outcome is the same however the work was spread over processors.
	plan.Exercises, plan.Pairs = plan.Exercises[:1], 2
	var texts []string
	for range 2 {
		again, err := detection.Measure(plan)
		if err != nil {
			t.Fatal(err)
		}
		text, err := json.Marshal(again)
		if err != nil {
			t.Fatal(err)
		}
		texts = append(texts, string(text))
	}
	if texts[0] != texts[1] {
		t.Error("two measurements of one population differ")
	}
}
