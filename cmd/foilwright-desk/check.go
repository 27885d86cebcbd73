package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"foilwright/internal/authoring"
	"foilwright/scenarios"
	"foilwright/sim/bench"
)

func init() {
	register(command{
		name: "check", args: "FILE|FOLDER|PACK.zip... [-play N] [-json]",
		summary: "tell every fault of exercise, shelf and pack files, with line and field; exit 1 when there is one, or when -play finds that nobody or everybody passes",
		run:     check,
	})
}

// checked is what came of one exercise file.
type checked struct {
	File   string           `json:"file"`
	Kind   string           `json:"kind"` // exercise, shelf or pack
	OK     bool             `json:"ok"`
	ID     string           `json:"id,omitempty"`
	Title  string           `json:"title,omitempty"`
	Faults scenarios.Faults `json:"faults,omitempty"`
	Doubts []doubt          `json:"doubts,omitempty"` // what loads, and was hardly meant

	Trial    *authoring.Trial `json:"trial,omitempty"`
	Warnings []string         `json:"warnings,omitempty"`

	exercise *bench.Exercise
	world    *bench.World
}

// doubt is a doubt of the author's help, with the place it is about.
type doubt struct {
	scenarios.Fault
	Info bool `json:"info,omitempty"` // may well be meant
}

func check(set *flag.FlagSet, args []string, s streams) error {
	asJSON := set.Bool("json", false, "print JSON")
	plays := set.Int("play", 0, "also let competent and naive scripted trainees play each exercise with this many seeds, and warn where nobody or everybody passes")
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
	ids := map[string]bool{}
	for _, e := range scenarios.Shipped() {
		ids[e.ID] = true
	}
	for _, name := range files {
		c, err := checkFile(name, s)
		if err != nil {
			return err
		}
		if !c.OK {
			faulty++
		}
		if c.Kind == "exercise" {
			ids[c.ID] = true
		}
		results = append(results, c)
	}
	for i := range results {
		c := &results[i]
		if err := c.doubt(ids); err != nil {
			return err
		}
		if err := c.try(*plays, s.err); err != nil {
			return err
		}
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
				verdict := "good " + c.Kind
				switch {
				case c.useless() && c.Trial.Passed == 0:
					verdict = "loads, but nobody passes"
				case c.useless():
					verdict = "loads, but everybody passes"
				case c.warned():
					verdict = "loads, with warnings"
				}
				fmt.Fprintf(s.out, "%s: %s: %s (%s)\n", c.File, verdict, c.Title, c.ID)
			}
			for _, d := range c.Doubts {
				word := "warning"
				if d.Info {
					word = "note"
				}
				fmt.Fprintf(s.out, "  %s: %s\n", word, d.Fault)
			}
			c.writeTrial(s.out)
		}
	}
	if faulty > 0 {
		return &failure{reason: fmt.Errorf("faults in %d of %d files", faulty, len(results)), code: exitFailed}
	}
	useless := slices.DeleteFunc(slices.Clone(results), func(c checked) bool { return !c.useless() })
	if len(useless) > 0 {
		return &failure{reason: fmt.Errorf("nobody or everybody passes in %d of %d files", len(useless), len(results)), code: exitFailed}
	}
	return nil
}

// checkFile reads an exercise, a shelf or a pack. An exercise's world is
// prepared too, so that what loads can also be played.
func checkFile(name string, s streams) (checked, error) {
	c := checked{File: name, Kind: "exercise"}
	var err error
	switch {
	case strings.HasSuffix(name, ".zip") || isFolder(name):
		c.Kind = "pack"
		var p *scenarios.Pack
		if p, err = openPack(name); err == nil {
			c.ID, c.Title = p.ID, fmt.Sprintf("%s, %d exercises", p.Title, len(p.Exercises))
		}
	case name != "-" && isShelfFile(name):
		c.Kind, c.ID, c.Title = "shelf", filepath.Base(name), "pieces and foils"
		var data []byte
		if data, err = readFile(name, s); err == nil {
			err = scenarios.CheckShelf(name, data)
		}
	default:
		if c.exercise, err = loadExercise(name, s); err == nil {
			c.ID, c.Title = c.exercise.ID, c.exercise.Title
			if c.world, err = bench.NewWorld(c.exercise, 1); err != nil {
				err = scenarios.Faults{{File: name, Line: 1, What: err.Error(), Remedy: "change the exercise so that its probe can measure its pieces"}}
			}
		}
	}
	var f *failure
	switch {
	case errors.As(err, &c.Faults):
	case errors.As(err, &f) && c.Kind != "pack":
		return c, err
	case err != nil:
		c.Faults = []scenarios.Fault{{File: name, Line: 1, What: err.Error(), Remedy: "nothing of it was taken"}}
	}
	c.OK = err == nil
	return c, nil
}

