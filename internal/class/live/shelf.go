package live

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"foilwright/scenarios"
	"foilwright/sim/bench"
)

// Offered is an exercise that can be handed out.
type Offered struct {
	*bench.Exercise
	Source string // the file; empty for one that comes with every bench
}

// Shelf holds the exercises that can be handed out and, once needed, the
// prepared world of each.
type Shelf struct {
	list   []Offered
	mu     sync.Mutex
	worlds map[string]*bench.World // by digest
}

// NewShelf offers the exercises of the program and those of a folder, which
// may be missing. A file that does not load is an error that says why.
func NewShelf(folder string) (*Shelf, error) {
	s := &Shelf{worlds: map[string]*bench.World{}}
	for _, e := range scenarios.Shipped() {
		s.list = append(s.list, Offered{Exercise: e})
	}
	names, err := filepath.Glob(filepath.Join(folder, "*.yaml"))
	if err != nil {
		return nil, err
	}
	slices.Sort(names)
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		e, err := scenarios.Load(name, data)
		if err != nil {
			return nil, err
		}
		if _, err := s.Find(e.ID, ""); err == nil {
			return nil, fmt.Errorf("%s: there is an exercise %q already; give this one another id", name, e.ID)
		}
		s.list = append(s.list, Offered{Exercise: e, Source: string(data)})
	}
	return s, nil
}

// List returns all that is offered.
func (s *Shelf) List() []Offered { return s.list }

// Find returns an exercise by id; with a digest only that version of it.
func (s *Shelf) Find(id, digest string) (*Offered, error) {
	for i := range s.list {
		if o := &s.list[i]; o.ID == id {
			if digest != "" && o.Digest != digest {
				return nil, fmt.Errorf("the exercise %q has changed since it was handed out; put back the file it was then", id)
			}
			return o, nil
		}
	}
	return nil, fmt.Errorf("there is no exercise %q; known: %s", id, strings.Join(s.ids(), ", "))
}

func (s *Shelf) ids() []string {
	var ids []string
	for _, o := range s.list {
		ids = append(ids, o.ID)
	}
	return ids
}

// World returns the hidden truth that a seed draws.
func (s *Shelf) World(o *Offered, seed uint64) (*bench.World, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	base := s.worlds[o.Digest]
	if base == nil {
		var err error
		if base, err = bench.NewWorld(o.Exercise, seed); err != nil {
			return nil, err
		}
		s.worlds[o.Digest] = base
	}
	return base.Reseed(seed), nil
}
