package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"time"
	"unicode"

	"foilwright/internal/class/auth"
	"foilwright/internal/class/store"
)

// readmissions are one-time codes by which trainees come back to their work on
// another machine, by digest. A restart of the server forgets them.
type readmissions struct {
	mu   sync.Mutex
	list map[string]readmission
}

type readmission struct {
	trainee string
	until   time.Time
}

// readmitWithin is how long such a code holds.
const readmitWithin = 10 * time.Minute

func (l *readmissions) add(trainee string, now time.Time) (code string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.list == nil {
		l.list = map[string]readmission{}
	}
	for digest, one := range l.list {
		if one.trainee == trainee || now.After(one.until) {
			delete(l.list, digest)
		}
	}
	code = auth.NewCode(12)
	l.list[auth.Digest(code)] = readmission{trainee, now.Add(readmitWithin)}
	return code
}

// take uses a code up; empty when there is no such code.
func (l *readmissions) take(code string, now time.Time) (trainee string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	digest := auth.Digest(code)
	one, ok := l.list[digest]
	delete(l.list, digest)
	if !ok || now.After(one.until) {
		return ""
	}
	return one.trainee
}

// readmit makes the code by which a trainee who lost the machine goes on.
func (s *Server) readmit(w http.ResponseWriter, r *http.Request, v *visitor, c *store.Class) error {
	t, err := s.ofClass(r, c)
	if err != nil {
		return err
	}
	if err := s.Store.Write(r.Context(), func(tx *store.Tx) error {
		return tx.Note(v.Who(), "let in again", t.ID, "")
	}); err != nil {
		return err
	}
	code := s.again.add(t.ID, s.Room.Clock())
	return s.page(w, v, "readmit.html", page{Title: "Let " + t.Name + " in again", Data: map[string]any{"Class": c, "Code": code, "Name": t.Name, "Address": s.Join}})
}

// comeBack gives a trainee with a one-time code a seat on this machine and ends
// those on others.
func (s *Server) comeBack(w http.ResponseWriter, r *http.Request, trainee string) error {
	token := auth.NewToken()
	if err := s.Store.Write(r.Context(), func(tx *store.Tx) error {
		if err := tx.Exec("delete from session where trainee = ?", trainee); err != nil {
			return err
		}
		if err := tx.AddSession(auth.Digest(token), "", trainee, time.Now().Add(seatLasts).UnixMilli()); err != nil {
			return err
		}
		return tx.Note("trainee "+trainee, "came back", trainee, "")
	}); err != nil {
		return err
	}
	s.setCookie(w, seatCookie, token, seatLasts)
	return back(w, r, "/bench/")
}

// lookalike is what two names that look the same have in common: no matter
// how they are capitalised, and without signs that nobody sees.
func lookalike(name string) string {
	return strings.ToLower(strings.Map(func(c rune) rune {
		if unicode.Is(unicode.Cf, c) || unicode.Is(unicode.Variation_Selector, c) {
			return -1
		}
		return c
	}, name))
}

// CodeFor makes a one-time code by which somebody with an account, or an
// invitation, sets a passphrase anew. who is told of in the audit trail.
func (s *Server) CodeFor(ctx context.Context, who, name string) (string, error) {
	p, err := s.Store.PersonBy(ctx, "name", name)
	if errors.Is(err, store.ErrMissing) {
		return "", fmt.Errorf("there is nobody of the name %q", name)
	}
	if err != nil {
		return "", err
	}
	code := auth.NewCode(12)
	return code, s.Store.Write(ctx, func(tx *store.Tx) error {
		if err := tx.Exec("update person set invite = ? where id = ?", auth.Digest(code), p.ID); err != nil {
			return err
		}
		return tx.Note(who, "made a new one-time code", p.ID, p.Role+" "+p.Name)
	})
}

// newCode is for somebody whose invitation was lost. Who has an account already
// gets a code only from whoever runs the server, or one could sign as another.
func (s *Server) newCode(w http.ResponseWriter, r *http.Request, v *visitor) error {
	p, err := s.Store.Person(r.Context(), r.PostFormValue("person"))
	if err != nil {
		return err
	}
	if p.Hash != "" {
		return refuse(http.StatusConflict, "%s has an account. A forgotten passphrase is set anew at the server: foilwright-desk serve -code-for \"%s\"", p.Name, p.Name)
	}
	code, err := s.CodeFor(r.Context(), v.Who(), p.Name)
	if err != nil {
		return err
	}
	return s.showPeople(w, r, v, p.Name, code)
}

// retry shows a form again with what was wrong in it; other errors stay as
// they are.
func (s *Server) retry(w http.ResponseWriter, v *visitor, err error, name string, p page, data map[string]any) error {
	var f *fault
	if !errors.As(err, &f) {
		return err
	}
	data["Problem"] = f.text
	p.Data = data
	s.show(w, v, f.status, name, p)
	return nil
}

// from is the page of this server that a visitor came from.
func from(r *http.Request) string {
	u, err := url.Parse(r.Referer())
	if err != nil || u.Host != r.Host {
		return ""
	}
	return u.RequestURI()
}

// blind tells whether a visitor may not yet know what an assessor said of an
// attempt: as long as this visitor could be the second one.
func (s *Server) blind(ctx context.Context, v *visitor, attempt string) (bool, error) {
	judged, err := s.Store.Judgements(ctx, attempt)
	if err != nil || len(judged) >= 2 {
		return false, err
	}
	for _, j := range judged {
		if j.Assessor == v.Person.ID {
			return false, nil
		}
	}
	return true, nil
}

// readRecord is how the audit trail tells that somebody knows what the first
// assessor said.
const readRecord = "read the record"

// knows tells whether somebody has read what the first assessor said of an
// attempt before signing it, and so cannot be the second.
func (s *Server) knows(ctx context.Context, v *visitor, attempt string) (bool, error) {
	trail, err := s.Store.AuditTrail(ctx, attempt, 100_000)
	if err != nil {
		return false, err
	}
	for _, line := range trail {
		if line.Did == readRecord && line.Who == v.Who() {
			return true, nil
		}
	}
	return false, nil
}
