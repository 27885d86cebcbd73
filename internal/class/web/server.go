// Package web is the pages of the class server: joining, the instructor's
// desk, the board, the assessor's table and the exports.
//
// Pages are plain HTML that works on a phone; scripts only bring the board,
// the mirror and replays up to date. Every route says which right it needs,
// and there is no other way in.
package web

import (
	"context"
	"crypto/ed25519"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"strings"
	"time"
	"unicode"

	"foilwright/internal/class/auth"
	"foilwright/internal/class/live"
	"foilwright/internal/class/store"
)

//go:embed pages
var files embed.FS

// Options are what a Server is made of.
type Options struct {
	Store *store.Store
	Room  *live.Room
	Log   *slog.Logger
	Bench http.Handler       // the bench for browsers, served below /bench/
	TLS   bool               // cookies are for encrypted connections only
	Join  string             // address trainees open, for the QR code; without a path
	Key   ed25519.PrivateKey // seals assessments
}

// Server answers all requests of a class server.
type Server struct {
	Options
	pages   *template.Template
	signIns *auth.Limit // by address and by name
	joins   *auth.Limit
	asks    *auth.Limit // everything else, by address
	again   readmissions
	handler http.Handler
}

// New returns the server of a store and a room.
func New(o Options) (*Server, error) {
	s := &Server{
		Options: o,
		signIns: auth.NewLimit(20*time.Second, 8, time.Now),
		joins:   auth.NewLimit(200*time.Millisecond, 600, time.Now), // a whole hall may sit behind one address
		asks:    auth.NewLimit(5*time.Millisecond, 3000, time.Now),
	}
	var err error
	if s.pages, err = template.New("").Funcs(words).ParseFS(files, "pages/*.html"); err != nil {
		return nil, err
	}
	mux := http.NewServeMux()
	s.routes(mux)
	s.handler = s.guard(http.NewCrossOriginProtection().Handler(mux))
	return s, nil
}

func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// mostBody bounds the body of a request.
const mostBody = 256 << 10

// guard is what holds for every request: bounds, headers, and no stack trace
// for anybody but the log.
func (s *Server) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			if p := recover(); p != nil {
				if p == http.ErrAbortHandler {
					panic(p)
				}
				s.Log.Error("panic", "path", r.URL.Path, "panic", fmt.Sprint(p))
				http.Error(w, "something went wrong here; it has been noted", http.StatusInternalServerError)
			}
		}()
		h := w.Header()
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Content-Security-Policy", policy(r.URL.Path))
		if !s.asks.Allow(address(r)) {
			http.Error(w, "too many requests; wait a moment", http.StatusTooManyRequests)
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, mostBody)
		next.ServeHTTP(w, r)
	})
}

// policy is what a page may load: its own files only. The bench is compiled
// code and has its few styles in the page.
func policy(path string) string {
	const own = "default-src 'self'; img-src 'self' data:; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
	if strings.HasPrefix(path, "/bench/") {
		return own + "; script-src 'self' 'wasm-unsafe-eval'; style-src 'self' 'unsafe-inline'"
	}
	return own
}

// address is where a request comes from. There is no proxy in front, so
// headers that name another are not believed.
func address(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	return host
}

// visitor is who makes a request.
type visitor struct {
	Role    auth.Role
	Person  *store.Person
	Trainee *store.Trainee
}

// Who names a visitor for the audit trail.
func (v *visitor) Who() string {
	switch {
	case v.Person != nil:
		return string(v.Role) + " " + v.Person.Name
	case v.Trainee != nil:
		return "trainee " + v.Trainee.ID
	}
	return "nobody"
}

// Cookies of those who sign in and of trainees; one browser may have both.
const (
	deskCookie = "foilwright_desk"
	seatCookie = "foilwright_seat"
)

// visitor finds out who makes a request: for work at the bench the trainee,
// otherwise somebody who has signed in.
func (s *Server) visitor(r *http.Request, may auth.May) (*visitor, error) {
	name := deskCookie
	if may == auth.Work {
		name = seatCookie
	}
	c, err := r.Cookie(name)
	if err != nil || len(c.Value) > 100 {
		return &visitor{}, nil
	}
	person, trainee, err := s.Store.SessionOf(r.Context(), auth.Digest(c.Value))
	if errors.Is(err, store.ErrMissing) {
		return &visitor{}, nil
	}
	if err != nil {
		return nil, err
	}
	if trainee != "" {
		if name != seatCookie {
			return &visitor{}, nil
		}
		t, err := s.Store.Trainee(r.Context(), trainee)
		if err != nil || t.Removed > 0 {
			return &visitor{}, err
		}
		return &visitor{Role: auth.Trainee, Trainee: t}, nil
	}
	if name != deskCookie {
		return &visitor{}, nil
	}
	p, err := s.Store.Person(r.Context(), person)
	if err != nil {
		return nil, err
	}
	return &visitor{Role: auth.Role(p.Role), Person: p}, nil
}

