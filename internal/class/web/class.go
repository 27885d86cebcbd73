package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"rsc.io/qr"

	"foilwright/internal/class/auth"
	"foilwright/internal/class/live"
	"foilwright/internal/class/store"
	"foilwright/scenarios"
)

func (s *Server) classes(w http.ResponseWriter, r *http.Request, v *visitor) error {
	all, err := s.Store.Classes(r.Context())
	if err != nil {
		return err
	}
	own := all[:0]
	for _, c := range all {
		if c.Owner == v.Person.ID {
			own = append(own, c)
		}
	}
	return s.page(w, v, "classes.html", page{Title: "Your classes", Data: own})
}

func (s *Server) addClass(w http.ResponseWriter, r *http.Request, v *visitor) error {
	title, err := field(r, "title", 80)
	if err != nil {
		return err
	}
	if title == "" {
		return refuse(http.StatusBadRequest, "give the class a name")
	}
	c := store.Class{ID: auth.NewID(), Title: title, Code: auth.NewCode(6), Owner: v.Person.ID, Created: store.Now()}
	if err := s.Store.Write(r.Context(), func(tx *store.Tx) error {
		if err := tx.AddClass(c); err != nil {
			return err
		}
		return tx.Note(v.Who(), "made class", c.ID, title)
	}); err != nil {
		return err
	}
	return back(w, r, "/class/"+c.ID)
}

// owned lets only the instructor who made a class near it.
func (s *Server) owned(h func(http.ResponseWriter, *http.Request, *visitor, *store.Class) error) handler {
	return func(w http.ResponseWriter, r *http.Request, v *visitor) error {
		c, err := s.Store.Class(r.Context(), r.PathValue("class"))
		if err != nil {
			return err
		}
		if c.Owner != v.Person.ID {
			return errNotFound
		}
		return h(w, r, v, c)
	}
}

func (s *Server) class(w http.ResponseWriter, r *http.Request, v *visitor, c *store.Class) error {
	handouts, err := s.Store.Handouts(r.Context(), c.ID)
	if err != nil {
		return err
	}
	type given struct {
		store.Handout
		Title string
	}
	var list []given
	for _, h := range handouts {
		list = append(list, given{h, s.title(r.Context(), &h)})
	}
	shown, err := s.shown(r, c)
	if err != nil {
		return err
	}
	title := ""
	if shown != nil {
		title = s.title(r.Context(), shown)
	}
	return s.page(w, v, "class.html", page{Title: c.Title, Wide: true, Script: "board.js", Data: map[string]any{
		"Class": c, "Handouts": list, "Chapters": s.chapters(), "Shown": shown, "ShownTitle": title, "Mishaps": live.Mishaps, "Join": s.Join + "/join/" + c.Code, "Address": s.Join, "Said": acts[r.URL.Query().Get("said")],
	}})
}

// acts is what the page tells of an act just done.
var acts = map[string]string{
	"hint": "The hint stands on the trainee's bench.", "mishap": "It has happened on the trainee's bench.",
	"identity": "Proof of identity is noted; the candidate can begin.",
}

// acted goes back to the page that an act of an instructor came from.
func acted(w http.ResponseWriter, r *http.Request, c *store.Class, what string) error {
	to := "/class/" + c.ID
	if r.PostFormValue("page") == "attempt" {
		to = "/attempt/" + r.PostFormValue("attempt")
	}
	return back(w, r, to+"?said="+what)
}

// chapter is a part of the exercises that can be handed out.
type chapter struct {
	Title string
	List  []live.Offered
}

// chapters lists what can be handed out: one's own exercises first, then those
// of the program in the order in which they are learned.
func (s *Server) chapters() []chapter {
	of := map[string][]live.Offered{}
	own := chapter{Title: "Your own"}
	for _, o := range s.Room.Shelf.List() {
		if o.Own != nil {
			own.List = append(own.List, o)
			continue
		}
		of[o.Chapter] = append(of[o.Chapter], o)
	}
	var list []chapter
	if len(own.List) > 0 {
		list = append(list, own)
	}
	for _, c := range scenarios.Chapters() {
		if len(of[c.ID]) > 0 {
			list = append(list, chapter{c.Title, of[c.ID]})
			delete(of, c.ID)
		}
	}
	if rest := of[""]; len(rest) > 0 {
		list = append(list, chapter{"Others", rest})
	}
	return list
}

