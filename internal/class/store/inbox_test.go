package store_test

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"foilwright/internal/class/classtest"
	"foilwright/internal/class/store"
)

func exec(t *testing.T, s *store.Store, statement string, values ...any) {
	t.Helper()
	if err := s.Write(t.Context(), func(tx *store.Tx) error { return tx.Exec(statement, values...) }); err != nil {
		t.Fatal(err)
	}
}

// While lines are sorted into the logs, readers find every log whole and never
// shorter than before; afterwards the inbox is short.
func TestSortingHidesNothingFromReaders(t *testing.T) {
	classtest.Stores(t, func(t *testing.T, open func() *store.Store) {
		s := open()
		defer s.Close()
		const attempts, runs = 40, 100
		line := strings.Repeat("x", 9999) + "\n" // 40 MB in all, four times what is held
		var group sync.WaitGroup
		for i := range attempts {
			id := fmt.Sprintf("a%d", i)
			anAttempt(t, s, id)
			group.Go(func() {
				before := 0
				for n := 1; n <= runs; n++ {
					if err := appendAndWait(s, id, n, n, line); err != nil {
						t.Error(err)
						return
					}
					if n%10 == i%10 {
						text, now, err := s.Log(t.Context(), id)
						if err != nil || now != n || now < before || len(text) != len("header\n")+n*len(line) {
							t.Errorf("%s: %d entries in %d bytes after %d were acknowledged, %v", id, now, len(text), n, err)
						}
						before = now
					}
				}
			})
		}
		group.Wait()
		var chunks, held int64
		if err := s.Row(t.Context(), "select (select count(*) from chunk), (select coalesce(sum(length(runs)), 0) from inbox)", nil, &chunks, &held); err != nil {
			t.Fatal(err)
		}
		if chunks == 0 || held > 23<<20 {
			t.Errorf("%d runs of lines are in the logs and %d bytes in the inbox", chunks, held)
		}
	})
}

// What a commit left in the inbox is sorted in at the next start: once, and
// where the answer of a commit was lost and the bench sent anew, as it was
// acknowledged.
func TestTheInboxIsTakenUp(t *testing.T) {
	classtest.Stores(t, func(t *testing.T, open func() *store.Store) {
		s := open()
		anAttempt(t, s, "a")
		anAttempt(t, s, "b")
		put := func(n int, runs string) { exec(t, s, "insert into inbox (n, runs) values (?, ?)", n, runs) }
		exec(t, s, "insert into chunk (attempt, first, last, lines) values ('b', 1, 2, ?)", "b1\nb2\n")
		put(4, "b 1 2 6\nb1\nb2\na 1 2 8\nold\nold\n") // sorted in already; and never acknowledged
		put(5, "a 1 1 3\na1\nb 3 3 3\nb3\n")
		put(6, "a 2 3 6\na2\na3\n")
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		s = open()
		defer s.Close()
		for id, want := range map[string]string{"a": "header\na1\na2\na3\n", "b": "header\nb1\nb2\nb3\n"} {
			if text, n, err := s.Log(t.Context(), id); string(text) != want || n != 3 || err != nil {
				t.Errorf("%s: %q, %d entries, %v; want %q", id, text, n, err, want)
			}
		}
		if err := appendAndWait(s, "a", 4, 4, "a4\n"); err != nil {
			t.Errorf("the log does not go on: %v", err)
		}
		var left int64
		if err := s.Row(t.Context(), "select count(*) from inbox where n <= 6", nil, &left); err != nil || left != 0 {
			t.Errorf("%d rows are left, %v", left, err)
		}
		exec(t, s, "delete from inbox")
		for _, broken := range []string{"a 1 2\nx\n", "a 1 2 99\nx\n", "a -1 2 2\nx\n", "\n"} {
			exec(t, s, "delete from inbox")
			put(1, broken)
			if err := s.TakeUp(t.Context()); err == nil {
				t.Errorf("a row %q was taken up", broken)
			}
		}
		exec(t, s, "delete from inbox")
	})
}

