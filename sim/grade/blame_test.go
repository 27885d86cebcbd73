package grade_test

import (
	"testing"

	"foilwright/sim/bench"
	"foilwright/sim/explain"
	"foilwright/sim/grade"
)

// Where nothing was done wrong nobody is told to do what he did; where something
// was, he is.
func TestAbsolveKeepsAdviceWhereAFaultWasFound(t *testing.T) {
	clean := &grade.Sheet{}
	tilted := &grade.Sheet{Findings: []grade.Finding{{Check: "foil-damaged", Followed: []grade.Followed{{Check: "tilt"}}}}}
	for _, c := range []struct {
		sheet *grade.Sheet
		keeps bool
	}{{clean, false}, {tilted, true}} {
		cause, advice := explain.Words(bench.Tilt)
		e := &explain.Explanation{}
		e.Mean.Shares = []explain.Share{{Influence: bench.Tilt, Cause: cause, Advice: advice}}
		e.Absolve(c.sheet.Blamed())
		if got := e.Mean.Shares[0].Advice == advice; got != c.keeps {
			t.Errorf("%+v: advice %q", c.sheet.Findings, e.Mean.Shares[0].Advice)
		}
	}
}

// Every influence that can be absolved is one that some check can find.
func TestWhatIsAbsolvedCanBeBlamed(t *testing.T) {
	var blamed bench.Influence
	for _, c := range grade.Checks() {
		blamed |= (&grade.Sheet{Findings: []grade.Finding{{Check: c.ID}}}).Blamed()
	}
	for _, p := range bench.Influences() {
		e := &explain.Explanation{}
		e.Mean.Shares = []explain.Share{{Influence: p, Advice: "do"}}
		e.Absolve(0)
		if e.Mean.Shares[0].Advice != "do" && !blamed.Has(p) {
			t.Errorf("no check can find a fault in %s", p)
		}
	}
}
