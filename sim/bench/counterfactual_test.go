package bench_test

import (
	"math"
	"reflect"
	"testing"

	"foilwright/sim/bench"
	"foilwright/sim/inspect"
	"foilwright/sim/num"
)

// faulty is an attempt in which most influences act.
func faulty(t *testing.T, seed uint64) *bench.Record {
	p := newPlayer(t, newWorld(t, seed))
	p.act(bench.PlacePiece, "sheet-05")
	p.act(bench.BeginZero, "")
	p.tilt = 4000
	for range 3 {
		p.touch(60, 50)
	}
	p.act(bench.StoreZero, "")
	p.act(bench.LayFoil, "foil-75")
	p.act(bench.BeginFoil, "")
	p.do(bench.Action{Do: bench.SetFoilValue, Counts: 750})
	p.touch(60, 50)
	p.touch(60, 50)
	p.act(bench.StoreFoil, "")
	p.act(bench.BeginVerify, "")
	p.touch(60, 50)
	p.now++
	p.do(bench.Action{Do: bench.JudgeVerify, Text: "good"})
	p.act(bench.PlacePiece, "panel")
	p.act(bench.LayFoil, "foil-25")
	p.hold, p.lift = 200, 8000
	p.touch(3, 100)
	p.act(bench.DeleteLast, "")
	p.touch(100, 100)
	p.act(bench.NewSpot, "")
	p.act(bench.TakeFoilAway, "")
	p.touch(2, 100)
	p.now++
	p.do(bench.Action{Do: bench.Report, Counts: 900, Text: "accept"})
	return p.b.Record()
}

// What a Counterfactual remembers from earlier replays never shows in a later one.
func TestARerunDoesNotDependOnTheOnesBefore(t *testing.T) {
	r := faulty(t, 4)
	reused, stream := r.Counterfactual(), num.NewStream(1, "test")
	for n := range 300 {
		on := bench.Influence(stream.Uint64()) & bench.All
		got, want := reused.Run(on), r.Counterfactual().Run(on)
		if got.MeanErrorUm != want.MeanErrorUm || got.MeanUm != want.MeanUm || got.Reported != want.Reported || !reflect.DeepEqual(got.Spots, want.Spots) {
			t.Fatalf("replay %d with %b: %+v, afresh %+v", n, on, got, want)
		}
		for i := range got.ErrorUm {
			if math.Float64bits(got.ErrorUm[i]) != math.Float64bits(want.ErrorUm[i]) {
				t.Fatalf("replay %d with %b: reading %d has error %v, afresh %v", n, on, i, got.ErrorUm[i], want.ErrorUm[i])
			}
		}
	}
}

// With everything acting, a rerun is the attempt.
func TestARerunWithEverythingIsTheAttempt(t *testing.T) {
	for _, r := range []*bench.Record{faulty(t, 4), competent(t, 5).Record()} {
		out := r.Counterfactual().Run(bench.All)
		for i := range r.Contacts {
			c := &r.Contacts[i]
			if shown := float64(c.Counts) * 0.1; c.Outcome == bench.Read && out.ReadingUm[i] != shown {
				t.Errorf("contact %d reads %v, showed %v", i, out.ReadingUm[i], shown)
			}
		}
		if math.Abs(out.MeanUm-r.Result.MeanUm) > 1e-9 {
			t.Errorf("mean %v, reported %v", out.MeanUm, r.Result.MeanUm)
		}
		spots := r.Result.SpotMeansUm(0.1)
		for i, s := range out.Spots {
			if math.Abs(inspect.Describe(s.ReadingsUm).Mean-spots[i]) > 1e-9 {
				t.Errorf("spots %v, shown %v", out.Spots, spots)
				break
			}
		}
	}
}

// The edge limit is where an adjusted instrument departs by what is accepted.
func TestEdgeLimit(t *testing.T) {
	w := newWorld(t, 1)
	mm := w.EdgeLimitMm()
	if mm < 1 || mm > 25 {
		t.Errorf("edge limit %.2f mm", mm)
	}
	e := *w.Exercise
	e.Limits.EdgeMm = 12
	w.Exercise = &e
	if got := w.EdgeLimitMm(); got != 12 {
		t.Errorf("edge limit %v mm, the exercise sets 12", got)
	}
	t.Logf("derived edge limit %.2f mm", mm)
}

func TestReseedIsANewWorld(t *testing.T) {
	a, b := newWorld(t, 9), newWorld(t, 1).Reseed(9)
	if a.TrueMeanUm != b.TrueMeanUm || a.Foils[0] != b.Foils[0] || len(a.References) != len(b.References) {
		t.Errorf("reseeded world: mean %v, foils %+v; new world: mean %v, foils %+v", b.TrueMeanUm, b.Foils, a.TrueMeanUm, a.Foils)
	}
	p, q := newPlayer(t, a), newPlayer(t, b)
	for _, x := range []*player{p, q} {
		x.adjustAndVerify()
		x.measure()
	}
	if p.b.Record().Digest() != q.b.Record().Digest() {
		t.Error("the same attempt gives other readings in a reseeded world")
	}
}
