package screens

import (
	"math"
	"testing"

	"foilwright/internal/attempt"
	"foilwright/internal/hand"
	"foilwright/internal/store"
	"foilwright/scenarios"
	"foilwright/sim/bench"
)

func newSitting(t testing.TB, seed uint64) *sitting {
	t.Helper()
	st, err := store.Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	e, err := scenarios.ByID("painted-panel")
	if err != nil {
		t.Fatal(err)
	}
	w, err := bench.NewWorld(e, seed)
	if err != nil {
		t.Fatal(err)
	}
	a, err := attempt.Begin(st, "test", w, "")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { a.Close() })
	s := sitDown(a)
	s.run(1000, true)
	return s
}

// player works a sitting by events of the hand, as the bench screen does.
type player struct {
	t   testing.TB
	s   *sitting
	now int64
}

func (p *player) do(v bench.Verb, item string) {
	p.t.Helper()
	p.now += 400
	if !p.s.do(p.now, bench.Action{Do: v, Item: item}) {
		p.t.Fatalf("%s %s: %s", v, item, p.s.refusal)
	}
}

func (p *player) touch(x, y float64) {
	p.s.grip(p.now+10, hand.Point, x, y)
	p.s.grip(p.now+500, hand.Lower, 0, 0)
	p.s.grip(p.now+1700, hand.Lift, 0, 0)
	for end := p.now + 2300; p.now < end; p.now += 16 {
		p.s.advance(p.now)
	}
}

func TestTheHandsWorkIsGoodEnoughForACompetentResult(t *testing.T) {
	p := &player{t: t, s: newSitting(t, 5), now: 1000}
	for _, v := range []bench.Verb{bench.ReadJob, bench.LookAtTip, bench.WipeTip, bench.ClearMemory} {
		p.do(v, "")
	}
	p.do(bench.ReadCertificate, "foil-75")
	p.do(bench.PlacePiece, "twin-3")
	p.do(bench.BeginZero, "")
	for i := range 5 {
		p.touch(55+2*float64(i), 50)
	}
	p.do(bench.StoreZero, "")
	p.do(bench.LayFoil, "foil-75")
	p.do(bench.BeginFoil, "")
	if !p.s.do(p.now, bench.Action{Do: bench.SetFoilValue, Counts: 772}) {
		t.Fatal(p.s.refusal)
	}
	for i := range 5 {
		p.touch(55+2*float64(i), 50)
	}
	p.do(bench.StoreFoil, "")
	p.do(bench.PlacePiece, "panel")
	for i, q := range [][2]float64{{60, 60}, {240, 60}, {150, 100}, {60, 140}, {240, 140}} {
		if i > 0 {
			p.do(bench.NewSpot, "")
		}
		for range 3 {
			p.touch(q[0], q[1])
		}
	}
	v := &p.s.view
	if v.Statistics.N != 15 {
		t.Fatalf("%d readings in memory, want 15", v.Statistics.N)
	}
	if e := v.Statistics.Mean*0.1 - p.s.World.TrueMeanUm; math.Abs(e) > 2.5 {
		t.Errorf("error of the mean %.2f µm", e)
	}
	for _, c := range p.s.Bench.Record().Contacts {
		if c.TiltDeg > 5 || c.Outcome != bench.Read || c.SlideUm > 1000 || c.LiftedUm > 0 && c.LiftedUm < 25_000 {
			t.Errorf("contact %d: tilt %.1f deg, %s, slide %d µm, lift %d µm", c.Index, c.TiltDeg, c.Outcome, c.SlideUm, c.LiftedUm)
		}
	}
	if n := v.Entries; n > 2500 {
		t.Errorf("%d lines for 25 readings", n)
	}
	t.Logf("%d lines, mean error %.2f µm", v.Entries, v.Statistics.Mean*0.1-p.s.World.TrueMeanUm)
}

func TestUnits(t *testing.T) {
	um := units{resolutionUm: 0.1}
	mil := units{mil: true, resolutionUm: 0.1}
	for _, c := range []struct{ name, got, want string }{
		{"um", um.um(75.25), "75.2"}, {"minus", um.um(-3.1), "−3.1"}, {"minus nought", um.um(-0.01), "0.0"},
		{"mil", mil.um(25.4), "1.000"}, {"signed", um.signed(2), "+2.0"}, {"signed nought", um.signed(0), "0.0"},
		{"plain", um.plain(50), "50"}, {"plain mil", mil.plain(25.4), "1"}, {"name", mil.name(), "mil"},
	} {
		if c.got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, c.got, c.want)
		}
	}
	for _, c := range []struct {
		in   string
		u    units
		want int64
		ok   bool
	}{{"77.2", um, 772, true}, {" 77,2 ", um, 772, true}, {"3.039", mil, 772, true}, {"", um, 0, false}, {"x", um, 0, false}, {"NaN", um, 0, false}, {"1e99", um, 0, false}} {
		if got, ok := c.u.parse(c.in); got != c.want || ok != c.ok {
			t.Errorf("parse %q: %d %v, want %d %v", c.in, got, ok, c.want, c.ok)
		}
	}
}

// Readings stand under a heading of their own, though measuring is not chosen
// anew after a store.
func TestReadingsAreHeadedByWhatTheyAre(t *testing.T) {
	d := newDriver(t, 1280, 800)
	for _, k := range []string{"1", "Enter", "2", "z"} {
		d.key(k)
		d.pass(60)
	}
	touch := func() {
		d.hold("Space", 1100)
		d.pass(700)
	}
	touch()
	d.key("s")
	d.key("1")
	touch()
	heading := ""
	for _, line := range d.app.sitting.ledger.lines {
		if line.kind == lineHeading {
			heading = line.left
		}
	}
	if heading != "measure, spot 1" {
		t.Errorf("a reading of the part stands under %q", heading)
	}
}
