package store

import "context"

// Mark is an assessor's word on a finding.
type Mark struct {
	Attempt, Assessor, Finding string
	Decision, Reason           string
	At                         int64
}

func (m *Mark) fields() []any {
	return []any{&m.Attempt, &m.Assessor, &m.Finding, &m.Decision, &m.Reason, &m.At}
}

// Marks lists all marks on an attempt.
func (s *Store) Marks(ctx context.Context, attempt string) ([]Mark, error) {
	return list(ctx, s, "select attempt, assessor, finding, decision, reason, at from mark where attempt = ? order by at", []any{attempt}, (*Mark).fields)
}

// PutMark keeps a mark in the place of an earlier one.
func (t *Tx) PutMark(m Mark) error {
	return t.Exec(`insert into mark (attempt, assessor, finding, decision, reason, at) values (?, ?, ?, ?, ?, ?)
		on conflict (attempt, assessor, finding) do update set decision = excluded.decision, reason = excluded.reason, at = excluded.at`,
		m.Attempt, m.Assessor, m.Finding, m.Decision, m.Reason, m.At)
}

// Judgement is an assessor's word on an attempt. Turn is 1 for the first
// assessor, 2 for the second; Score is in hundredths.
type Judgement struct {
	Attempt, Assessor string
	Turn, Score       int64
	Verdict, Remark   string
	Signed            int64
}

func (j *Judgement) fields() []any {
	return []any{&j.Attempt, &j.Assessor, &j.Turn, &j.Score, &j.Verdict, &j.Remark, &j.Signed}
}

const judgementColumns = "attempt, assessor, turn, score, verdict, remark, signed"

// Judgements lists those on an attempt, in the order of signing.
func (s *Store) Judgements(ctx context.Context, attempt string) ([]Judgement, error) {
	return list(ctx, s, "select "+judgementColumns+" from judgement where attempt = ? order by turn", []any{attempt}, (*Judgement).fields)
}

// AddJudgement keeps one; there is one for each assessor, and it stays.
func (t *Tx) AddJudgement(j Judgement) error {
	return t.Exec("insert into judgement ("+judgementColumns+") values (?, ?, ?, ?, ?, ?, ?)", j.Attempt, j.Assessor, j.Turn, j.Score, j.Verdict, j.Remark, j.Signed)
}

// Assessed lists the finished attempts at assessments, newest first.
func (s *Store) Assessed(ctx context.Context) ([]Attempt, error) {
	return list(ctx, s, `select a.id, a.handout, a.trainee, a.turn, a.seed, a.header, a.started, a.finished, a.seal from attempt a
		join handout h on h.id = a.handout where h.mode = 'assessment' and a.finished > 0 order by a.finished desc`, nil, (*Attempt).fields)
}

// Unended lists the ids of attempts whose end has not been noted, or that wait
// for their seal.
func (s *Store) Unended(ctx context.Context) ([]string, error) {
	return list(ctx, s, `select a.id from attempt a join handout h on h.id = a.handout
		where a.finished = 0 or (h.mode = 'assessment' and a.seal = '')`, nil, func(id *string) []any { return []any{id} })
}

// Said is what a judge said of an item: what share of just competent
// candidates get it right.
type Said struct {
	Exercise, Judge, Item string
	Percent, At           int64
}

// Angoff lists what judges said of an exercise.
func (s *Store) Angoff(ctx context.Context, exercise string) ([]Said, error) {
	return list(ctx, s, "select exercise, judge, item, percent, at from angoff where exercise = ?", []any{exercise},
		func(x *Said) []any { return []any{&x.Exercise, &x.Judge, &x.Item, &x.Percent, &x.At} })
}

// PutSaid keeps what a judge said in the place of what they said before.
func (t *Tx) PutSaid(x Said) error {
	return t.Exec(`insert into angoff (exercise, judge, item, percent, at) values (?, ?, ?, ?, ?)
		on conflict (exercise, judge, item) do update set percent = excluded.percent, at = excluded.at`, x.Exercise, x.Judge, x.Item, x.Percent, x.At)
}
