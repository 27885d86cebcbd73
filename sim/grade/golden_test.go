package grade_test

import (
	"bytes"
	"flag"
	"math"
	"os"
	"path/filepath"
	"testing"

	"foilwright/sim/bench"
	"foilwright/sim/explain"
	"foilwright/sim/grade"
)

var update = flag.Bool("update", false, "play the golden attempts anew and write their logs")

const goldenSeed = 7

// goldenFaults are the faults of which a golden attempt is kept, one each.
var goldenFaults = []string{
	"memory-uncleared", "zero-missing", "zero-few", "zero-piece-mismatch", "foil-few", "foil-label", "foil-left",
	"verify-missing-start", "verify-missing-end", "lift-short", "tilt", "edge-near", "discard-unexplained", "decision-wrong",
}

func goldenFile(name string) string {
	return filepath.Join("..", "..", "testdata", "logs", name+".jsonl")
}

// golden reads and replays a golden attempt.
func golden(t *testing.T, w *bench.World, name string, faults ...string) *bench.Record {
	t.Helper()
	file := goldenFile(name)
	if *update {
		if err := os.WriteFile(file, logOf(t, play(t, w, goldenSeed, faults...)), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatalf("%v; make it with go test ./sim/grade -update", err)
	}
	l, err := bench.ReadLog(file, bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	b, err := bench.Replay(file, w, l)
	if err != nil {
		t.Fatal(err)
	}
	return b.Record()
}

func logOf(t *testing.T, r *bench.Record) []byte {
	t.Helper()
	var w bench.Writer
	out, err := w.Header(bench.NewHeader(r.World, "scripted"))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range r.Entries {
		line, err := w.Entry(e)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, line...)
	}
	return out
}

func TestTheGoldenCompetentAttempt(t *testing.T) {
	s := grade.Grade(golden(t, world(t, goldenSeed), "competent"))
	if s.Technique != 100 || len(s.Findings) > 0 || !s.Passed {
		t.Errorf("technique %.1f, passed %v, findings%s, %v", s.Technique, s.Passed, names(s), s.Why)
	}
	if !(math.Abs(s.Result.ErrorUm) <= s.Result.ExpandedUm) {
		t.Errorf("error of the mean %+.2f µm, expanded uncertainty %.2f µm", s.Result.ErrorUm, s.Result.ExpandedUm)
	}
}

func TestEachGoldenFaultIsFoundByNameAndNothingElse(t *testing.T) {
	w := world(t, goldenSeed)
	for _, fault := range goldenFaults {
		r := golden(t, w, fault, fault)
		s := grade.Grade(r)
		if len(s.Findings) != 1 || s.Findings[0].Check != fault {
			t.Errorf("%s: found%s", fault, names(s))
			continue
		}
		f := s.Findings[0]
		if f.What == "" || f.Do == "" || len(f.Entries) == 0 || !(f.Points > 0) || s.Technique >= 100 {
			t.Errorf("%s: the finding is told as %+v, technique %.1f", fault, f, s.Technique)
		}
		for _, n := range f.Entries {
			if n < 1 || n > len(r.Entries) {
				t.Errorf("%s: points at entry %d of %d", fault, n, len(r.Entries))
			}
		}
		e := explain.Explain(r)
		sum := e.Mean.RemainderUm
		for _, x := range e.Mean.Shares {
			sum += x.Um
		}
		if math.Abs(sum-e.Mean.TotalUm) > 1e-9 {
			t.Errorf("%s: shares miss the error by %g µm", fault, sum-e.Mean.TotalUm)
		}
	}
}
