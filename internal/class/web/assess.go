package web

import (
	"cmp"
	"context"
	"net/http"
	"slices"
	"strings"

	"foilwright/internal/class/assess"
	"foilwright/internal/class/auth"
	"foilwright/internal/class/live"
	"foilwright/internal/class/store"
	"foilwright/sim/grade"
)

// onPile is an attempt on an assessor's pile.
type onPile struct {
	ID, Candidate, Title string
	Finished             int64
	Mine                 string // my verdict; empty: not signed
	Signed               int    // assessors who have signed
	Sealed               bool
}

// candidate is how an assessor sees who it was: not at all, so that the name
// sways nobody. Instructors know their class anyway.
func candidate(v *visitor, t *store.Trainee) string {
	if v.Role == auth.Instructor {
		return t.Name
	}
	return "Candidate " + strings.ToUpper(t.ID[:6])
}

func (s *Server) assessments(w http.ResponseWriter, r *http.Request, v *visitor) error {
	papers, err := s.pile(r.Context(), v)
	if err != nil {
		return err
	}
	pairs, err := s.pairs(r.Context())
	if err != nil {
		return err
	}
	agreement := assess.Agree(pairs)
	type cut struct {
		ID, Title string
		assess.Cut
		Set bool
	}
	var cuts []cut
	judged := false
	for _, o := range s.Room.Shelf.List() {
		said, err := s.said(r.Context(), o.ID)
		if err != nil {
			return err
		}
		c, ok := assess.CutOf(angoffItems(), said)
		cuts = append(cuts, cut{o.ID, o.Title, c, ok})
		judged = judged || c.Judges > 0
	}
	// What has been judged comes first.
	slices.SortStableFunc(cuts, func(a, b cut) int { return cmp.Compare(min(b.Judges, 1), min(a.Judges, 1)) })
	return s.page(w, v, "assessments.html", page{Title: "Assess", Wide: true, Data: map[string]any{"Papers": papers, "Agreement": agreement, "Cuts": cuts, "Judged": judged}})
}

// pile lists the finished assessments that a visitor may judge.
func (s *Server) pile(ctx context.Context, v *visitor) ([]onPile, error) {
	attempts, err := s.Store.Assessed(ctx)
	if err != nil {
		return nil, err
	}
	var papers []onPile
	for _, a := range attempts {
		h, err := s.Store.Handout(ctx, a.Handout)
		if err != nil {
			return nil, err
		}
		if v.Role == auth.Instructor {
			if c, err := s.Store.Class(ctx, h.Class); err != nil || c.Owner != v.Person.ID {
				continue
			}
		}
		t, err := s.Store.Trainee(ctx, a.Trainee)
		if err != nil {
			return nil, err
		}
		p := onPile{ID: a.ID, Candidate: candidate(v, t), Title: s.title(ctx, h), Finished: a.Finished, Sealed: a.Seal != ""}
		judged, err := s.Store.Judgements(ctx, a.ID)
		if err != nil {
			return nil, err
		}
		for _, j := range judged {
			p.Signed++
			if j.Assessor == v.Person.ID {
				p.Mine = j.Verdict
			}
		}
		papers = append(papers, p)
	}
	return papers, nil
}

// item is a finding on an assessor's sheet.
type item struct {
	grade.Finding
	Mark   store.Mark
	Others []string // what others said, once I have signed
}

// myMarks returns the marks of one assessor by check.
func myMarks(all []store.Mark, assessor string) map[string]store.Mark {
	mine := map[string]store.Mark{}
	for _, m := range all {
		if m.Assessor == assessor {
			mine[m.Finding] = m
		}
	}
	return mine
}

// sitting of an assessor at one attempt.
type judging struct {
	attempt *seen
	sheet   *grade.Sheet
	marks   map[string]store.Mark
	mine    *store.Judgement // nil: not signed yet
	all     []store.Judgement
}

func (s *Server) judging(r *http.Request, v *visitor) (*judging, error) {
	a, err := s.look(r, v)
	if err != nil {
		return nil, err
	}
	if a.Running || a.On.Mode != live.Assessment {
		return nil, refuse(http.StatusConflict, "only finished assessments are judged")
	}
	j := &judging{attempt: a}
	if j.sheet, err = s.Room.Sheet(r.Context(), a.ID); err != nil {
		return nil, refuse(http.StatusConflict, "%v", err)
	}
	marks, err := s.Store.Marks(r.Context(), a.ID)
	if err != nil {
		return nil, err
	}
	j.marks = myMarks(marks, v.Person.ID)
	if j.all, err = s.Store.Judgements(r.Context(), a.ID); err != nil {
		return nil, err
	}
	for i := range j.all {
		if j.all[i].Assessor == v.Person.ID {
			j.mine = &j.all[i]
		}
	}
	return j, nil
}