// shown is the handout that the board shows: the one asked for, or the newest.
func (s *Server) shown(r *http.Request, c *store.Class) (*store.Handout, error) {
	all, err := s.Store.Handouts(r.Context(), c.ID)
	if err != nil || len(all) == 0 {
		return nil, err
	}
	if id := r.URL.Query().Get("handout"); id != "" {
		for i := range all {
			if all[i].ID == id {
				return &all[i], nil
			}
		}
		return nil, errNotFound
	}
	return &all[0], nil
}

func (s *Server) board(w http.ResponseWriter, r *http.Request, v *visitor, c *store.Class) error {
	h, err := s.shown(r, c)
	if err != nil {
		return err
	}
	rows, err := s.Room.Board(r.Context(), c.ID, h)
	if err != nil {
		return err
	}
	out := map[string]any{"rows": rows, "paused": c.Paused > 0, "assessment": h != nil && h.Mode == live.Assessment, "open": h != nil && h.Closed == 0}
	if h != nil {
		out["handout"] = h.ID
	}
	return writeJSON(w, out)
}

func writeJSON(w http.ResponseWriter, v any) error {
	text, err := json.Marshal(v)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	_, err = w.Write(text)
	return err
}

// qr draws the address to join at.
func (s *Server) qr(w http.ResponseWriter, r *http.Request, v *visitor, c *store.Class) error {
	code, err := qr.Encode(s.Join+"/join/"+c.Code, qr.M)
	if err != nil {
		return err
	}
	const margin = 4 // modules of quiet around it, as ISO/IEC 18004 asks (from memory)
	var b strings.Builder
	n := code.Size + 2*margin
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" shape-rendering="crispEdges"><rect width="%d" height="%d" fill="#fff"/><path fill="#000" d="`, n, n, n, n)
	for y := range code.Size {
		for x := range code.Size {
			if code.Black(x, y) {
				fmt.Fprintf(&b, "M%d %dh1v1h-1z", x+margin, y+margin)
			}
		}
	}
	b.WriteString(`"/></svg>`)
	w.Header().Set("Content-Type", "image/svg+xml")
	_, err = w.Write([]byte(b.String()))
	return err
}

