package bench_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"foilwright/scenarios"
	"foilwright/sim/bench"
)

// player drives a bench with plain hands: square, gentle, well lifted.
type player struct {
	t    *testing.T
	b    *bench.Bench
	now  int64
	lift int64 // µm
	hold int64 // ms
	tilt int64 // millidegrees
}

func newWorld(t testing.TB, seed uint64) *bench.World {
	t.Helper()
	e, err := scenarios.ByID("painted-panel")
	if err != nil {
		t.Fatal(err)
	}
	w, err := bench.NewWorld(e, seed)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func newPlayer(t *testing.T, w *bench.World) *player {
	return &player{t: t, b: bench.New(w), lift: 40_000, hold: 700}
}

func (p *player) do(a bench.Action) []bench.Event {
	p.t.Helper()
	a.At = p.now
	events, err := p.b.Do(a)
	if err != nil {
		p.t.Fatal(err)
	}
	return events
}

func (p *player) act(v bench.Verb, item string) []bench.Event {
	p.t.Helper()
	p.now += 500
	return p.do(bench.Action{Do: v, Item: item})
}

// touch takes one reading at (x, y) mm and returns everything seen.
func (p *player) touch(x, y float64) []bench.Event {
	p.t.Helper()
	var seen []bench.Event
	pose := func(wait, h int64) {
		p.now += wait
		press := int64(0)
		if h == 0 {
			press = 2000
		}
		seen = append(seen, p.do(bench.Action{Do: bench.MoveProbe, Pose: &bench.Pose{
			XUm: int64(x * 1000), YUm: int64(y * 1000), HeightUm: h, TiltX: p.tilt, PressMN: press}})...)
	}
	pose(300, p.lift)
	pose(400, 2000)
	pose(100, 0)
	pose(p.hold, 2000)
	pose(300, p.lift)
	return seen
}

// adjust zeroes on a piece and adjusts on the foil of 75 um there.
func (p *player) adjust(piece string) {
	p.act(bench.PlacePiece, piece)
	p.act(bench.BeginZero, "")
	for range 5 {
		p.touch(60, 50)
	}
	p.act(bench.StoreZero, "")
	p.act(bench.LayFoil, "foil-75")
	p.act(bench.BeginFoil, "")
	p.do(bench.Action{Do: bench.SetFoilValue, Counts: 772})
	for range 5 {
		p.touch(60, 50)
	}
	p.act(bench.StoreFoil, "")
}

// adjustAndVerify does what the job asks before measuring.
func (p *player) adjustAndVerify() {
	p.act(bench.ReadJob, "")
	p.act(bench.WipeTip, "")
	p.act(bench.ReadCertificate, "foil-75")
	p.act(bench.ClearMemory, "")
	p.adjust("twin-3")
	p.act(bench.BeginVerify, "")
	p.act(bench.TakeFoilAway, "")
	p.act(bench.LayFoil, "foil-50")
	for range 3 {
		p.touch(60, 50)
	}
	p.now += 100
	p.do(bench.Action{Do: bench.JudgeVerify, Text: "good"})
	p.act(bench.TakeFoilAway, "")
}

func (p *player) measure() {
	p.act(bench.PlacePiece, "panel")
	p.act(bench.BeginMeasure, "")
	for i, s := range [][2]float64{{50, 50}, {250, 50}, {150, 100}, {50, 150}, {250, 150}} {
		if i > 0 {
			p.act(bench.NewSpot, "")
		}
		for k := range 3 {
			p.touch(s[0]+float64(k), s[1])
		}
	}
	v := p.b.View()
	p.now += 100
	verdict := "reject"
	if v.Statistics.Mean*v.Resolution >= 75 {
		verdict = "accept"
	}
	p.do(bench.Action{Do: bench.Report, Counts: int64(math.Round(v.Statistics.Mean)), Text: verdict})
	p.act(bench.Finish, "")
}

func competent(t *testing.T, seed uint64) *bench.Bench {
	p := newPlayer(t, newWorld(t, seed))
	p.adjustAndVerify()
	p.measure()
	return p.b
}

func TestACompetentAttemptIsNearTheTruth(t *testing.T) {
	for seed := range uint64(10) {
		b := competent(t, seed)
		r := b.Record()
		if !r.Finished || r.Result == nil || len(r.Adjustings) != 2 || len(r.Verifications) != 1 {
			t.Fatalf("seed %d: the attempt did not run through: %+v", seed, b.View())
		}
		e, ok := r.MeanErrorUm(bench.All)
		if !ok || math.Abs(e) > 2.5 {
			t.Errorf("seed %d: error of the mean %.2f µm, %v", seed, e, ok)
		}
		if got := r.Result.MeanUm - r.World.TrueMeanUm; math.Abs(got-e) > 1e-9 {
			t.Errorf("seed %d: MeanErrorUm %.6f, reported minus truth %.6f", seed, e, got)
		}
		if want := r.World.TrueMeanUm >= 75; (r.Result.Verdict == "accept") != want {
			t.Errorf("seed %d: verdict %s, true mean %.1f", seed, r.Result.Verdict, r.World.TrueMeanUm)
		}
	}
}

// With every influence ideal the reading is the true local thickness.
func TestWithNoInfluenceTheErrorIsZero(t *testing.T) {
	r := competent(t, 3).Record()
	if e, ok := r.MeanErrorUm(0); !ok || math.Abs(e) > 1e-7 {
		t.Errorf("error of the mean with no influence: %g µm, %v", e, ok)
	}
	n := 0
	for i := range r.Contacts {
		all, ok := r.ReadingErrorUm(i, bench.All)
		if !ok {
			continue
		}
		n++
		if got := float64(r.Contacts[i].Counts)*0.1 - r.TrueUm(i); math.Abs(got-all) > 1e-9 {
			t.Errorf("contact %d: ReadingErrorUm %.6f, displayed minus truth %.6f", i, all, got)
		}
		if e, _ := r.ReadingErrorUm(i, 0); math.Abs(e) > 1e-7 {
			t.Errorf("contact %d: error with no influence %g µm", i, e)
		}
	}
	if n != 28 {
		t.Errorf("%d readings, want 28", n)
	}
}

// Each fault of the hands costs what it should: with that influence alone off,
// the error is smaller by more than a micrometre.
func TestFaultsOfTheHandCost(t *testing.T) {
	for _, c := range []struct {
		name      string
		x, y      float64
		do        func(*player)
		influence bench.Influence
		leastUm   float64
	}{
		{"near an edge", 1, 100, func(*player) {}, bench.Edge, 5},
		{"tilted", 150, 100, func(p *player) { p.tilt = 15_000 }, bench.Tilt, 2},
		{"lifted too soon", 150, 100, func(p *player) { p.hold = 150 }, bench.Settling, 1},
		{"short lift", 150, 100, func(p *player) { p.lift = 2_500 }, bench.AirReference, 1},
	} {
		p := newPlayer(t, newWorld(t, 5))
		p.adjustAndVerify()
		p.act(bench.PlacePiece, "panel")
		c.do(p)
		p.touch(c.x, c.y)
		p.touch(c.x, c.y)
		r := p.b.Record()
		last := len(r.Contacts) - 1
		with, ok1 := r.ReadingErrorUm(last, bench.All)
		without, ok2 := r.ReadingErrorUm(last, bench.All&^c.influence)
		if !ok1 || !ok2 || with-without < c.leastUm {
			t.Errorf("%s: error %.2f µm, without %s %.2f µm: want %g µm more", c.name, with, c.influence, without, c.leastUm)
		}
	}
}

func TestTooBriefATouchGivesNoReading(t *testing.T) {
	p := newPlayer(t, newWorld(t, 1))
	p.act(bench.PlacePiece, "panel")
	p.hold = 80
	var kinds []string
	for _, e := range p.touch(100, 100) {
		kinds = append(kinds, string(e.Kind))
	}
	if got := strings.Join(kinds, " "); got != "touched no-reading lifted" {
		t.Errorf("saw %q", got)
	}
}

func TestTheBenchRefusesWithAReason(t *testing.T) {
	for _, c := range []struct {
		name string
		do   func(*player) []bench.Event
	}{
		{"unknown piece", func(p *player) []bench.Event { return p.act(bench.PlacePiece, "nothing") }},
		{"foil on no piece", func(p *player) []bench.Event { return p.act(bench.LayFoil, "foil-75") }},
		{"unknown foil", func(p *player) []bench.Event { p.act(bench.PlacePiece, "panel"); return p.act(bench.LayFoil, "foil-1") }},
		{"store with no readings", func(p *player) []bench.Event { p.act(bench.BeginZero, ""); return p.act(bench.StoreZero, "") }},
		{"store without begin", func(p *player) []bench.Event { return p.act(bench.StoreZero, "") }},
		{"report with empty memory", func(p *player) []bench.Event {
			p.act(bench.ClearMemory, "")
			p.now++
			return p.do(bench.Action{Do: bench.Report, Counts: 1, Text: "accept"})
		}},
		{"no verdict", func(p *player) []bench.Event { return p.act(bench.Report, "") }},
		{"delete from empty memory", func(p *player) []bench.Event { p.act(bench.ClearMemory, ""); return p.act(bench.DeleteLast, "") }},
		{"new spot at once", func(p *player) []bench.Event { return p.act(bench.NewSpot, "") }},
		{"unknown certificate", func(p *player) []bench.Event { return p.act(bench.ReadCertificate, "foil-1") }},
		{"after the end", func(p *player) []bench.Event { p.act(bench.Finish, ""); return p.act(bench.ReadJob, "") }},
		{"probe on no piece", func(p *player) []bench.Event {
			p.now++
			return p.do(bench.Action{Do: bench.MoveProbe, Pose: &bench.Pose{}})
		}},
	} {
		p := newPlayer(t, newWorld(t, 1))
		events := c.do(p)
		if len(events) != 1 || events[0].Kind != bench.Refused || events[0].Text == "" {
			t.Errorf("%s: saw %+v", c.name, events)
		}
	}
}

func TestMalformedActionsAreErrors(t *testing.T) {
	for _, c := range []struct {
		name string
		a    bench.Action
	}{
		{"backwards", bench.Action{At: -1, Do: bench.Wait}},
		{"unknown verb", bench.Action{Do: "juggle"}},
		{"no pose", bench.Action{Do: bench.MoveProbe}},
		{"below the surface", bench.Action{Do: bench.MoveProbe, Pose: &bench.Pose{HeightUm: -1}}},
		{"off the bench", bench.Action{Do: bench.MoveProbe, Pose: &bench.Pose{XUm: 1 << 40}}},
	} {
		b := bench.New(newWorld(t, 1))
		if _, err := b.Do(c.a); err == nil {
			t.Errorf("%s: no error", c.name)
		}
		if n := len(b.Record().Entries); n != 0 {
			t.Errorf("%s: %d entries recorded", c.name, n)
		}
	}
}

func TestOldReadingsAreInTheMeanUntilCleared(t *testing.T) {
	p := newPlayer(t, newWorld(t, 1))
	if n := p.b.View().Statistics.N; n != 3 {
		t.Fatalf("%d readings in memory at the start, want the 3 of the last user", n)
	}
	p.act(bench.PlacePiece, "panel")
	p.touch(100, 100)
	p.now++
	p.do(bench.Action{Do: bench.Report, Counts: int64(math.Round(p.b.View().Statistics.Mean)), Text: "accept"})
	r := p.b.Record()
	with, _ := r.MeanErrorUm(bench.All)
	without, _ := r.MeanErrorUm(bench.All &^ bench.OldReadings)
	if with-without < 20 {
		t.Errorf("error with old readings %.1f µm, without %.1f µm", with, without)
	}
}

// writeLog writes the log of an attempt as the store would.
func writeLog(t testing.TB, b *bench.Bench) []byte {
	t.Helper()
	var w bench.Writer
	out, err := w.Header(bench.NewHeader(b.Record().World, "test"))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range b.Record().Entries {
		line, err := w.Entry(e)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, line...)
	}
	return out
}

