package bench

import (
	"testing"

	"foilwright/sim/field"
	"foilwright/sim/inspect"
	"foilwright/sim/num"
	"foilwright/sim/part"
	"foilwright/sim/probe"
)

// everywhere is a world in which every influence acts that can act at one
// contact of the part, and such a contact: a soft film with a thin corner on a
// thin, blasted, curved, dusty, warm and magnetised piece of another steel,
// between an edge, a wall, a hole and a step, with a foil left under a worn and
// dirty tip that stands askew.
func everywhere(t testing.TB, change ...func(*Exercise)) (*World, *Contact) {
	t.Helper()
	d, _ := probe.ByID("ferrous-general")
	steel, _ := part.MetalByID("steel-mild")
	hard, _ := part.MetalByID("steel-hardened")
	rough, _ := part.TextureOf(part.Fine)
	p := part.Piece{
		ID: "part", Name: "Part", Width: 0.2, Height: 0.15, Metal: hard, Thickness: 1.5e-3, RadiusY: 0.12,
		Sides: part.Sides{Bottom: part.Wall}, TemperatureC: 35, RemanenceT: 0.3, DustUm: 4, Texture: rough,
		Features: []part.Feature{{Kind: part.Hole, X: 0.02, Y: 0.03, Radius: 4e-3}, {Kind: part.Step, At: 0.022, Height: 2e-3}},
	}
	twin := p
	twin.ID, twin.Metal, twin.Features = "twin", steel, nil
	e := &Exercise{
		ID: "everywhere", Probe: d,
		Instrument: Instrument{ResolutionUm: 0.1, NoiseRelative: 1e-3, DriftPerHour: 2e-3, TipWearUm: 2, TipDirtUm: part.Range{Low: 3, High: 4}, TemperatureC: 25},
		Job:        Job{Spots: 1, PerSpot: 1, NominalUm: 100, Area: part.Area{Width: 0.2, Height: 0.15}, Rule: Rule{Requirement: inspect.Requirement{Terms: inspect.Terms{MinimumUm: 75, SpotPercent: 80}}}},
		Part: PieceSpec{Piece: p, Coating: part.CoatingSpec{
			MeanUm: []part.Range{{Low: 90, High: 110}}, WavinessUm: 3, WavelengthM: part.Range{Low: 0.1, High: 0.2}, SoftUmPerN: 3, RecoverS: 60,
			Patches: []part.PatchSpec{{Area: part.Area{X: 0, Y: 0, Width: 0.05, Height: 0.05}, ByUm: part.Range{Low: -20, High: -10}, FadeM: 0.01}},
		}},
		References: []PieceSpec{{Piece: twin}},
		Foils:      []part.FoilSpec{{ID: "foil", LabelUm: 50, CertifiedUm: 50.4, ExpandedUm: 0.5, Valid: true, CurlUm: 5, DustUm: 3}},
		Limits:     DefaultLimits(),
	}
	for _, c := range change {
		c(e)
	}
	w, err := NewWorld(e, 7)
	if err != nil {
		t.Fatal(err)
	}
	return w, &Contact{
		Mode: Measuring, Piece: "part", Foil: "foil", Probe: d.ID, XUm: 12_000, YUm: 14_000, TiltDeg: 4, LandingMmPerS: 60,
		HeldMs: 600, PressMN: 1500, CapturedAt: 600_000, LiftedUm: 30_000,
		Condition: Condition{TipDirtUm: w.TipDirtUm, PieceDusty: true, FoilDusty: true, Magnetised: true},
	}
}

func TestSignalWithAllInfluencesDoesNotAllocate(t *testing.T) {
	w, c := everywhere(t)
	if n := testing.AllocsPerRun(100, func() {
		var st standing
		w.stand(c, &st)
		if s := w.signal(c, &st, All); !(s > 0) {
			t.Fatalf("the signal is %v", s)
		}
	}); n != 0 {
		t.Errorf("one signal makes %v allocations", n)
	}
}

