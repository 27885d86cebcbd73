package live

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strconv"
	"sync"
	"time"

	"foilwright/internal/class/store"
	"foilwright/internal/class/wire"
	"foilwright/sim/bench"
)

// seat is an attempt under way, whether its trainee is connected or not.
type seat struct {
	room    *Room
	attempt store.Attempt
	handout store.Handout
	class   string
	offered *Offered

	mu       sync.Mutex
	n        int          // newest entry taken in
	kept     int          // newest entry on the disk
	writer   bench.Writer // where the chain stands after entry n
	bench    *bench.Bench // assessment: the bench itself
	conn     *conn        // nil: nobody there
	progress progress
	finished bool
	broken   error // the disk did not take a line; the seat is to be opened anew

	begun    time.Time // when the attempt was begun, on this machine's steady clock
	budget   float64   // entries that may come before it is too fast
	budgetAt time.Time
	waiting  sync.WaitGroup
	ending   sync.Mutex // held while the end is dealt with
}

// errStale says that a seat must be opened anew from the disk.
var errStale = errors.New("the attempt is out of step with the disk")

// open reads an attempt from the disk.
func (r *Room) open(ctx context.Context, id string) (*seat, error) {
	a, err := r.Store.Attempt(ctx, id)
	if err != nil {
		return nil, err
	}
	h, err := r.Store.Handout(ctx, a.Handout)
	if err != nil {
		return nil, err
	}
	o, err := r.Given(ctx, h)
	if err != nil {
		return nil, err
	}
	data, n, err := r.Store.Log(ctx, id)
	if err != nil {
		return nil, err
	}
	if err := r.Store.Expect(ctx, id); err != nil {
		return nil, err
	}
	l, err := bench.ReadLog("attempt "+id, bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	now := r.Clock()
	s := &seat{
		room: r, attempt: *a, handout: *h, class: h.Class, offered: o, n: n, kept: n, writer: l.Writer,
		finished: a.Finished > 0, budget: burst, budgetAt: now,
	}
	lasted := r.stamp() - a.Started
	done, err := r.Store.Interventions(ctx, id)
	if err != nil {
		return nil, err
	}
	for _, i := range done {
		if ms, err := strconv.ParseInt(i.Detail, 10, 64); err == nil && i.Kind == stoodStill {
			lasted -= ms
		}
	}
	s.progress.since = now
	for _, e := range l.Entries {
		s.progress.take(e.Action, e.Events, now)
		// Where the wall clock was set back the log still tells how long it lasted.
		lasted = max(lasted, e.Action.At)
	}
	s.begun = now.Add(-time.Duration(max(0, lasted)) * time.Millisecond)
	if h.Mode == Assessment {
		w, err := r.Shelf.World(o, a.SeedNumber())
		if err != nil {
			return nil, err
		}
		if s.bench, err = bench.Replay("attempt "+id, w, l); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// burst is how many entries may come at once: what piled up in a browser
// while it was cut off.
const burst = 60_000

// pace counts entries against the rate that a hand can give.
func (s *seat) pace(n int) error {
	now := s.room.Clock()
	s.budget = min(burst, s.budget+now.Sub(s.budgetAt).Seconds()*wire.MostPerSec)
	s.budgetAt = now
	if s.budget < float64(n) {
		return errors.New("entries come faster than a hand can give them")
	}
	s.budget -= float64(n)
	return nil
}

// lines takes in log lines of practice from entry first on. Lines that are
// there already are passed over: the browser sends again what was not
// acknowledged.
func (s *seat) lines(first int, text []byte) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.broken != nil:
		return errStale
	case s.handout.Mode == Assessment:
		return errors.New("in an assessment the server keeps the log")
	case s.finished:
		return errors.New("the attempt is finished")
	case first > s.n+1:
		return fmt.Errorf("entry %d comes after entry %d: something is missing between", first, s.n)
	}
	writer, n, from := s.writer, first-1, -1
	for at := 0; at < len(text); {
		end := at + bytes.IndexByte(text[at:], '\n')
		line := text[at:end]
		n++
		switch {
		case len(line) > wire.MostLine:
			return fmt.Errorf("entry %d is longer than %d bytes", n, wire.MostLine)
		case n-first >= wire.MostInBatch:
			return fmt.Errorf("more than %d entries in one message", wire.MostInBatch)
		case n > s.n:
			if from < 0 {
				from = at
			}
			if err := writer.Follow(n, line); err != nil {
				return err
			}
		}
		at = end + 1
	}
	if from < 0 {
		s.conn.wake() // all known: say so again
		return nil
	}
	if err := s.pace(n - s.n); err != nil {
		return err
	}
	s.progress.lines(text[from:], s.room.Clock())
	s.finished = s.progress.finished
	s.keep(s.n+1, n, bytes.Clone(text[from:]))
	s.n, s.writer = n, writer
	return nil
}

// keep queues lines for the disk, which are not to be changed any more; mu is
// held.
func (s *seat) keep(first, last int, text []byte) {
	s.waiting.Add(1)
	s.room.Store.Append(store.Append{Attempt: s.attempt.ID, First: first, Last: last, Lines: text, Done: func(err error) {
		defer s.waiting.Done()
		s.mu.Lock()
		defer s.mu.Unlock()
		if err != nil || s.broken != nil {
			if s.broken == nil {
				s.broken = err
				s.room.Log.Error("log lines could not be kept", "attempt", s.attempt.ID, "error", err)
			}
			s.conn.end("the server could not keep what came in; it tries again")
			return
		}
		s.kept = last
		if s.finished && s.kept == s.n {
			s.room.over.add(s)
		}
		s.conn.wake()
	}})
}

// grace is how far a candidate's time stamps may run before the server's clock.
const grace = 3 * time.Second

// actions carries out a candidate's actions from entry first on.
func (s *seat) actions(first int, list []bench.Action) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.broken != nil:
		return errStale
	case s.handout.Mode != Assessment:
		return errors.New("in practice the bench runs in the browser")
	case s.finished:
		return errors.New("the attempt is finished")
	case first > s.n+1:
		return fmt.Errorf("entry %d comes after entry %d: something is missing between", first, s.n)
	}
	list = list[min(len(list), s.n+1-first):]
	if err := s.pace(len(list)); err != nil {
		return err
	}
	latest := s.room.Clock().Sub(s.begun) + grace
	began := s.n + 1
	var out []byte
	var fault error
	for _, a := range list {
		if len(a.Text) > 200 || len(a.Item) > 80 {
			fault = errors.New("a text in an action is too long")
			break
		}
		if time.Duration(a.At)*time.Millisecond > latest {
			fault = errors.New("the time of an action lies in the future")
			break
		}
		events, err := s.bench.Do(a)
		if err != nil {
			fault = err
			break
		}
		line, err := s.writer.Entry(bench.Entry{N: s.n + 1, Action: a, Events: events})
		if err != nil {
			fault = err
			break
		}
		s.n++
		out = append(out, line...)
		s.progress.take(a, events, s.room.Clock())
		if len(events) > 0 || a.Do != bench.MoveProbe {
			s.conn.tell(wire.Entry{N: s.n, Action: a, Events: events})
		}
	}
	s.finished = s.progress.finished
	switch {
	case len(out) > 0:
		s.keep(began, s.n, out)
	case fault == nil: // all of it is here already; what is refused is not acknowledged
		s.conn.wake()
	}
	return fault
}

// state is what a candidate can see; mu is held.
func (s *seat) state() *wire.State { return wire.StateOf(s.bench) }

// left is how long an attempt may still last; 0 without a limit, negative when it is over.
func (s *seat) left() time.Duration {
	if s.handout.Minutes == 0 {
		return 0
	}
	limit := time.Duration(s.handout.Minutes) * time.Minute
	if d := limit - s.room.Clock().Sub(s.begun); d != 0 {
		return d
	}
	return -1
}
