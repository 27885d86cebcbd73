package live

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"runtime"
	"sync"

	"foilwright/sim/bench"
	"foilwright/sim/grade"
)

// replays are benches that follow the logs on the disk, for whoever watches:
// the board, the mirror, the assessor.
type replays struct {
	mu      sync.Mutex
	list    map[string]*replay
	turn    int
	entries int                     // of all in the list
	ended   map[string]*grade.Sheet // of attempts whose log says that they are finished
}

// replay is one of them.
type replay struct {
	mu     sync.Mutex
	bench  *bench.Bench
	chain  bench.Writer
	n      int
	fault  error // the log does not replay
	used   int   // when, and
	count  int   // with how many entries the list knows it; under the list's lock
	graded int   // n at which sheet was made
	sheet  *grade.Sheet
}

// yieldEvery is after how many entries a replay lets others work: what comes in
// from benches must not wait for it.
const yieldEvery = 50

// MostReplayed bounds how many entries of all replays together are held in
// memory; one takes some 200 bytes with its events.
const MostReplayed = 1_500_000

// mostEnded bounds how many sheets of finished attempts are held.
const mostEnded = 5000

// With replays the log of an attempt as far as it is on the disk and hands the
// bench to work; nobody else uses it meanwhile. A log that does not replay is
// an error.
func (r *Room) With(ctx context.Context, attempt string, work func(*bench.Bench) error) error {
	p := r.past.get(attempt)
	p.mu.Lock()
	defer p.mu.Unlock()
	if err := r.follow(ctx, attempt, p); err != nil {
		return err
	}
	r.past.grown(attempt, p, r.MostReplayed)
	return work(p.bench)
}

// Sheet returns the marking of an attempt as far as it has come. That of a
// finished one is remembered, and its replay is not.
func (r *Room) Sheet(ctx context.Context, attempt string) (*grade.Sheet, error) {
	if sheet := r.past.endedSheet(attempt); sheet != nil {
		return sheet, nil
	}
	return r.sheet(ctx, attempt, r.past.get(attempt))
}

func (r *Room) sheet(ctx context.Context, attempt string, p *replay) (*grade.Sheet, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if err := r.follow(ctx, attempt, p); err != nil {
		return nil, err
	}
	if p.sheet == nil || p.graded != p.n {
		p.sheet, p.graded = grade.Grade(p.bench.Record()), p.n
	}
	if p.sheet.Finished {
		r.past.keep(attempt, p.sheet)
	} else {
		r.past.grown(attempt, p, r.MostReplayed)
	}
	return p.sheet, nil
}

// get returns the replay of an attempt, which may have to be begun.
func (l *replays) get(attempt string) *replay {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.turn++
	p := l.list[attempt]
	if p == nil {
		p = &replay{}
		l.list[attempt] = p
	}
	p.used = l.turn
	return p
}

// guest is get for somebody who goes through all attempts in turn: where there
// is no room for the entries of one more, its replay is thrown away afterwards,
// or it would drive out another that is needed just as soon.
func (l *replays) guest(attempt string, entries, most int) *replay {
	l.mu.Lock()
	full := l.list[attempt] == nil && l.entries+entries > most
	l.mu.Unlock()
	if full {
		return &replay{}
	}
	return l.get(attempt)
}

// grown counts the entries of a replay anew and drops those that were not used
// for longest until there is room.
func (l *replays) grown(attempt string, p *replay, most int) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.list[attempt] != p {
		return
	}
	l.entries += p.n - p.count
	p.count = p.n
	for l.entries > most && len(l.list) > 1 {
		oldest := ""
		for name, q := range l.list {
			if q != p && (oldest == "" || q.used < l.list[oldest].used) {
				oldest = name
			}
		}
		l.remove(oldest)
	}
}

func (l *replays) remove(attempt string) {
	if p := l.list[attempt]; p != nil {
		l.entries -= p.count
		delete(l.list, attempt)
	}
}

// keep remembers the sheet of a finished attempt in place of its replay.
func (l *replays) keep(attempt string, sheet *grade.Sheet) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for name := range l.ended {
		if len(l.ended) < mostEnded {
			break
		}
		delete(l.ended, name) // any: it can be made again
	}
	l.ended[attempt] = sheet
	l.remove(attempt)
}

func (l *replays) endedSheet(attempt string) *grade.Sheet {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.ended[attempt]
}

// follow brings a replay up to the disk.
func (r *Room) follow(ctx context.Context, attempt string, p *replay) error {
	if p.fault != nil {
		return p.fault
	}
	if p.bench == nil {
		a, err := r.Store.Attempt(ctx, attempt)
		if err != nil {
			return err
		}
		h, err := r.Store.Handout(ctx, a.Handout)
		if err != nil {
			return err
		}
		o, err := r.Given(ctx, h)
		if err != nil {
			return err
		}
		w, err := r.Shelf.World(o, a.SeedNumber())
		if err != nil {
			return err
		}
		l, err := bench.ReadLog("attempt "+attempt, bytes.NewReader([]byte(a.Header)))
		if err != nil {
			return err
		}
		p.bench, p.chain = bench.New(w), l.Writer
	}
	text, first, _, err := r.Store.Lines(ctx, attempt, p.n)
	if err != nil {
		return err
	}
	for n := first; len(text) > 0; n++ {
		line, rest, _ := bytes.Cut(text, []byte{'\n'})
		text = rest
		if n <= p.n {
			continue
		}
		if n%yieldEvery == 0 {
			runtime.Gosched()
		}
		if p.fault = p.step(n, line); p.fault != nil {
			p.fault = fmt.Errorf("the log of attempt %s cannot be relied on: %w", attempt, p.fault)
			return p.fault
		}
	}
	return nil
}

// step replays one line and compares what came of it.
func (p *replay) step(n int, line []byte) error {
	if err := p.chain.Follow(n, line); err != nil {
		return err
	}
	var e struct {
		bench.Action
		Events []bench.Event `json:"ev"`
	}
	if err := json.Unmarshal(line, &e); err != nil {
		return err
	}
	events, err := p.bench.Do(e.Action)
	if err != nil {
		return err
	}
	if !sameEvents(events, e.Events) {
		return fmt.Errorf("entry %d says something else than the bench gives", n)
	}
	p.n = n
	return nil
}

func sameEvents(a, b []bench.Event) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// Replayed is how many entries of replays are held in memory.
func (r *Room) Replayed() int {
	r.past.mu.Lock()
	defer r.past.mu.Unlock()
	return r.past.entries
}

// drop forgets all that is held of an attempt.
func (l *replays) drop(attempt string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.remove(attempt)
	delete(l.ended, attempt)
}
