package web

import (
	"bytes"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"foilwright/internal/class/classtest"
	"foilwright/internal/class/seal"
	"foilwright/internal/class/store"
	"foilwright/internal/class/wire"
	"foilwright/internal/class/xapi"
	"foilwright/sim/bench"
)

const panel = "painted-panel"

// A lesson from the first start to the debrief, in both databases, with a
// server that stops in the middle.
func TestALesson(t *testing.T) {
	classtest.Stores(t, func(t *testing.T, openStore func() *store.Store) {
		folder := t.TempDir()
		st := openStore()
		s := open(t, folder, st)
		ines := s.instructor()
		class := ines.newClass("Monday group")
		ines.must("/class/"+class.ID+"/handout", "exercise", panel, "mode", "practice", "variant", "different")

		ana, ben := s.join(class, "Ana Brook"), s.join(class, "Ben Holt")
		wa, wb := ana.begin(), ben.begin()
		if wa.Seed == wb.Seed {
			t.Error("different variants have the same seed")
		}
		ra, rb := s.played(panel, wa.Seed), s.played(panel, wb.Seed, "foil-missing")
		half := len(ra.Entries) / 2
		ana.practise(wa, ra, half)
		ben.practise(wb, rb, len(rb.Entries))

		s.until("Ben has finished", func() bool {
			rows := ines.boardOf(class)
			return len(rows) == 2 && rows[1].Finished
		})
		rows := ines.boardOf(class)
		if rows[0].Name != "Ana Brook" || !rows[0].Here || rows[0].Stage == "" || rows[0].Finished {
			t.Errorf("Ana's row: %+v", rows[0])
		}
		if !slices.ContainsFunc(rows[1].Findings, func(f string) bool { return strings.Contains(strings.ToLower(f), "foil") }) {
			t.Errorf("Ben left the foil out; the board says %q", rows[1].Findings)
		}

		// Hint, mishap and pause reach the bench.
		ines.must("/class/"+class.ID+"/hint", "attempt", wa.Attempt, "text", "Lift higher")
		s.until("the hint is there", func() bool { return ana.link.Status().Hint == "Lift higher" })
		ines.must("/class/"+class.ID+"/mishap", "attempt", wa.Attempt, "mishap", "adjustment-lost")
		s.until("the mishap is there", func() bool { f := ana.link.Status().Fault; return f != nil && f.Do == bench.ResetAdjustment })
		ines.must("/class/"+class.ID+"/pause", "on", "yes")
		s.until("the class is paused", func() bool { return ana.link.Status().Paused && ben.link.Status().Paused })
		ines.must("/class/"+class.ID+"/pause", "on", "no")

		// The server goes away and comes back; Ana goes on from another machine.
		s.stop()
		st.Close()
		st = openStore()
		defer st.Close()
		s = open(t, folder, st)
		defer s.stop()
		if s.code != "" {
			t.Error("a server that was set up prints a code again")
		}
		ines.school = s
		ana.cancel()
		ana.school = s
		ana.connect()
		s.until("Ana's work is back", func() bool { w := ana.link.Status().Work; return w != nil && w.Attempt == wa.Attempt })
		again := ana.link.Status().Work
		if _, n := chainOf(t, again.Log); n != half {
			t.Fatalf("after the restart the server has %d entries, %d were acknowledged", n, half)
		}
		ana.practise(again, ra, len(ra.Entries))
		s.untilEnded(wa.Attempt, wb.Attempt)

		status, page := ines.get("/class/" + class.ID + "/debrief")
		if status != http.StatusOK || !strings.Contains(said(page), "2 finished attempts by 2 trainees") {
			t.Errorf("debrief: %d: %s", status, said(page))
		}
		for path, magic := range map[string]string{"export.csv": "trainee,exercise", "export.xlsx": "PK", "export.pdf": "%PDF", "xapi.json": "["} {
			status, body := ines.get("/class/" + class.ID + "/" + path)
			if status != http.StatusOK || !strings.HasPrefix(body, magic) {
				t.Errorf("%s: %d, begins %.20q", path, status, body)
			}
		}
		s.until("four statements wait to be sent", func() bool {
			out, err := st.Outbox(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			for _, o := range out {
				if err := xapi.Validate([]byte(o.Statement)); err != nil {
					t.Fatal(err)
				}
			}
			return len(out) == 4
		})
		if n, err := st.CheckAudit(t.Context()); n == 0 || err != nil {
			t.Errorf("audit trail: %d lines, %v", n, err)
		}

		// On request everything kept of Ana goes.
		ines.must("/class/"+class.ID+"/forget", "trainee", ana.id, "sure", "yes")
		var out bytes.Buffer
		if _, err := st.Backup(t.Context(), folder, &out); err != nil {
			t.Fatal(err)
		}
		if text := classtest.Unzipped(t, out.Bytes()); strings.Contains(text, "Ana Brook") || strings.Contains(text, wa.Attempt+`",1`) {
			t.Error("after deletion something of Ana is left in the database")
		} else if !strings.Contains(text, "Ben Holt") {
			t.Error("Ben was deleted with her")
		}
	})
}

// In a class too large to be marked at one look the board marks a few at a
// time, and everybody has their turn.
func TestALargeClassIsMarkedInTurns(t *testing.T) {
	s := newSchool(t)
	ines := s.instructor()
	class := ines.newClass("One")
	ines.must("/class/"+class.ID+"/handout", "exercise", panel, "mode", "practice", "variant", "same")
	for _, name := range []string{"Ana Brook", "Ben Holt", "Cem Aksu"} {
		p := s.join(class, name)
		w := p.begin()
		r := s.played(panel, w.Seed, "foil-missing")
		p.practise(w, r, len(r.Entries))
	}
	s.web.Room.MarkWithin = 0
	for look := 1; look <= 4; look++ {
		marked := 0
		for _, row := range ines.boardOf(class) {
			if len(row.Findings) > 0 {
				marked++
			}
		}
		if want := min(look, 3); marked != want {
			t.Errorf("at look %d %d trainees are marked, want %d", look, marked, want)
		}
	}
}

// While all work on, each look marks the attempt that was looked at longest ago,
// says of the others how old their findings are, and holds no more replays in
// memory than it may.
func TestALargeClassIsMarkedFairly(t *testing.T) {
	s := newSchool(t)
	ines := s.instructor()
	class := ines.newClass("One")
	ines.must("/class/"+class.ID+"/handout", "exercise", panel, "mode", "practice", "variant", "same")
	type worker struct {
		*pupil
		attempt string
		chain   bench.Writer
		n       int
	}
	var r *bench.Record
	var workers []*worker
	for _, name := range []string{"Ana Brook", "Ben Holt", "Cem Aksu", "Dora Lys", "Emil Voss"} {
		p := s.join(class, name)
		w := p.begin()
		if r == nil {
			r = s.played(panel, w.Seed, "foil-missing")
		}
		chain, _ := chainOf(t, w.Log)
		p.link.Follow(w.Attempt, 0)
		workers = append(workers, &worker{p, w.Attempt, chain, 0})
	}
	work := func(entries int) {
		t.Helper()
		for _, w := range workers {
			for _, e := range r.Entries[w.n : w.n+entries] {
				line, err := w.chain.Entry(e)
				if err != nil {
					t.Fatal(err)
				}
				w.link.Line(e.N, line)
			}
			w.n += entries
		}
		for _, w := range workers {
			s.until("all is acknowledged", func() bool { return w.link.Status().Unsent == 0 })
		}
	}
	room := s.web.Room
	room.MarkWithin, room.MostReplayed = 0, 300
	const rounds, minute = 3, 60.0
	step := (len(r.Entries) - 1) / (rounds * len(workers))
	var turns []string
	for look := range rounds * len(workers) {
		work(step)
		s.late.Add(int64(time.Minute))
		rows := ines.boardOf(class)
		for _, row := range rows {
			switch {
			case row.Fault != "":
				t.Fatalf("look %d: %+v", look, row)
			case row.Behind == 0:
				turns = append(turns, row.Name)
			case row.Behind < 0 && look >= len(workers)-1:
				t.Errorf("at look %d nobody has looked at %s yet", look, row.Name)
			case row.Behind > 0 && (row.Behind < minute || row.Behind > float64(len(workers))*minute):
				t.Errorf("at look %d the findings of %s are %.0f s old", look, row.Name, row.Behind)
			}
		}
		if len(turns) != look+1 {
			t.Fatalf("after look %d there were the turns of %v", look, turns)
		}
	}
	for i, name := range turns[len(workers):] {
		if name != turns[i] {
			t.Errorf("the turns were %v", turns)
			break
		}
	}
	if n := room.Replayed(); n > room.MostReplayed {
		t.Errorf("%d entries of replays are held, %d may be", n, room.MostReplayed)
	}
	// When nobody works on, nobody is marked again, and all are soon up to date.
	for range workers {
		ines.boardOf(class)
	}
	for _, row := range ines.boardOf(class) {
		if row.Behind != 0 || len(row.Findings) == 0 {
			t.Errorf("at rest: %+v", row)
		}
	}
	// A finished attempt is marked once more, and its replay is let go.
	work(len(r.Entries) - workers[0].n)
	for range workers {
		ines.boardOf(class)
	}
	for _, row := range ines.boardOf(class) {
		if row.Behind != 0 || !row.Finished {
			t.Errorf("at the end: %+v", row)
		}
	}
	if n := room.Replayed(); n != 0 {
		t.Errorf("%d entries of finished attempts are held", n)
	}
}

// An assessment: the server computes, the log is sealed, two assessors judge.
func TestAnAssessment(t *testing.T) {
	s := newSchool(t)
	ines := s.instructor()
	first, second := ines.invite("Aldo Reyes", "assessor"), ines.invite("Bea Lund", "assessor")
	class := ines.newClass("Spring assessment")
	ines.must("/class/"+class.ID+"/handout", "exercise", panel, "mode", "assessment", "variant", "different", "minutes", "60", "attempts", "1")
	cem := s.join(class, "Cem Aksu")
	s.until("the assessment waits", func() bool { w := cem.link.Status().Work; return w != nil && w.Waits != "" })
	cem.link.Begin(cem.link.Status().Work.Handout)
	s.until("it is refused without identity", func() bool { return cem.link.Status().Problem != "" })
	ines.must("/class/"+class.ID+"/identity", "trainee", cem.id, "proof", "passport")
	s.until("the bench may begin", func() bool { w := cem.link.Status().Work; return w != nil && w.Waits == "" })
	w := cem.begin()
	if w.Seed != 0 || w.Text != nil || w.Log != "" || w.Sheet == nil {
		t.Fatalf("the candidate was told too much: %+v", w)
	}
	s.sitAssessment(cem, w, "edge-near")
	a, err := s.web.Store.Attempt(t.Context(), w.Attempt)
	if err != nil {
		t.Fatal(err)
	}

	// The sealed file holds with the public key alone.
	if status, _ := first.get("/attempt/" + a.ID + "/sealed.jsonl"); status != http.StatusConflict {
		t.Errorf("an assessor who has not signed gets the sealed log, which names the candidate: %d", status)
	}
	status, file := ines.get("/attempt/" + a.ID + "/sealed.jsonl")
	if status != http.StatusOK {
		t.Fatalf("sealed file: %d", status)
	}
	_, key := first.get("/seal.pub")
	public, err := seal.ReadPublic([]byte(key))
	if err != nil {
		t.Fatal(err)
	}
	facts, _, err := seal.Check(public, []byte(file))
	if err != nil || !strings.Contains(facts.Identity, "passport") {
		t.Fatalf("seal: %+v, %v", facts, err)
	}

	// Two assessors, the second blind.
	sheet, err := s.web.Room.Sheet(t.Context(), a.ID)
	if err != nil || len(sheet.Findings) == 0 {
		t.Fatalf("no findings to judge: %v", err)
	}
	for _, path := range []string{"/assess", "/assess/" + a.ID, "/attempt/" + a.ID} {
		if status, page := first.get(path); status != http.StatusOK || strings.Contains(page, "Cem Aksu") {
			t.Errorf("%s: %d, or an assessor sees the candidate's name", path, status)
		}
	}
	if status, body := first.post("/assess/"+a.ID+"/sign", "verdict", "competent on this attempt"); status != http.StatusConflict {
		t.Errorf("signed with unmarked findings: %d %s", status, said(body))
	}
	for i, f := range sheet.Findings {
		if i == 0 {
			if status, _ := first.post("/assess/"+a.ID+"/mark", "finding", f.Check, "decision", "override"); status != http.StatusBadRequest {
				t.Errorf("overridden without a reason: %d", status)
			}
			first.must("/assess/"+a.ID+"/mark", "finding", f.Check, "decision", "override", "reason", "the part left no other place")
		} else {
			first.must("/assess/"+a.ID+"/mark", "finding", f.Check, "decision", "confirm")
		}
		second.must("/assess/"+a.ID+"/mark", "finding", f.Check, "decision", "confirm")
	}
	first.must("/assess/"+a.ID+"/sign", "verdict", "competent on this attempt", "remark", "careful")
	if _, page := second.get("/assess/" + a.ID); strings.Contains(page, "left no other place") || strings.Contains(page, "Aldo Reyes") || strings.Contains(page, "careful") {
		t.Error("the second assessor sees what the first said before signing")
	}
	second.must("/assess/"+a.ID+"/sign", "verdict", "not yet competent on this attempt")
	if _, page := second.get("/assess/" + a.ID); !strings.Contains(page, "left no other place") || !strings.Contains(page, "careful") {
		t.Error("after signing the second assessor does not see what the first said")
	}
	if status, _ := first.post("/assess/"+a.ID+"/mark", "finding", sheet.Findings[0].Check, "decision", "confirm"); status != http.StatusConflict {
		t.Errorf("a mark after signing: %d", status)
	}
	if _, page := first.get("/assess"); !strings.Contains(said(page), "Attempts signed by two 1") {
		t.Errorf("agreement: %s", said(page))
	}
	if status, body := first.get("/attempt/" + a.ID + "/record.pdf"); status != http.StatusOK || !strings.HasPrefix(body, "%PDF") {
		t.Errorf("training record: %d", status)
	}
	pairs := []string{}
	for _, id := range angoffItems() {
		pairs = append(pairs, "p-"+id, "70")
	}
	first.must("/standard/"+panel, pairs...)
	if _, page := second.get("/standard/" + panel); !strings.Contains(said(page), "the mark is 70 %") {
		t.Errorf("standard: %s", said(page))
	}
	// One attempt was allowed.
	cem.link.Begin(w.Handout)
	s.until("a second attempt is refused", func() bool { return strings.Contains(cem.link.Status().Problem, "used") })
}

// sitAssessment plays an assessment: what a scripted trainee would do in its
// world, which the test alone reads from the server. It waits for the seal.
func (s *school) sitAssessment(p *pupil, w *wire.Handed, faults ...string) {
	s.Helper()
	s.slowClock() // a scripted trainee does the work of minutes at once
	a, err := s.web.Store.Attempt(s.Context(), w.Attempt)
	if err != nil {
		s.Fatal(err)
	}
	r := s.played(w.Exercise, a.SeedNumber(), faults...)
	world, err := s.web.Room.Shelf.World(must(s.web.Room.Shelf.Find(w.Exercise)), 1)
	if err != nil {
		s.Fatal(err)
	}
	p.link.Follow(w.Attempt, 0)
	remote := p.link.Serve(world, w)
	var seen []bench.Entry
	for _, e := range r.Entries {
		if _, err := remote.Do(e.Action); err != nil {
			s.Fatal(err)
		}
	}
	s.until("all is acknowledged", func() bool {
		seen = append(seen, remote.Arrived()...)
		return p.link.Status().Unsent == 0 && remote.View().Finished || p.link.Status().Problem != ""
	})
	if problem := p.link.Status().Problem; problem != "" {
		s.Fatal(problem)
	}
	// The candidate saw exactly what the bench gave.
	at := 0
	for _, e := range r.Entries {
		if len(e.Events) == 0 {
			continue
		}
		for at < len(seen) && len(seen[at].Events) == 0 {
			at++
		}
		if at == len(seen) || seen[at].N != e.N || !slices.Equal(seen[at].Events, e.Events) {
			s.Fatalf("entry %d: the candidate saw something else than the bench gave", e.N)
		}
		at++
	}
	s.until("the attempt is sealed", func() bool {
		a, err := s.web.Store.Attempt(s.Context(), w.Attempt)
		return err == nil && a.Seal != "" && a.Finished > 0
	})
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// slowClock sets the room's clock an hour on, so that the time stamps of a
// played attempt do not lie in the future.
func (s *school) slowClock() { s.late.Store(int64(50 * time.Minute)) }
