package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"time"
	"unicode"

	"foilwright/internal/class/auth"
	"foilwright/internal/class/store"
)

// setupSetting holds the digest of the set-up code until it has been used.
const setupSetting = "setup-code"

// Sessions last a working day at the desk, and a course at the bench.
const (
	deskLasts = 12 * time.Hour
	seatLasts = 14 * 24 * time.Hour
)

// SetupCode returns a new one-time code to make the first account with; empty
// when there is an account already.
func (s *Server) SetupCode(ctx context.Context) (string, error) {
	people, err := s.Store.Persons(ctx)
	if err != nil || len(people) > 0 {
		return "", err
	}
	code := auth.NewCode(12)
	return code, s.Store.Write(ctx, func(tx *store.Tx) error { return tx.Set(setupSetting, auth.Digest(code)) })
}

func (s *Server) front(w http.ResponseWriter, r *http.Request, v *visitor) error {
	desk, err := s.visitor(r, auth.RunClass)
	if err != nil {
		return err
	}
	if desk.Person != nil && r.PathValue("code") == "" {
		if desk.Role.Can(auth.RunClass) {
			return back(w, r, "/classes")
		}
		return back(w, r, "/assess")
	}
	seat, err := s.visitor(r, auth.Work)
	if err != nil {
		return err
	}
	return s.page(w, desk, "front.html", page{Title: "Join a class", Data: map[string]any{"Code": auth.TidyCode(r.PathValue("code")), "Seat": seat.Trainee}})
}

func (s *Server) join(w http.ResponseWriter, r *http.Request, v *visitor) error {
	if err := s.takeSeat(w, r); err != nil {
		return s.retry(w, v, err, "front.html", page{Title: "Join a class"}, map[string]any{"Code": auth.TidyCode(r.PostFormValue("code")), "Name": r.PostFormValue("name")})
	}
	return nil
}

// takeSeat makes a trainee of a name and a join code. The name of somebody who
// is there already needs a one-time code of the instructor, or the cookie of
// before.
func (s *Server) takeSeat(w http.ResponseWriter, r *http.Request) error {
	if !s.joins.Allow(address(r)) {
		return refuse(http.StatusTooManyRequests, "too many tries; wait a minute")
	}
	code := auth.TidyCode(r.PostFormValue("code"))
	name, err := field(r, "name", 60)
	if err != nil {
		return err
	}
	name = strings.Join(strings.Fields(name), " ")
	if name == "" {
		return refuse(http.StatusBadRequest, "write the name by which your instructor knows you")
	}
	if trainee := s.again.take(code, s.Room.Clock()); trainee != "" {
		return s.comeBack(w, r, trainee)
	}
	class, err := s.Store.ClassByCode(r.Context(), code)
	if errors.Is(err, store.ErrMissing) || err == nil && class.Closed > 0 {
		return refuse(http.StatusNotFound, "no class has the code %q; look at it once more", code)
	}
	if err != nil {
		return err
	}
	seat, err := s.visitor(r, auth.Work)
	if err != nil {
		return err
	}
	if seat.Trainee != nil && seat.Trainee.Class == class.ID && seat.Trainee.Name == name {
		return back(w, r, "/bench/")
	}
	others, err := s.Store.Trainees(r.Context(), class.ID)
	if err != nil {
		return err
	}
	const there = "%s has joined already. Add something to your name; or, if that is you, ask your instructor for a one-time code to go on here, and write it in place of the class's code"
	for _, t := range others {
		if lookalike(t.Name) == lookalike(name) {
			return refuse(http.StatusConflict, there, name)
		}
	}
	t := store.Trainee{ID: auth.NewID(), Class: class.ID, Name: name, Joined: store.Now()}
	token := auth.NewToken()
	err = s.Store.Write(r.Context(), func(tx *store.Tx) error {
		var taken int64
		if err := tx.Row("select count(*) from trainee where class = ? and name = ?", []any{class.ID, name}, &taken); err != nil {
			return err
		}
		if taken > 0 {
			return refuse(http.StatusConflict, there, name)
		}
		if err := tx.AddTrainee(t); err != nil {
			return err
		}
		if err := tx.AddSession(auth.Digest(token), "", t.ID, time.Now().Add(seatLasts).UnixMilli()); err != nil {
			return err
		}
		return tx.Note("trainee "+t.ID, "joined", class.ID, "")
	})
	if err != nil {
		return err
	}
	s.setCookie(w, seatCookie, token, seatLasts)
	return back(w, r, "/bench/")
}

