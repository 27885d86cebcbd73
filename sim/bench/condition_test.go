package bench_test

import (
	"math"
	"strings"
	"testing"

	"foilwright/scenarios"
	"foilwright/sim/bench"
	"foilwright/sim/part"
)

// inCondition is a player in a world of an exercise with things out of order.
func inCondition(t *testing.T, id string, seed uint64, change func(*bench.Exercise)) *player {
	t.Helper()
	e, err := scenarios.ByID(id)
	if err != nil {
		t.Fatal(err)
	}
	change(e)
	w, err := bench.NewWorld(e, seed)
	if err != nil {
		t.Fatal(err)
	}
	return newPlayer(t, w)
}

// byUm is what an influence brought to the newest reading.
func byUm(t *testing.T, p *player, i bench.Influence) float64 {
	t.Helper()
	r := p.b.Record()
	with, ok1 := r.ReadingErrorUm(len(r.Contacts)-1, bench.All)
	without, ok2 := r.ReadingErrorUm(len(r.Contacts)-1, bench.All&^i)
	if !ok1 || !ok2 {
		t.Fatal("no reading")
	}
	return with - without
}

// Each condition moves a reading on the part, taken on the built-in curve, in
// the direction known from practice (facts of the trade: dirt and residual
// magnetism read high, a soft film and a worn tip low), and stops to do so once
// it has been put right.
func TestConditionsAct(t *testing.T) {
	for _, c := range []struct {
		name      string
		change    func(*bench.Exercise)
		influence bench.Influence
		low, high float64
		mend      func(*player)
		after     float64 // largest effect once mended
	}{
		{"dirty tip", func(e *bench.Exercise) { e.Instrument.TipDirtUm = part.Range{Low: 12, High: 12} }, bench.Dirt, 11, 13.5,
			func(p *player) { p.act(bench.WipeTip, "") }, 0},
		{"dusty part", func(e *bench.Exercise) { e.Part.Piece.DustUm = 20 }, bench.Dirt, 0, 22,
			func(p *player) { p.act(bench.WipePiece, "") }, 0},
		{"worn tip", func(e *bench.Exercise) { e.Instrument.TipWearUm = 10 }, bench.Wear, -11, -9, nil, 0},
		{"soft film", func(e *bench.Exercise) { e.Part.Coating.SoftUmPerN = 2 }, bench.Softness, -4.4, -3, nil, 0},
		{"hot part", func(e *bench.Exercise) { e.Part.Piece.TemperatureC = 70 }, bench.Temperature, -20, -0.05,
			func(p *player) { p.now += 3 * 3600_000; p.act(bench.Wait, "") }, 0.11},
		{"cold instrument", func(e *bench.Exercise) { e.Instrument.TemperatureC = -10 }, bench.Temperature, 5, 8, // 1.5 % of the signal, 0.24 % for each um
			func(p *player) { p.now += 3 * 3600_000; p.act(bench.Wait, "") }, 0.11},
		{"magnetised part", func(e *bench.Exercise) { e.Part.Piece.RemanenceT, e.Demagnetiser = 1, true }, bench.Remanence, 2, 12,
			func(p *player) { p.act(bench.Demagnetise, "") }, 0},
	} {
		p := inCondition(t, "painted-panel", 5, c.change)
		p.act(bench.PlacePiece, "panel")
		p.touch(150, 100)
		by := byUm(t, p, c.influence)
		if !(by >= c.low && by <= c.high) || by == 0 {
			t.Errorf("%s: %.2f µm, want %g to %g", c.name, by, c.low, c.high)
		}
		if e, ok := p.b.Record().ReadingErrorUm(0, 0); !ok || math.Abs(e) > 1e-7 {
			t.Errorf("%s: error with no influence %g µm", c.name, e)
		}
		if c.mend == nil {
			continue
		}
		c.mend(p)
		p.touch(150, 100)
		if by := byUm(t, p, c.influence); math.Abs(by) > c.after {
			t.Errorf("%s: still %.2f µm once put right", c.name, by)
		}
	}
}

// Warm aluminium conducts less, so that the eddy-current probe reads more.
func TestWarmAluminiumReadsHigh(t *testing.T) {
	p := inCondition(t, "upper-deckhouse", 2, func(e *bench.Exercise) { e.Part.Piece.TemperatureC = 60 })
	p.act(bench.PlacePiece, p.b.Record().World.Part.ID)
	p.touch(100, 60)
	// Half the growth of the skin depth; thin-skin limit as in Dodd and Deeds.
	// By Matthiessen's rule the resistivity of an alloy grows by as many ohm
	// metres as that of pure aluminium (37.7 MS/m, 0.0040 per kelvin): at 25 MS/m
	// by 10.6 % for 40 K, so that the depth of 72 um at 2 MHz grows by 3.7 um.
	if by := byUm(t, p, bench.Temperature); by < 1.6 || by > 2.2 {
		t.Errorf("%.2f µm, want about 1.9", by)
	}
}

