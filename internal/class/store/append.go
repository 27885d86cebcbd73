package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"time"
)

// Append is a run of consecutive log lines to be kept. Done is called once,
// from another goroutine, with nil when the lines are safe on the disk.
type Append struct {
	Attempt     string
	First, Last int
	Lines       []byte // with their line feeds
	Done        func(error)
}

// gather is how long a commit waits for further lines once several trainees
// write at a time: fewer, larger commits cost less than many small ones.
const gather = 5 * time.Millisecond

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
	defer close(s.done)
	busy := false
	var batch []Append
	for {
		select {
		case <-s.queued:
		case <-ctx.Done():
		}
		if busy {
			time.Sleep(gather)
		}
		for {
			batch = s.take(batch[:0])
			if len(batch) == 0 {
				break
			}
			s.commit(batch)
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

// commit keeps a batch. When it fails as a whole, each attempt is tried by
// itself, so that one bad run of lines does not take the others with it.
func (s *Store) commit(batch []Append) {
	err := s.insert(batch)
	if err == nil || len(batch) == 1 {
		for _, a := range batch {
			a.Done(err)
		}
		return
	}
	for _, a := range batch {
		a.Done(s.insert([]Append{a}))
	}
}

func (s *Store) insert(batch []Append) error {
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	return s.Write(ctx, func(tx *Tx) error {
		const most = 100 // rows in a statement
		for len(batch) > 0 {
			n := min(most, len(batch))
			statement := "insert into chunk (attempt, first, last, lines) values " + strings.Repeat("(?, ?, ?, ?), ", n-1) + "(?, ?, ?, ?)"
			values := make([]any, 0, 4*n)
			for _, a := range batch[:n] {
				values = append(values, a.Attempt, a.First, a.Last, string(a.Lines))
			}
			if err := tx.Exec(statement, values...); err != nil {
				return fmt.Errorf("log lines cannot be kept: %w", err)
			}
			batch = batch[n:]
		}
		return nil
	})
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
	err = s.each(ctx, "select first, last, lines from chunk where attempt = ? and last > ? order by first", []any{attempt, after},
		func(rows *sql.Rows) error {
			var from, to int
			var lines string
			if err := rows.Scan(&from, &to, &lines); err != nil {
				return err
			}
			if len(text) == 0 {
				first, last = from, from-1
				if from > after+1 {
					last = after // something is missing before it
				}
			}
			if from != last+1 {
				return fmt.Errorf("attempt %s: %w: after entry %d comes %d", attempt, ErrGap, last, from)
			}
			text, last = append(text, lines...), to
			return nil
		})
	return text, first, last, err
}
