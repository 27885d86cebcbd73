package main

import (
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"foilwright/scenarios"
	"foilwright/sim/bench"
)

func init() {
	register(command{
		name: "check", args: "FILE|FOLDER... [-json]",
		summary: "tell every fault of exercise files, with line and field; exit 1 when there is one",
		run:     check,
	})
}

// checked is what came of one exercise file.
type checked struct {
	File   string            `json:"file"`
	OK     bool              `json:"ok"`
	ID     string            `json:"id,omitempty"`
	Title  string            `json:"title,omitempty"`
	Faults []scenarios.Fault `json:"faults,omitempty"`
}

func check(set *flag.FlagSet, args []string, s streams) error {
	asJSON := set.Bool("json", false, "print JSON")
	names, err := parse(set, args, 1, -1)
	if err != nil {
		return err
	}
	files, err := exerciseFiles(names)
	if err != nil {
		return err
	}
	var results []checked
	faulty := 0
	for _, name := range files {
		data, err := readFile(name, s)
		if err != nil {
			return err
		}
		c := checkExercise(name, data)
		if !c.OK {
			faulty++
		}
		results = append(results, c)
	}
	if *asJSON {
		if err := writeJSON(s.out, results); err != nil {
			return err
		}
	} else {
		for _, c := range results {
			for _, f := range c.Faults {
				fmt.Fprintln(s.out, f)
			}
			if c.OK {
				fmt.Fprintf(s.out, "%s: good: %s (%s)\n", c.File, c.Title, c.ID)
			}
		}
	}
	if faulty > 0 {
		return &failure{reason: fmt.Errorf("%d of %d exercises have faults", faulty, len(results)), code: exitFailed}
	}
	return nil
}

// checkExercise loads an exercise and prepares its world, so that what loads
// can also be played.
func checkExercise(name string, data []byte) checked {
	c := checked{File: name}
	e, err := scenarios.Load(name, data)
	if err == nil {
		c.ID, c.Title = e.ID, e.Title
		_, err = bench.NewWorld(e, 1)
	}
	var faults scenarios.Faults
	switch {
	case errors.As(err, &faults):
		c.Faults = faults
	case err != nil:
		c.Faults = []scenarios.Fault{{File: name, Line: 1, What: err.Error(), Remedy: "change the exercise so that its probe can measure its pieces"}}
	}
	c.OK = err == nil
	return c
}

// exerciseFiles lists files, and the .yaml files of folders, in order.
func exerciseFiles(names []string) ([]string, error) {
	var files []string
	for _, name := range names {
		info, err := os.Stat(name)
		if name != "-" && err != nil {
			return nil, inputError(err, "name an exercise file or a folder of them")
		}
		if name == "-" || !info.IsDir() {
			files = append(files, name)
			continue
		}
		before := len(files)
		err = filepath.WalkDir(name, func(path string, d fs.DirEntry, err error) error {
			if err == nil && d.Type().IsRegular() && (strings.HasSuffix(path, ".yaml") || strings.HasSuffix(path, ".yml")) {
				files = append(files, path)
			}
			return err
		})
		if err != nil {
			return nil, inputError(err, "")
		}
		if len(files) == before {
			return nil, inputError(fmt.Errorf("%s: there is no .yaml file in this folder", name), "name a folder of exercises, such as scenarios")
		}
	}
	slices.Sort(files)
	return slices.Compact(files), nil
}
