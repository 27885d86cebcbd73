package store

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync"
)

// inbox is what has been committed to the table of that name and not been
// sorted into the logs yet.
type inbox struct {
	keeping sync.Mutex     // held by whoever adds to it or sorts it
	number  int64          // of the newest row
	newest  map[string]int // newest entry kept of an attempt, as far as it is known

	mu    sync.Mutex       // guards the rest, which readers of logs look at
	held  map[string][]run // by attempt
	turns []string         // the attempts, that of the oldest row first
	bytes int
	came  int // bytes of the newest row
}

// run is consecutive lines of a log.
type run struct {
	row         int64 // of the inbox
	first, last int
	lines       []byte // not to be changed
}

func newInbox() inbox { return inbox{newest: map[string]int{}, held: map[string][]run{}} }

// How much may lie in the inbox before it is sorted: more lines at a time make
// the work lighter and the memory larger.
const (
	mostHeld   = 10 << 20  // bytes
	mostRows   = 3000      // an idle trainee's lines keep the rows after them
	sortedOnce = 128 << 10 // bytes at a time, so that no commit waits long; or twice what came in
	chunkBytes = 64 << 10

	tooMuchHeld = 64 << 20 // when sorting fails over and over, nothing more is taken
)

// How much is to be sorted in.
type share int

const (
	whatIsDue share = iota
	everything
)

// keeping runs work while nobody else adds to the inbox or sorts it.
func (s *Store) keeping(work func() error) error {
	s.inbox.keeping.Lock()
	defer s.inbox.keeping.Unlock()
	return work()
}

// of returns the lines of an attempt that are in the inbox.
func (b *inbox) of(attempt string) []run {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.held[attempt] // never changed, only replaced or added to
}

// hold notes a run that was committed.
func (b *inbox) hold(attempt string, r run) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if len(b.held[attempt]) == 0 {
		b.turns = append(b.turns, attempt)
	}
	b.held[attempt] = append(b.held[attempt], r)
	b.bytes += len(r.lines)
}

// oldest is the oldest row that is still needed when so many attempts have
// been sorted in; keeping is held.
func (b *inbox) oldest(sorted int) int64 {
	oldest := b.number + 1
	if sorted < len(b.turns) {
		oldest = b.held[b.turns[sorted]][0].row
	}
	return oldest
}

// follows tells whether a run of lines can be kept: its attempt is there, and
// its lines are not.
func (s *Store) follows(ctx context.Context, a Append) error {
	newest, err := s.newest(ctx, a.Attempt)
	if err != nil {
		return fmt.Errorf("log lines cannot be kept: attempt %s: %w", a.Attempt, err)
	}
	if a.First <= newest || a.Last < a.First {
		return fmt.Errorf("log lines cannot be kept: attempt %s has entries up to %d, these are %d to %d", a.Attempt, newest, a.First, a.Last)
	}
	s.inbox.newest[a.Attempt] = a.Last
	return nil
}

// newest is the newest entry kept of an attempt; keeping is held.
func (s *Store) newest(ctx context.Context, attempt string) (n int, err error) {
	n, known := s.inbox.newest[attempt]
	if known {
		return n, nil
	}
	err = s.Row(ctx, "select coalesce((select max(last) from chunk where attempt = attempt.id), 0) from attempt where id = ?", []any{attempt}, &n)
	if err != nil {
		return 0, err
	}
	if held := s.inbox.of(attempt); len(held) > 0 {
		n = held[len(held)-1].last
	}
	s.inbox.newest[attempt] = n
	return n, nil
}

// Expect looks up where the log of an attempt ends, so that the commit of its
// first lines need not: when a class begins in one moment that is hundreds of
// look-ups in one commit.
func (s *Store) Expect(ctx context.Context, attempt string) error {
	return s.keeping(func() error {
		_, err := s.newest(ctx, attempt)
		return err
	})
}

// put commits runs of lines to the inbox; keeping is held.
func (s *Store) put(ctx context.Context, batch []Append) error {
	if len(batch) == 0 {
		return nil
	}
	if s.inbox.bytes > tooMuchHeld {
		if err := s.sortIn(ctx, whatIsDue); err != nil {
			return err
		}
	}
	size := 0
	for _, a := range batch {
		size += len(a.Lines) + 80
	}
	s.inbox.came = size
	// One allocation for all that a commit holds: what the collector does is
	// what messages wait for most.
	var text strings.Builder
	text.Grow(size)
	for _, a := range batch {
		writeRun(&text, a)
	}
	// A new number even after a failure: whether a commit whose answer was lost
	// has happened is not known.
	s.inbox.number++
	n := s.inbox.number
	err := s.putRow(ctx, n, text.String())
	s.written.Add(int64(text.Len()) + pageBytes)
	for _, a := range batch {
		if err != nil {
			delete(s.inbox.newest, a.Attempt)
			continue
		}
		s.inbox.hold(a.Attempt, run{n, a.First, a.Last, a.Lines})
		s.inbox.newest[a.Attempt] = a.Last
	}
	if err != nil {
		return fmt.Errorf("log lines cannot be kept: %w", err)
	}
	return nil
}