func TestALogReplaysToTheSameDigest(t *testing.T) {
	b := competent(t, 7)
	log := writeLog(t, b)
	l, err := bench.ReadLog("x.jsonl", bytes.NewReader(log))
	if err != nil {
		t.Fatal(err)
	}
	again, err := bench.Replay("x.jsonl", newWorld(t, 7), l)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := again.Record().Digest(), b.Record().Digest(); got != want {
		t.Errorf("digest %s after replay, %s before", got, want)
	}
	if !bytes.Equal(writeLog(t, again), log) {
		t.Error("the replayed attempt writes another log")
	}
}

func TestDamagedLogsSayWhereAndWhatToDo(t *testing.T) {
	whole := writeLog(t, competent(t, 7))
	lines := bytes.SplitAfter(whole, []byte("\n"))
	change := func(i int, old, new string) []byte {
		copied := append([][]byte(nil), lines...)
		copied[i] = bytes.Replace(copied[i], []byte(old), []byte(new), 1)
		if bytes.Equal(copied[i], lines[i]) {
			t.Fatalf("line %d does not hold %q: %s", i+1, old, lines[i])
		}
		return bytes.Join(copied, nil)
	}
	without := bytes.Join(append(append([][]byte(nil), lines[:20]...), lines[21:]...), nil)
	for _, c := range []struct {
		name string
		log  []byte
		line string
		want string
	}{
		{"empty", nil, "x.jsonl:1:", "empty"},
		{"not a log", []byte("hello\n"), "x.jsonl:1:", "not a log"},
		{"unknown version", change(0, `"version":1`, `"version":9`), "x.jsonl:1:", "unknown log version 9"},
		{"other physics", change(0, fmt.Sprintf(`"physics":%d`, bench.PhysicsVersion), `"physics":9`), "x.jsonl:1:", "physics version 9"},
		{"altered action", change(10, `"t":`, `"t":1`), "x.jsonl:12:", "hash chain"},
		{"line lost", without, "x.jsonl:21:", "hash chain"},
		{"unknown field", change(3, `"n":`, `"m":1,"n":`), "x.jsonl:4:", "malformed"},
		{"other seed", change(0, `"seed":"7"`, `"seed":"8"`), "x.jsonl:2:", "hash chain"},
		{"truncated", whole[:len(whole)-9], "x.jsonl:", "cut off"},
	} {
		_, err := bench.ReadLog("x.jsonl", bytes.NewReader(c.log))
		if err == nil || !strings.HasPrefix(err.Error(), c.line) || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), "; ") {
			t.Errorf("%s: got %v", c.name, err)
		}
	}
	l, err := bench.ReadLog("x.jsonl", bytes.NewReader(whole[:len(whole)-9]))
	var damage *bench.LogError
	if !errors.As(err, &damage) || !damage.Torn || l == nil || len(l.Entries) != len(lines)-3 {
		t.Errorf("truncated log: %v, %v", l, err)
	}
	if l.Whole != int64(len(whole)-len(lines[len(lines)-2])) {
		t.Errorf("whole bytes %d of %d", l.Whole, len(whole))
	}
}

