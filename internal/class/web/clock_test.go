package web

import (
	"testing"
	"time"

	"foilwright/internal/class/classtest"
	"foilwright/internal/class/link"
	"foilwright/internal/class/store"
	"foilwright/sim/bench"
)

// The wall clock is set by an hour, forwards and back, in the middle of an
// assessment: time limits, pauses and the candidate's time stamps go by the
// clock that runs steadily. Over a restart only the wall clock is there; then
// an attempt has lasted at least as long as its log tells.
func TestTheWallClockIsSetDuringAnAssessment(t *testing.T) {
	classtest.Stores(t, func(t *testing.T, openStore func() *store.Store) {
		folder := t.TempDir()
		st := openStore()
		s := open(t, folder, st)
		ines := s.instructor()
		class := ines.newClass("One")
		ines.must("/class/"+class.ID+"/handout", "exercise", panel, "mode", "assessment", "variant", "same", "minutes", "10")
		ana := s.join(class, "Ana Brook")
		ines.must("/class/"+class.ID+"/identity", "trainee", ana.id, "proof", "badge")
		w := ana.begin()
		ana.link.Follow(w.Attempt, 0)
		var remote *link.Remote
		serve := func() {
			world, err := s.web.Room.Shelf.World(must(s.web.Room.Shelf.Find(panel)), 1)
			if err != nil {
				t.Fatal(err)
			}
			remote = ana.link.Serve(world, ana.link.Status().Work)
		}
		serve()
		taken := func() {
			t.Helper()
			s.until("the action is taken", func() bool { return ana.link.Status().Unsent == 0 || ana.link.Status().Problem != "" })
			if problem := ana.link.Status().Problem; problem != "" {
				t.Fatal(problem)
			}
		}
		act := func(at time.Duration) {
			t.Helper()
			if _, err := remote.Do(bench.Action{At: at.Milliseconds(), Do: bench.LookAtTip}); err != nil {
				t.Fatal(err)
			}
		}
		left := func(when string, from, to float64) {
			t.Helper()
			rows := ines.boardOf(class)
			if rows[0].Finished || rows[0].LeftMinutes < from || rows[0].LeftMinutes > to {
				t.Errorf("%s: %.2f minutes are left, want %.1f to %.1f; finished %t", when, rows[0].LeftMinutes, from, to, rows[0].Finished)
			}
		}
		act(time.Millisecond)
		taken()
		for _, step := range []time.Duration{time.Hour, -time.Hour} {
			s.set.Store(int64(step))
			act(2 * time.Millisecond)
			taken()
			time.Sleep(1200 * time.Millisecond) // the watch over time limits looks each second
			left("set by "+step.String(), 8.5, 10)
		}
		ines.must("/class/"+class.ID+"/pause", "on", "yes")
		s.set.Store(int64(time.Hour))
		ines.must("/class/"+class.ID+"/pause", "on", "no")
		left("set during a pause", 8.5, 10.1)

		// The disk takes nothing for a moment: the attempt is opened anew.
		exec := func(statement string) {
			t.Helper()
			if err := st.Write(t.Context(), func(tx *store.Tx) error { return tx.Exec(statement) }); err != nil {
				t.Fatal(err)
			}
		}
		exec("alter table inbox rename to away")
		s.set.Store(int64(-time.Hour))
		act(3 * time.Millisecond)
		time.Sleep(500 * time.Millisecond)
		exec("alter table away rename to inbox")
		taken()
		left("opened anew", 8.5, 10.1)

		s.late.Store(int64(5 * time.Minute))
		act(4 * time.Minute)
		taken()
		again := func(wall time.Duration) {
			t.Helper()
			s.stop()
			ana.cancel()
			st.Close()
			st = openStore()
			s = openAt(t, folder, st, wall)
			ines.school, ana.school = s, s
		}
		again(-time.Hour)
		ana.connect()
		s.until("Ana's work is back", func() bool { w := ana.link.Status().Work; return w != nil && w.Attempt != "" })
		left("started anew an hour ago", 5, 6) // the log tells of four minutes
		ana.link.Follow(w.Attempt, len(ana.link.Status().Work.Seen))
		serve()
		act(4*time.Minute + time.Millisecond)
		taken()
		again(time.Hour)
		defer st.Close()
		defer s.stop()
		s.until("an hour later by the wall clock the time is over", func() bool {
			a, err := st.Attempt(t.Context(), w.Attempt)
			if err == nil && a.Finished == 0 {
				ines.boardOf(class) // somebody looks
			}
			return err == nil && a.Finished > 0 && a.Seal != "" && a.Finished >= a.Started
		})
	})
}
