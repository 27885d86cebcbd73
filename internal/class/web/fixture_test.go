package web

import (
	"context"
	"encoding/json"
	"io"
	"log/slog"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"foilwright/internal/class/classtest"
	"foilwright/internal/class/link"
	"foilwright/internal/class/live"
	"foilwright/internal/class/seal"
	"foilwright/internal/class/store"
	"foilwright/internal/class/wire"
	"foilwright/sim/bench"
	"foilwright/sim/trainee"
)

func TestMain(m *testing.M) { classtest.Main(m) }

// school is a class server under test.
type school struct {
	*testing.T
	*httptest.Server
	web  *Server
	code string // for the first account
	stop func()
	late atomic.Int64 // how far the room's clock is ahead
	set  atomic.Int64 // how far the wall clock is
}

func open(t *testing.T, folder string, st *store.Store) *school {
	t.Helper()
	return openAt(t, folder, st, 0)
}

// openAt is open on a machine whose wall clock is wrong.
func openAt(t *testing.T, folder string, st *store.Store, wall time.Duration) *school {
	t.Helper()
	shelf, err := live.NewShelf(folder + "/exercises")
	if err != nil {
		t.Fatal(err)
	}
	key, err := seal.Keys(folder)
	if err != nil {
		t.Fatal(err)
	}
	log := slog.New(slog.DiscardHandler)
	room := live.New(st, shelf, log)
	bench := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { io.WriteString(w, "the bench") })
	s, err := New(Options{Store: st, Room: room, Log: log, Bench: bench, Join: "http://class.example", Key: key})
	if err != nil {
		t.Fatal(err)
	}
	room.Ended = s.Ended
	sc := &school{T: t, web: s}
	sc.set.Store(int64(wall))
	room.Wall = func() time.Time { return time.Now().Add(time.Duration(sc.set.Load())) }
	if err := room.Recover(t.Context()); err != nil {
		t.Fatal(err)
	}
	code, err := s.SetupCode(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	sc.code = code
	room.Clock = func() time.Time { return time.Now().Add(time.Duration(sc.late.Load())) }
	go room.Watch(ctx)
	h := httptest.NewServer(s)
	sc.Server = h
	sc.stop = func() {
		cancel()
		h.CloseClientConnections()
		h.Close()
	}
	return sc
}

// school of a test with SQLite, closed at its end.
func newSchool(t *testing.T) *school {
	t.Helper()
	folder := t.TempDir()
	st, err := store.Open(t.Context(), folder, "")
	if err != nil {
		t.Fatal(err)
	}
	s := open(t, folder, st)
	t.Cleanup(func() {
		s.stop()
		st.Close()
	})
	return s
}

// someone is a browser with its cookies.
type someone struct {
	*school
	client *http.Client
}

func (s *school) someone() *someone {
	jar, _ := cookiejar.New(nil)
	return &someone{s, &http.Client{Jar: jar}}
}

// ask makes a request and returns status and body.
func (p *someone) ask(r *http.Request) (int, string) {
	p.Helper()
	answer, err := p.client.Do(r)
	if err != nil {
		p.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil {
		p.Fatal(err)
	}
	return answer.StatusCode, string(body)
}

func (p *someone) get(path string) (int, string) {
	p.Helper()
	r, err := http.NewRequest(http.MethodGet, p.URL+path, nil)
	if err != nil {
		p.Fatal(err)
	}
	return p.ask(r)
}

func (p *someone) post(path string, pairs ...string) (int, string) {
	p.Helper()
	form := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		form.Set(pairs[i], pairs[i+1])
	}
	r, err := http.NewRequest(http.MethodPost, p.URL+path, strings.NewReader(form.Encode()))
	if err != nil {
		p.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return p.ask(r)
}

// must is post where nothing may go wrong.
func (p *someone) must(path string, pairs ...string) string {
	p.Helper()
	status, body := p.post(path, pairs...)
	if status != http.StatusOK {
		p.Fatalf("POST %s: %d: %s", path, status, said(body))
	}
	return body
}

var tags = regexp.MustCompile(`(?s)<style.*?</style>|<[^>]*>`)

// said is the text of a page.
func said(body string) string {
	return strings.Join(strings.Fields(tags.ReplaceAllString(body, " ")), " ")
}

func (p *someone) cookie() string {
	u, _ := url.Parse(p.URL)
	var all []string
	for _, c := range p.client.Jar.Cookies(u) {
		all = append(all, c.Name+"="+c.Value)
	}
	return strings.Join(all, "; ")
}

const phrase = "four quiet words here"

// instructor sets up the first account.
func (s *school) instructor() *someone {
	s.Helper()
	p := s.someone()
	p.must("/setup", "code", s.code, "name", "Ines Marr", "passphrase", phrase, "again", phrase)
	return p
}

var inviteCode = regexp.MustCompile(`class="joincode">([A-Z0-9]+)<`)

// invite makes a further account.
func (p *someone) invite(name, role string) *someone {
	p.Helper()
	body := p.must("/people", "name", name, "role", role)
	found := inviteCode.FindStringSubmatch(body)
	if found == nil {
		p.Fatal("no invitation code on the page")
	}
	q := p.someone()
	q.must("/setup", "code", found[1], "passphrase", phrase, "again", phrase)
	return q
}

// newClass makes a class and returns it.
func (p *someone) newClass(title string) *store.Class {
	p.Helper()
	p.must("/classes", "title", title)
	all, err := p.web.Store.Classes(p.Context())
	if err != nil {
		p.Fatal(err)
	}
	for i := range all {
		if all[i].Title == title {
			return &all[i]
		}
	}
	p.Fatal("the class is not there")
	return nil
}

// pupil is a trainee with a bench.
type pupil struct {
	*someone
	id     string
	link   *link.Link
	cancel context.CancelFunc
}

// join lets somebody join a class and connect a bench.
func (s *school) join(c *store.Class, name string) *pupil {
	s.Helper()
	p := &pupil{someone: s.someone()}
	p.must("/join", "code", c.Code, "name", name)
	all, err := s.web.Store.Trainees(s.Context(), c.ID)
	if err != nil {
		s.Fatal(err)
	}
	for _, t := range all {
		if t.Name == name {
			p.id = t.ID
		}
	}
	p.connect()
	return p
}

func (p *pupil) connect() {
	ctx, cancel := context.WithCancel(context.Background())
	p.cancel = cancel
	p.Cleanup(cancel)
	p.link = link.DialAs(ctx, strings.Replace(p.URL, "http", "ws", 1)+"/bench/link", p.cookie())
}

// until waits for something to become true.
func (s *school) until(what string, ok func() bool) {
	s.Helper()
	for end := time.Now().Add(30 * time.Second); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		if ok() {
			return
		}
	}
	s.Fatalf("not within 30 s: %s", what)
}