func TestFaultsOfFoilsAct(t *testing.T) {
	for _, c := range []struct {
		name      string
		change    func(*part.FoilSpec)
		do        func(*player)
		low, high float64
	}{
		{"creased", func(f *part.FoilSpec) { f.Condition, f.FaultUm = part.FoilCreased, part.Range{Low: 20, High: 20} }, func(*player) {}, 5, 22},
		{"worn", func(f *part.FoilSpec) { f.Condition, f.FaultUm = part.FoilWorn, part.Range{Low: 10, High: 10} }, func(*player) {}, -10.5, -9},
		{"curled", func(f *part.FoilSpec) { f.CurlUm = 40 }, func(*player) {}, 20, 28}, // 40 e^(-2/4) = 24
		{"curled and smoothed", func(f *part.FoilSpec) { f.CurlUm = 40 }, func(p *player) { p.act(bench.SmoothFoil, "") }, 0, 0},
		{"wrong", func(f *part.FoilSpec) { f.ActualUm = f.CertifiedUm + 15 }, func(*player) {}, 13, 17},
		{"stacked", func(*part.FoilSpec) {}, func(p *player) {
			p.act(bench.TakeFoilAway, "")
			p.act(bench.LayFoil, "foil-25")
			p.act(bench.LayFoil, "foil-75")
		}, 23, 31},
		{"stacked and taken away", func(*part.FoilSpec) {}, func(p *player) {
			p.act(bench.TakeFoilAway, "")
			p.act(bench.LayFoil, "foil-75")
			p.act(bench.LayFoil, "foil-25")
			p.act(bench.TakeFoilAway, "")
		}, 0, 0},
		{"whole", func(*part.FoilSpec) {}, func(*player) {}, 0, 0},
	} {
		p := inCondition(t, "painted-panel", 5, func(e *bench.Exercise) { c.change(&e.Foils[2]) })
		p.act(bench.PlacePiece, "twin-3")
		p.act(bench.LayFoil, "foil-75")
		c.do(p)
		p.act(bench.BeginVerify, "")
		p.touch(60, 50)
		if by := byUm(t, p, bench.FoilFault); !(by >= c.low-1e-9 && by <= c.high+1e-9) {
			t.Errorf("%s: %.2f µm, want %g to %g", c.name, by, c.low, c.high)
		}
	}
}

// A dent is deeper the harder the press, and a second touch soon after in the
// same place finds what is left of it.
func TestASoftFilmKeepsADent(t *testing.T) {
	p := inCondition(t, "painted-panel", 5, func(e *bench.Exercise) { e.Part.Coating.SoftUmPerN, e.Part.Coating.RecoverS = 2, 600 })
	p.act(bench.PlacePiece, "panel")
	p.touch(150, 100)
	p.hold = 130 // hardly a dent of its own
	p.touch(150, 100)
	again := byUm(t, p, bench.Softness)
	p.touch(155, 100)
	fresh := byUm(t, p, bench.Softness)
	if !(again < fresh-1) {
		t.Errorf("in the dent %.2f µm, beside it %.2f µm", again, fresh)
	}
}

// What is seen is what is there.
func TestLooking(t *testing.T) {
	p := inCondition(t, "neglected-bench", 3, func(*bench.Exercise) {})
	said := func(v bench.Verb, item string) string {
		t.Helper()
		events := p.act(v, item)
		if len(events) != 1 || events[0].Kind != bench.Noticed {
			t.Fatalf("%s %s: %+v", v, item, events)
		}
		return events[0].Text
	}
	for _, c := range []struct {
		verb bench.Verb
		item string
		want string
	}{
		{bench.LookAtTip, "", "dirt clings to the tip"},
		{bench.WipeTip, "", "came away dirty"},
		{bench.WipeTip, "", "stayed clean"},
		{bench.LookAtTip, "", "a flat is worn on the tip"},
		{bench.LookAtFoil, "foil-75", "a crease runs across it"},
		{bench.LookAtFoil, "foil-50", "it curls"},
		{bench.LookAtFoil, "foil-100", "dust lies on it"},
		{bench.WipeFoil, "foil-100", "came away dirty"},
		{bench.LookAtFoil, "foil-100", "flat and clean"},
	} {
		if got := said(c.verb, c.item); !strings.Contains(got, c.want) {
			t.Errorf("%s %s: %q, want %q", c.verb, c.item, got, c.want)
		}
	}
	p.act(bench.PlacePiece, "hatch-cover")
	if got := said(bench.LookAtPiece, ""); !strings.Contains(got, "dust lies on it; a steel pin clings to it; it is at 44 °C, the instrument at 4 °C") {
		t.Errorf("the part: %q", got)
	}
	said(bench.WipePiece, "")
	said(bench.Demagnetise, "")
	p.now += 5 * 3600_000
	if got := said(bench.LookAtPiece, ""); got != "clean; it is at 20 °C, the instrument at 20 °C, the room at 20 °C" {
		t.Errorf("the part in order: %q", got)
	}
	v := p.b.View()
	if v.Tip.Dirty || !v.Tip.Worn || v.Over.Dusty || v.Over.Magnetic || !v.Foils[0].Curled || v.Foils[1].Condition != part.FoilCreased || v.Foils[3].Looked {
		t.Errorf("seen: %+v %+v %+v", v.Tip, v.Over, v.Foils)
	}
}

