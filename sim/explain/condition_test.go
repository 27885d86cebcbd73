package explain_test

import (
	"math"
	"strings"
	"testing"

	"foilwright/scenarios"
	"foilwright/sim/bench"
	"foilwright/sim/explain"
	"foilwright/sim/trainee"
)

// On a neglected bench the thing that was not put in order is the largest
// cause, told at the readings it touched, and the shares add up.
func TestTheConditionOfThingsIsNamed(t *testing.T) {
	e, err := scenarios.ByID("neglected-bench")
	if err != nil {
		t.Fatal(err)
	}
	w, err := bench.NewWorld(e, 2)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ fault, key string }{
		{"tip-unchecked", "dirt"}, {"surface-dirty", "dirt"}, {"temperature-unsettled", "temperature"},
		{"magnetism-left", "remanence"}, {"foil-stacked", "foil-fault"}, {"foil-damaged", "foil-fault"},
	} {
		b, err := trainee.Play(w, 2, c.fault)
		if err != nil {
			t.Fatal(err)
		}
		x := explain.Explain(b.Record())
		first := x.Mean.Shares[0]
		if first.Key != c.key || first.Cause == "" || first.Advice == "" || !strings.HasPrefix(first.WhatIf, "Had ") || len(first.Entries) == 0 {
			t.Errorf("%s: the largest share is %+v", c.fault, first)
		}
		if off := total(x.Mean) - x.Mean.TotalUm; !(math.Abs(off) <= 1e-9) {
			t.Errorf("%s: the shares miss the error by %g µm", c.fault, off)
		}
	}
}