// untilEnded waits until the ends of attempts have been dealt with and noted.
func (s *school) untilEnded(attempts ...string) {
	s.Helper()
	for _, id := range attempts {
		s.until("the end of "+id+" is noted", func() bool {
			a, err := s.web.Store.Attempt(s.Context(), id)
			return err == nil && a.Finished > 0
		})
	}
}

// begin starts the attempt that was handed out.
func (p *pupil) begin() *wire.Handed {
	p.Helper()
	p.until("work is handed out", func() bool { w := p.link.Status().Work; return w != nil && w.Waits == "" })
	before := p.link.Status().Work.Attempt
	p.link.Begin(p.link.Status().Work.Handout)
	p.until("the attempt has begun", func() bool {
		w := p.link.Status().Work
		return w != nil && w.Attempt != "" && w.Attempt != before && !w.Finished
	})
	return p.link.Status().Work
}

// played is what a scripted trainee does in the world of a seed.
func (s *school) played(exercise string, seed uint64, faults ...string) *bench.Record {
	s.Helper()
	o, err := s.web.Room.Shelf.Find(exercise)
	if err != nil {
		s.Fatal(err)
	}
	w, err := s.web.Room.Shelf.World(o, seed)
	if err != nil {
		s.Fatal(err)
	}
	b, err := trainee.Play(w, seed, faults...)
	if err != nil {
		s.Fatal(err)
	}
	return b.Record()
}

// practise plays the attempt at hand in practice, up to an entry, and waits
// until the server has it.
func (p *pupil) practise(w *wire.Handed, r *bench.Record, upTo int) {
	p.Helper()
	chain, have := chainOf(p.T, w.Log)
	p.link.Follow(w.Attempt, have)
	for _, e := range r.Entries[have:upTo] {
		line, err := chain.Entry(e)
		if err != nil {
			p.Fatal(err)
		}
		p.link.Line(e.N, line)
	}
	p.until("all is acknowledged", func() bool { return p.link.Status().Unsent == 0 || p.link.Status().Problem != "" })
	if problem := p.link.Status().Problem; problem != "" {
		p.Fatal(problem)
	}
}

// chainOf continues the chain of a log, which has so many entries.
func chainOf(t *testing.T, log string) (bench.Writer, int) {
	t.Helper()
	l, err := bench.ReadLog("log", strings.NewReader(log))
	if err != nil {
		t.Fatal(err)
	}
	return l.Writer, len(l.Entries)
}

// boardOf reads the board of a class.
func (p *someone) boardOf(c *store.Class) []live.Row {
	p.Helper()
	status, body := p.get("/class/" + c.ID + "/board.json")
	if status != http.StatusOK {
		p.Fatalf("board: %d", status)
	}
	var out struct{ Rows []live.Row }
	if err := json.Unmarshal([]byte(body), &out); err != nil {
		p.Fatal(err)
	}
	return out.Rows
}

// candidate is one trainee with a begun assessment in an instructor's class,
// of the same variant as others' or a different one.
func (s *school) candidate(variant string) (*someone, *store.Class, *pupil, *wire.Handed) {
	s.Helper()
	ines := s.instructor()
	class := ines.newClass("One")
	ines.must("/class/"+class.ID+"/handout", "exercise", panel, "mode", "assessment", "variant", variant)
	ana := s.join(class, "Ana Brook")
	ines.must("/class/"+class.ID+"/identity", "trainee", ana.id, "proof", "badge")
	return ines, class, ana, ana.begin()
}
