package web

import (
	"context"
	"encoding/json"
	"time"

	"foilwright/internal/class/live"
	"foilwright/internal/class/seal"
	"foilwright/internal/class/store"
	"foilwright/internal/class/xapi"
)

// Ended does what the end of an attempt brings with it: an assessment is
// sealed, and the record store is told by what is to be written with the note
// of the end. Doing it twice changes nothing.
func (s *Server) Ended(ctx context.Context, attempt string, at int64) func(*store.Tx) error {
	told, err := s.ended(ctx, attempt, at)
	if err != nil {
		s.Log.Error("the end of an attempt could not be dealt with", "attempt", attempt, "error", err)
	}
	return func(tx *store.Tx) error {
		for _, statement := range told {
			if err := xapi.Put(tx, statement); err != nil {
				return err
			}
		}
		return nil
	}
}

func (s *Server) ended(ctx context.Context, id string, at int64) ([]xapi.Statement, error) {
	a, err := s.Store.Attempt(ctx, id)
	if err != nil {
		return nil, err
	}
	h, err := s.Store.Handout(ctx, a.Handout)
	if err != nil {
		return nil, err
	}
	if h.Mode == live.Assessment && a.Seal == "" {
		if err := s.seal(ctx, a, h); err != nil {
			return nil, err
		}
	}
	a.Finished = at
	return s.told(ctx, a, h)
}

func (s *Server) seal(ctx context.Context, a *store.Attempt, h *store.Handout) error {
	log, n, err := s.Store.Log(ctx, a.ID)
	if err != nil {
		return err
	}
	who, err := s.Store.Trainee(ctx, a.Trainee)
	if err != nil {
		return err
	}
	done, err := s.Store.Interventions(ctx, a.ID)
	if err != nil {
		return err
	}
	f := seal.Facts{
		Attempt: a.ID, Candidate: a.Trainee, Exercise: h.Exercise, ExerciseDigest: h.Digest, Identity: who.Identity, Turn: a.Turn,
		Started: a.Started, Sealed: store.Now(), Entries: n, BroughtIn: []string{},
	}
	for _, i := range done {
		f.BroughtIn = append(f.BroughtIn, i.Kind+" "+i.Detail)
	}
	closed, err := seal.Sign(s.Key, f, log)
	if err != nil {
		return err
	}
	text, err := json.Marshal(closed)
	if err != nil {
		return err
	}
	return s.Store.Write(ctx, func(tx *store.Tx) error {
		n, err := tx.Changed("update attempt set seal = ? where id = ? and seal = ''", string(text), a.ID)
		if err != nil || n == 0 {
			return err
		}
		return tx.Note("server", "sealed attempt", a.ID, f.LogDigest)
	})
}

// told is what a record store is told of an attempt that has ended.
func (s *Server) told(ctx context.Context, a *store.Attempt, h *store.Handout) ([]xapi.Statement, error) {
	o, err := s.Room.Given(ctx, h)
	if err != nil {
		return nil, err
	}
	sheet, err := s.Room.Sheet(ctx, a.ID)
	if err != nil {
		return nil, err
	}
	tell := xapi.Attempt{
		Home: s.Join, ID: a.ID, Trainee: a.Trainee, Class: h.Class, Exercise: h.Exercise, Title: o.Title, Summary: o.Summary,
		At: time.UnixMilli(a.Started),
	}
	begun := tell.Begun()
	tell.At, tell.Lasted = time.UnixMilli(a.Finished), time.Duration(a.Finished-a.Started)*time.Millisecond
	tell.Technique, tell.Passed = sheet.Technique, sheet.Passed
	for _, f := range sheet.Findings {
		tell.Findings = append(tell.Findings, f.Check)
	}
	return []xapi.Statement{begun, tell.Ended()}, nil
}
