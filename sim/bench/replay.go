package bench

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
)

// Replay carries out the actions of a log in a world and checks that every
// event comes out as the log says. name is used in errors.
func Replay(name string, w *World, l *Log) (*Bench, error) {
	if l.Header.Exercise != w.Exercise.ID || l.Header.Seed != w.Seed {
		return nil, &LogError{File: name, Line: 1,
			What:   fmt.Sprintf("the log is of exercise %q, seed %d, not of %q, seed %d", l.Header.Exercise, l.Header.Seed, w.Exercise.ID, w.Seed),
			Remedy: "give the exercise the attempt was made on"}
	}
	if l.Header.Digest != w.Exercise.Digest {
		return nil, &LogError{File: name, Line: 1,
			What:   fmt.Sprintf("the exercise %q has changed since the attempt (digest %.12s, now %.12s)", w.Exercise.ID, l.Header.Digest, w.Exercise.Digest),
			Remedy: "give the version of the exercise file the attempt was made on"}
	}
	b := New(w)
	for _, e := range l.Entries {
		events, err := b.Do(e.Action)
		if err != nil {
			return nil, &LogError{File: name, Line: e.N + 1, What: err.Error(), Remedy: "restore the file from a copy"}
		}
		if got, want := marshal(events), marshal(e.Events); got != want {
			return nil, &LogError{File: name, Line: e.N + 1,
				What:   fmt.Sprintf("the replay differs: the log says %s, the bench gives %s", want, got),
				Remedy: "the log was altered or comes from another build; restore it, or open it with the program that wrote it"}
		}
	}
	return b, nil
}

func marshal(events []Event) string {
	if len(events) == 0 {
		return "nothing"
	}
	b, err := json.Marshal(events)
	if err != nil {
		return err.Error()
	}
	return string(b)
}

// Digest is a fingerprint of everything that was seen in the attempt, for
// comparing replays on different machines.
func (r *Record) Digest() string {
	h := sha256.New()
	for _, e := range r.Entries {
		fmt.Fprintf(h, "%d %s\n", e.N, marshal(e.Events))
	}
	return hex.EncodeToString(h.Sum(nil))
}
