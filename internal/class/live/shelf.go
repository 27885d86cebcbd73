package live

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"foilwright/internal/class/store"
	"foilwright/scenarios"
	"foilwright/sim/bench"
)

// Offered is an exercise that is, or was, handed out.
type Offered struct {
	*bench.Exercise
	Own *scenarios.Text // its files; nil for one that comes with every bench
}

// text returns the files of an exercise.
func (o *Offered) text() (scenarios.Text, error) {
	if o.Own != nil {
		return *o.Own, nil
	}
	return scenarios.TextOf(o.ID)
}

// Shelf holds the exercises that can be handed out, those that were handed out
// and have changed since, and, once needed, the prepared world of each.
type Shelf struct {
	list   []Offered
	mu     sync.Mutex
	former map[string]*Offered     // by digest
	worlds map[string]*bench.World // by digest
}

// NewShelf offers the exercises of the program and those of a folder, which
// may be missing: files, with the shelves that they take from beside them, and
// packs as zip files. A file that does not load is an error that says why.
func NewShelf(folder string) (*Shelf, error) {
	s := &Shelf{former: map[string]*Offered{}, worlds: map[string]*bench.World{}}
	for _, e := range scenarios.Shipped() {
		s.list = append(s.list, Offered{Exercise: e})
	}
	names, err := filepath.Glob(filepath.Join(folder, "*.yaml"))
	if err != nil {
		return nil, err
	}
	packs, err := filepath.Glob(filepath.Join(folder, "*.zip"))
	if err != nil {
		return nil, err
	}
	slices.Sort(names)
	slices.Sort(packs)
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		if scenarios.IsShelf(data) || filepath.Base(name) == scenarios.ManifestName {
			continue
		}
		e, text, err := scenarios.ReadText(os.DirFS(folder), filepath.Base(name), name)
		if err != nil {
			return nil, err
		}
		if err := s.add(name, e, &text); err != nil {
			return nil, err
		}
	}
	for _, name := range packs {
		data, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		p, err := scenarios.ReadPackZip(data, name)
		if err != nil {
			return nil, err
		}
		for i, e := range p.Exercises {
			if err := s.add(name, e, &p.Texts[i]); err != nil {
				return nil, err
			}
		}
	}
	return s, nil
}

// add offers an exercise of somebody's own. One that is there already in the
// same words is left as it is.
func (s *Shelf) add(name string, e *bench.Exercise, text *scenarios.Text) error {
	other := s.find(e.ID)
	if other != nil && other.Digest != e.Digest {
		return fmt.Errorf("%s: there is an exercise %q already (%s); give this one another id", name, e.ID, other.Title)
	}
	if other == nil {
		s.list = append(s.list, Offered{Exercise: e, Own: text})
	}
	return nil
}

// List returns all that can be handed out.
func (s *Shelf) List() []Offered { return s.list }

func (s *Shelf) find(id string) *Offered {
	for i := range s.list {
		if s.list[i].ID == id {
			return &s.list[i]
		}
	}
	return nil
}

// Find returns an exercise that can be handed out by id.
func (s *Shelf) Find(id string) (*Offered, error) {
	if o := s.find(id); o != nil {
		return o, nil
	}
	var ids []string
	for _, o := range s.list {
		ids = append(ids, o.ID)
	}
	return nil, fmt.Errorf("there is no exercise %q; known: %s", id, strings.Join(ids, ", "))
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

// Given returns the exercise of a handout as it was handed out, whatever has
// become of its file since.
func (r *Room) Given(ctx context.Context, h *store.Handout) (*Offered, error) {
	s := r.Shelf
	if o := s.find(h.Exercise); o != nil && o.Digest == h.Digest {
		return o, nil
	}
	s.mu.Lock()
	o := s.former[h.Digest]
	s.mu.Unlock()
	if o != nil {
		return o, nil
	}
	kept, err := r.Store.ExerciseFiles(ctx, h.Digest)
	if errors.Is(err, store.ErrMissing) {
		return nil, fmt.Errorf("the exercise %q has changed since it was handed out, and no copy was kept; put back the file it was then", h.Exercise)
	}
	if err != nil {
		return nil, err
	}
	var text scenarios.Text
	if err := json.Unmarshal([]byte(kept), &text); err != nil {
		return nil, fmt.Errorf("the copy kept of the exercise %q: %w", h.Exercise, err)
	}
	e, err := text.Load(h.Exercise + ".yaml, as handed out")
	if err != nil {
		return nil, err
	}
	if e.Digest != h.Digest {
		return nil, fmt.Errorf("the copy kept of the exercise %q is not the one that was handed out", h.Exercise)
	}
	o = &Offered{Exercise: e, Own: &text}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.former[h.Digest] = o
	return o, nil
}

// keepText keeps the files of an exercise with what is handed out.
func keepText(tx *store.Tx, o *Offered) error {
	text, err := o.text()
	if err != nil {
		return err
	}
	kept, err := json.Marshal(text)
	if err != nil {
		return err
	}
	return tx.KeepExercise(o.Digest, string(kept))
}
