// Package scenarios holds the exercises that come with the program and the
// loader for exercise files.
//
// An exercise is a YAML file; exercise.schema.json describes it for editors.
// Load reports every fault of a file with line, field and remedy.
package scenarios

import (
	"embed"
	"fmt"
	"io/fs"

	"foilwright/sim/bench"
)

//go:embed *.yaml shelf/*.yaml
var files embed.FS

// SchemaName is the file by which editors know the fields of an exercise.
const SchemaName = "exercise.schema.json"

//go:embed exercise.schema.json
var schema []byte

// Schema returns the text of that file.
func Schema() []byte { return append([]byte(nil), schema...) }

// Shipped returns the exercises that come with the program, in the order of
// their file names. It panics when one of them does not load: that is a fault
// of the build, and a test loads them all.
func Shipped() []*bench.Exercise {
	names, err := fs.Glob(files, "*.yaml")
	if err != nil {
		panic(err)
	}
	var list []*bench.Exercise
	for _, name := range names {
		e, err := LoadFile(files, name, "scenarios/"+name)
		if err != nil {
			panic(fmt.Sprintf("scenarios: %v", err))
		}
		list = append(list, e)
	}
	return list
}

// ByID returns the shipped exercise with that id.
func ByID(id string) (*bench.Exercise, error) { return NewLibrary().ByID(id) }

// ShippedText returns the text of a shipped exercise, and the shelves it takes
// from by the names it gives them.
func ShippedText(id string) (text []byte, shelves map[string][]byte, err error) {
	if _, err := ByID(id); err != nil {
		return nil, nil, err
	}
	names, err := fs.Glob(files, "*.yaml")
	if err != nil {
		return nil, nil, err
	}
	for _, name := range names {
		data, err := files.ReadFile(name)
		if err != nil {
			return nil, nil, err
		}
		shelves := map[string][]byte{}
		e, err := load(name, data, func(shelf string) ([]byte, error) {
			text, err := files.ReadFile(shelf)
			shelves[shelf] = text
			return text, err
		})
		if err == nil && e.ID == id {
			return data, shelves, nil
		}
	}
	return nil, nil, fmt.Errorf("there is no file of the exercise %q", id)
}
