package web

import (
	"strings"
	"testing"
	"time"

	"foilwright/internal/class/classtest"
	"foilwright/internal/class/live"
	"foilwright/internal/class/store"
)

// A database that takes nothing for a while, as on a full disk: nothing is
// acknowledged, the bench keeps it, and when there is room again it goes on by
// itself and nothing is missing.
func TestAFullDiskLosesNothing(t *testing.T) {
	classtest.Stores(t, func(t *testing.T, openStore func() *store.Store) {
		st := openStore()
		defer st.Close()
		s := open(t, t.TempDir(), st)
		defer s.stop()
		ines := s.instructor()
		class := ines.newClass("One")
		ines.must("/class/"+class.ID+"/handout", "exercise", panel, "mode", "practice", "variant", "same")
		ana := s.join(class, "Ana Brook")
		w := ana.begin()
		r := s.played(panel, w.Seed)
		ana.practise(w, r, 20)
		exec := func(statement string) {
			t.Helper()
			if err := st.Write(t.Context(), func(tx *store.Tx) error { return tx.Exec(statement) }); err != nil {
				t.Fatal(err)
			}
		}
		exec("alter table inbox rename to away")
		chain, have := chainOf(t, w.Log)
		for _, e := range r.Entries[have:] {
			line, err := chain.Entry(e)
			if err != nil {
				t.Fatal(err)
			}
			if e.N > 20 {
				ana.link.Line(e.N, line)
			}
		}
		time.Sleep(500 * time.Millisecond)
		if n := len(r.Entries) - 20; ana.link.Status().Unsent != n {
			t.Errorf("%d entries wait in the bench, want all %d", ana.link.Status().Unsent, n)
		}
		exec("alter table away rename to inbox")
		s.until("everything is acknowledged in the end", func() bool { return ana.link.Status().Unsent == 0 })
		if _, n, err := st.Log(t.Context(), w.Attempt); n != len(r.Entries) || err != nil {
			t.Errorf("the log has %d entries, %v; want %d", n, err, len(r.Entries))
		}
		s.until("the end is noted", func() bool { return ines.boardOf(class)[0].Finished })
	})
}

// The newest tab has the bench; the older one is told and does no harm.
func TestTwoTabs(t *testing.T) {
	s := newSchool(t)
	ines := s.instructor()
	class := ines.newClass("One")
	ines.must("/class/"+class.ID+"/handout", "exercise", panel, "mode", "practice", "variant", "same")
	ana := s.join(class, "Ana Brook")
	w := ana.begin()
	r := s.played(panel, w.Seed)
	ana.practise(w, r, 10)
	older := ana.link
	ana.connect()
	s.until("the older tab is told", func() bool { return older.Status().Taken })
	s.until("the newer tab has the work", func() bool { return ana.link.Status().Work != nil })
	again := ana.link.Status().Work
	ana.practise(again, r, len(r.Entries))
	chain, have := chainOf(t, w.Log)
	for _, e := range r.Entries[have:15] { // what the older tab still had
		line, err := chain.Entry(e)
		if err != nil {
			t.Fatal(err)
		}
		older.Line(e.N, line)
	}
	time.Sleep(300 * time.Millisecond)
	if _, n, err := s.web.Store.Log(t.Context(), w.Attempt); n != len(r.Entries) || err != nil {
		t.Errorf("%d entries, %v", n, err)
	}
}

// When the time of an assessment is over the server ends and seals it, also
// while the candidate is away; a class that stood still gets its time back.
func TestTheTimeOfAnAssessmentRunsOut(t *testing.T) {
	s := newSchool(t)
	ines := s.instructor()
	class := ines.newClass("One")
	ines.must("/class/"+class.ID+"/handout", "exercise", panel, "mode", "assessment", "variant", "same", "minutes", "10")
	ana := s.join(class, "Ana Brook")
	ines.must("/class/"+class.ID+"/identity", "trainee", ana.id, "proof", "badge")
	w := ana.begin()
	ana.cancel()
	s.late.Store(int64(9 * time.Minute))
	time.Sleep(1500 * time.Millisecond)
	if rows := ines.boardOf(class); rows[0].Finished || rows[0].LeftMinutes > 1.1 {
		t.Errorf("a minute before the end: %+v", rows[0])
	}
	s.late.Store(int64(11 * time.Minute))
	s.until("the attempt is ended and sealed", func() bool {
		a, err := s.web.Store.Attempt(t.Context(), w.Attempt)
		return err == nil && a.Finished > 0 && a.Seal != ""
	})
}

// No coaching in an assessment, whoever asks for it; a mishap is carried out
// by the server and kept beside the log.
func TestNobodyIsCoachedInAnAssessment(t *testing.T) {
	s := newSchool(t)
	ines, class, _, w := s.candidate("same")
	if status, body := ines.post("/class/"+class.ID+"/hint", "attempt", w.Attempt, "text", "lift higher"); status != 409 || !strings.Contains(said(body), "coached") {
		t.Errorf("%d %s", status, said(body))
	}
	ines.must("/class/"+class.ID+"/mishap", "attempt", w.Attempt, "mishap", live.Mishaps[0].ID)
	s.until("the mishap is in the log", func() bool {
		_, n, err := s.web.Store.Log(t.Context(), w.Attempt)
		return err == nil && n == 1
	})
	done, err := s.web.Store.Interventions(t.Context(), w.Attempt)
	if err != nil || len(done) != 1 || done[0].Kind != "mishap" {
		t.Errorf("interventions %+v, %v", done, err)
	}
}
