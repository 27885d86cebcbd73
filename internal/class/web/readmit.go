package web

import (
	"net/http"
	"sync"
	"time"

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
