// Command shapetables computes the shape tables of the built-in probe designs, or of those named, and writes them into a
// folder, one file per design. It takes some minutes; run it by go generate ./sim/probe after a design or the field model
// has changed. The probes of the finite-element tables in testdata/fem are known by the names of those tables
// (magnetic_air, magnetic_cored, eddy_air).
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
		designs = slices.DeleteFunc(append(designs, references...), func(d probe.Design) bool { return !slices.Contains(os.Args[2:], d.ID) })
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

// references are the probes of testdata/fem.
var references = []probe.Design{
	{ID: "magnetic_air", Head: field.Head{Coil: magneticCoil, Frequency: 300, TipRadius: 1.5e-3}},
	{ID: "magnetic_cored", Head: field.Head{
		Coil: magneticCoil, Core: &field.Core{Radius: 1.25e-3, Length: 8e-3, Recess: 0.05e-3, RelPermeability: 1000}, Frequency: 300, TipRadius: 1.5e-3,
	}},
	{ID: "eddy_air", Head: field.Head{
		Coil: field.Coil{InnerRadius: 0.8e-3, OuterRadius: 1.6e-3, Height: 1e-3, Recess: 0.2e-3, Turns: 40}, Frequency: 1e6, TipRadius: 1e-3,
	}},
}

var magneticCoil = field.Coil{InnerRadius: 1.5e-3, OuterRadius: 3.5e-3, Height: 4e-3, Recess: 0.3e-3, Turns: 500}
