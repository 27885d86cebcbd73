// Command shapetables computes the edge and tilt tables of every built-in probe design and writes them into a folder,
// one file per design. It takes some minutes; run it by go generate ./sim/probe after a design or the field model has
// changed.
package main

import (
	"fmt"
	"os"
	"path/filepath"
	"sync"

	"foilwright/sim/field"
	"foilwright/sim/probe"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: shapetables FOLDER")
		os.Exit(2)
	}
	designs := probe.Designs()
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

// write computes the tables of one head unless the file already holds them.
func write(path string, head field.Head) error {
	if old, err := os.ReadFile(path); err == nil {
		if t, err := field.ParseShapes(old); err == nil && t.Head() == head.Digest() {
			return nil
		}
	}
	t, err := field.BuildShapes(head)
	if err != nil {
		return err
	}
	text, err := t.MarshalText()
	if err != nil {
		return err
	}
	return os.WriteFile(path, text, 0o644)
}