// The files as they lie there while the server runs are what a killed server
// leaves: everything acknowledged is in them.
func TestWhatIsAcknowledgedIsInTheFiles(t *testing.T) {
	folder := t.TempDir()
	s, err := store.Open(t.Context(), folder, "")
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	const attempts = 30
	line := strings.Repeat("y", 2999) + "\n"
	for i := range attempts {
		anAttempt(t, s, fmt.Sprintf("a%d", i))
	}
	for n := 1; n <= 120; n++ {
		var group sync.WaitGroup
		for i := range attempts {
			group.Add(1)
			s.Append(store.Append{Attempt: fmt.Sprintf("a%d", i), First: n, Last: n, Lines: []byte(line), Done: func(err error) {
				if err != nil {
					t.Error(err)
				}
				group.Done()
			}})
		}
		group.Wait()
		if n%40 != 0 {
			continue
		}
		s.Quiet(func() { // no checkpoint in the middle of the copy, which a kill could not do to one file only
			copied := t.TempDir()
			for _, name := range []string{store.FileName, store.FileName + "-wal"} {
				data, err := os.ReadFile(filepath.Join(folder, name))
				if err != nil {
					t.Fatal(err)
				}
				if err := os.WriteFile(filepath.Join(copied, name), data, 0o600); err != nil {
					t.Fatal(err)
				}
			}
			back, err := store.Open(t.Context(), copied, "")
			if err != nil {
				t.Fatal(err)
			}
			defer back.Close()
			for i := range attempts {
				if text, have, err := back.Log(t.Context(), fmt.Sprintf("a%d", i)); have != n || len(text) != len("header\n")+n*len(line) || err != nil {
					t.Errorf("attempt %d: %d entries of %d acknowledged, %v", i, have, n, err)
				}
			}
		})
	}
}

// A trainee who is deleted is gone from the inbox too, and lines that come
// late are refused; the others' are there.
func TestForgettingReachesTheInbox(t *testing.T) {
	classtest.Stores(t, func(t *testing.T, open func() *store.Store) {
		s := open()
		defer s.Close()
		anAttempt(t, s, "ana")
		anAttempt(t, s, "ben")
		for _, id := range []string{"ana", "ben"} {
			if err := appendAndWait(s, id, 1, 1, "what "+id+" did\n"); err != nil {
				t.Fatal(err)
			}
		}
		if err := s.Forget(t.Context(), "ana", func(tx *store.Tx) error { return tx.Note("ines", "deleted", "x", "") }); err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		if _, err := s.Backup(t.Context(), t.TempDir(), &out); err != nil {
			t.Fatal(err)
		}
		if text := classtest.Unzipped(t, out.Bytes()); strings.Contains(text, "what ana did") || !strings.Contains(text, "what ben did") {
			t.Error("after Ana was deleted her lines are there, or Ben's are not")
		}
		if err := appendAndWait(s, "ana", 2, 2, "late\n"); !errors.Is(err, store.ErrMissing) {
			t.Errorf("a late line of Ana's: %v", err)
		}
		if err := appendAndWait(s, "ben", 2, 2, "on\n"); err != nil {
			t.Error(err)
		}
		if n, err := s.CheckAudit(t.Context()); n != 1 || err != nil {
			t.Errorf("audit trail: %d, %v", n, err)
		}
	})
}

func FuzzReadRuns(f *testing.F) {
	f.Add([]byte("a 1 2 4\nx\ny\nb 7 7 2\nz\n"))
	f.Add([]byte("a 1 2 99999999999999999999\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		var again, third strings.Builder
		if err := store.ReadRuns(text, func(a store.Append) { store.WriteRun(&again, a) }); err != nil {
			return
		}
		if err := store.ReadRuns([]byte(again.String()), func(a store.Append) { store.WriteRun(&third, a) }); err != nil || again.String() != third.String() {
			t.Errorf("%q was read and written as %q, that as %q, %v", text, again.String(), third.String(), err)
		}
	})
}
