package web

import (
	"cmp"
	"context"
	"net/http"
	"slices"

	"foilwright/internal/class/auth"
	"foilwright/internal/class/live"
	"foilwright/internal/class/store"
	"foilwright/internal/history"
	"foilwright/sim/grade"
)

// outcome is one attempt of a class with its marking.
type outcome struct {
	Attempt  store.Attempt
	Handout  store.Handout
	Trainee  store.Trainee
	Title    string
	Sheet    *grade.Sheet
	Minutes  float64
	Fault    string // why there is no marking
	Reported bool
}

// outcomes gathers every attempt of a class, handout by handout in the order
// they were given.
func (s *Server) outcomes(ctx context.Context, class string) ([]outcome, error) {
	handouts, err := s.Store.Handouts(ctx, class)
	if err != nil {
		return nil, err
	}
	slices.Reverse(handouts)
	people, err := s.Store.Trainees(ctx, class)
	if err != nil {
		return nil, err
	}
	known := map[string]store.Trainee{}
	for _, p := range people {
		known[p.ID] = p
	}
	var all []outcome
	for _, h := range handouts {
		attempts, err := s.Store.Attempts(ctx, h.ID)
		if err != nil {
			return nil, err
		}
		title := s.title(ctx, &h)
		for _, a := range attempts {
			who, ok := known[a.Trainee]
			if !ok {
				continue
			}
			o := outcome{Attempt: a, Handout: h, Trainee: who, Title: title, Minutes: float64(a.Finished-a.Started) / 60_000}
			if o.Sheet, err = s.Room.Sheet(ctx, a.ID); err != nil {
				o.Fault, o.Sheet = err.Error(), &grade.Sheet{}
			}
			o.Reported = o.Sheet.Result != nil
			all = append(all, o)
		}
	}
	return all, nil
}

// common is an error that several of a class made.
type common struct {
	Check, Name, Do string
	Severity        grade.Severity
	Trainees        int
	Points          float64 // lost to it, over the class
}

// commonErrors ranks what a class did wrong: by how many did it, then by what
// it cost.
func commonErrors(all []outcome) []common {
	by := map[string]*common{}
	seen := map[string]map[string]bool{}
	for _, o := range all {
		if o.Attempt.Finished == 0 {
			continue
		}
		for _, f := range o.Sheet.Findings {
			c := by[f.Check]
			if c == nil {
				c = &common{Check: f.Check, Name: f.Name, Do: f.Do, Severity: f.Severity}
				by[f.Check], seen[f.Check] = c, map[string]bool{}
			}
			c.Points += f.Points
			if !seen[f.Check][o.Trainee.ID] {
				seen[f.Check][o.Trainee.ID] = true
				c.Trainees++
			}
		}
	}
	var list []common
	for _, c := range by {
		list = append(list, *c)
	}
	slices.SortFunc(list, func(a, b common) int {
		return cmp.Or(cmp.Compare(b.Trainees, a.Trainees), cmp.Compare(b.Points, a.Points), cmp.Compare(a.Name, b.Name))
	})
	return list
}

// groupMean is how a class did in one part of the work.
type groupMean struct {
	Group   grade.Group
	Percent float64
}

// groupMeans are the shares of the points kept, over finished attempts, in the
// order of the work.
func groupMeans(all []outcome) []groupMean {
	var list []groupMean
	at := map[grade.Group]int{}
	kept, whole := map[grade.Group]float64{}, map[grade.Group]float64{}
	for _, o := range all {
		if o.Attempt.Finished == 0 {
			continue
		}
		for _, g := range o.Sheet.Groups {
			if _, ok := at[g.Group]; !ok {
				at[g.Group] = len(list)
				list = append(list, groupMean{Group: g.Group})
			}
			kept[g.Group] += g.Score
			whole[g.Group] += g.Weight
		}
	}
	for i := range list {
		list[i].Percent = 100 * kept[list[i].Group] / whole[list[i].Group]
	}
	return list
}

