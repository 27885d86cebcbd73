package scenarios

import (
	"fmt"
	"strings"

	"foilwright/sim/bench"
)

// Library is the exercises at hand: those that came with the program, and
// those of packs that were added.
type Library struct {
	Exercises []*bench.Exercise
	Packs     []*Pack
}

// NewLibrary returns the library of the shipped exercises.
func NewLibrary() *Library { return &Library{Exercises: Shipped()} }

// Add adds a pack, whole or not at all. The same pack again changes nothing;
// an exercise whose id is taken by another one refuses the pack.
func (l *Library) Add(p *Pack) error {
	for _, q := range l.Packs {
		if q.Digest == p.Digest {
			return nil
		}
	}
	for _, e := range p.Exercises {
		if other := find(l.Exercises, e.ID); other != nil && other.Digest != e.Digest {
			return fmt.Errorf("pack %s: the exercise %q (%s) is here already with other contents; give it another id and make the pack anew", p.ID, e.ID, other.Title)
		}
	}
	for _, e := range p.Exercises {
		if find(l.Exercises, e.ID) == nil {
			l.Exercises = append(l.Exercises, e)
		}
	}
	l.Packs = append(l.Packs, p)
	return nil
}

// ByID returns the exercise with that id.
func (l *Library) ByID(id string) (*bench.Exercise, error) {
	if e := find(l.Exercises, id); e != nil {
		return e, nil
	}
	var ids []string
	for _, e := range l.Exercises {
		ids = append(ids, e.ID)
	}
	hint := "known: " + strings.Join(ids, ", ")
	if near := nearest(id, ids); near != "" {
		hint = fmt.Sprintf("did you mean %q? %s", near, hint)
	}
	return nil, fmt.Errorf("there is no exercise %q; %s", id, hint)
}

func find(list []*bench.Exercise, id string) *bench.Exercise {
	for _, e := range list {
		if e.ID == id {
			return e
		}
	}
	return nil
}
