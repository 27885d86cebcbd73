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
		if s := w.signal(c, All); !(s > 0) {
			t.Fatalf("the signal is %v", s)
		}
	}); n != 0 {
		t.Errorf("one signal makes %v allocations", n)
	}
}

// BenchmarkSignalAllInfluences is the way of one reading from the contact to the
// signal, nothing remembered.
func BenchmarkSignalAllInfluences(b *testing.B) {
	w, c := everywhere(b)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		c.Index = i
		w.signal(c, All)
	}
}

// BenchmarkSignalOrdinary has on what an ordinary contact of a flat part has.
func BenchmarkSignalOrdinary(b *testing.B) {
	w, c := everywhere(b)
	p := &w.pieces[0]
	p.RadiusY, p.Sides, p.Features, p.Coating.SoftUmPerN = 0, part.Sides{}, nil, 0
	on := All &^ (Temperature | Texture)
	c.foil, c.PieceDusty, c.FoilDusty, c.Magnetised = -1, false, false, false
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		c.Index = i
		w.signal(c, on)
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
