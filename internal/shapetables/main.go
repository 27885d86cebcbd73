// Command shapetables computes the edge, tilt and curvature tables of the built-in probe designs, or of those named, and
// writes them into a folder, one file per design. It takes some minutes; run it by go generate ./sim/probe after a design or the field model has
// changed.
package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"sync"

	"foilwright/sim/field"
	"foilwright/sim/probe"
)

func main() {
	if len(os.Args) < 2 {
		fmt.Fprintln(os.Stderr, "usage: shapetables FOLDER [DESIGN ...]")
		os.Exit(2)
	}
	designs := probe.Designs()
	if len(os.Args) > 2 {
		designs = slices.DeleteFunc(designs, func(d probe.Design) bool { return !slices.Contains(os.Args[2:], d.ID) })
	}
	faults := make([]error, len(designs))
	var wait sync.WaitGroup
	for i, d := range designs {
		wait.Go(func() { faults[i] = write(filepath.Join(os.Args[1], d.ID+".txt"), d.Head) })
	}
	wait.Wait()
	failed := false
	for i, err := range faults {
		if err != nil {
			fmt.Fprintf(os.Stderr, "shapetables: %s: %v\n", designs[i].ID, err)
			failed = true
		}
	}
	if failed {
		os.Exit(1)
	}
}

// write computes the tables of one head; blocks that the file already holds for this head are kept.
func write(path string, head field.Head) error {
	old, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	t, err := field.BuildShapes(head, old)
	if err != nil {
		return err
	}
	text, err := t.MarshalText()
	if err != nil {
		return err
	}
	return os.WriteFile(path, text, 0o644)
}
