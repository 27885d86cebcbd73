package live

import "context"

// Recover does what a stop of the server left undone: attempts whose last
// entry says that they are finished get their end noted and are sealed.
func (r *Room) Recover(ctx context.Context) error {
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
			r.Ended(ctx, id)
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
