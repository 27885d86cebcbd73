package live

import (
	"context"

	"foilwright/internal/class/store"
)

// Recover does what a stop of the server left undone: attempts whose last
// entry says that they are finished get their end noted and are sealed. What a
// program before this one handed out without a copy is copied while it is there.
func (r *Room) Recover(ctx context.Context) error {
	if err := r.copyExercises(ctx); err != nil {
		return err
	}
	ids, err := r.Store.Unended(ctx)
	if err != nil {
		return err
	}
	for _, id := range ids {
		a, err := r.Store.Attempt(ctx, id)
		if err != nil {
			return err
		}
		if a.Finished > 0 {
			if err := r.Store.Write(ctx, r.Ended(ctx, id, a.Finished)); err != nil {
				return err
			}
			continue
		}
		s, err := r.seat(ctx, id)
		if err != nil {
			r.Log.Error("an attempt cannot be taken up", "attempt", id, "error", err)
			continue
		}
		s.mu.Lock()
		finished := s.progress.finished
		s.mu.Unlock()
		if finished {
			r.ended(s)
		}
	}
	return nil
}

func (r *Room) copyExercises(ctx context.Context) error {
	without, err := r.Store.Uncopied(ctx)
	if err != nil || len(without) == 0 {
		return err
	}
	return r.Store.Write(ctx, func(tx *store.Tx) error {
		for _, h := range without {
			o := r.Shelf.find(h.Exercise)
			if o == nil || o.Digest != h.Digest {
				continue // too late for this one
			}
			if err := keepText(tx, o); err != nil {
				return err
			}
		}
		return nil
	})
}
