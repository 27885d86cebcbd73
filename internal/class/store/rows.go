package store

import (
	"context"
	"errors"
	"strconv"
	"time"
)

// Person is somebody who signs in.
type Person struct {
	ID, Name, Role string
	Hash           string // of the passphrase; empty until the invitation is taken up
	Invite         string // digest of the invitation code; empty once taken up
	Created        int64
}

// Class is a group of trainees with a join code.
type Class struct {
	ID, Title, Code, Owner  string
	Created, Paused, Closed int64 // 0: never
}

// Trainee is one who joined a class.
type Trainee struct {
	ID, Class, Name string
	Joined          int64
	Identity        string // who saw proof of identity, and when; empty: nobody yet
	Removed         int64
}

// Handout is an exercise given to a class.
type Handout struct {
	ID, Class, Exercise, Digest string
	Mode                        string // "practice" or "assessment"
	Variant                     string // "same" or "different" for each trainee
	Seed                        string
	Minutes, Attempts           int64 // 0: as many as they like
	Given, Closed               int64
}

// Attempt is one trainee's attempt at a handout.
type Attempt struct {
	ID, Handout, Trainee string
	Turn                 int64 // 1 for the first
	Seed                 string
	Header               string // first line of the log, with its line feed
	Started, Finished    int64
	Seal                 string // JSON of the seal; empty: not sealed
}

// SeedNumber is the seed as the bench takes it.
func (a *Attempt) SeedNumber() uint64 {
	n, _ := strconv.ParseUint(a.Seed, 10, 64) // written by this program only
	return n
}

// Now is the present in the store's milliseconds.
func Now() int64 { return time.Now().UnixMilli() }

const personColumns = "id, name, role, hash, invite, created"

func (p *Person) fields() []any {
	return []any{&p.ID, &p.Name, &p.Role, &p.Hash, &p.Invite, &p.Created}
}

// Persons lists all who may sign in.
func (s *Store) Persons(ctx context.Context) ([]Person, error) {
	return list(ctx, s, "select "+personColumns+" from person order by name", nil, (*Person).fields)
}

// Person returns one by id.
func (s *Store) Person(ctx context.Context, id string) (*Person, error) {
	return one(ctx, s, "select "+personColumns+" from person where id = ?", []any{id}, (*Person).fields)
}

// PersonBy returns one whose column holds the value; column is "name" or "invite".
func (s *Store) PersonBy(ctx context.Context, column, value string) (*Person, error) {
	return one(ctx, s, "select "+personColumns+" from person where "+column+" = ?", []any{value}, (*Person).fields)
}

// AddPerson adds one.
func (t *Tx) AddPerson(p Person) error {
	return t.Exec("insert into person ("+personColumns+") values (?, ?, ?, ?, ?, ?)", p.ID, p.Name, p.Role, p.Hash, p.Invite, p.Created)
}

const classColumns = "id, title, code, owner, created, paused, closed"

func (c *Class) fields() []any {
	return []any{&c.ID, &c.Title, &c.Code, &c.Owner, &c.Created, &c.Paused, &c.Closed}
}

// Classes lists all classes, newest first.
func (s *Store) Classes(ctx context.Context) ([]Class, error) {
	return list(ctx, s, "select "+classColumns+" from class order by created desc", nil, (*Class).fields)
}

// Class returns one by id.
func (s *Store) Class(ctx context.Context, id string) (*Class, error) {
	return one(ctx, s, "select "+classColumns+" from class where id = ?", []any{id}, (*Class).fields)
}

// ClassByCode returns the class that a join code belongs to.
func (s *Store) ClassByCode(ctx context.Context, code string) (*Class, error) {
	return one(ctx, s, "select "+classColumns+" from class where code = ?", []any{code}, (*Class).fields)
}

// AddClass adds one.
func (t *Tx) AddClass(c Class) error {
	return t.Exec("insert into class ("+classColumns+") values (?, ?, ?, ?, ?, ?, ?)", c.ID, c.Title, c.Code, c.Owner, c.Created, c.Paused, c.Closed)
}