func number(r *http.Request, name string) (int64, error) {
	text := strings.TrimSpace(r.PostFormValue(name))
	if text == "" {
		return 0, nil
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < 0 || n > 100_000 {
		return 0, refuse(http.StatusBadRequest, "%s: write a whole number that is not negative", name)
	}
	return n, nil
}

func (s *Server) handOut(w http.ResponseWriter, r *http.Request, v *visitor, c *store.Class) error {
	minutes, err := number(r, "minutes")
	if err != nil {
		return err
	}
	attempts, err := number(r, "attempts")
	if err != nil {
		return err
	}
	h := store.Handout{
		Class: c.ID, Exercise: r.PostFormValue("exercise"), Mode: r.PostFormValue("mode"), Variant: r.PostFormValue("variant"),
		Minutes: minutes, Attempts: attempts,
	}
	if h.Mode == live.Practice {
		h.Minutes = 0 // practice has no clock
	}
	if err := s.Room.HandOut(r.Context(), v.Who(), h); err != nil {
		return refuse(http.StatusBadRequest, "%v", err)
	}
	return back(w, r, "/class/"+c.ID)
}

func (s *Server) closeHandout(w http.ResponseWriter, r *http.Request, v *visitor, c *store.Class) error {
	h, err := s.Store.Handout(r.Context(), r.PostFormValue("handout"))
	if err != nil {
		return err
	}
	if h.Class != c.ID {
		return errNotFound
	}
	if err := s.Room.CloseHandout(r.Context(), v.Who(), h.ID); err != nil {
		return err
	}
	return back(w, r, "/class/"+c.ID)
}

func (s *Server) pause(w http.ResponseWriter, r *http.Request, v *visitor, c *store.Class) error {
	if err := s.Room.Pause(r.Context(), v.Who(), c.ID, r.PostFormValue("on") == "yes"); err != nil {
		return err
	}
	return back(w, r, "/class/"+c.ID)
}

// identity notes that somebody in charge has seen proof of who a candidate is.
func (s *Server) identity(w http.ResponseWriter, r *http.Request, v *visitor, c *store.Class) error {
	t, err := s.ofClass(r, c)
	if err != nil {
		return err
	}
	proof, err := field(r, "proof", 80)
	if err != nil {
		return err
	}
	if proof == "" {
		return refuse(http.StatusBadRequest, "write what kind of proof you saw, such as \"passport\"; no numbers are needed")
	}
	word := proof + ", seen by " + v.Person.Name + ", " + time.Now().Format("2006-01-02 15:04")
	if err := s.Store.Write(r.Context(), func(tx *store.Tx) error {
		if err := tx.Exec("update trainee set identity = ? where id = ?", word, t.ID); err != nil {
			return err
		}
		return tx.Note(v.Who(), "checked identity", t.ID, proof)
	}); err != nil {
		return err
	}
	if err := s.Room.Tell(r.Context(), t.ID); err != nil {
		return err
	}
	return acted(w, r, c, "identity")
}

// ofClass returns the trainee a form names, if of this class.
func (s *Server) ofClass(r *http.Request, c *store.Class) (*store.Trainee, error) {
	t, err := s.Store.Trainee(r.Context(), r.PostFormValue("trainee"))
	if err != nil {
		return nil, err
	}
	if t.Class != c.ID {
		return nil, errNotFound
	}
	return t, nil
}

// attemptOf returns the attempt a form names, if of this class.
func (s *Server) attemptOf(r *http.Request, c *store.Class) (*store.Attempt, error) {
	a, err := s.Store.Attempt(r.Context(), r.PostFormValue("attempt"))
	if err != nil {
		return nil, err
	}
	h, err := s.Store.Handout(r.Context(), a.Handout)
	if err != nil {
		return nil, err
	}
	if h.Class != c.ID {
		return nil, errNotFound
	}
	return a, nil
}

func (s *Server) hint(w http.ResponseWriter, r *http.Request, v *visitor, c *store.Class) error {
	a, err := s.attemptOf(r, c)
	if err != nil {
		return err
	}
	text, err := field(r, "text", 300)
	if err != nil {
		return err
	}
	if text == "" {
		return refuse(http.StatusBadRequest, "write the hint")
	}
	if err := s.Room.Hint(r.Context(), v.Who(), a.ID, text); err != nil {
		return refuse(http.StatusConflict, "%v", err)
	}
	return acted(w, r, c, "hint")
}

func (s *Server) mishap(w http.ResponseWriter, r *http.Request, v *visitor, c *store.Class) error {
	a, err := s.attemptOf(r, c)
	if err != nil {
		return err
	}
	if err := s.Room.LetHappen(r.Context(), v.Who(), a.ID, r.PostFormValue("mishap")); err != nil {
		return refuse(http.StatusConflict, "%v", err)
	}
	return acted(w, r, c, "mishap")
}

func (s *Server) closeClass(w http.ResponseWriter, r *http.Request, v *visitor, c *store.Class) error {
	handouts, err := s.Store.Handouts(r.Context(), c.ID)
	if err != nil {
		return err
	}
	for _, h := range handouts {
		if err := s.Room.CloseHandout(r.Context(), v.Who(), h.ID); err != nil {
			return err
		}
	}
	if err := s.Store.Write(r.Context(), func(tx *store.Tx) error {
		if err := tx.Exec("update class set closed = ? where id = ?", store.Now(), c.ID); err != nil {
			return err
		}
		return tx.Note(v.Who(), "closed class", c.ID, "")
	}); err != nil {
		return err
	}
	return back(w, r, "/class/"+c.ID)
}

// link joins a trainee's bench to the room.
func (s *Server) link(w http.ResponseWriter, r *http.Request, v *visitor) error {
	s.Room.Serve(w, r, v.Trainee)
	return nil
}

// bench serves the bench itself to those who have joined.
func (s *Server) bench(w http.ResponseWriter, r *http.Request, v *visitor) error {
	http.StripPrefix("/bench", s.Bench).ServeHTTP(w, r)
	return nil
}
