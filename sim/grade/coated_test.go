package grade_test

import (
	"math"
	"strings"
	"testing"

	"foilwright/scenarios"
	"foilwright/sim/bench"
	"foilwright/sim/explain"
	"foilwright/sim/grade"
)

// coatedJobs are the worlds of the jobs that have no bare metal.
func coatedJobs(t *testing.T) []*bench.World {
	t.Helper()
	var list []*bench.World
	for _, e := range scenarios.Shipped() {
		if !e.Job.OnCoated() {
			continue
		}
		w, err := bench.NewWorld(e, 3)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, w)
	}
	if len(list) < 2 {
		t.Fatalf("%d jobs are adjusted on coated pieces", len(list))
	}
	return list
}

// With every influence ideal an adjustment on coated pieces leaves no error, as
// one on bare metal does; with the certificates alone acting the error is that of
// the films against them: no more than two certified uncertainties.
func TestCoatedPiecesLeaveNoErrorOfTheirOwn(t *testing.T) {
	for _, w := range coatedJobs(t) {
		r := play(t, w, 3)
		if um, ok := r.MeanErrorUm(0); !ok || math.Abs(um) > 1e-6 {
			t.Errorf("%s: error with nothing acting %g µm, %v", w.Exercise.ID, um, ok)
		}
		um, _ := r.MeanErrorUm(bench.FoilTruth)
		most := 0.0
		for i := range w.Exercise.References {
			most = math.Max(most, 2*w.Exercise.References[i].AsFoil().ExpandedUm)
		}
		if um == 0 || math.Abs(um) > most {
			t.Errorf("%s: the certificates alone make %g µm, want something up to %g", w.Exercise.ID, um, most)
		}
		shares := explain.Explain(r).Mean.Shares
		for _, s := range shares {
			if s.Influence == bench.FoilTruth && !strings.Contains(s.Cause, "certified piece") || strings.Contains(s.Advice, "uncoated") {
				t.Errorf("%s: %s is explained by %q, %q", w.Exercise.ID, s.Key, s.Cause, s.Advice)
			}
		}
	}
}

// The budget of such a result holds the certificates, and the instrument's
// tolerance for a curve that no bare metal holds; its root sum of squares times
// the coverage factor is what is stated (GUM 5.1.2, 6.2.1).
func TestBudgetOnCoatedPieces(t *testing.T) {
	for _, w := range coatedJobs(t) {
		r := play(t, w, 3)
		s := grade.Grade(r)
		sum, certificates, curve := 0.0, 0, 0.0
		for _, line := range s.Result.Budget {
			sum += line.Contribution * line.Contribution
			if strings.HasPrefix(line.Name, "certificate of coated piece") {
				certificates++
			}
			if line.Name == "curve of the instrument" {
				curve = line.StandardUm
			}
		}
		want := w.Exercise.Limits.InstrumentUm(w.Exercise.Job.NominalUm) / math.Sqrt(3)
		if certificates != w.Exercise.Job.Thicknesses() || math.Abs(curve-want) > 1e-9 {
			t.Errorf("%s: %d certificates, curve %g µm, want %d and %g", w.Exercise.ID, certificates, curve, w.Exercise.Job.Thicknesses(), want)
		}
		if u := s.Result.Coverage * math.Sqrt(sum); math.Abs(u-s.Result.ExpandedUm) > 1e-6 || math.Abs(r.Result.ExpandedUm-u) > w.Exercise.Instrument.ResolutionUm {
			t.Errorf("%s: U %g, root sum of squares gives %g, stated %g", w.Exercise.ID, s.Result.ExpandedUm, u, r.Result.ExpandedUm)
		}
	}
}

// The same job with a bare twin on the bench would have no excuse: adjusting on
// coated pieces is found then, and that the zero is missing.
func TestCoatedPiecesNeedTheJobSheet(t *testing.T) {
	e, err := scenarios.ByID("no-bare-metal")
	if err != nil {
		t.Fatal(err)
	}
	w, err := bench.NewWorld(e, 3)
	if err != nil {
		t.Fatal(err)
	}
	actions := play(t, w, 3).Entries
	other, err := scenarios.ByID("no-bare-metal")
	if err != nil {
		t.Fatal(err)
	}
	other.Job.Adjustment = bench.OneFoil
	bare := other.Part
	bare.Piece.ID, bare.Piece.Name, bare.Coating = "bare", "Bare plate", bench.PieceSpec{}.Coating
	other.References = append(other.References, bare)
	if w, err = bench.NewWorld(other, 3); err != nil {
		t.Fatal(err)
	}
	b := bench.New(w)
	for _, x := range actions {
		if _, err := b.Do(x.Action); err != nil {
			t.Fatal(err)
		}
	}
	if s := grade.Grade(b.Record()); !s.Found("zero-missing") || !s.Found("fallback-unjustified") || s.Passed {
		t.Errorf("found%s, passed %v", names(s), s.Passed)
	}
}

// A certificate can be read of foils and certified pieces only, and a foil on a
// certified film counts with that film.
func TestKnownThicknesses(t *testing.T) {
	w := coatedJobs(t)[1]
	if w.Exercise.ID != "no-bare-metal" {
		w = coatedJobs(t)[0]
	}
	b := bench.New(w)
	for item, want := range map[string]string{"coated-300": "", "foil-250": "", "sample": "has no certificate", "blade": "has no certificate", "nothing": "there is no foil"} {
		events, err := b.Do(bench.Action{Do: bench.ReadCertificate, Item: item})
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		if len(events) > 0 && events[0].Kind == bench.Refused {
			got = events[0].Text
		}
		if (got == "") != (want == "") || !strings.Contains(got, want) {
			t.Errorf("certificate of %s: %q, want %q", item, got, want)
		}
	}
	both, ok := w.Exercise.Known("coated-300", "foil-250")
	if !ok || math.Abs(both.CertifiedUm-(291.4+254.8)) > 1e-9 || math.Abs(both.ExpandedUm-math.Sqrt(3*3+1.6*1.6)) > 1e-9 {
		t.Errorf("foil on film: %+v, %v", both, ok)
	}
	if alone, ok := w.Exercise.Known("blade", "foil-250"); !ok || alone.CertifiedUm != 254.8 {
		t.Errorf("foil on the part: %+v, %v", alone, ok)
	}
	if _, ok := w.Exercise.Known("sample", ""); ok {
		t.Error("the sample is known")
	}
}
