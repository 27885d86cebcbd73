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
	"strings"

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

// findExercise returns an exercise by its id, from a file, or from a pack as
// PACK/ID.
func findExercise(name string, s streams) (*bench.Exercise, error) {
	if pack, id, ok := inPack(name); ok {
		e, _, err := fromPack(pack, id)
		return e, err
	}
	if scenarios.IsFile(name) || name == "-" {
		e, err := loadExercise(name, s)
		var faults scenarios.Faults
		if errors.As(err, &faults) {
			return nil, inputError(err, "foilwright-desk check "+name)
		}
		return e, err
	}
	e, err := scenarios.ByID(name)
	if err != nil {
		return nil, inputError(err, "or give the exercise's file, ending in .yaml, or one of a pack as PACK.zip/ID or FOLDER/ID")
	}
	return e, nil
}

// inPack splits the name of an exercise of a pack, which is a zip file or a
// folder with a manifest.
func inPack(name string) (pack, id string, ok bool) {
	if file, id, ok := strings.Cut(name, ".zip/"); ok {
		return file + ".zip", id, true
	}
	folder, id := filepath.Split(name)
	if folder == "" || scenarios.IsFile(name) {
		return "", "", false
	}
	_, err := os.Stat(filepath.Join(folder, scenarios.ManifestName))
	return filepath.Clean(folder), id, err == nil
}

// fromPack returns an exercise of a pack with its text.
func fromPack(pack, id string) (*bench.Exercise, *scenarios.Text, error) {
	p, err := openPack(pack)
	if err != nil {
		return nil, nil, err
	}
	e, text, err := p.ByID(id)
	if err != nil {
		return nil, nil, inputError(err, "foilwright-desk check "+pack)
	}
	return e, text, nil
}

// loadExercise reads the exercise in a file, with the shelves it names.
func loadExercise(name string, s streams) (*bench.Exercise, error) {
	if name == "-" {
		data, err := readFile(name, s)
		if err != nil {
			return nil, err
		}
		return scenarios.Load(name, data)
	}
	// What an exercise names must lie in its folder, links included.
	folder, err := os.OpenRoot(filepath.Dir(name))
	if err != nil {
		return nil, inputError(err, "check the name and that you may read the folder")
	}
	defer func() { _ = folder.Close() }()
	e, err := scenarios.LoadFile(folder.FS(), filepath.Base(name), name)
	var faults scenarios.Faults
	if err != nil && !errors.As(err, &faults) {
		return nil, inputError(fmt.Errorf("%s: %w", name, err), "check the name and that you may read the file")
	}
	return e, err
}

// openPack reads a pack, a zip file or a folder.
func openPack(name string) (*scenarios.Pack, error) {
	info, err := os.Stat(name)
	if err != nil {
		return nil, inputError(err, "check the name and that you may read it")
	}
	var p *scenarios.Pack
	if info.IsDir() {
		folder, err := os.OpenRoot(name)
		if err != nil {
			return nil, inputError(err, "")
		}
		defer func() { _ = folder.Close() }()
		p, err = scenarios.ReadPack(folder.FS(), name)
		if err != nil {
			return nil, inputError(err, "the pack is refused whole; nothing of it was taken")
		}
		return p, nil
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, inputError(err, "")
	}
	if p, err = scenarios.ReadPackZip(data, name); err != nil {
		return nil, inputError(err, "the pack is refused whole; nothing of it was taken")
	}
	return p, nil
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
