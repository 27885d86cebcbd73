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
	mu   sync.Mutex
	list map[string]*replay
	turn int
}

// replay is one of them.
type replay struct {
	mu     sync.Mutex
	bench  *bench.Bench
	chain  bench.Writer
	n      int
	fault  error // the log does not replay
	used   int
	graded int // n at which sheet was made
	sheet  *grade.Sheet
}

// yieldEvery is after how many entries a replay lets others work: what comes in
// from benches must not wait for it.
const yieldEvery = 50

// mostReplays bounds how many are remembered.
const mostReplays = 200

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
	return work(p.bench)
}

// Sheet returns the marking of an attempt as far as it has come.
func (r *Room) Sheet(ctx context.Context, attempt string) (*grade.Sheet, error) {
	p := r.past.get(attempt)
	p.mu.Lock()
	defer p.mu.Unlock()
	if err := r.follow(ctx, attempt, p); err != nil {
		return nil, err
	}
	if p.sheet == nil || p.graded != p.n {
		p.sheet, p.graded = grade.Grade(p.bench.Record()), p.n
	}
	return p.sheet, nil
}

func (l *replays) get(attempt string) *replay {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.list == nil {
		l.list = map[string]*replay{}
	}
	l.turn++
	p := l.list[attempt]
	if p == nil {
		if len(l.list) >= mostReplays {
			oldest := ""
			for name, q := range l.list {
				if oldest == "" || q.used < l.list[oldest].used {
					oldest = name
				}
			}
			delete(l.list, oldest)
		}
		p = &replay{}
		l.list[attempt] = p
	}
	p.used = l.turn
	return p
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

func (l *replays) drop(attempt string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	delete(l.list, attempt)
}
