package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"foilwright/scenarios"
	"foilwright/sim/bench"
)

// inputError reports an input that could not be read.
func inputError(err error, hint string) error {
	return &failure{reason: err, hint: hint, code: exitInput}
}

// readFile reads an input whole, "-" being standard input.
func readFile(name string, s streams) ([]byte, error) {
	if name == "-" {
		data, err := io.ReadAll(s.in)
		if err != nil {
			return nil, inputError(fmt.Errorf("standard input: %w", err), "")
		}
		return data, nil
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, inputError(err, "check the name and that you may read the file")
	}
	return data, nil
}

// findExercise returns an exercise by its id, or from a file.
func findExercise(name string, s streams) (*bench.Exercise, error) {
	if ext := filepath.Ext(name); ext == ".yaml" || ext == ".yml" || name == "-" {
		data, err := readFile(name, s)
		if err != nil {
			return nil, err
		}
		e, err := scenarios.Load(name, data)
		if err != nil {
			return nil, inputError(err, "foilwright-desk check "+name)
		}
		return e, nil
	}
	e, err := scenarios.ByID(name)
	if err != nil {
		return nil, inputError(err, "or give the exercise's file, ending in .yaml")
	}
	return e, nil
}

// ofExercise adds the flag by which a command that replays takes an exercise
// of somebody's own.
func ofExercise(set *flag.FlagSet) *string {
	return set.String("exercise", "", "file of the exercise, for attempts on exercises this program does not hold")
}

// oneLog parses the flags of a command on one log, and replays that log.
func oneLog(set *flag.FlagSet, args []string, s streams) (*replayed, error) {
	exercise := ofExercise(set)
	names, err := parse(set, args, 1, 1)
	if err != nil {
		return nil, err
	}
	return replay(names[0], *exercise, s)
}

// replayed is a log that has been read and replayed.
type replayed struct {
	log    *bench.Log
	record *bench.Record
}

// replay reads a log and replays it; the file is only ever read. exercise is
// the file the attempt was made on, empty for a shipped exercise.
func replay(name, exercise string, s streams) (*replayed, error) {
	data, err := readFile(name, s)
	if err != nil {
		return nil, err
	}
	l, err := bench.ReadLog(name, bytes.NewReader(data))
	if err != nil {
		return nil, damaged(name, err)
	}
	if exercise == "" {
		exercise = l.Header.Exercise
	}
	e, err := findExercise(exercise, s)
	if err != nil {
		var f *failure
		if errors.As(err, &f) {
			f.hint = "the attempt was made on an exercise this program does not hold: name its file with -exercise"
		}
		return nil, err
	}
	w, err := bench.NewWorld(e, l.Header.Seed)
	if err != nil {
		return nil, err
	}
	b, err := bench.Replay(name, w, l)
	if err != nil {
		return nil, damaged(name, err)
	}
	return &replayed{l, b.Record()}, nil
}

// damaged tells a fault of a log with the next step.
func damaged(name string, err error) error {
	var d *bench.LogError
	if errors.As(err, &d) && d.Torn {
		return inputError(err, fmt.Sprintf("foilwright-desk mend %s -out mended.jsonl", name))
	}
	return inputError(err, "the file was left as it is")
}

// writeNew writes a file that must not be there yet.
func writeNew(name string, data []byte) error {
	f, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	if errors.Is(err, os.ErrExist) {
		return &failure{reason: fmt.Errorf("%s is there already", name), hint: "nothing is overwritten: give another name, or move the file away"}
	}
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	return errors.Join(err, f.Close())
}

// logBytes writes a record out as a log.
func logBytes(r *bench.Record, trainee string) ([]byte, error) {
	var w bench.Writer
	out, err := w.Header(bench.NewHeader(r.World, trainee))
	if err != nil {
		return nil, err
	}
	for _, e := range r.Entries {
		line, err := w.Entry(e)
		if err != nil {
			return nil, err
		}
		out = append(out, line...)
	}
	return out, nil
}

// writeJSON prints a value for other programs.
func writeJSON(w io.Writer, v any) error {
	out, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		return err
	}
	_, err = w.Write(append(out, '\n'))
	return err
}
