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

func played(t testing.TB, seed uint64, faults ...string) *bench.Record {
	t.Helper()
	e, err := scenarios.ByID("painted-panel")
	if err != nil {
		t.Fatal(err)
	}
	return playedOn(t, e, seed, faults...)
}

func playedOn(t testing.TB, e *bench.Exercise, seed uint64, faults ...string) *bench.Record {
	t.Helper()
	w, err := bench.NewWorld(e, seed)
	if err != nil {
		t.Fatal(err)
	}
	b, err := trainee.Play(w, seed, faults...)
	if err != nil {
		t.Fatal(err)
	}
	return b.Record()
}

// everything is a set of faults through which every influence acts.
var everything = []string{
	"memory-uncleared", "zero-piece-mismatch", "foil-label", "foil-left", "tilt", "dwell-short", "lift-short", "press",
	"edge-near", "record-wrong", "zero-few",
}

func total(b explain.Breakdown) float64 {
	sum := b.RemainderUm
	for _, s := range b.Shares {
		sum += s.Um
	}
	return sum
}

func TestSharesAddUpToTheError(t *testing.T) {
	for _, faults := range [][]string{nil, {"tilt"}, {"zero-missing"}, {"zero-on-coating"}, {"fallback-unjustified"}, {"foil-on-coating", "edge-near"}, everything} {
		r := played(t, 2, faults...)
		// With everything at once there is one player more than is replayed whole by default.
		e := explain.ExplainWith(r, explain.Options{MaxExact: 15})
		if !e.Exact || !e.Reported {
			t.Fatalf("%v: exact %v, reported %v", faults, e.Exact, e.Reported)
		}
		if off := total(e.Mean) - e.Mean.TotalUm; !(math.Abs(off) <= 1e-9) {
			t.Errorf("%v: the shares of the mean miss its error by %g µm", faults, off)
		}
		if want := r.Result.MeanUm - r.World.TrueMeanUm; math.Abs(e.Mean.TotalUm-want) > 1e-9 {
			t.Errorf("%v: error of the mean %g µm, want %g", faults, e.Mean.TotalUm, want)
		}
		if math.Abs(e.Mean.RemainderUm) > 1e-6 {
			t.Errorf("%v: %g µm of the mean are left with everything ideal", faults, e.Mean.RemainderUm)
		}
		for _, x := range e.Readings {
			if off := total(x.Breakdown) - x.TotalUm; !(math.Abs(off) <= 1e-9) {
				t.Errorf("%v: the shares of reading %d miss its error by %g µm", faults, x.Contact, off)
			}
			c := r.Contacts[x.Contact]
			if want := float64(c.Counts)*0.1 - r.TrueUm(x.Contact); math.Abs(x.TotalUm-want) > 1e-9 {
				t.Errorf("%v: error of reading %d is %g µm, want %g", faults, x.Contact, x.TotalUm, want)
			}
		}
	}
}

// The values are those of Shapley's own definition, an average over all orders
// in which the players can come in.
func TestSharesAreShapleyValues(t *testing.T) {
	r := played(t, 2, "zero-piece-mismatch", "tilt", "record-wrong", "memory-uncleared")
	e := explain.Explain(r)
	var players []bench.Influence
	idle := bench.Influence(bench.All)
	share := map[bench.Influence]float64{}
	for _, s := range e.Mean.Shares {
		players, idle = append(players, s.Influence), idle&^s.Influence
		share[s.Influence] = s.Um
	}
	n := len(players)
	value := make([]float64, 1<<n)
	c := r.Counterfactual()
	for set := range value {
		on := idle
		for k, p := range players {
			if set>>k&1 == 1 {
				on |= p
			}
		}
		value[set] = c.Run(on).MeanErrorUm
	}
	factorial := []float64{1}
	for i := 1; i <= n; i++ {
		factorial = append(factorial, factorial[i-1]*float64(i))
	}
	for k, p := range players {
		want := 0.0
		for set := range value {
			if set>>k&1 == 1 {
				continue
			}
			size := 0
			for i := range n {
				size += set >> i & 1
			}
			want += factorial[size] * factorial[n-size-1] / factorial[n] * (value[set|1<<k] - value[set])
		}
		if math.Abs(want-share[p]) > 1e-9 {
			t.Errorf("%s: %.12f µm, by the definition %.12f", p, share[p], want)
		}
	}
}

