package live

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"time"

	"foilwright/internal/class/auth"
	"foilwright/internal/class/store"
	"foilwright/internal/class/wire"
	"foilwright/sim/bench"
)

// those returns the connections of a class by trainee.
func (r *Room) those(ctx context.Context, class string) (map[string]*conn, error) {
	all, err := r.Store.Trainees(ctx, class)
	if err != nil {
		return nil, err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	found := map[string]*conn{}
	for _, p := range all {
		if c := r.conns[p.ID]; c != nil {
			found[p.ID] = c
		}
	}
	return found, nil
}

// HandOut gives an exercise to a class and tells the benches.
func (r *Room) HandOut(ctx context.Context, who string, h store.Handout) error {
	o, err := r.Shelf.Find(h.Exercise)
	if err != nil {
		return err
	}
	switch {
	case h.Mode != Practice && h.Mode != Assessment:
		return fmt.Errorf("mode %q: expected practice or assessment", h.Mode)
	case h.Variant != Same && h.Variant != Different:
		return fmt.Errorf("variant %q: expected same or different", h.Variant)
	case h.Minutes < 0 || h.Minutes > 24*60 || h.Attempts < 0 || h.Attempts > 100:
		return errors.New("minutes must be 0 to 1440 and attempts 0 to 100")
	}
	h.ID, h.Digest, h.Given = auth.NewID(), o.Digest, r.stamp()
	h.Seed = strconv.FormatUint(FreshSeed(), 10)
	if open, err := r.current(ctx, h.Class); err != nil {
		return err
	} else if open != nil {
		if err := r.CloseHandout(ctx, who, open.ID); err != nil {
			return err
		}
	}
	if err := r.Store.Write(ctx, func(tx *store.Tx) error {
		if err := errors.Join(tx.AddHandout(h), keepText(tx, o)); err != nil {
			return err
		}
		return tx.Note(who, "handed out", h.ID, fmt.Sprintf("%s, %s, %s variants, %d minutes, %d attempts, class %s", h.Exercise, h.Mode, h.Variant, h.Minutes, h.Attempts, h.Class))
	}); err != nil {
		return err
	}
	return r.giveAll(ctx, h.Class)
}

// giveAll tells every bench of a class where it stands.
func (r *Room) giveAll(ctx context.Context, class string) error {
	those, err := r.those(ctx, class)
	if err != nil {
		return err
	}
	for id, c := range those {
		who, err := r.Store.Trainee(ctx, id)
		if err != nil {
			return err
		}
		if err := r.give(ctx, c, who); err != nil {
			return err
		}
	}
	return nil
}

// Tell gives one trainee's bench anew what it has to do, after something about
// the trainee has changed.
func (r *Room) Tell(ctx context.Context, trainee string) error {
	r.mu.Lock()
	c := r.conns[trainee]
	r.mu.Unlock()
	if c == nil {
		return nil
	}
	who, err := r.Store.Trainee(ctx, trainee)
	if err != nil {
		return err
	}
	if who.Removed > 0 {
		c.end("you were taken off the class")
		return nil
	}
	return r.give(ctx, c, who)
}

// CloseHandout ends an exercise. Candidates' attempts are finished where they
// stand; practice can be looked at but not gone on with.
func (r *Room) CloseHandout(ctx context.Context, who, id string) error {
	h, err := r.Store.Handout(ctx, id)
	if err != nil {
		return err
	}
	if h.Closed > 0 {
		return nil
	}
	if h.Mode == Assessment {
		attempts, err := r.Store.Attempts(ctx, id)
		if err != nil {
			return err
		}
		for _, a := range attempts {
			if a.Finished == 0 {
				if err := r.finish(ctx, a.ID); err != nil {
					return err
				}
			}
		}
	}
	if err := r.Store.Write(ctx, func(tx *store.Tx) error {
		if err := tx.Exec("update handout set closed = ? where id = ? and closed = 0", r.stamp(), id); err != nil {
			return err
		}
		return tx.Note(who, "closed handout", id, "")
	}); err != nil {
		return err
	}
	return r.giveAll(ctx, h.Class)
}

// finish ends a candidate's attempt on the server's word.
func (r *Room) finish(ctx context.Context, attempt string) error {
	s, err := r.seat(ctx, attempt)
	if err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.finished {
		return nil
	}
	v := s.bench.View()
	var acts []bench.Action
	if v.Touching {
		pose := v.Pose
		pose.HeightUm, pose.PressMN = 60_000, 0
		acts = append(acts, bench.Action{At: v.NowMs, Do: bench.MoveProbe, Pose: &pose})
	}
	acts = append(acts, bench.Action{At: v.NowMs, Do: bench.Finish})
	return s.carryOut(acts)
}

// carryOut does actions of the server's own on a candidate's bench; mu is held.
func (s *seat) carryOut(acts []bench.Action) error {
	first := s.n + 1
	var out []byte
	for _, a := range acts {
		events, err := s.bench.Do(a)
		if err != nil {
			return err
		}
		line, err := s.writer.Entry(bench.Entry{N: s.n + 1, Action: a, Events: events})
		if err != nil {
			return err
		}
		s.n++
		out = append(out, line...)
		s.progress.take(a, events, s.room.Clock())
		s.conn.tell(wire.Entry{N: s.n, Action: a, Events: events})
	}
	s.finished = s.progress.finished
	s.keep(first, s.n, out)
	return nil
}

// Pause stops a class or lets it go on.
func (r *Room) Pause(ctx context.Context, who, class string, on bool) error {
	at, did := int64(0), "let go on"
	if on {
		at, did = r.stamp(), "paused"
	}
	c, err := r.Store.Class(ctx, class)
	if err != nil {
		return err
	}
	if (c.Paused > 0) == on {
		return nil
	}
	if err := r.Store.Write(ctx, func(tx *store.Tx) error {
		if err := tx.Exec("update class set paused = ? where id = ?", at, class); err != nil {
			return err
		}
		return tx.Note(who, did, class, "")
	}); err != nil {
		return err
	}
	r.mu.Lock()
	since, known := r.still[class]
	if on {
		r.still[class] = r.Clock()
	} else {
		delete(r.still, class)
	}
	r.mu.Unlock()
	if !on {
		ms := max(0, r.stamp()-c.Paused) // paused before the server was started
		if known {
			ms = r.Clock().Sub(since).Milliseconds()
		}
		if err := r.giveBack(ctx, who, class, ms); err != nil {
			return err
		}
	}
	those, err := r.those(ctx, class)
	if err != nil {
		return err
	}
	for _, c := range those {
		c.send(wire.ToBench{Kind: wire.Pause, On: on})
	}
	return nil
}

// stoodStill is the kind of intervention that gives time back; its detail is
// milliseconds.
const stoodStill = "stood still, ms"

// giveBack does not count the time for which a class stood still.
func (r *Room) giveBack(ctx context.Context, who, class string, ms int64) error {
	r.mu.Lock()
	var those []*seat
	for _, s := range r.seats {
		if s.class == class && s.handoutAssessment() {
			those = append(those, s)
		}
	}
	r.mu.Unlock()
	for _, s := range those {
		s.mu.Lock()
		finished, n := s.finished, s.n
		if !finished {
			s.begun = s.begun.Add(time.Duration(ms) * time.Millisecond)
		}
		s.mu.Unlock()
		if !finished {
			// Kept, so that it still counts after the server was started anew.
			if err := r.intervene(ctx, who, s.attempt.ID, stoodStill, strconv.FormatInt(ms, 10), n); err != nil {
				return err
			}
		}
	}
	return nil
}

// Hint sends a word of help to a trainee in practice.
func (r *Room) Hint(ctx context.Context, who, attempt, text string) error {
	s, err := r.seat(ctx, attempt)
	if err != nil {
		return err
	}
	if s.handout.Mode == Assessment {
		return errors.New("nobody is coached during an assessment")
	}
	s.mu.Lock()
	entry, c := s.n, s.conn
	s.mu.Unlock()
	if c == nil {
		return errors.New("the trainee is not connected")
	}
	if err := r.intervene(ctx, who, attempt, "hint", text, entry); err != nil {
		return err
	}
	c.send(wire.ToBench{Kind: wire.Hint, Text: text})
	return nil
}

func (r *Room) intervene(ctx context.Context, who, attempt, kind, detail string, entry int) error {
	return r.Store.Write(ctx, func(tx *store.Tx) error {
		if err := tx.AddIntervention(store.Intervention{ID: auth.NewID(), Attempt: attempt, Kind: kind, Detail: detail, Entry: int64(entry), Person: who, At: r.stamp()}); err != nil {
			return err
		}
		return tx.Note(who, kind, attempt, detail)
	})
}

// Mishap is something an instructor can let happen in the middle of an exercise.
type Mishap struct {
	ID, Name string
	Do       bench.Verb
	Item     string // of LayFoil: filled in with a foil of the exercise
}

// Mishaps lists them.
var Mishaps = []Mishap{
	{ID: "adjustment-lost", Name: "The adjustment is lost, as after a change of battery", Do: bench.ResetAdjustment},
	{ID: "foil-left", Name: "A foil is left lying on the piece", Do: bench.LayFoil},
	{ID: "foil-gone", Name: "The foil is blown off the piece", Do: bench.TakeFoilAway},
}

// LetHappen brings a mishap into an attempt. The log shows it as an action;
// the intervention kept beside it tells an assessor that it was not the
// trainee's.
func (r *Room) LetHappen(ctx context.Context, who, attempt, id string) error {
	i := slices.IndexFunc(Mishaps, func(m Mishap) bool { return m.ID == id })
	if i < 0 {
		return fmt.Errorf("there is no mishap %q", id)
	}
	s, err := r.seat(ctx, attempt)
	if err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	act := bench.Action{Do: Mishaps[i].Do}
	if act.Do == bench.LayFoil {
		foils := s.offered.Foils
		if len(foils) == 0 {
			return errors.New("the exercise has no foil")
		}
		act.Item = foils[len(foils)-1].ID
	}
	switch {
	case s.finished:
		return errors.New("the attempt is finished")
	case s.handoutAssessment():
		v := s.bench.View()
		if v.Touching {
			return errors.New("the probe is on the piece; try again in a moment")
		}
		act.At = v.NowMs
		if err := s.carryOut([]bench.Action{act}); err != nil {
			return err
		}
	case s.conn == nil:
		return errors.New("the trainee is not connected")
	default:
		s.conn.send(wire.ToBench{Kind: wire.Fault, Action: &act})
	}
	return r.intervene(ctx, who, attempt, "mishap", id, s.n)
}

// ended does what an attempt's end brings with it.
func (r *Room) ended(s *seat) {
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	s.ending.Lock()
	defer s.ending.Unlock()
	if a, err := r.Store.Attempt(ctx, s.attempt.ID); err != nil {
		r.Log.Error("the end of an attempt could not be dealt with", "attempt", s.attempt.ID, "error", err)
		return
	} else if a.Finished > 0 {
		return
	}
	at := max(r.stamp(), s.attempt.Started)
	brings := r.Ended(ctx, s.attempt.ID, at)
	if err := r.Store.Write(ctx, func(tx *store.Tx) error {
		if err := brings(tx); err != nil {
			return err
		}
		n, err := tx.Changed("update attempt set finished = ? where id = ? and finished = 0", at, s.attempt.ID)
		if err != nil || n == 0 {
			return err
		}
		return tx.Note("trainee "+s.attempt.Trainee, "finished attempt", s.attempt.ID, "")
	}); err != nil {
		r.Log.Error("the end of an attempt could not be kept", "attempt", s.attempt.ID, "error", err)
	}
}

// Watch ends candidates' attempts whose time is over, and those that were
// finished when the server stopped before it could note it, until the context
// ends.
func (r *Room) Watch(ctx context.Context) {
	tick := time.NewTicker(time.Second)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		r.mu.Lock()
		var over []string
		for id, s := range r.seats {
			s.mu.Lock()
			if !s.finished && s.handoutAssessment() && s.left() < 0 {
				over = append(over, id)
			}
			s.mu.Unlock()
		}
		r.mu.Unlock()
		for _, id := range over {
			if err := r.finish(ctx, id); err != nil {
				r.Log.Error("an attempt whose time is over could not be ended", "attempt", id, "error", err)
			}
		}
	}
}

// Forget ends the connection of a trainee who was deleted and drops what is
// held of them.
func (r *Room) Forget(trainee string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.conns[trainee].end("you were taken off the class")
	for id, s := range r.seats {
		if s.attempt.Trainee == trainee {
			delete(r.seats, id)
			delete(r.found, id)
			r.past.drop(id)
		}
	}
}
