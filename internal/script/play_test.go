package script_test

import (
	"bytes"
	"math"
	"sync"
	"testing"

	"foilwright/internal/script"
	"foilwright/scenarios"
	"foilwright/sim/bench"
	"foilwright/sim/explain"
	"foilwright/sim/grade"
)

var sharedWorld = sync.OnceValues(func() (*bench.World, error) {
	e, err := scenarios.ByID("painted-panel")
	if err != nil {
		return nil, err
	}
	return bench.NewWorld(e, 3)
})

// Whatever a trainee does, in whatever order, the attempt can be written,
// replayed, graded and explained, and the shares of every error add up.
func FuzzAnyAttempt(f *testing.F) {
	f.Add([]byte(competent))
	f.Add([]byte("place panel\nbegin-zero\ntouch 60 50\nstore-zero\nlay-foil foil-25\nbegin-foil\nset-foil-value 24\ntouch 1 1 lift 3 tilt 20\nstore-foil\ntouch 150 100\nreport 12 accept\n"))
	f.Add([]byte("place sheet-05\nbegin-foil\nset-foil-value 75\ntouch 60 50\nstore-foil\nbegin-verify\ntouch 1 1\njudge-verify bad\nplace panel\ntouch 9 9\ndelete-last\ndelete-last\ndelete-last\ndelete-last\ndelete-last\ntouch 200 1 press 0\nnew-spot\ntouch 300 200\nreport -3 reject\nclear-memory\nreset-adjustment\ntouch 5 5\nreport 1 accept\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		actions, err := script.Parse("fuzz", text, 0.1)
		if err != nil || len(actions) > 400 {
			return
		}
		w, err := sharedWorld()
		if err != nil {
			t.Fatal(err)
		}
		b := bench.New(w)
		var writer bench.Writer
		log, err := writer.Header(bench.NewHeader(w, ""))
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range actions {
			if _, err := b.Do(a); err != nil {
				continue // not an action a bench can be given
			}
			entries := b.Record().Entries
			line, err := writer.Entry(entries[len(entries)-1])
			if err != nil {
				t.Fatal(err)
			}
			log = append(log, line...)
		}
		r := b.Record()
		l, err := bench.ReadLog("fuzz", bytes.NewReader(log))
		if err != nil {
			t.Fatal(err)
		}
		again, err := bench.Replay("fuzz", w, l)
		if err != nil {
			t.Fatal(err)
		}
		if again.Record().Digest() != r.Digest() {
			t.Error("the replay has another digest")
		}
		s := grade.Grade(r)
		if !(s.Technique >= 0 && s.Technique <= 100) {
			t.Errorf("technique %v", s.Technique)
		}
		for _, finding := range s.Findings {
			for _, n := range finding.Entries {
				if n < 1 || n > len(r.Entries) {
					t.Errorf("%s points at entry %d of %d", finding.Check, n, len(r.Entries))
				}
			}
		}
		e := explain.ExplainWith(r, explain.Options{MaxExact: 8, Pairs: 4})
		if e.Reported {
			addUp(t, "the mean", e.Mean)
		}
		for _, x := range e.Readings {
			addUp(t, "a reading", x.Breakdown)
		}
	})
}

func addUp(t *testing.T, what string, b explain.Breakdown) {
	t.Helper()
	sum, size := b.RemainderUm, 1+math.Abs(b.TotalUm)
	for _, s := range b.Shares {
		sum += s.Um
		size = math.Max(size, math.Abs(s.Um))
	}
	// 1e-9 µm for errors as they occur; wild scales may round more.
	if !(math.Abs(sum-b.TotalUm) <= 1e-9*math.Max(1, size/1000)) {
		t.Errorf("the shares of %s miss its error by %g µm of %g", what, sum-b.TotalUm, b.TotalUm)
	}
}