func (s *Server) judge(w http.ResponseWriter, r *http.Request, v *visitor) error {
	j, err := s.judging(r, v)
	if err != nil {
		return err
	}
	names, err := s.names(r.Context())
	if err != nil {
		return err
	}
	var others []store.Mark
	var verdicts []store.Judgement
	if j.mine != nil { // until then the second assessor is blind
		if others, err = s.Store.Marks(r.Context(), j.attempt.ID); err != nil {
			return err
		}
		verdicts = j.all
	}
	var items []item
	for _, f := range j.sheet.Findings {
		it := item{Finding: f, Mark: j.marks[f.Check]}
		for _, m := range others {
			if m.Finding == f.Check && m.Assessor != v.Person.ID {
				word := names[m.Assessor] + ": " + m.Decision
				if m.Reason != "" {
					word += ", " + m.Reason
				}
				it.Others = append(it.Others, word)
			}
		}
		items = append(items, it)
	}
	interventions, err := s.Store.Interventions(r.Context(), j.attempt.ID)
	if err != nil {
		return err
	}
	type word struct {
		Name string
		store.Judgement
	}
	var words []word
	for _, x := range verdicts {
		words = append(words, word{names[x.Assessor], x})
	}
	return s.page(w, v, "judge.html", page{Title: candidate(v, j.attempt.By) + ": " + j.attempt.Title, Wide: true, Script: "scene.js", Data: map[string]any{
		"Attempt": j.attempt, "Items": items, "Mine": j.mine, "Words": words, "Score": assess.Score(j.sheet, j.marks), "Sheet": j.sheet,
		"Interventions": interventions, "Competent": assess.Competent, "NotYet": assess.NotYet, "Left": unmarked(j),
	}})
}

func unmarked(j *judging) int {
	n := 0
	for _, f := range j.sheet.Findings {
		if j.marks[f.Check].Decision == "" {
			n++
		}
	}
	return n
}

func (s *Server) names(ctx context.Context) (map[string]string, error) {
	people, err := s.Store.Persons(ctx)
	if err != nil {
		return nil, err
	}
	names := map[string]string{}
	for _, p := range people {
		names[p.ID] = p.Name
	}
	return names, nil
}

// mark keeps what an assessor says of one finding.
func (s *Server) mark(w http.ResponseWriter, r *http.Request, v *visitor) error {
	j, err := s.judging(r, v)
	if err != nil {
		return err
	}
	if j.mine != nil {
		return refuse(http.StatusConflict, "you have signed this attempt; nothing changes after that")
	}
	m := store.Mark{Attempt: j.attempt.ID, Assessor: v.Person.ID, Finding: r.PostFormValue("finding"), Decision: r.PostFormValue("decision"), At: store.Now()}
	if m.Reason, err = field(r, "reason", 500); err != nil {
		return err
	}
	switch {
	case !j.sheet.Found(m.Finding):
		return refuse(http.StatusBadRequest, "there is no such finding in this attempt")
	case m.Decision != assess.Confirm && m.Decision != assess.Override:
		return refuse(http.StatusBadRequest, "confirm the finding or override it")
	case m.Decision == assess.Override && m.Reason == "":
		return refuse(http.StatusBadRequest, "an overridden finding needs a reason")
	}
	if err := s.Store.Write(r.Context(), func(tx *store.Tx) error {
		if err := tx.PutMark(m); err != nil {
			return err
		}
		detail := m.Finding
		if m.Reason != "" {
			detail += ": " + m.Reason
		}
		return tx.Note(v.Who(), m.Decision, m.Attempt, detail)
	}); err != nil {
		return err
	}
	return back(w, r, "/assess/"+m.Attempt+"#"+m.Finding)
}

// signedOff is how the audit trail tells of it.
const signedOff = "signed off"

// sign is an assessor's last word on an attempt.
func (s *Server) sign(w http.ResponseWriter, r *http.Request, v *visitor) error {
	j, err := s.judging(r, v)
	if err != nil {
		return err
	}
	remark, err := field(r, "remark", 2000)
	if err != nil {
		return err
	}
	knows, err := s.knows(r.Context(), v, j.attempt.ID)
	if err != nil {
		return err
	}
	verdict := r.PostFormValue("verdict")
	switch {
	case j.mine != nil:
		return refuse(http.StatusConflict, "you have signed already")
	case knows && len(j.all) > 0:
		return refuse(http.StatusConflict, "you have read the training record, and so what the first assessor said; the second must be somebody else")
	case unmarked(j) > 0:
		return refuse(http.StatusConflict, "%d findings are not marked yet", unmarked(j))
	case verdict != assess.Competent && verdict != assess.NotYet:
		return refuse(http.StatusBadRequest, "choose a verdict")
	}
	err = s.Store.Write(r.Context(), func(tx *store.Tx) error {
		var n int64
		if err := tx.Row("select count(*) from judgement where attempt = ?", []any{j.attempt.ID}, &n); err != nil {
			return err
		}
		if n >= 2 {
			return refuse(http.StatusConflict, "two assessors have signed already")
		}
		if err := tx.AddJudgement(store.Judgement{
			Attempt: j.attempt.ID, Assessor: v.Person.ID, Turn: n + 1, Score: int64(100*assess.Score(j.sheet, j.marks) + 0.5),
			Verdict: verdict, Remark: remark, Signed: store.Now(),
		}); err != nil {
			return err
		}
		return tx.Note(v.Who(), signedOff, j.attempt.ID, verdict)
	})
	if err != nil {
		return err
	}
	return back(w, r, "/assess/"+j.attempt.ID)
}