// putRow commits a row to the inbox. A class under way does hardly anything
// else, a hundred times a second: one statement, prepared, is a transaction by
// itself and half the work of one with a beginning and an end.
func (s *Store) putRow(ctx context.Context, n int64, runs string) error {
	if s.postgres {
		_, err := s.db.ExecContext(ctx, s.q(putRow), n, runs)
		return err
	}
	s.writing.Lock()
	defer s.writing.Unlock()
	if s.putting == nil {
		var err error
		if s.putting, err = s.writer.Prepare(putRow); err != nil {
			return err
		}
	}
	_, err := s.putting.Exec(n, runs) // SQLite has a time limit of its own
	return err
}

const putRow = "insert into inbox (n, runs) values (?, ?)"

// writeRun writes a run as it stands in the inbox: a line that says whose it
// is, which entries, how many bytes, and the lines.
func writeRun(to *strings.Builder, a Append) {
	fmt.Fprintf(to, "%s %d %d %d\n", a.Attempt, a.First, a.Last, len(a.Lines))
	to.Write(a.Lines)
}

// errInbox says that a row of the inbox is not as this program writes it.
var errInbox = errors.New("the inbox of the database is malformed; restore a backup")

// readRuns reads a row of the inbox.
func readRuns(text []byte, each func(Append)) error {
	for len(text) > 0 {
		head, rest, _ := bytes.Cut(text, []byte{'\n'})
		f := strings.Split(string(head), " ")
		if len(f) != 4 {
			return errInbox
		}
		a := Append{Attempt: f[0]}
		size := 0
		for i, to := range []*int{&a.First, &a.Last, &size} {
			n, err := strconv.Atoi(f[i+1])
			if err != nil || n < 0 {
				return errInbox
			}
			*to = n
		}
		if size > len(rest) {
			return errInbox
		}
		a.Lines, text = rest[:size], rest[size:]
		each(a)
	}
	return nil
}

// takeUp sorts in what was in the inbox when the store was left.
func (s *Store) takeUp(ctx context.Context) error {
	var found []Append
	var rows []int64
	if err := s.each(ctx, "select n, runs from inbox order by n", nil, func(r *sql.Rows) error {
		var n int64
		var text string
		if err := r.Scan(&n, &text); err != nil {
			return err
		}
		s.inbox.number = n
		return readRuns([]byte(text), func(a Append) { found, rows = append(found, a), append(rows, n) })
	}); err != nil {
		return fmt.Errorf("taking up the inbox: %w", err)
	}
	if len(found) == 0 {
		return nil
	}
	kept := map[string]int{}
	for i, a := range found {
		newest, known := kept[a.Attempt]
		if !known {
			if err := s.Row(ctx, "select coalesce(max(last), 0) from chunk where attempt = ?", []any{a.Attempt}, &newest); err != nil {
				return err
			}
			kept[a.Attempt] = newest
		}
		if a.First <= newest {
			continue // in the log already
		}
		s.inbox.replace(a.Attempt, a.First)
		s.inbox.hold(a.Attempt, run{rows[i], a.First, a.Last, a.Lines})
	}
	if err := s.sortIn(ctx, everything); err != nil {
		return fmt.Errorf("taking up the inbox: %w", err)
	}
	return nil
}

// replace drops held runs from an entry on. They were in a commit that failed
// for all anybody knew, and were sent again.
func (b *inbox) replace(attempt string, from int) {
	held := b.held[attempt]
	for n := len(held); n > 0 && held[n-1].first >= from; n-- {
		b.bytes -= len(held[n-1].lines)
		held = held[: n-1 : n-1]
	}
	if len(held) > 0 {
		b.held[attempt] = held
	} else if _, ok := b.held[attempt]; ok {
		delete(b.held, attempt)
		for i, a := range b.turns {
			if a == attempt {
				b.turns = append(b.turns[:i], b.turns[i+1:]...)
				break
			}
		}
	}
}

// sortIn moves lines from the inbox to the logs, those that have lain longest
// first; keeping is held.
func (s *Store) sortIn(ctx context.Context, how share) error {
	b := &s.inbox
	if how == whatIsDue && b.bytes <= mostHeld && b.number-b.oldest(0) < mostRows {
		return nil
	}
	if len(b.turns) == 0 {
		return nil
	}
	sorted, size := 0, 0
	err := s.Write(ctx, func(tx *Tx) error {
		for ; sorted < len(b.turns) && (how == everything || size < max(sortedOnce, 2*b.came)); sorted++ {
			attempt := b.turns[sorted]
			for runs := b.held[attempt]; len(runs) > 0; {
				n, length := 0, 0
				for n < len(runs) && length < chunkBytes && (n == 0 || runs[n].first == runs[n-1].last+1) {
					length += len(runs[n].lines)
					n++
				}
				var text strings.Builder
				text.Grow(length)
				for _, r := range runs[:n] {
					text.Write(r.lines)
				}
				// There it is already if a commit's answer was lost.
				if err := tx.Exec("insert into chunk (attempt, first, last, lines) values (?, ?, ?, ?) on conflict (attempt, first) do update set last = excluded.last, lines = excluded.lines",
					attempt, runs[0].first, runs[n-1].last, text.String()); err != nil {
					return err
				}
				size += length
				runs = runs[n:]
			}
		}
		return tx.Exec("delete from inbox where n < ?", b.oldest(sorted))
	})
	if err != nil {
		return fmt.Errorf("log lines stay in the inbox: %w", err)
	}
	s.written.Add(int64(size))
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, attempt := range b.turns[:sorted] {
		for _, r := range b.held[attempt] {
			b.bytes -= len(r.lines)
		}
		delete(b.held, attempt)
	}
	b.turns = append(b.turns[:0], b.turns[sorted:]...)
	return nil
}
