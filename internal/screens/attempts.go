package screens

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"time"

	"foilwright/internal/say"
	"foilwright/internal/store"
	"foilwright/sim/bench"
)

// shelved is an attempt in the store, as home lists it.
type shelved struct {
	name     string
	exercise string // id
	title    string
	when     time.Time
	entries  int
	minutes  int
	finished bool
	again    bool // begun from a moment of another attempt
	assessed bool
	damage   string // why it cannot be taken up; empty when it can
}

// mostListed bounds how many logs home reads.
const mostListed = 24

// Marks at the end of an attempt's name.
const (
	againMark    = "-again"    // begun from a moment of another attempt: practice that counts for no score
	assessedMark = "-assessed" // no help on the bench
)

// attemptName makes the name of a new attempt. Names sort by time.
func attemptName(exercise string, at time.Time, seed uint64, mark string) string {
	return fmt.Sprintf("%s-%s-%04x%s", at.UTC().Format("20060102T150405"), exercise, seed&0xffff, mark)
}

// shelf reads the newest attempts, newest first, without replaying them.
func shelf(s *store.Store, exercises []*bench.Exercise) ([]shelved, error) {
	names, err := s.List()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", say.T("the attempts in %s cannot be listed", s.Place()), err)
	}
	var list []shelved
	for i := len(names) - 1; i >= 0 && len(list) < mostListed; i-- {
		list = append(list, look(s, names[i], exercises))
	}
	return list, nil
}

// look reads one log as far as home needs it.
func look(s *store.Store, name string, exercises []*bench.Exercise) shelved {
	a := shelved{name: name, title: name, again: strings.HasSuffix(name, againMark), assessed: strings.HasSuffix(name, assessedMark)}
	if stamp, _, ok := strings.Cut(name, "-"); ok {
		a.when, _ = time.Parse("20060102T150405", stamp)
	}
	data, err := s.Read(name)
	if err != nil {
		a.damage = err.Error()
		return a
	}
	l, err := bench.ReadLog(name, bytes.NewReader(data))
	var damage *bench.LogError
	if err != nil && !(errors.As(err, &damage) && damage.Torn) {
		a.damage = err.Error()
		return a
	}
	a.exercise, a.entries = l.Header.Exercise, len(l.Entries)
	known := false
	for _, e := range exercises {
		if e.ID == l.Header.Exercise {
			a.title, known = e.Title, true
			if e.Digest != l.Header.Digest {
				a.damage = say.T("%s: the exercise %q has changed since; open it with the version of the program that wrote it", name, e.ID)
			}
		}
	}
	if !known {
		a.damage = say.T("%s: the exercise %q is not in this program", name, l.Header.Exercise)
	}
	if n := len(l.Entries); n > 0 {
		last := l.Entries[n-1]
		a.minutes = int(last.Action.At / 60_000)
		for _, e := range l.Entries[max(0, n-3):] {
			for _, ev := range e.Events {
				a.finished = a.finished || ev.Kind == bench.Finished
			}
		}
	}
	return a
}
