package bench_test

import (
	"math"
	"strings"
	"testing"

	"foilwright/scenarios"
	"foilwright/sim/bench"
)

// duplex is the exercise with zinc under its paint, three probes on the bench.
func duplex(t *testing.T, withLayers bool) *bench.World {
	t.Helper()
	shipped, err := scenarios.ByID("gangway-plate")
	if err != nil {
		t.Fatal(err)
	}
	e := *shipped
	e.Job.WithLayers = withLayers
	w, err := bench.NewWorld(&e, 5)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// adjusted zeroes on a piece and adjusts on a foil there.
func (p *player) adjusted(piece string) {
	p.adjust(piece)
	p.act(bench.ClearMemory, "")
	p.act(bench.PlacePiece, "plate")
	p.touch(150, 110)
}

func (p *player) last() *bench.Contact {
	list := p.b.Record().Contacts
	return &list[len(list)-1]
}

// A dual probe tells the principle it picked; a probe that senses nothing it
// can measure shows no value and says why.
func TestEachPrincipleReadsWhatItSenses(t *testing.T) {
	w := duplex(t, false)
	for _, c := range []struct {
		probe, piece string
		outcome      bench.Outcome
		says         string // in the event
		by           string // design that read
	}{
		{"dual-ferrous", "steel-4", bench.Read, "magnetic induction", "dual-ferrous"},
		{"dual-ferrous", "zinc-4", bench.Read, "magnetic induction", "dual-ferrous"},
		{"dual-ferrous", "alloy-6061", bench.Read, "eddy current", "dual-nonferrous"},
		{"nonferrous-general", "alloy-6061", bench.Read, "", "nonferrous-general"},
		{"nonferrous-general", "zinc-4", bench.Read, "", "nonferrous-general"},
		{"nonferrous-general", "steel-4", bench.NoMetal, "non-magnetic conductor", "nonferrous-general"},
		{"ferrous-general", "steel-4", bench.Read, "", "ferrous-general"},
		{"ferrous-general", "alloy-6061", bench.NoMetal, "no magnetic metal", "ferrous-general"},
	} {
		p := newPlayer(t, w)
		if c.probe != "dual-ferrous" {
			p.act(bench.ChooseProbe, c.probe)
		}
		p.act(bench.PlacePiece, c.piece)
		p.touch(60, 50)
		text := ""
		for _, e := range p.b.Record().Entries {
			for _, ev := range e.Events {
				if ev.Kind == bench.ReadingNew || ev.Kind == bench.NoReading {
					text = ev.Text
				}
			}
		}
		if got := p.last(); got.Outcome != c.outcome || got.Probe != c.by || !strings.Contains(text, c.says) || c.says == "" && text != "" {
			t.Errorf("%s on %s: %s by %s, %q", c.probe, c.piece, got.Outcome, got.Probe, text)
		}
	}
}

// Eddy current ends at the zinc; magnetic induction counts what of it the zero
// did not take out.
func TestWhatIsMeasuredOverZinc(t *testing.T) {
	worlds := map[bool]*bench.World{false: duplex(t, false), true: duplex(t, true)}
	for _, c := range []struct {
		name, probe, piece string
		withLayers         bool
		off                float64 // expected error, um
		within             float64
	}{
		{"eddy current, zero on zinc", "nonferrous-general", "zinc-4", false, 0, 1.5},
		{"magnetic, zero on zinc 3 µm thinner", "ferrous-general", "zinc-4", false, 3, 1.5},
		{"magnetic, zero on bare steel", "ferrous-general", "steel-4", false, 84, 4},
		{"magnetic, zero on bare steel, paint and zinc asked for", "ferrous-general", "steel-4", true, 0, 4},
	} {
		p := newPlayer(t, worlds[c.withLayers])
		p.act(bench.ChooseProbe, c.probe)
		p.adjusted(c.piece)
		r := p.b.Record()
		i := len(r.Contacts) - 1
		off := float64(r.Contacts[i].Counts)*0.1 - r.TrueUm(i)
		if math.Abs(off-c.off) > c.within {
			t.Errorf("%s: reads %.1f µm too much, expected %.1f ± %.1f", c.name, off, c.off, c.within)
		}
		p.now++
		p.do(bench.Action{Do: bench.Report, Counts: r.Contacts[i].Counts, Text: bench.Reject})
		ideal, ok := p.b.Record().MeanErrorUm(0)
		if !ok || math.Abs(ideal) > 1e-6 {
			t.Errorf("%s: with every influence ideal the mean is %g µm off", c.name, ideal)
		}
		without := r.Counterfactual().Run(bench.All &^ bench.Layers).ErrorUm[i]
		if c.off > 2 && math.Abs(without) > 1.5 {
			t.Errorf("%s: without the layers the reading is still %.1f µm off", c.name, without)
		}
	}
}

// Another probe begins without an adjustment, and the log replays.
func TestAnotherProbeKnowsNothingOfTheAdjustment(t *testing.T) {
	p := newPlayer(t, duplex(t, false))
	p.act(bench.ChooseProbe, "nonferrous-general")
	p.adjusted("zinc-4")
	if v := p.b.View(); !v.Zeroed || v.FoilCount != 1 || v.Probe != "nonferrous-general" {
		t.Fatalf("%+v", v)
	}
	p.act(bench.ChooseProbe, "ferrous-general")
	if v := p.b.View(); v.Zeroed || v.FoilCount != 0 || v.Mode != bench.Measuring || len(p.b.Record().Resets()) != 2 {
		t.Errorf("%+v", v)
	}
	for _, bad := range []string{"ferrous-general", "stethoscope"} {
		p.now++
		events, err := p.b.Do(bench.Action{At: p.now, Do: bench.ChooseProbe, Item: bad})
		if err != nil || len(events) != 1 || events[0].Kind != bench.Refused {
			t.Errorf("%s: %v, %v", bad, events, err)
		}
	}
	if w := p.b.Record().World; w.Fitting().ID != "nonferrous-general" {
		t.Errorf("fitting probe %s", w.Fitting().ID)
	}
	if zero, foils := p.b.Record().InForce(); zero >= 0 || len(foils) > 0 {
		t.Errorf("in force: %d, %v", zero, foils)
	}
}