func (s *Server) setCookie(w http.ResponseWriter, name, token string, lasts time.Duration) {
	http.SetCookie(w, &http.Cookie{
		Name: name, Value: token, Path: "/", MaxAge: int(lasts.Seconds()), HttpOnly: true, Secure: s.TLS, SameSite: http.SameSiteLaxMode,
	})
}

func (s *Server) dropCookie(w http.ResponseWriter, name string) {
	http.SetCookie(w, &http.Cookie{Name: name, Path: "/", MaxAge: -1, HttpOnly: true, Secure: s.TLS, SameSite: http.SameSiteLaxMode})
}

// leave signs a trainee off this machine; the work stays.
func (s *Server) leave(w http.ResponseWriter, r *http.Request, v *visitor) error {
	return s.endSession(w, r, seatCookie)
}

func (s *Server) signOut(w http.ResponseWriter, r *http.Request, v *visitor) error {
	return s.endSession(w, r, deskCookie)
}

func (s *Server) endSession(w http.ResponseWriter, r *http.Request, name string) error {
	if c, err := r.Cookie(name); err == nil {
		if err := s.Store.Write(r.Context(), func(tx *store.Tx) error {
			return tx.Exec("delete from session where digest = ?", auth.Digest(c.Value))
		}); err != nil {
			return err
		}
	}
	s.dropCookie(w, name)
	return back(w, r, "/")
}

func (s *Server) setupPage(w http.ResponseWriter, r *http.Request, v *visitor) error {
	data, err := s.setupData(r)
	if err != nil {
		return err
	}
	return s.page(w, v, "setup.html", page{Title: "Set up an account", Data: data})
}

func (s *Server) setupData(r *http.Request) (map[string]any, error) {
	people, err := s.Store.Persons(r.Context())
	return map[string]any{"Code": auth.TidyCode(r.FormValue("code")), "First": len(people) == 0, "Name": r.PostFormValue("name")}, err
}

func (s *Server) setup(w http.ResponseWriter, r *http.Request, v *visitor) error {
	err := s.takeUp(w, r)
	if err == nil {
		return nil
	}
	data, other := s.setupData(r)
	if other != nil {
		return other
	}
	return s.retry(w, v, err, "setup.html", page{Title: "Set up an account"}, data)
}

// takeUp takes up an invitation, the set-up code of the first start, or a code
// to set a passphrase anew.
func (s *Server) takeUp(w http.ResponseWriter, r *http.Request) error {
	if !s.signIns.Allow(address(r)) {
		return refuse(http.StatusTooManyRequests, "too many tries; wait a minute")
	}
	digest := auth.Digest(auth.TidyCode(r.PostFormValue("code")))
	name, err := field(r, "name", 60)
	if err != nil {
		return err
	}
	phrase := r.PostFormValue("passphrase")
	if err := auth.CheckPassphrase(phrase); err != nil {
		return refuse(http.StatusBadRequest, "%v", err)
	}
	if phrase != r.PostFormValue("again") {
		return refuse(http.StatusBadRequest, "the two passphrases differ")
	}
	hash := auth.Hash(phrase)
	var who store.Person
	err = s.Store.Write(r.Context(), func(tx *store.Tx) error {
		var first string
		err := tx.Row("select value from setting where name = ?", []any{setupSetting}, &first)
		if err == nil && first == digest {
			if name == "" {
				return refuse(http.StatusBadRequest, "write your name")
			}
			who = store.Person{ID: auth.NewID(), Name: name, Role: string(auth.Instructor), Hash: hash, Created: store.Now()}
			if err := tx.Exec("delete from setting where name = ?", setupSetting); err != nil {
				return err
			}
			if err := tx.AddPerson(who); err != nil {
				return err
			}
			return tx.Note("instructor "+who.Name, "set up the server", who.ID, "")
		}
		if err != nil && !errors.Is(err, store.ErrMissing) {
			return err
		}
		if err := tx.Row("select id, name, role from person where invite = ?", []any{digest}, &who.ID, &who.Name, &who.Role); err != nil {
			return refuse(http.StatusForbidden, "that code is not known, or has been used")
		}
		if err := tx.Exec("update person set hash = ?, invite = '' where id = ?", hash, who.ID); err != nil {
			return err
		}
		if err := tx.Exec("delete from session where person = ?", who.ID); err != nil {
			return err
		}
		return tx.Note(who.Role+" "+who.Name, "took up the invitation", who.ID, "")
	})
	if err != nil {
		return err
	}
	return s.startDesk(w, r, who)
}

