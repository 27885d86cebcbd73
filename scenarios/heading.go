package scenarios

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"hash"
	"io/fs"

	"go.yaml.in/yaml/v3"

	"foilwright/sim/bench"
)

// Headings returns the exercises that come with the program with only what
// lists show of them: id, title, summary, skills, minutes, chapter,
// prerequisites, mode and digest. In a browser it takes seconds to read all of
// all files, which nobody should have to wait for before the first picture.
// Whole gives the rest.
func Headings() []*bench.Exercise {
	list := make([]*bench.Exercise, len(shipped()))
	for i, f := range shipped() {
		list[i] = copyOf(f.heading)
	}
	return list
}

// Whole returns the exercise a heading stands for, the caller's own. Any other
// exercise is returned as it is.
func Whole(e *bench.Exercise) *bench.Exercise {
	if len(e.Cautions) > 0 { // which every whole exercise has
		return e
	}
	for _, f := range shipped() {
		if f.heading.Digest == e.Digest {
			return copyOf(f.whole())
		}
	}
	return e
}

// readHeading reads the fields above the job of a shipped file. shelves keeps
// the digests of shelves from one call to the next.
func readHeading(folder fs.FS, name string, shelves map[string][sha256.Size]byte) (*bench.Exercise, error) {
	text, err := fs.ReadFile(folder, name)
	if err != nil {
		return nil, err
	}
	head, _, found := bytes.Cut(text, []byte("\njob:"))
	if !found {
		return nil, fmt.Errorf("%s: there is no job", name)
	}
	var h struct {
		ID, Title, Summary, Chapter, Mode string
		Skills, Prerequisites, Shelves    []string
		Minutes                           int
	}
	if err := yaml.Unmarshal(head, &h); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	sum := newDigest(text)
	for _, shelf := range h.Shelves {
		one, known := shelves[shelf]
		if !known {
			data, err := fs.ReadFile(folder, shelf)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
			one = sha256.Sum256(data)
			shelves[shelf] = one
		}
		sum.shelf(one)
	}
	return &bench.Exercise{
		ID: h.ID, Title: h.Title, Summary: h.Summary, Skills: h.Skills, Minutes: h.Minutes, Chapter: h.Chapter,
		Prerequisites: h.Prerequisites, Assessment: h.Mode == "assessment", Digest: sum.String(),
	}, nil
}

// digest is taken over an exercise's text and the shelves it takes from.
type digest struct{ hash.Hash }

func newDigest(text []byte) digest {
	d := digest{sha256.New()}
	d.Write(text)
	return d
}

// shelf takes in the digest of a shelf's text.
func (d digest) shelf(one [sha256.Size]byte) { d.Write(one[:]) }

func (d digest) String() string { return hex.EncodeToString(d.Sum(nil)) }