// pairs are the attempts that two assessors have signed.
func (s *Server) pairs(ctx context.Context) ([]assess.Pair, error) {
	attempts, err := s.Store.Assessed(ctx)
	if err != nil {
		return nil, err
	}
	var pairs []assess.Pair
	for _, a := range attempts {
		judged, err := s.Store.Judgements(ctx, a.ID)
		if err != nil {
			return nil, err
		}
		if len(judged) < 2 {
			continue
		}
		marks, err := s.Store.Marks(ctx, a.ID)
		if err != nil {
			return nil, err
		}
		first, second := judged[0], judged[1]
		p := assess.Pair{
			Attempt: a.ID, Score: [2]float64{float64(first.Score) / 100, float64(second.Score) / 100}, Verdict: [2]string{first.Verdict, second.Verdict},
		}
		one, two := myMarks(marks, first.Assessor), myMarks(marks, second.Assessor)
		for check, m := range one {
			if other, ok := two[check]; ok {
				p.Decisions = append(p.Decisions, [2]string{m.Decision, other.Decision})
			}
		}
		pairs = append(pairs, p)
	}
	return pairs, nil
}

// angoffItems are what judges are asked about: every check of grading.
func angoffItems() []string {
	var ids []string
	for _, c := range grade.Checks() {
		ids = append(ids, c.ID)
	}
	return ids
}

func (s *Server) said(ctx context.Context, exercise string) (map[string]map[string]int64, error) {
	all, err := s.Store.Angoff(ctx, exercise)
	if err != nil {
		return nil, err
	}
	said := map[string]map[string]int64{}
	for _, x := range all {
		if said[x.Judge] == nil {
			said[x.Judge] = map[string]int64{}
		}
		said[x.Judge][x.Item] = x.Percent
	}
	return said, nil
}

func (s *Server) standard(w http.ResponseWriter, r *http.Request, v *visitor) error {
	o, err := s.Room.Shelf.Find(r.PathValue("exercise"))
	if err != nil {
		return errNotFound
	}
	said, err := s.said(r.Context(), o.ID)
	if err != nil {
		return err
	}
	cut, set := assess.CutOf(angoffItems(), said)
	return s.page(w, v, "standard.html", page{Title: "Where to set the mark: " + o.Title, Data: map[string]any{
		"ID": o.ID, "Checks": grade.Checks(), "Mine": said[v.Person.ID], "Cut": cut, "Set": set, "Judges": len(said),
	}})
}

func (s *Server) setStandard(w http.ResponseWriter, r *http.Request, v *visitor) error {
	o, err := s.Room.Shelf.Find(r.PathValue("exercise"))
	if err != nil {
		return errNotFound
	}
	said := map[string]int64{}
	for _, id := range angoffItems() {
		if r.PostFormValue("p-"+id) == "" {
			return refuse(http.StatusBadRequest, "every item needs a figure")
		}
		n, err := number(r, "p-"+id)
		if err != nil {
			return err
		}
		if n > 100 {
			return refuse(http.StatusBadRequest, "%s: a percentage is at most 100", id)
		}
		said[id] = n
	}
	err = s.Store.Write(r.Context(), func(tx *store.Tx) error {
		for _, id := range angoffItems() {
			if err := tx.PutSaid(store.Said{Exercise: o.ID, Judge: v.Person.ID, Item: id, Percent: said[id], At: store.Now()}); err != nil {
				return err
			}
		}
		return tx.Note(v.Who(), "judged the standard", o.ID, "")
	})
	if err != nil {
		return err
	}
	return back(w, r, "/standard/"+o.ID)
}

// sealedFile hands out a sealed attempt.
func (s *Server) sealedFile(w http.ResponseWriter, r *http.Request, v *visitor) error {
	a, err := s.look(r, v)
	if err != nil {
		return err
	}
	if a.Seal == "" {
		return refuse(http.StatusConflict, "this attempt is not sealed")
	}
	if v.Role == auth.Assessor {
		judged, err := s.Store.Judgements(r.Context(), a.ID)
		if err != nil {
			return err
		}
		if !slices.ContainsFunc(judged, func(j store.Judgement) bool { return j.Assessor == v.Person.ID }) {
			return refuse(http.StatusConflict, "the sealed log names the candidate; it is open to you once you have signed")
		}
	}
	log, _, err := s.Store.Log(r.Context(), a.ID)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/x-ndjson")
	w.Header().Set("Content-Disposition", `attachment; filename="`+a.ID+`.sealed.jsonl"`)
	_, err = w.Write([]byte(a.Seal + "\n" + string(log)))
	return err
}