const traineeColumns = "id, class, name, joined, identity, removed"

func (p *Trainee) fields() []any {
	return []any{&p.ID, &p.Class, &p.Name, &p.Joined, &p.Identity, &p.Removed}
}

// Trainees lists a class, in the order of joining.
func (s *Store) Trainees(ctx context.Context, class string) ([]Trainee, error) {
	return list(ctx, s, "select "+traineeColumns+" from trainee where class = ? and removed = 0 order by joined, name", []any{class}, (*Trainee).fields)
}

// Trainee returns one by id.
func (s *Store) Trainee(ctx context.Context, id string) (*Trainee, error) {
	return one(ctx, s, "select "+traineeColumns+" from trainee where id = ?", []any{id}, (*Trainee).fields)
}

// AddTrainee adds one.
func (t *Tx) AddTrainee(p Trainee) error {
	return t.Exec("insert into trainee ("+traineeColumns+") values (?, ?, ?, ?, ?, ?)", p.ID, p.Class, p.Name, p.Joined, p.Identity, p.Removed)
}

const handoutColumns = "id, class, exercise, digest, mode, variant, seed, minutes, attempts, given, closed"

func (h *Handout) fields() []any {
	return []any{&h.ID, &h.Class, &h.Exercise, &h.Digest, &h.Mode, &h.Variant, &h.Seed, &h.Minutes, &h.Attempts, &h.Given, &h.Closed}
}

// Handouts lists what was given to a class, newest first.
func (s *Store) Handouts(ctx context.Context, class string) ([]Handout, error) {
	return list(ctx, s, "select "+handoutColumns+" from handout where class = ? order by given desc", []any{class}, (*Handout).fields)
}

// Handout returns one by id.
func (s *Store) Handout(ctx context.Context, id string) (*Handout, error) {
	return one(ctx, s, "select "+handoutColumns+" from handout where id = ?", []any{id}, (*Handout).fields)
}

// AddHandout adds one.
func (t *Tx) AddHandout(h Handout) error {
	return t.Exec("insert into handout ("+handoutColumns+") values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
		h.ID, h.Class, h.Exercise, h.Digest, h.Mode, h.Variant, h.Seed, h.Minutes, h.Attempts, h.Given, h.Closed)
}

// KeepExercise keeps the files of an exercise by its digest, once.
func (t *Tx) KeepExercise(digest, files string) error {
	return t.Exec("insert into exercise (digest, files) values (?, ?) on conflict (digest) do nothing", digest, files)
}

// Uncopied lists the handouts whose exercise's files are not kept: those of
// stores from before files were.
func (s *Store) Uncopied(ctx context.Context) ([]Handout, error) {
	return list(ctx, s, "select "+handoutColumns+" from handout where digest not in (select digest from exercise)", nil, (*Handout).fields)
}

// ExerciseFiles returns the files of an exercise that was handed out.
func (s *Store) ExerciseFiles(ctx context.Context, digest string) (string, error) {
	var files string
	err := s.Row(ctx, "select files from exercise where digest = ?", []any{digest}, &files)
	return files, err
}

const attemptColumns = "id, handout, trainee, turn, seed, header, started, finished, seal"

func (a *Attempt) fields() []any {
	return []any{&a.ID, &a.Handout, &a.Trainee, &a.Turn, &a.Seed, &a.Header, &a.Started, &a.Finished, &a.Seal}
}

// Attempt returns one by id.
func (s *Store) Attempt(ctx context.Context, id string) (*Attempt, error) {
	return one(ctx, s, "select "+attemptColumns+" from attempt where id = ?", []any{id}, (*Attempt).fields)
}

// Attempts lists the attempts at a handout.
func (s *Store) Attempts(ctx context.Context, handout string) ([]Attempt, error) {
	return list(ctx, s, "select "+attemptColumns+" from attempt where handout = ? order by started, id", []any{handout}, (*Attempt).fields)
}