// doubt looks a good exercise over; ids are those that prerequisites may name.
func (c *checked) doubt(ids map[string]bool) error {
	if !c.OK || c.world == nil {
		return nil
	}
	defer func() { c.world = nil }() // it is large, and there may be many
	doubts := authoring.Doubts(c.world, func(id string) bool { return ids[id] })
	if len(doubts) == 0 {
		return nil
	}
	var data []byte
	if c.File != "-" { // of what came in by a pipe the lines are gone
		var err error
		if data, err = os.ReadFile(c.File); err != nil {
			return inputError(err, "leave the file in its place while it is checked")
		}
	}
	for _, d := range doubts {
		c.Doubts = append(c.Doubts, doubt{
			Fault: scenarios.Fault{File: c.File, Line: scenarios.LineOf(data, d.Field), Field: d.Field, What: d.What, Remedy: d.Remedy}, Info: d.Info,
		})
	}
	return nil
}

// useless reports that it was played, and nobody or everybody passed.
func (c *checked) useless() bool { return c.Trial != nil && c.Trial.Useless() }

// warned reports that there is a warning, and not only a note.
func (c *checked) warned() bool {
	return len(c.Warnings) > 0 || slices.ContainsFunc(c.Doubts, func(d doubt) bool { return !d.Info })
}

func isShelfFile(name string) bool {
	data, err := os.ReadFile(name)
	return err == nil && scenarios.IsShelf(data)
}

func isFolder(name string) bool {
	info, err := os.Stat(name)
	return err == nil && info.IsDir()
}

// try plays a good exercise.
func (c *checked) try(seeds int, progress io.Writer) error {
	if seeds < 1 || !c.OK || c.exercise == nil {
		return nil
	}
	t, err := authoring.Try(c.exercise, seeds, func(done int) { fmt.Fprintf(progress, "\r%s: %d of %d seeds played", c.File, done, seeds) })
	fmt.Fprintln(progress)
	if err != nil {
		c.Warnings = []string{err.Error()}
		return nil
	}
	c.Trial, c.Warnings = t, t.Warnings()
	return nil
}

func (c *checked) writeTrial(w io.Writer) {
	if t := c.Trial; t != nil {
		fmt.Fprintf(w, "  a competent trainee passed with %d of %d seeds, without a finding with %d; a naive one with %d of %d, its mistakes found with %d\n", t.Passed, t.Seeds, t.Clean, t.NaivePass, t.Naive, t.Intended)
		if t.MostUm > 0 {
			fmt.Fprintf(w, "  the competent trainee knows the mean to ±%.1f to ±%.1f µm (95 %%); keep films twice that clear of %s\n", t.LeastUm, t.MostUm, t.Bounds)
		}
		fmt.Fprintf(w, "  readings nearer than %.1f mm to an edge count as a mistake, edge-near\n", t.EdgeMm)
		for _, why := range t.Why {
			fmt.Fprintf(w, "    %s\n", why)
		}
	}
	for _, warning := range c.Warnings {
		fmt.Fprintf(w, "  warning: %s\n", warning)
	}
}

// exerciseFiles lists files, and the .yaml files of folders, in order.
func exerciseFiles(names []string) ([]string, error) {
	var files []string
	for _, name := range names {
		info, err := os.Stat(name)
		if name != "-" && err != nil {
			return nil, inputError(err, "name an exercise file or a folder of them")
		}
		_, noPack := os.Stat(filepath.Join(name, scenarios.ManifestName))
		if name == "-" || !info.IsDir() || noPack == nil {
			files = append(files, name)
			continue
		}
		before := len(files)
		err = filepath.WalkDir(name, func(path string, d fs.DirEntry, err error) error {
			if err == nil && d.IsDir() && d.Name() == "testdata" {
				return fs.SkipDir // made to be wrong
			}
			if err == nil && d.Type().IsRegular() && scenarios.IsFile(path) {
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
