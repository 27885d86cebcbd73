// Package scenarios holds the exercises that come with the program and the
// loader for exercise files.
//
// An exercise is a YAML file; exercise.schema.json describes it for editors.
// Load reports every fault of a file with line, field and remedy.
package scenarios

import (
	"crypto/sha256"
	"embed"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"sync"

	"foilwright/sim/bench"
)

//go:embed *.yaml shelf/*.yaml
var files embed.FS

// IsFile reports whether a name is that of an exercise or shelf file.
func IsFile(name string) bool {
	return strings.HasSuffix(name, ".yaml") || strings.HasSuffix(name, ".yml")
}

// SchemaName is the file by which editors know the fields of an exercise.
const SchemaName = "exercise.schema.json"

//go:embed exercise.schema.json
var schema []byte

// Schema returns the text of that file.
func Schema() []byte { return append([]byte(nil), schema...) }

// ShelfSchemaName is the file by which editors know the fields of a shelf.
const ShelfSchemaName = "shelf.schema.json"

//go:embed shelf.schema.json
var shelfSchema []byte

// ShelfSchema returns the schema of shelf files.
func ShelfSchema() []byte { return append([]byte(nil), shelfSchema...) }

// shippedFile is an exercise that comes with the program.
type shippedFile struct {
	name    string                 // of its file
	heading *bench.Exercise        // what lists show of it
	whole   func() *bench.Exercise // read when it is first asked for
}

// shipped reads the headings once for the whole program. What is wrong with a
// file is a fault of the build, which panics, and a test loads them all.
var shipped = sync.OnceValue(func() []shippedFile {
	names, err := fs.Glob(files, "*.yaml")
	if err != nil {
		panic(err)
	}
	list, shelves := make([]shippedFile, len(names)), map[string][sha256.Size]byte{}
	for i, name := range names {
		e, err := readHeading(files, name, shelves)
		if err != nil {
			panic(fmt.Sprintf("scenarios: %v", err))
		}
		list[i] = shippedFile{name, e, sync.OnceValue(func() *bench.Exercise { return readShipped(name) })}
	}
	return list
})

func readShipped(name string) *bench.Exercise {
	e, err := LoadFile(files, name, "scenarios/"+name)
	if err != nil {
		panic(fmt.Sprintf("scenarios: %v", err))
	}
	return e
}

// Shipped returns the exercises that come with the program, in the order of
// their file names. They are the caller's own, to change as it likes.
func Shipped() []*bench.Exercise {
	list := make([]*bench.Exercise, len(shipped()))
	for i, f := range shipped() {
		list[i] = copyOf(f.whole())
	}
	return list
}

// copyOf returns an exercise that shares nothing changeable with e.
func copyOf(e *bench.Exercise) *bench.Exercise {
	c := *e
	c.Skills = slices.Clone(e.Skills)
	c.Prerequisites = slices.Clone(e.Prerequisites)
	c.Mistakes = slices.Clone(e.Mistakes)
	c.Probes = slices.Clone(e.Probes)
	c.Instrument.EarlierReadingUm = slices.Clone(e.Instrument.EarlierReadingUm)
	c.Part = copyOfPiece(e.Part)
	c.References = slices.Clone(e.References)
	for i, r := range c.References {
		c.References[i] = copyOfPiece(r)
	}
	c.Foils = slices.Clone(e.Foils)
	c.Cautions = slices.Clone(e.Cautions)
	return &c
}

func copyOfPiece(p bench.PieceSpec) bench.PieceSpec {
	p.Piece.Layers = slices.Clone(p.Piece.Layers)
	p.Piece.Features = slices.Clone(p.Piece.Features)
	p.Coating.MeanUm = slices.Clone(p.Coating.MeanUm)
	p.Coating.Patches = slices.Clone(p.Coating.Patches)
	return p
}

// ByID returns the shipped exercise with that id, the caller's own.
func ByID(id string) (*bench.Exercise, error) {
	h, err := (&Library{Exercises: Headings()}).ByID(id)
	if err != nil {
		return nil, err
	}
	return Whole(h), nil
}

// ShippedText returns the text of a shipped exercise, and the shelves it takes
// from by the names it gives them.
func ShippedText(id string) (text []byte, shelves map[string][]byte, err error) {
	if _, err := ByID(id); err != nil {
		return nil, nil, err
	}
	at := slices.IndexFunc(shipped(), func(f shippedFile) bool { return f.heading.ID == id })
	name := shipped()[at].name
	data, err := files.ReadFile(name)
	if err != nil {
		return nil, nil, err
	}
	shelves = map[string][]byte{}
	_, err = load(name, data, func(shelf string) ([]byte, error) {
		text, err := files.ReadFile(shelf)
		shelves[shelf] = text
		return text, err
	})
	return data, shelves, err
}
