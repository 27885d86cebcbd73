package web

import (
	"context"
	"net/http"
	"strconv"

	"foilwright/internal/class/auth"
	"foilwright/internal/class/live"
	"foilwright/internal/class/store"
	"foilwright/sim/grade"
)

// seen is an attempt with what it belongs to.
type seen struct {
	store.Attempt
	On      *store.Handout
	Class   *store.Class
	By      *store.Trainee
	Title   string
	Running bool
}

// look returns an attempt that the visitor may see: an instructor those of
// own classes, an assessor the finished assessments of all.
func (s *Server) look(r *http.Request, v *visitor) (*seen, error) {
	ctx := r.Context()
	a, err := s.Store.Attempt(ctx, r.PathValue("attempt"))
	if err != nil {
		return nil, err
	}
	out := &seen{Attempt: *a, Running: a.Finished == 0}
	if out.On, err = s.Store.Handout(ctx, a.Handout); err != nil {
		return nil, err
	}
	if out.Class, err = s.Store.Class(ctx, out.On.Class); err != nil {
		return nil, err
	}
	if out.By, err = s.Store.Trainee(ctx, a.Trainee); err != nil {
		return nil, err
	}
	mine := v.Role == auth.Instructor && out.Class.Owner == v.Person.ID
	judges := v.Role == auth.Assessor && out.On.Mode == live.Assessment && !out.Running
	if !mine && !judges {
		return nil, errNotFound
	}
	out.Title = s.title(ctx, out.On)
	return out, nil
}

// title is that of the exercise of a handout, as it was handed out.
func (s *Server) title(ctx context.Context, h *store.Handout) string {
	if o, err := s.Room.Given(ctx, h); err == nil {
		return o.Title
	}
	return h.Exercise
}

// marked is look with the marking of the attempt.
func (s *Server) marked(r *http.Request, v *visitor) (*seen, *grade.Sheet, error) {
	a, err := s.look(r, v)
	if err != nil {
		return nil, nil, err
	}
	sheet, err := s.Room.Sheet(r.Context(), a.ID)
	if err != nil {
		return nil, nil, refuse(http.StatusConflict, "%v", err)
	}
	return a, sheet, nil
}

// attempt shows a bench: live while it is worked at, as a replay afterwards.
func (s *Server) attempt(w http.ResponseWriter, r *http.Request, v *visitor) error {
	a, err := s.look(r, v)
	if err != nil {
		return err
	}
	sheet, err := s.Room.Sheet(r.Context(), a.ID)
	word := ""
	if err != nil {
		word, sheet = err.Error(), &grade.Sheet{}
	}
	interventions, err := s.Store.Interventions(r.Context(), a.ID)
	if err != nil {
		return err
	}
	return s.page(w, v, "attempt.html", page{Title: nameFor(v, a.By) + ": " + a.Title, Wide: true, Script: "scene.js", Data: map[string]any{
		"Attempt": a, "Sheet": sheet, "Fault": word, "SoFar": live.SoFar(sheet), "Interventions": interventions, "Mishaps": live.Mishaps,
		"Practice": a.On.Mode == live.Practice, "Mine": v.Role == auth.Instructor, "Open": a.Running && a.Class.Closed == 0, "Said": acts[r.URL.Query().Get("said")],
	}})
}

func (s *Server) scene(w http.ResponseWriter, r *http.Request, v *visitor) error {
	a, err := s.look(r, v)
	if err != nil {
		return err
	}
	entry := -1
	if text := r.URL.Query().Get("entry"); text != "" {
		if entry, err = strconv.Atoi(text); err != nil || entry < 0 {
			return refuse(http.StatusBadRequest, "entry: a whole number from 0")
		}
	}
	sc, err := s.Room.Scene(r.Context(), a.ID, entry)
	if err != nil {
		return refuse(http.StatusConflict, "%v", err)
	}
	return writeJSON(w, sc)
}
