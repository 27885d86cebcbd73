package report

import (
	"math"
	"testing"

	"foilwright/scenarios"
	"foilwright/sim/bench"
	"foilwright/sim/explain"
	"foilwright/sim/grade"
)

// hands are how an attempt of the tests is done.
type hands struct {
	zeroOn   string // piece
	setUm    float64
	keepOld  bool // the memory is not cleared
	tiltDeg  float64
	edgeMm   float64 // of the first spot; 0: well inside
	stop     string  // "verify": no report; "start": nothing done at all
	hostile  string  // reason of a deletion
	tooEarly int64   // hold of the probe on the part, ms; 0: long enough
}

// doer drives a bench.
type doer struct {
	t    testing.TB
	b    *bench.Bench
	now  int64
	hold int64
	tilt int64
}

func (d *doer) do(a bench.Action) {
	d.t.Helper()
	d.now += 700
	a.At = d.now
	if _, err := d.b.Do(a); err != nil {
		d.t.Fatal(err)
	}
}

func (d *doer) act(v bench.Verb, item string) { d.t.Helper(); d.do(bench.Action{Do: v, Item: item}) }

func (d *doer) touch(x, y float64) {
	d.t.Helper()
	for _, p := range []struct{ wait, height, press int64 }{{900, 40_000, 0}, {400, 2000, 0}, {100, 0, 2000}, {d.hold, 2000, 0}, {300, 40_000, 0}} {
		d.now += p.wait - 700
		d.do(bench.Action{Do: bench.MoveProbe, Pose: &bench.Pose{
			XUm: int64(x * 1000), YUm: int64(y * 1000), HeightUm: p.height, TiltX: d.tilt, PressMN: p.press}})
	}
}

// played keeps the attempts of the tests, which take long to play.
var played = map[hands]map[uint64]*bench.Record{}

// attempt plays the first exercise. The record is shared and must not be
// changed.
func attempt(t testing.TB, seed uint64, h hands) *bench.Record {
	t.Helper()
	if played[h] == nil {
		played[h] = map[uint64]*bench.Record{}
	}
	if played[h][seed] == nil {
		played[h][seed] = play(t, seed, h)
	}
	return played[h][seed]
}

func play(t testing.TB, seed uint64, h hands) *bench.Record {
	t.Helper()
	e, err := scenarios.ByID("painted-panel")
	if err != nil {
		t.Fatal(err)
	}
	w, err := bench.NewWorld(e, seed)
	if err != nil {
		t.Fatal(err)
	}
	d := &doer{t: t, b: bench.New(w), hold: 800}
	if h.stop == "start" {
		return d.b.Record()
	}
	d.act(bench.ReadJob, "")
	d.act(bench.WipeTip, "")
	d.act(bench.ReadCertificate, "foil-75")
	if !h.keepOld {
		d.act(bench.ClearMemory, "")
	}
	piece := h.zeroOn
	if piece == "" {
		piece = "twin-3"
	}
	d.act(bench.PlacePiece, piece)
	d.act(bench.BeginZero, "")
	for k := range 5 {
		d.touch(58+float64(k), 50)
	}
	d.act(bench.StoreZero, "")
	d.act(bench.LayFoil, "foil-75")
	d.act(bench.BeginFoil, "")
	set := h.setUm
	if set == 0 {
		set = 77.2
	}
	d.do(bench.Action{Do: bench.SetFoilValue, Counts: int64(math.Round(set * 10))})
	for k := range 5 {
		d.touch(58+float64(k), 50)
	}
	d.act(bench.StoreFoil, "")
	d.verify(piece)
	if h.stop == "verify" {
		return d.b.Record()
	}
	d.measure(h)
	d.act(bench.PlacePiece, piece)
	d.verify(piece)
	v := d.b.View()
	verdict := bench.Reject
	if v.Statistics.Mean*v.Resolution >= 75 {
		verdict = bench.Accept
	}
	d.do(bench.Action{Do: bench.Report, Counts: int64(math.Round(v.Statistics.Mean)), Text: verdict})
	d.act(bench.Finish, "")
	return d.b.Record()
}

func (d *doer) verify(piece string) {
	d.t.Helper()
	d.act(bench.ReadCertificate, "foil-50")
	d.act(bench.BeginVerify, "")
	if d.b.View().Foil != "" {
		d.act(bench.TakeFoilAway, "")
	}
	d.act(bench.LayFoil, "foil-50")
	for k := range 3 {
		d.touch(58+float64(k), 50)
	}
	d.do(bench.Action{Do: bench.JudgeVerify, Text: "good"})
	d.act(bench.TakeFoilAway, "")
}

func (d *doer) measure(h hands) {
	d.t.Helper()
	d.act(bench.PlacePiece, "panel")
	d.act(bench.BeginMeasure, "")
	spots := [][2]float64{{50, 50}, {250, 50}, {150, 100}, {50, 150}, {250, 150}}
	if h.edgeMm > 0 {
		spots[0][0] = h.edgeMm
	}
	if h.tooEarly > 0 {
		d.hold = h.tooEarly
	}
	for i, s := range spots {
		if i > 0 {
			d.act(bench.NewSpot, "")
		}
		for k := range 3 {
			d.tilt = 0
			if k == 2 {
				d.tilt = int64(h.tiltDeg * 1000)
			}
			d.touch(s[0]+3*float64(k), s[1])
		}
		if i == 1 && h.hostile != "" {
			d.do(bench.Action{Do: bench.DeleteLast, Text: h.hostile})
			d.touch(s[0]+9, s[1])
		}
	}
	d.tilt, d.hold = 0, 800
}

// poor is an attempt with much to tell.
var poor = hands{zeroOn: "sheet-05", setUm: 75, keepOld: true, tiltDeg: 14, edgeMm: 1.5, hostile: "looked too high", tooEarly: 200}

var given = Given{
	Trainee: "Runa Hald", Date: "2026-03-09", Program: "dev", Log: "painted-panel-7.jsonl",
	LogDigest: "0f343b0931126a20f133d67c2b018a3b1e2d4c5a69788796a5b4c3d2e1f00112",
}

func reportOf(t testing.TB, g Given, r *bench.Record) *Report {
	t.Helper()
	return New(g, r, grade.Grade(r), explain.Explain(r))
}