// fault is an answer other than the page asked for.
type fault struct {
	status int
	text   string
}

func (f *fault) Error() string { return f.text }

func refuse(status int, format string, values ...any) error {
	return &fault{status, fmt.Sprintf(format, values...)}
}

var errNotFound = refuse(http.StatusNotFound, "there is nothing at this address, or it is not yours to see")

type handler func(w http.ResponseWriter, r *http.Request, v *visitor) error

// handle registers a route for those who have a right; an empty right is for
// everybody.
func (s *Server) handle(mux *http.ServeMux, pattern string, may auth.May, h handler) {
	mux.HandleFunc(pattern, func(w http.ResponseWriter, r *http.Request) {
		v, err := s.visitor(r, may)
		if err == nil {
			switch {
			case may == "" || v.Role.Can(may):
				err = h(w, r, v)
			case v.Role == auth.Nobody && r.Method == http.MethodGet && may != auth.Work && !strings.HasSuffix(r.URL.Path, ".json"):
				http.Redirect(w, r, "/signin", http.StatusSeeOther)
				return
			case v.Role == auth.Nobody && r.Method == http.MethodGet && may == auth.Work && r.URL.Path == "/bench/":
				http.Redirect(w, r, "/", http.StatusSeeOther)
				return
			case v.Role == auth.Nobody:
				err = refuse(http.StatusUnauthorized, "sign in first")
			default:
				err = refuse(http.StatusForbidden, "that is not for a %s", v.Role)
			}
		}
		if err != nil {
			s.answer(w, r, v, err)
		}
	})
}

// answer tells a visitor about an error: what they can do something about in
// words, everything else only to the log.
func (s *Server) answer(w http.ResponseWriter, r *http.Request, v *visitor, err error) {
	var f *fault
	if !errors.As(err, &f) {
		if errors.Is(err, store.ErrMissing) {
			f = errNotFound.(*fault)
		} else if errors.Is(err, context.Canceled) {
			return
		} else {
			s.Log.Error("request failed", "path", r.URL.Path, "error", err)
			f = &fault{http.StatusInternalServerError, "something went wrong here; it has been noted"}
		}
	}
	if v == nil {
		v = &visitor{}
	}
	s.show(w, v, f.status, "fault.html", page{Title: "Not possible", Data: map[string]any{"Text": f.text, "Back": from(r)}})
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

// page is what every template gets.
type page struct {
	Title   string
	Visitor *visitor
	Data    any
	Wide    bool
	Script  string
}

func (s *Server) show(w http.ResponseWriter, v *visitor, status int, name string, p page) {
	p.Visitor = v
	var b strings.Builder
	if err := s.pages.ExecuteTemplate(&b, name, p); err != nil {
		s.Log.Error("page failed", "page", name, "error", err)
		http.Error(w, "something went wrong here; it has been noted", http.StatusInternalServerError)
		return
	}
	h := w.Header()
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	fmt.Fprint(w, b.String())
}

func (s *Server) page(w http.ResponseWriter, v *visitor, name string, p page) error {
	s.show(w, v, http.StatusOK, name, p)
	return nil
}

// back answers a form with the way to the next page.
func back(w http.ResponseWriter, r *http.Request, to string) error {
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

// field reads a form field: trimmed, at most limit characters, no control
// characters.
func field(r *http.Request, name string, limit int) (string, error) {
	text := strings.TrimSpace(r.PostFormValue(name))
	if len([]rune(text)) > limit {
		return "", refuse(http.StatusBadRequest, "%s: at most %d characters", name, limit)
	}
	for _, c := range text {
		if c < ' ' && c != '\n' && c != '\r' && c != '\t' || c == 0x7f || unicode.Is(unicode.Bidi_Control, c) {
			return "", refuse(http.StatusBadRequest, "%s: control characters are not taken", name)
		}
	}
	return text, nil
}

// static serves style and scripts.
func static() http.Handler {
	sub, err := fs.Sub(files, "pages")
	if err != nil {
		panic(err) // the folder is embedded
	}
	inner := http.FileServerFS(sub)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasSuffix(r.URL.Path, ".html") || strings.HasSuffix(r.URL.Path, "/") {
			http.NotFound(w, r)
			return
		}
		w.Header().Set("Cache-Control", "no-cache")
		inner.ServeHTTP(w, r)
	})
}