// summary is the debrief of a class.
type summary struct {
	Finished, Workers, Passed int     // attempts; who made them; attempts
	Mean                      float64 // technique
	Errors                    []common
	Groups                    []groupMean
	*history.ClassStanding    // mastery over the class, and what to teach next
}

// mastery follows every trainee of a class over their attempts.
func mastery(all []outcome, errors []common, offered []live.Offered) (*history.ClassStanding, error) {
	var members []history.Member
	at := map[string]int{}
	sorted := slices.Clone(all)
	slices.SortStableFunc(sorted, func(a, b outcome) int { return cmp.Compare(a.Attempt.Started, b.Attempt.Started) })
	for i := range sorted {
		o := &sorted[i]
		if o.Attempt.Finished == 0 || o.Fault != "" {
			continue
		}
		if _, known := at[o.Trainee.ID]; !known {
			at[o.Trainee.ID] = len(members)
			members = append(members, history.Member{Name: o.Trainee.Name})
		}
		m := &members[at[o.Trainee.ID]]
		m.Attempts = append(m.Attempts, history.Of(history.Given{Trainee: o.Trainee.Name, Seed: o.Attempt.SeedNumber(), Log: o.Attempt.ID}, o.Sheet))
	}
	var exercises []history.Exercise
	for _, o := range offered {
		exercises = append(exercises, history.Exercise{ID: o.ID, Title: o.Title, Skills: o.Skills, After: o.Prerequisites})
	}
	return history.EvaluateClass(members, exercises, func(check string) string {
		if i := slices.IndexFunc(errors, func(c common) bool { return c.Check == check }); i >= 0 {
			return errors[i].Do
		}
		return ""
	})
}

func summarise(all []outcome, offered []live.Offered) (*summary, error) {
	s := &summary{}
	people := map[string]bool{}
	for _, o := range all {
		if o.Attempt.Finished == 0 || o.Fault != "" {
			continue
		}
		s.Finished++
		people[o.Trainee.ID] = true
		s.Mean += o.Sheet.Technique
		if o.Sheet.Passed {
			s.Passed++
		}
	}
	s.Workers = len(people)
	if s.Finished > 0 {
		s.Mean /= float64(s.Finished)
	}
	s.Errors, s.Groups = commonErrors(all), groupMeans(all)
	var err error
	s.ClassStanding, err = mastery(all, s.Errors, offered)
	return s, err
}

func (s *Server) debrief(w http.ResponseWriter, r *http.Request, v *visitor, c *store.Class) error {
	all, err := s.outcomes(r.Context(), c.ID)
	if err != nil {
		return err
	}
	x, err := summarise(all, s.Room.Shelf.List())
	if err != nil {
		return err
	}
	return s.page(w, v, "debrief.html", page{Title: "Debrief of " + c.Title, Wide: true, Data: map[string]any{"Class": c, "Summary": x, "All": all, "Nothing": nothingCommon}})
}

// forget deletes what is kept of a trainee, on their request: logs, marks and
// the name. What stays is that somebody was there and was deleted.
func (s *Server) forget(w http.ResponseWriter, r *http.Request, v *visitor, c *store.Class) error {
	t, err := s.ofClass(r, c)
	if err != nil {
		return err
	}
	if r.PostFormValue("sure") != "yes" {
		return refuse(http.StatusBadRequest, "tick the box to delete everything kept of %s; it cannot be brought back", t.Name)
	}
	if err := s.Store.Forget(r.Context(), t.ID, func(tx *store.Tx) error {
		return tx.Note(v.Who(), "deleted on request", t.ID, "")
	}); err != nil {
		return err
	}
	s.Room.Forget(t.ID)
	return back(w, r, "/class/"+c.ID+"/debrief")
}

// nameFor is what a sheet calls a trainee: an assessor sees no name.
func nameFor(v *visitor, t *store.Trainee) string {
	if v.Role == auth.Assessor {
		return candidate(v, t)
	}
	return t.Name
}
