// Package attempt joins a bench to the store: every action is carried out and
// its line appended to the log before the trainee sees what came of it.
package attempt

import (
	"bytes"
	"errors"
	"fmt"

	"foilwright/internal/store"
	"foilwright/sim/bench"
)

// Bench is what an attempt needs of a bench: the one beside it, or one that a
// class server runs and that answers later.
type Bench interface {
	Do(bench.Action) ([]bench.Event, error)
	View() bench.View
	Record() *bench.Record
}

// Attempt is an attempt under way, with its log.
type Attempt struct {
	Name  string
	World *bench.World
	Bench Bench
	// Line, where set, is given each line that the log has taken, by entry.
	Line func(entry int, line []byte)

	log    *store.Log
	writer bench.Writer
}

// Begin starts a new attempt and writes the header of its log.
func Begin(s *store.Store, name string, w *bench.World, trainee string) (*Attempt, error) {
	log, err := s.Create(name)
	if err != nil {
		return nil, err
	}
	a := &Attempt{Name: name, World: w, Bench: bench.New(w), log: log}
	line, err := a.writer.Header(bench.NewHeader(w, trainee))
	if err != nil {
		return nil, errors.Join(err, log.Close())
	}
	if err := log.Append(line); err != nil {
		return nil, errors.Join(err, log.Close())
	}
	return a, log.Sync()
}

// Unkept starts an attempt that is not written down: a trial.
func Unkept(w *bench.World) *Attempt { return &Attempt{World: w, Bench: bench.New(w)} }

// Branch starts a new attempt that begins as another one did: the actions of
// the entries given are carried out again and stand at the head of its log.
func Branch(s *store.Store, name string, w *bench.World, trainee string, begun []bench.Entry) (*Attempt, error) {
	a, err := Begin(s, name, w, trainee)
	if err != nil {
		return nil, err
	}
	for _, e := range begun {
		if _, err := a.carryOut(e.Action); err != nil {
			return nil, errors.Join(err, a.log.Close())
		}
	}
	return a, a.log.Sync()
}

// Served is an attempt whose bench and log a class server keeps.
func Served(name string, w *bench.World, b Bench) *Attempt {
	return &Attempt{Name: name, World: w, Bench: b}
}

// Find returns the exercise a log was made on.
type Find func(id string) (*bench.Exercise, error)

// Resume takes up an attempt where its log ends. A last line that was cut off
// is dropped; everything before it is replayed and must come out the same.
func Resume(s *store.Store, name string, find Find) (*Attempt, error) {
	b, l, err := Open(s, name, find)
	if err != nil {
		return nil, err
	}
	log, err := s.Resume(name, l.Whole)
	if err != nil {
		return nil, err
	}
	return &Attempt{Name: name, World: b.Record().World, Bench: b, log: log, writer: l.Writer}, nil
}

// Open replays the log of an attempt without taking it up again.
func Open(s *store.Store, name string, find Find) (*bench.Bench, *bench.Log, error) {
	data, err := s.Read(name)
	if err != nil {
		return nil, nil, err
	}
	l, err := bench.ReadLog(name, bytes.NewReader(data))
	var damage *bench.LogError
	if err != nil && !(errors.As(err, &damage) && damage.Torn) {
		return nil, nil, err
	}
	e, err := find(l.Header.Exercise)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", name, err)
	}
	w, err := bench.NewWorld(e, l.Header.Seed)
	if err != nil {
		return nil, nil, err
	}
	b, err := bench.Replay(name, w, l)
	return b, l, err
}

// Do carries out an action and appends it to the log. When the log cannot be
// written the error is returned with the events: the action has happened on
// the bench but will not be there after a restart.
func (a *Attempt) Do(act bench.Action) ([]bench.Event, error) {
	events, err := a.carryOut(act)
	if err != nil || len(events) == 0 || a.log == nil {
		return events, err
	}
	return events, a.log.Sync()
}

// carryOut does an action and appends its line, without asking the disk.
func (a *Attempt) carryOut(act bench.Action) ([]bench.Event, error) {
	events, err := a.Bench.Do(act)
	if err != nil || a.log == nil {
		return events, err
	}
	entries := a.Bench.Record().Entries
	line, err := a.writer.Entry(entries[len(entries)-1])
	if err != nil {
		return events, err
	}
	if err := a.log.Append(line); err != nil {
		return events, fmt.Errorf("the log of this attempt cannot be written: %w; make room, then resume the attempt", err)
	}
	if a.Line != nil {
		a.Line(len(entries), line)
	}
	return events, nil
}

// Close ends the writing of the log.
func (a *Attempt) Close() error {
	if a.log == nil {
		return nil
	}
	return a.log.Close()
}