// A log whose chain has been forged afresh still gives itself away on replay.
func TestAForgedReadingShowsOnReplay(t *testing.T) {
	b := competent(t, 7)
	l, err := bench.ReadLog("x.jsonl", bytes.NewReader(writeLog(t, b)))
	if err != nil {
		t.Fatal(err)
	}
	for i := range l.Entries {
		for k := range l.Entries[i].Events {
			if l.Entries[i].Events[k].Kind == bench.ReadingNew {
				l.Entries[i].Events[k].Counts++
				_, err := bench.Replay("x.jsonl", newWorld(t, 7), l)
				var damage *bench.LogError
				if !errors.As(err, &damage) || damage.Line != l.Entries[i].N+1 {
					t.Fatalf("forged entry %d: got %v", l.Entries[i].N, err)
				}
				return
			}
		}
	}
	t.Fatal("no reading in the log")
}

func TestReplayRefusesAnotherExercise(t *testing.T) {
	l, err := bench.ReadLog("x.jsonl", bytes.NewReader(writeLog(t, competent(t, 7))))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := bench.Replay("x.jsonl", newWorld(t, 8), l); err == nil || !strings.Contains(err.Error(), "seed 8") {
		t.Errorf("other seed: %v", err)
	}
	changed := newWorld(t, 7)
	e := *changed.Exercise
	e.Digest = "0123456789abcdef"
	changed.Exercise = &e
	if _, err := bench.Replay("x.jsonl", changed, l); err == nil || !strings.Contains(err.Error(), "has changed") {
		t.Errorf("changed exercise: %v", err)
	}
}

func FuzzReadLog(f *testing.F) {
	f.Add([]byte(`{"format":"foilwright-log","version":1,"physics":4,"exercise":"a","digest":"","seed":"1"}` + "\n"))
	f.Add([]byte("{}\n{}\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		l, err := bench.ReadLog("fuzz", bytes.NewReader(data))
		if err == nil && l.Whole != int64(len(data)) {
			t.Errorf("accepted %d of %d bytes", l.Whole, len(data))
		}
	})
}