func (s *Server) startDesk(w http.ResponseWriter, r *http.Request, p store.Person) error {
	token := auth.NewToken()
	if err := s.Store.Write(r.Context(), func(tx *store.Tx) error {
		return tx.AddSession(auth.Digest(token), p.ID, "", time.Now().Add(deskLasts).UnixMilli())
	}); err != nil {
		return err
	}
	s.setCookie(w, deskCookie, token, deskLasts)
	return back(w, r, "/")
}

func (s *Server) signInPage(w http.ResponseWriter, r *http.Request, v *visitor) error {
	return s.page(w, v, "signin.html", page{Title: "Sign in", Data: map[string]any{}})
}

func (s *Server) signIn(w http.ResponseWriter, r *http.Request, v *visitor) error {
	if err := s.identify(w, r); err != nil {
		return s.retry(w, v, err, "signin.html", page{Title: "Sign in"}, map[string]any{"Name": r.PostFormValue("name")})
	}
	return nil
}

// identify lets in whoever has a name and its passphrase.
func (s *Server) identify(w http.ResponseWriter, r *http.Request) error {
	name, err := field(r, "name", 60)
	if err != nil {
		return err
	}
	if !s.signIns.Allow(address(r)) || !s.signIns.Allow("name "+strings.ToLower(name)) {
		return refuse(http.StatusTooManyRequests, "too many tries; wait a minute")
	}
	p, err := s.Store.PersonBy(r.Context(), "name", name)
	if err != nil && !errors.Is(err, store.ErrMissing) {
		return err
	}
	hash := ""
	if p != nil {
		hash = p.Hash
	}
	if !auth.Matches(hash, r.PostFormValue("passphrase")) {
		if err := s.Store.Write(r.Context(), func(tx *store.Tx) error {
			return tx.Note("nobody", "failed to sign in", "", "as "+name+" from "+address(r))
		}); err != nil {
			return err
		}
		return refuse(http.StatusForbidden, "name and passphrase do not belong together")
	}
	if err := s.Store.Write(r.Context(), func(tx *store.Tx) error {
		return tx.Note(p.Role+" "+p.Name, "signed in", p.ID, "from "+address(r))
	}); err != nil {
		return err
	}
	return s.startDesk(w, r, *p)
}

func (s *Server) people(w http.ResponseWriter, r *http.Request, v *visitor) error {
	return s.showPeople(w, r, v, "", "")
}

// showPeople lists the accounts; code is a new one-time code for invited.
func (s *Server) showPeople(w http.ResponseWriter, r *http.Request, v *visitor, invited, code string) error {
	all, err := s.Store.Persons(r.Context())
	if err != nil {
		return err
	}
	return s.page(w, v, "people.html", page{Title: "People", Data: map[string]any{"People": all, "Invited": invited, "Code": code, "Address": s.Join}})
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

// invite makes an account that its owner takes up with a one-time code.
func (s *Server) invite(w http.ResponseWriter, r *http.Request, v *visitor) error {
	name, err := field(r, "name", 60)
	if err != nil {
		return err
	}
	role := auth.Role(r.PostFormValue("role"))
	if name == "" || role != auth.Instructor && role != auth.Assessor {
		return refuse(http.StatusBadRequest, "write a name and choose instructor or assessor")
	}
	code := auth.NewCode(12)
	p := store.Person{ID: auth.NewID(), Name: name, Role: string(role), Invite: auth.Digest(code), Created: store.Now()}
	err = s.Store.Write(r.Context(), func(tx *store.Tx) error {
		var taken int64
		if err := tx.Row("select count(*) from person where name = ?", []any{name}, &taken); err != nil {
			return err
		}
		if taken > 0 {
			return refuse(http.StatusConflict, "there is somebody of that name already")
		}
		if err := tx.AddPerson(p); err != nil {
			return err
		}
		return tx.Note(v.Who(), "invited", p.ID, string(role)+" "+name)
	})
	if err != nil {
		return err
	}
	return s.showPeople(w, r, v, name, code)
}

// mostLines is how many lines of the audit trail a page shows.
const mostLines = 500

func (s *Server) audit(w http.ResponseWriter, r *http.Request, v *visitor) error {
	trail, err := s.Store.AuditTrail(r.Context(), r.URL.Query().Get("subject"), mostLines)
	if err != nil {
		return err
	}
	if err := s.veil(r.Context(), v, trail); err != nil {
		return err
	}
	n, fault := s.Store.CheckAudit(r.Context())
	word := ""
	if fault != nil {
		word = fault.Error()
	}
	return s.page(w, v, "audit.html", page{Title: "Audit trail", Wide: true, Data: map[string]any{"Trail": trail, "N": n, "Fault": word, "Subject": r.URL.Query().Get("subject"), "Most": mostLines}})
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
