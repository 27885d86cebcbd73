package bench_test

import (
	"strings"
	"testing"

	"foilwright/sim/bench"
	"foilwright/sim/inspect"
)

func spots(readings ...[]float64) []inspect.Spot {
	var list []inspect.Spot
	for _, r := range readings {
		list = append(list, inspect.Spot{ReadingsUm: r})
	}
	return list
}

func rule(q inspect.Requirement) bench.Rule { return bench.Rule{Name: "rule", Requirement: q} }

// Each rule of the job sheet decides by itself: the same readings fall one way
// or the other by the rule that is named.
func TestTheNamedRuleDecides(t *testing.T) {
	terms := inspect.Terms{MinimumUm: 75, MaximumUm: 110, SpotPercent: 80}
	for _, c := range []struct {
		name  string
		q     inspect.Requirement
		spots []inspect.Spot
		s     inspect.Stated
		want  string
	}{
		{"the mean on its limit", inspect.Requirement{Terms: terms}, spots([]float64{90}, []float64{60}), inspect.Stated{}, bench.Accept},
		{"the stated mean counts, not that of the readings", inspect.Requirement{Terms: terms}, spots([]float64{90}, []float64{60}), inspect.Stated{MeanUm: 74.99}, bench.Reject},
		{"a thin spot", inspect.Requirement{Terms: terms}, spots([]float64{100}, []float64{59.9}), inspect.Stated{}, bench.Reject},
		{"nothing measured", inspect.Requirement{Terms: terms}, nil, inspect.Stated{MeanUm: 90}, bench.Reject},
		{"level 3 allows a spot of 80 %", inspect.Requirement{Acceptance: "pa2-level-3", Terms: terms}, spots([]float64{100}, []float64{61}), inspect.Stated{}, bench.Accept},
		{"level 1 does not", inspect.Requirement{Acceptance: "pa2-level-1", Terms: terms}, spots([]float64{100}, []float64{61}), inspect.Stated{}, bench.Reject},
		{"single readings are free in level 3", inspect.Requirement{Acceptance: "pa2-level-3", Terms: terms}, spots([]float64{100, 50, 90}), inspect.Stated{}, bench.Accept},
		{"and not by the 80/20 rule", inspect.Requirement{Acceptance: "iso19840-80-20", Terms: terms}, spots([]float64{100, 50, 90}), inspect.Stated{}, bench.Reject},
		{"exactly a fifth below, as the standard is mostly read", inspect.Requirement{Acceptance: "iso19840-80-20", Terms: terms}, spots([]float64{90, 80, 80, 80, 70}), inspect.Stated{}, bench.Reject},
		{"exactly a fifth below, where the sheet allows it", inspect.Requirement{Acceptance: "iso19840-80-20", Terms: inspect.Terms{MinimumUm: 75, FifthAllowed: true}}, spots([]float64{90, 80, 80, 80, 70}), inspect.Stated{}, bench.Accept},
		{"a guard band of the stated uncertainty", inspect.Requirement{Terms: terms, Decision: "guard-band"}, spots([]float64{76}), inspect.Stated{ExpandedUm: 1.2}, bench.Reject},
		{"the same with less of it", inspect.Requirement{Terms: terms, Decision: "guard-band"}, spots([]float64{76}), inspect.Stated{ExpandedUm: 0.9}, bench.Accept},
		{"a fixed guard band", inspect.Requirement{Terms: terms, Decision: "guard-band", GuardUm: 2}, spots([]float64{76}), inspect.Stated{ExpandedUm: 0.9}, bench.Reject},
		{"clear of the limit", inspect.Requirement{Terms: terms, Decision: "non-binary"}, spots([]float64{78}), inspect.Stated{ExpandedUm: 2}, bench.Accept},
		{"inside, not clear", inspect.Requirement{Terms: terms, Decision: "non-binary"}, spots([]float64{76}), inspect.Stated{ExpandedUm: 2}, bench.ConditionalAccept},
		{"outside, not clear", inspect.Requirement{Terms: terms, Decision: "non-binary"}, spots([]float64{74}), inspect.Stated{ExpandedUm: 2}, bench.ConditionalReject},
		{"clear of it outside", inspect.Requirement{Terms: terms, Decision: "non-binary"}, spots([]float64{72}), inspect.Stated{ExpandedUm: 2}, bench.Reject},
		{"a thin spot is no matter of the mean's uncertainty", inspect.Requirement{Terms: terms, Decision: "non-binary"}, spots([]float64{59}, []float64{100}), inspect.Stated{ExpandedUm: 2}, bench.Reject},
		{"near the maximum", inspect.Requirement{Terms: terms, Decision: "non-binary"}, spots([]float64{109}), inspect.Stated{ExpandedUm: 2}, bench.ConditionalAccept},
	} {
		r := rule(c.q)
		if got := r.Verdict(c.spots, c.s); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
		if len(c.spots) == 0 {
			continue
		}
		judged, err := r.Judge(c.spots, c.s)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		// The words and the bare outcome are two ways through one rule.
		if judged.Accepted != (c.want == bench.Accept) || judged.Text == "" {
			t.Errorf("%s: judged with words: accepted %v, %q, want %s", c.name, judged.Accepted, judged.Text, c.want)
		}
		if !judged.Accepted && judged.Reasons[0].Met {
			t.Errorf("%s: no reason why it fell: %+v", c.name, judged.Reasons)
		}
	}
}

func TestARuleThatCannotBeUsedIsRefused(t *testing.T) {
	good := bench.Job{Spots: 5, PerSpot: 3}
	for _, c := range []struct {
		name string
		rule bench.Rule
		job  bench.Job
		says string
	}{
		{"unknown rule", rule(inspect.Requirement{Acceptance: "half", Terms: inspect.Terms{MinimumUm: 75}}), good, `"half" is not known`},
		{"no per cent", rule(inspect.Requirement{Terms: inspect.Terms{MinimumUm: 75}}), good, "spot per cent"},
		{"maximum below minimum", rule(inspect.Requirement{Terms: inspect.Terms{MinimumUm: 75, MaximumUm: 70, SpotPercent: 80}}), good, "maximum is 70"},
		{"guard band without uncertainty", rule(inspect.Requirement{Terms: inspect.Terms{MinimumUm: 75, SpotPercent: 80}, Decision: "guard-band"}), good, "needs a guard band"},
		{"guard band for a rule without mean", rule(inspect.Requirement{Acceptance: "imo-90-10", Terms: inspect.Terms{MinimumUm: 75}, Decision: "guard-band", GuardUm: 1}), good, "judges no mean"},
		{"a guard band that is not kept", rule(inspect.Requirement{Terms: inspect.Terms{MinimumUm: 75, SpotPercent: 80}, GuardUm: 1}), good, "guard band of 1"},
		{"a plan for nothing", bench.Rule{Requirement: inspect.Requirement{Terms: inspect.Terms{MinimumUm: 75, SpotPercent: 80}}, Plan: "pa2"}, good, "area is 0"},
		{"a job that is less than the plan", bench.Rule{Requirement: inspect.Requirement{Terms: inspect.Terms{MinimumUm: 75, SpotPercent: 80}}, Plan: "pa2", AreaM2: 25}, good, "15 spots of 3"},
	} {
		if err := c.rule.Check(&c.job); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want %q", c.name, err, c.says)
		}
	}
	asks := good
	asks.StateUncertainty = true
	r := rule(inspect.Requirement{Terms: inspect.Terms{MinimumUm: 75, SpotPercent: 80}, Decision: "guard-band"})
	if err := r.Check(&asks); err != nil {
		t.Error(err)
	}
}