// A probe that slides or leans after it has landed is where it is, not where it
// landed; pressing it harder or waiting needs nothing new.
func TestAStandingHoldsUntilTheProbeMoves(t *testing.T) {
	w, c := everywhere(t)
	s := newSession(w, All)
	landed := s.signal(c)
	for _, moved := range []struct {
		name   string
		change func()
		holds  bool
	}{
		{"pressed", func() { c.PressMN += 300 }, true},
		{"held", func() { c.HeldMs, c.CapturedAt = c.HeldMs+50, c.CapturedAt+50 }, true},
		{"slid", func() { c.XUm += 400 }, false},
		{"slid along", func() { c.YUm += 400 }, false},
		{"leant", func() { c.TiltDeg++ }, false},
		{"lifted and put down", func() { c.Index++ }, false},
	} {
		moved.change()
		if got := s.standing.holds(c); got != moved.holds {
			t.Errorf("%s: the standing holds: %v, want %v", moved.name, got, moved.holds)
		}
		var st standing
		w.stand(c, &st)
		got, want := s.signal(c), w.signal(c, &st, All)
		if got != want || got == landed {
			t.Errorf("%s: the signal is %v, worked out afresh %v, before %v", moved.name, got, want, landed)
		}
		landed = got
	}
}

// BenchmarkSignalAllInfluences is one reading, from the contact to the signal,
// of a probe that has landed: what force, time, dirt, wear, foil, film,
// temperature, remanence, drift, noise and surroundings make of it at that
// moment. What the landing itself takes is BenchmarkSignalLanding; each contact
// of an attempt is one of each.
func BenchmarkSignalAllInfluences(b *testing.B) {
	w, c := everywhere(b)
	var st standing
	w.stand(c, &st)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		c.HeldMs, c.PressMN, c.CapturedAt = int64(200+i&511), int64(1000+i&1023), int64(600_000+i&1023)
		w.signal(c, &st, All)
	}
}

// BenchmarkSignalLanding is what is worked out once when the probe lands: film,
// grains, damage and texture under the tip, all that surrounds it found in the
// tables, what the lift before left, and the draw of noise.
func BenchmarkSignalLanding(b *testing.B) {
	w, c := everywhere(b)
	var st standing
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		c.Index, c.XUm = i, int64(12_000+i&255)
		w.stand(c, &st)
	}
}

// BenchmarkSignalLandingAndReading is both.
func BenchmarkSignalLandingAndReading(b *testing.B) {
	w, c := everywhere(b)
	var st standing
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		c.Index, c.XUm = i, int64(12_000+i&255)
		w.stand(c, &st)
		w.signal(c, &st, All)
	}
}

// BenchmarkSignalOrdinary has on what an ordinary contact of a flat part has:
// landing and reading.
func BenchmarkSignalOrdinary(b *testing.B) {
	w, c := everywhere(b)
	p := &w.pieces[0]
	p.RadiusY, p.Sides, p.Features, p.Coating.SoftUmPerN = 0, part.Sides{}, nil, 0
	on := All &^ (Temperature | Texture)
	var st standing
	c.foil, c.PieceDusty, c.FoilDusty, c.Magnetised = -1, false, false, false
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		c.Index = i
		w.stand(c, &st)
		w.signal(c, &st, on)
	}
}

// BenchmarkSignalReference beside the others gives the ratio in one run: the
// adaptive reference integrator, which has no core, no edge and no influence.
func BenchmarkSignalReference(b *testing.B) {
	d, _ := probe.ByID("ferrous-general")
	head := d.Head
	head.Core = nil
	for b.Loop() {
		if _, err := field.ReferenceDeltaL(head, d.Standard, 0.2e-3, 1e-6); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkNoiseStream(b *testing.B) {
	for i := 0; b.Loop(); i++ {
		num.NewStream(7, "noise", uint64(i)).Normal()
	}
}