func TestSamplingAgreesWithinItsError(t *testing.T) {
	r := played(t, 2, everything...)
	exact := explain.Explain(r)
	sampled := explain.ExplainWith(r, explain.Options{MaxExact: 1})
	if sampled.Exact {
		t.Fatal("not sampled")
	}
	if off := total(sampled.Mean) - sampled.Mean.TotalUm; math.Abs(off) > 1e-9 {
		t.Errorf("sampled shares miss the error by %g µm", off)
	}
	want := map[string]float64{}
	for _, s := range exact.Mean.Shares {
		want[s.Key] = s.Um
	}
	far := 0
	for _, s := range sampled.Mean.Shares {
		if math.Abs(s.Um-want[s.Key]) > 3*s.StdErrUm+1e-9 {
			far++
			t.Logf("%s: %.3f ± %.3f µm, exact %.3f", s.Key, s.Um, s.StdErrUm, want[s.Key])
		}
	}
	if far > 0 {
		t.Errorf("%d of %d sampled shares are more than three standard errors off", far, len(sampled.Mean.Shares))
	}
}

// A planted fault is the largest share, told at the entries where it came in.
func TestTheCauseIsNamed(t *testing.T) {
	for _, c := range []struct{ fault, key string }{
		{"zero-piece-mismatch", "piece"}, {"foil-label", "foil-value"}, {"foil-left", "foil-left"},
		{"memory-uncleared", "old-readings"}, {"record-wrong", "recording"}, {"tilt", "tilt"}, {"zero-missing", "base-metal"},
	} {
		e := explain.Explain(played(t, 3, c.fault))
		first := e.Mean.Shares[0]
		if first.Key == "sampling" && len(e.Mean.Shares) > 1 {
			first = e.Mean.Shares[1]
		}
		if first.Key != c.key {
			t.Errorf("%s: the largest share is %s (%.2f µm)", c.fault, first.Key, first.Um)
		}
		if first.Cause == "" || first.Advice == "" || !strings.HasPrefix(first.WhatIf, "Had ") {
			t.Errorf("%s: says %+v", c.fault, first)
		}
		if c.key != "base-metal" && len(first.Entries) == 0 {
			t.Errorf("%s: points at no entries", c.fault)
		}
	}
}

// Every influence there is has its words.
func TestEveryInfluenceHasWords(t *testing.T) {
	for _, p := range bench.Influences() {
		cause, advice := explain.Words(p)
		if cause == "" || advice == "" || explain.Name(p) == p.String() || p.String() == "" {
			t.Errorf("influence %d (%s) has no name or words", p, p)
		}
	}
}

// A wrong verdict is traced to what made it wrong.
func TestAWrongVerdictIsTraced(t *testing.T) {
	for seed := range uint64(12) {
		r := played(t, seed, "foil-left")
		if r.World.TrueVerdict(0) == bench.Accept {
			continue
		}
		v := explain.Explain(r).Verdict
		if v.ByRule != bench.Accept || !v.Wrong {
			t.Errorf("seed %d: %+v", seed, v)
			continue
		}
		if len(v.Flips) == 0 || v.Flips[0].Key != "foil-left" {
			t.Errorf("seed %d: flips %+v", seed, v.Flips)
		}
		sum := 0.0
		for _, p := range v.Shares {
			sum += p.Value
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Errorf("seed %d: the pulls of a wrong verdict add up to %v", seed, sum)
		}
		return
	}
	t.Fatal("no seed with a film too thin")
}

// hundred is an exercise of twenty spots of five readings.
func hundred(t testing.TB) *bench.Exercise {
	e, err := scenarios.ByID("painted-panel")
	if err != nil {
		t.Fatal(err)
	}
	e.Job.Spots, e.Job.PerSpot = 20, 5
	return e
}

// The bound of the plan: 100 readings, every influence there is, 0.3 s.
func BenchmarkExplainHundredReadingsEveryInfluence(b *testing.B) {
	r := playedOn(b, hundred(b), 2, everything...)
	var e *explain.Explanation
	for b.Loop() {
		e = explain.Explain(r)
	}
	b.ReportMetric(float64(len(e.Players)), "influences")
	b.ReportMetric(float64(len(e.Readings)), "readings")
}

func BenchmarkExplainCompetent(b *testing.B) {
	r := played(b, 2)
	for b.Loop() {
		explain.Explain(r)
	}
}