// AttemptsOf lists one trainee's attempts at a handout, oldest first.
func (s *Store) AttemptsOf(ctx context.Context, handout, trainee string) ([]Attempt, error) {
	return list(ctx, s, "select "+attemptColumns+" from attempt where handout = ? and trainee = ? order by turn", []any{handout, trainee}, (*Attempt).fields)
}

// AddAttempt adds one.
func (t *Tx) AddAttempt(a Attempt) error {
	return t.Exec("insert into attempt ("+attemptColumns+") values (?, ?, ?, ?, ?, ?, ?, ?, ?)",
		a.ID, a.Handout, a.Trainee, a.Turn, a.Seed, a.Header, a.Started, a.Finished, a.Seal)
}

// Intervention is something an instructor did to an attempt.
type Intervention struct {
	ID, Attempt, Kind, Detail string
	Entry                     int64 // newest entry of the log at that time
	Person                    string
	At                        int64
}

func (i *Intervention) fields() []any {
	return []any{&i.ID, &i.Attempt, &i.Kind, &i.Detail, &i.Entry, &i.Person, &i.At}
}

// Interventions lists what was done to an attempt, oldest first.
func (s *Store) Interventions(ctx context.Context, attempt string) ([]Intervention, error) {
	return list(ctx, s, "select id, attempt, kind, detail, entry, person, at from intervention where attempt = ? order by entry, at", []any{attempt}, (*Intervention).fields)
}

// AddIntervention adds one.
func (t *Tx) AddIntervention(i Intervention) error {
	return t.Exec("insert into intervention (id, attempt, kind, detail, entry, person, at) values (?, ?, ?, ?, ?, ?, ?)",
		i.ID, i.Attempt, i.Kind, i.Detail, i.Entry, i.Person, i.At)
}

// SessionOf returns whose session a token digest is: a person's or a trainee's.
func (s *Store) SessionOf(ctx context.Context, digest string) (person, trainee string, err error) {
	err = s.Row(ctx, "select person, trainee from session where digest = ? and expires > ?", []any{digest, Now()}, &person, &trainee)
	return person, trainee, err
}

// AddSession keeps a session and drops those that have run out.
func (t *Tx) AddSession(digest, person, trainee string, expires int64) error {
	if err := t.Exec("delete from session where expires <= ?", Now()); err != nil {
		return err
	}
	return t.Exec("insert into session (digest, person, trainee, expires) values (?, ?, ?, ?)", digest, person, trainee, expires)
}

// Forget deletes all that is kept of a trainee but an empty row, and does in
// the same transaction what is to be noted of it.
func (s *Store) Forget(ctx context.Context, trainee string, note func(*Tx) error) error {
	return s.keeping(func() error {
		// Rows of the inbox hold lines of many trainees.
		if err := s.sortIn(ctx, everything); err != nil {
			return err
		}
		clear(s.inbox.newest) // lines of an attempt that is gone are refused
		return s.Write(ctx, func(tx *Tx) error { return errors.Join(tx.forget(trainee), note(tx)) })
	})
}

func (t *Tx) forget(trainee string) error {
	const theirs = "(select id from attempt where trainee = ?)"
	for _, statement := range []string{
		"delete from chunk where attempt in " + theirs,
		"delete from intervention where attempt in " + theirs,
		"delete from mark where attempt in " + theirs,
		"delete from judgement where attempt in " + theirs,
		"delete from attempt where trainee = ?",
		"delete from session where trainee = ?",
	} {
		if err := t.Exec(statement, trainee); err != nil {
			return err
		}
	}
	if err := t.Exec("delete from outbox where statement like ?", `%"name":"`+trainee+`"%`); err != nil {
		return err
	}
	return t.Exec("update trainee set name = ?, identity = '', removed = ? where id = ?", "deleted "+trainee, Now(), trainee)
}
