package store_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"

	"foilwright/internal/class/classtest"
	"foilwright/internal/class/store"
)

func TestMain(m *testing.M) { classtest.Main(m) }

func anAttempt(t *testing.T, s *store.Store, id string) {
	t.Helper()
	if err := s.Write(t.Context(), func(tx *store.Tx) error {
		return tx.AddAttempt(store.Attempt{ID: id, Handout: "h", Trainee: id, Turn: 1, Seed: "7", Header: "header\n", Started: store.Now()})
	}); err != nil {
		t.Fatal(err)
	}
}

func appendAndWait(s *store.Store, attempt string, first, last int, text string) error {
	done := make(chan error, 1)
	s.Append(store.Append{Attempt: attempt, First: first, Last: last, Lines: []byte(text), Done: func(err error) { done <- err }})
	return <-done
}

func TestLogsComeBackAsTheyWereKept(t *testing.T) {
	classtest.Stores(t, func(t *testing.T, open func() *store.Store) {
		s := open()
		anAttempt(t, s, "a")
		if err := appendAndWait(s, "a", 1, 2, "one\ntwo\n"); err != nil {
			t.Fatal(err)
		}
		if err := appendAndWait(s, "a", 3, 3, "three µ\n"); err != nil {
			t.Fatal(err)
		}
		if err := appendAndWait(s, "a", 3, 3, "another three\n"); err == nil {
			t.Error("two runs of lines with the same number were both kept")
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		s = open() // what was acknowledged is there after a restart
		defer s.Close()
		text, n, err := s.Log(t.Context(), "a")
		if err != nil || n != 3 || string(text) != "header\none\ntwo\nthree µ\n" {
			t.Errorf("log %q, %d entries, %v", text, n, err)
		}
		text, first, last, err := s.Lines(t.Context(), "a", 2)
		if err != nil || first > 3 || last != 3 || !strings.HasSuffix(string(text), "three µ\n") { // a run of lines comes whole
			t.Errorf("lines after 2: %q from %d to %d, %v", text, first, last, err)
		}
		if err := appendAndWait(s, "a", 5, 5, "five\n"); err != nil {
			t.Fatal(err)
		}
		if _, _, err := s.Log(t.Context(), "a"); !errors.Is(err, store.ErrGap) {
			t.Errorf("a log with entry 4 missing: error %v, want %v", err, store.ErrGap)
		}
	})
}

func TestManyTraineesWriteAtATime(t *testing.T) {
	classtest.Stores(t, func(t *testing.T, open func() *store.Store) {
		s := open()
		defer s.Close()
		const trainees, batches = 30, 20
		var group sync.WaitGroup
		for i := range trainees {
			id := fmt.Sprintf("a%d", i)
			anAttempt(t, s, id)
			for n := 1; n <= batches; n++ {
				group.Add(1)
				s.Append(store.Append{Attempt: id, First: n, Last: n, Lines: fmt.Appendf(nil, "%s %d\n", id, n), Done: func(err error) {
					defer group.Done()
					if err != nil {
						t.Error(err)
					}
				}})
			}
		}
		group.Wait()
		for i := range trainees {
			if _, n, err := s.Log(t.Context(), fmt.Sprintf("a%d", i)); n != batches || err != nil {
				t.Errorf("trainee %d: %d entries, %v", i, n, err)
			}
		}
	})
}

func TestOneBadRunOfLinesTakesNoOtherWithIt(t *testing.T) {
	classtest.Stores(t, func(t *testing.T, open func() *store.Store) {
		s := open()
		defer s.Close()
		anAttempt(t, s, "a")
		anAttempt(t, s, "b")
		if err := appendAndWait(s, "a", 1, 1, "x\n"); err != nil {
			t.Fatal(err)
		}
		results := make(chan error, 2)
		s.Append(store.Append{Attempt: "a", First: 1, Last: 1, Lines: []byte("again\n"), Done: func(err error) { results <- err }})
		good := make(chan error, 1)
		s.Append(store.Append{Attempt: "b", First: 1, Last: 1, Lines: []byte("y\n"), Done: func(err error) { good <- err }})
		if <-results == nil {
			t.Error("a run of lines that is there already was kept again")
		}
		if err := <-good; err != nil {
			t.Errorf("the other trainee's lines: %v", err)
		}
	})
}

func TestAuditTrailShowsTampering(t *testing.T) {
	classtest.Stores(t, func(t *testing.T, open func() *store.Store) {
		s := open()
		defer s.Close()
		ctx := context.Background()
		var group sync.WaitGroup
		for i := range 12 {
			group.Go(func() {
				if err := s.Write(ctx, func(tx *store.Tx) error { return tx.Note("somebody", "did", fmt.Sprint(i), "") }); err != nil {
					t.Error(err)
				}
			})
		}
		group.Wait()
		if n, err := s.CheckAudit(ctx); n != 12 || err != nil {
			t.Fatalf("a trail as it was written: %d lines, %v", n, err)
		}
		if err := s.Write(ctx, func(tx *store.Tx) error { return tx.Exec("update audit set who = 'nobody' where n = 5") }); err != nil {
			t.Fatal(err)
		}
		if _, err := s.CheckAudit(ctx); err == nil {
			t.Error("a changed line was not noticed")
		}
		if err := s.Write(ctx, func(tx *store.Tx) error { return tx.Exec("delete from audit where n <= 5") }); err != nil {
			t.Fatal(err)
		}
		if _, err := s.CheckAudit(ctx); err == nil {
			t.Error("a lost beginning was not noticed")
		}
	})
}

func TestATransactionHappensWholeOrNotAtAll(t *testing.T) {
	classtest.Stores(t, func(t *testing.T, open func() *store.Store) {
		s := open()
		defer s.Close()
		stop := errors.New("stop")
		err := s.Write(t.Context(), func(tx *store.Tx) error {
			if err := tx.Set("x", "1"); err != nil {
				return err
			}
			return stop
		})
		if !errors.Is(err, stop) {
			t.Fatalf("error %v", err)
		}
		if _, err := s.Setting(t.Context(), "x"); !errors.Is(err, store.ErrMissing) {
			t.Errorf("half a transaction is there: %v", err)
		}
	})
}

// A store of version 1 has no copies of exercises; nor has a backup of it.
func TestAStoreOfTheFirstVersionIsBroughtUp(t *testing.T) {
	classtest.Stores(t, func(t *testing.T, open func() *store.Store) {
		st := open()
		if err := st.Write(t.Context(), func(tx *store.Tx) error {
			return errors.Join(tx.Exec("drop table exercise"), tx.Exec("drop table inbox"), tx.Set("schema", "1"))
		}); err != nil {
			t.Fatal(err)
		}
		if err := st.Close(); err != nil {
			t.Fatal(err)
		}
		st = open()
		defer st.Close()
		if err := st.Write(t.Context(), func(tx *store.Tx) error { return tx.KeepExercise("d1", "{}") }); err != nil {
			t.Fatal(err)
		}
		if files, err := st.ExerciseFiles(t.Context(), "d1"); err != nil || files != "{}" {
			t.Errorf("%q, %v", files, err)
		}
		if version, err := st.Setting(t.Context(), "schema"); err != nil || version == "1" {
			t.Errorf("version %q, %v", version, err)
		}
	})
}