func TestCareIsRefusedWithAReason(t *testing.T) {
	for _, c := range []struct {
		name string
		do   func(*player) []bench.Event
	}{
		{"look at no piece", func(p *player) []bench.Event { return p.act(bench.LookAtPiece, "") }},
		{"no such foil", func(p *player) []bench.Event { return p.act(bench.LookAtFoil, "foil-1") }},
		{"no demagnetiser", func(p *player) []bench.Event {
			p.act(bench.PlacePiece, "panel")
			return p.act(bench.Demagnetise, "")
		}},
		{"smooth no foil", func(p *player) []bench.Event {
			p.act(bench.PlacePiece, "panel")
			return p.act(bench.SmoothFoil, "")
		}},
		{"a third foil", func(p *player) []bench.Event {
			p.act(bench.PlacePiece, "panel")
			p.act(bench.LayFoil, "foil-25")
			p.act(bench.LayFoil, "foil-50")
			return p.act(bench.LayFoil, "foil-75")
		}},
		{"the lower foil again", func(p *player) []bench.Event {
			p.act(bench.PlacePiece, "panel")
			p.act(bench.LayFoil, "foil-25")
			p.act(bench.LayFoil, "foil-50")
			return p.act(bench.LayFoil, "foil-25")
		}},
		{"wipe in contact", func(p *player) []bench.Event {
			p.act(bench.PlacePiece, "panel")
			p.now++
			p.do(bench.Action{Do: bench.MoveProbe, Pose: &bench.Pose{XUm: 50_000, YUm: 50_000}})
			return p.act(bench.WipeTip, "")
		}},
	} {
		events := c.do(newPlayer(t, newWorld(t, 1)))
		if len(events) == 0 || events[len(events)-1].Kind != bench.Refused || events[len(events)-1].Text == "" {
			t.Errorf("%s: %+v", c.name, events)
		}
	}
	e, err := scenarios.ByID("painted-panel")
	if err != nil {
		t.Fatal(err)
	}
	e.Instrument.TipWearUm = 40
	if _, err := bench.NewWorld(e, 1); err == nil || !strings.Contains(err.Error(), "at most 25 µm") {
		t.Errorf("a tip worn through: %v", err)
	}
}

// A piece that has cooled half way reads as one that began there, as does one
// that has cooled less.
func TestAPieceReadsByItsTemperature(t *testing.T) {
	read := func(id string, firstC float64, share float64) float64 {
		p := inCondition(t, id, 4, func(e *bench.Exercise) { e.Part.Piece.TemperatureC = firstC })
		part := p.b.Record().World.Part
		p.act(bench.PlacePiece, part.ID)
		if share < 1 {
			p.now = int64(-1000*part.SettleS()*math.Log(share)) - 1400 // the reading comes 1.4 s later
		}
		p.touch(100, 70)
		um, _ := p.b.Record().ReadingErrorUm(0, bench.Temperature)
		return um
	}
	for _, id := range []string{"painted-panel", "upper-deckhouse"} {
		for _, c := range []struct{ firstC, share float64 }{{80, 0.5}, {80, 0.25}, {-10, 0.5}} {
			cooled := read(id, c.firstC, c.share)
			began := read(id, part.RoomC+c.share*(c.firstC-part.RoomC), 1)
			if math.Abs(cooled-began) > 0.01*math.Abs(began)+0.01 {
				t.Errorf("%s: %.4f µm at %g of the way from %g °C, %.4f µm having begun there", id, cooled, c.share, c.firstC, began)
			}
		}
	}
}
