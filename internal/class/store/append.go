package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"time"
)

// Append is a run of consecutive log lines to be kept. Done is called once,
// from another goroutine, with nil when the lines are safe on the disk.
type Append struct {
	Attempt     string
	First, Last int
	Lines       []byte // with their line feeds; not to be changed any more
	Done        func(error)
}

// gather is how long after a commit the next one waits for further lines once
// several trainees write at a time: fewer, larger commits cost less than many
// small ones.
const gather = 7 * time.Millisecond

// mostInCommit bounds a commit.
const mostInCommit = 1000

// Append queues lines to be kept and returns at once. Lines of one attempt must
// be queued in order.
func (s *Store) Append(a Append) {
	s.queueing.Lock()
	s.queue = append(s.queue, a)
	s.queueing.Unlock()
	select {
	case s.queued <- struct{}{}:
	default:
	}
}

// take returns up to mostInCommit queued runs of lines.
func (s *Store) take(into []Append) []Append {
	s.queueing.Lock()
	defer s.queueing.Unlock()
	n := min(len(s.queue), mostInCommit)
	into = append(into, s.queue[:n]...)
	s.queue = append(s.queue[:0], s.queue[n:]...)
	return into
}

// keep commits what is queued, many trainees at a time.
func (s *Store) keep(ctx context.Context) {
	busy, committed := false, time.Time{}
	var batch []Append
	for {
		select {
		case <-s.queued:
		case <-ctx.Done():
		}
		if busy {
			time.Sleep(time.Until(committed.Add(gather)))
		}
		for {
			batch = s.take(batch[:0])
			if len(batch) == 0 {
				break
			}
			committed = s.commit(batch)
			busy = len(batch) > 4
			if len(batch) < mostInCommit {
				break
			}
		}
		if ctx.Err() != nil && len(batch) == 0 {
			return // what was queued before the end is kept
		}
	}
}

// commit keeps a batch, sorts the inbox if that is due, and returns when the
// batch was kept. When it fails as a whole, each run of lines is tried by
// itself, so that a bad one does not take the others with it.
func (s *Store) commit(batch []Append) (kept time.Time) {
	s.keeping(func() error {
		ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
		defer cancel()
		batch = slices.DeleteFunc(batch, func(a Append) bool {
			err := s.follows(ctx, a)
			if err != nil {
				a.Done(err)
			}
			return err != nil
		})
		err := s.put(ctx, batch)
		for i, a := range batch {
			if err != nil && len(batch) > 1 {
				a.Done(s.put(ctx, batch[i:i+1]))
			} else {
				a.Done(err)
			}
		}
		kept = time.Now()
		return s.sortIn(ctx, whatIsDue)
	})
	return kept
}

// ErrGap says that the lines kept of an attempt are not consecutive.
var ErrGap = errors.New("lines are missing from the log")

// Log returns the whole log of an attempt, header first, and how many entries
// it has.
func (s *Store) Log(ctx context.Context, attempt string) ([]byte, int, error) {
	a, err := s.Attempt(ctx, attempt)
	if err != nil {
		return nil, 0, err
	}
	text, _, n, err := s.Lines(ctx, attempt, 0)
	if err != nil {
		return nil, 0, err
	}
	return append([]byte(a.Header), text...), n, nil
}

// Lines returns the log lines of an attempt after an entry, and the number of
// the newest. A run of lines is returned whole, so the first may be older.
func (s *Store) Lines(ctx context.Context, attempt string, after int) (text []byte, first, last int, err error) {
	first, last = after+1, after
	add := func(r run) error {
		if len(text) == 0 {
			first, last = r.first, r.first-1
			if r.first > after+1 {
				last = after // something is missing before it
			}
		}
		if r.first != last+1 {
			return fmt.Errorf("attempt %s: %w: after entry %d comes %d", attempt, ErrGap, last, r.first)
		}
		text, last = append(text, r.lines...), r.last
		return nil
	}
	// The inbox first: what is sorted into the log in the meantime is then seen twice and not missed.
	held := s.inbox.of(attempt)
	err = s.each(ctx, "select first, last, lines from chunk where attempt = ? and last > ? order by first", []any{attempt, after},
		func(rows *sql.Rows) error {
			var r run
			if err := rows.Scan(&r.first, &r.last, &r.lines); err != nil {
				return err
			}
			return add(r)
		})
	for _, r := range held {
		if err == nil && r.last > last {
			err = add(r)
		}
	}
	return text, first, last, err
}
