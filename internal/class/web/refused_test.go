package web

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/coder/websocket"

	"foilwright/internal/class/auth"
	"foilwright/internal/class/wire"
	"foilwright/sim/bench"
)

// Who asks for what is not theirs gets nothing: every row is a request and the
// status it must come to. An ok row of the same request by its owner shows that
// the refusal is about the person.
func TestRequestsThatAreRefused(t *testing.T) {
	s := newSchool(t)
	ines := s.instructor()
	other := ines.invite("Otto Weir", "instructor")
	aldo := ines.invite("Aldo Reyes", "assessor")
	class := ines.newClass("One")
	foreign := other.newClass("Two")
	ines.must("/class/"+class.ID+"/handout", "exercise", panel, "mode", "practice", "variant", "same")
	ana := s.join(class, "Ana Brook")
	w := ana.begin()
	nobody := s.someone()
	handout := w.Handout
	long := strings.Repeat("x", 5000)

	type row struct {
		name   string
		who    *someone
		method string
		path   string
		form   []string
		want   int
	}
	rows := []row{
		{"own class", ines, "GET", "/class/" + class.ID, nil, 200},
		{"another instructor's class", other, "GET", "/class/" + class.ID, nil, 404},
		{"another instructor's board", other, "GET", "/class/" + class.ID + "/board.json", nil, 404},
		{"another instructor's exports", other, "GET", "/class/" + class.ID + "/export.csv", nil, 404},
		{"another instructor's attempt", other, "GET", "/attempt/" + w.Attempt, nil, 404},
		{"own attempt", ines, "GET", "/attempt/" + w.Attempt, nil, 200},
		{"pausing another's class", other, "POST", "/class/" + class.ID + "/pause", []string{"on", "yes"}, 404},
		{"a hint across classes", other, "POST", "/class/" + foreign.ID + "/hint", []string{"attempt", w.Attempt, "text", "x"}, 404},
		{"a mishap across classes", other, "POST", "/class/" + foreign.ID + "/mishap", []string{"attempt", w.Attempt, "mishap", "foil-left"}, 404},
		{"closing a handout across classes", other, "POST", "/class/" + foreign.ID + "/close-handout", []string{"handout", handout}, 404},
		{"an identity across classes", other, "POST", "/class/" + foreign.ID + "/identity", []string{"trainee", ana.id, "proof", "x"}, 404},
		{"deleting across classes", other, "POST", "/class/" + foreign.ID + "/forget", []string{"trainee", ana.id, "sure", "yes"}, 404},
		{"an assessor runs no class", aldo, "GET", "/class/" + class.ID, nil, 403},
		{"an assessor makes no class", aldo, "POST", "/classes", []string{"title", "x"}, 403},
		{"an assessor invites nobody", aldo, "POST", "/people", []string{"name", "x", "role", "instructor"}, 403},
		{"an assessor sees no practice", aldo, "GET", "/attempt/" + w.Attempt, nil, 404},
		{"practice is not judged", ines, "GET", "/assess/" + w.Attempt, nil, 409},
		{"a trainee sees no board", ana.someone, "GET", "/class/" + class.ID + "/board.json", nil, 401},
		{"a trainee sees no findings", ana.someone, "GET", "/attempt/" + w.Attempt + "/scene.json", nil, 401},
		{"a trainee hands nothing out", ana.someone, "POST", "/class/" + class.ID + "/handout", []string{"exercise", panel, "mode", "practice", "variant", "same"}, 401},
		{"nobody has no bench link", nobody, "GET", "/bench/link", nil, 401},
		{"an instructor is no trainee", ines, "GET", "/bench/link", nil, 401},
		{"nobody exports nothing", nobody, "POST", "/class/" + class.ID + "/forget", []string{"trainee", ana.id, "sure", "yes"}, 401},
		{"a used set-up code", nobody, "POST", "/setup", []string{"code", s.code, "name", "Eve", "passphrase", phrase, "again", phrase}, 403},
		{"a short passphrase", nobody, "POST", "/setup", []string{"code", "ABC", "passphrase", "short", "again", "short"}, 400},
		{"a wrong join code", nobody, "POST", "/join", []string{"code", "ZZZZZZ", "name", "Eve"}, 404},
		{"a name that is taken", nobody, "POST", "/join", []string{"code", class.Code, "name", "Ana Brook"}, 409},
		{"a name that is too long", nobody, "POST", "/join", []string{"code", class.Code, "name", long}, 400},
		{"control characters", nobody, "POST", "/join", []string{"code", class.Code, "name", "a\x00b"}, 400},
		{"no name", nobody, "POST", "/join", []string{"code", class.Code, "name", "  "}, 400},
		{"an exercise that is not there", ines, "POST", "/class/" + class.ID + "/handout", []string{"exercise", "../../etc/passwd", "mode", "practice", "variant", "same"}, 400},
		{"a mode that is none", ines, "POST", "/class/" + class.ID + "/handout", []string{"exercise", panel, "mode", "x", "variant", "same"}, 400},
		{"minutes below nothing", ines, "POST", "/class/" + class.ID + "/handout", []string{"exercise", panel, "mode", "assessment", "variant", "same", "minutes", "-5"}, 400},
		{"a mishap that is none", ines, "POST", "/class/" + class.ID + "/mishap", []string{"attempt", w.Attempt, "mishap", "x"}, 409},
		{"an entry that is none", ines, "GET", "/attempt/" + w.Attempt + "/scene.json?entry=-1", nil, 400},
		{"the template files", nobody, "GET", "/look/class.html", nil, 404},
		{"outside the files", nobody, "GET", "/look/../server.go", nil, 404},
		{"deleting without being sure", ines, "POST", "/class/" + class.ID + "/forget", []string{"trainee", ana.id}, 400},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			var status int
			var body string
			if r.method == "GET" {
				status, body = r.who.get(r.path)
			} else {
				status, body = r.who.post(r.path, r.form...)
			}
			if status != r.want {
				t.Errorf("%d, want %d: %.200s", status, r.want, said(body))
			}
			for _, leak := range []string{"goroutine ", ".go:", "sql:", "SQLITE", "pgx"} {
				if strings.Contains(body, leak) && status >= 400 {
					t.Errorf("the answer shows %q", leak)
				}
			}
		})
	}
	t.Run("from another site", func(t *testing.T) {
		for _, header := range [][2]string{{"Origin", "http://evil.example"}, {"Sec-Fetch-Site", "cross-site"}} {
			r, err := http.NewRequest("POST", s.URL+"/class/"+class.ID+"/pause", strings.NewReader("on=yes"))
			if err != nil {
				t.Fatal(err)
			}
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			r.Header.Set(header[0], header[1])
			if status, _ := ines.ask(r); status != http.StatusForbidden {
				t.Errorf("%s: %d, want 403", header[0], status)
			}
		}
		_, _, err := websocket.Dial(t.Context(), strings.Replace(s.URL, "http", "ws", 1)+"/bench/link",
			&websocket.DialOptions{HTTPHeader: http.Header{"Cookie": {ana.cookie()}, "Origin": {"http://evil.example"}}})
		if err == nil {
			t.Error("a page of another site may open a bench's connection")
		}
	})
	t.Run("an oversized body", func(t *testing.T) {
		if status, _ := ines.post("/classes", "title", strings.Repeat("x", mostBody+1)); status == http.StatusOK {
			t.Error("taken")
		}
	})
	t.Run("cookies", func(t *testing.T) {
		p := s.someone()
		p.client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
		r, _ := http.NewRequest("POST", s.URL+"/signin", strings.NewReader("name=Ines+Marr&passphrase="+strings.ReplaceAll(phrase, " ", "+")))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		answer, err := p.client.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		if c := answer.Header.Get("Set-Cookie"); !strings.Contains(c, "HttpOnly") || !strings.Contains(c, "SameSite=Lax") {
			t.Errorf("cookie %q", c)
		}
	})
	t.Run("guessing", func(t *testing.T) {
		last := 0
		for range 12 {
			last, _ = nobody.post("/signin", "name", "Ines Marr", "passphrase", "wrong wrong wrong")
		}
		if last != http.StatusTooManyRequests {
			t.Errorf("the twelfth wrong passphrase in a row: %d, want 429", last)
		}
	})
}

// Messages of a bench that no honest bench sends end the connection, and
// leave no trace in the log.
func TestMessagesThatAreRefused(t *testing.T) {
	s := newSchool(t)
	ines := s.instructor()
	class := ines.newClass("One")
	ines.must("/class/"+class.ID+"/handout", "exercise", panel, "mode", "practice", "variant", "same")
	ana, ben := s.join(class, "Ana Brook"), s.join(class, "Ben Holt")
	wa, wb := ana.begin(), ben.begin()
	r := s.played(panel, wa.Seed)
	ana.practise(wa, r, 10)
	ana.cancel()

	chain, _ := chainOf(t, wa.Log)
	var lines []string // entries 1 to 14
	for _, e := range r.Entries[:14] {
		line, err := chain.Entry(e)
		if err != nil {
			t.Fatal(err)
		}
		lines = append(lines, string(line))
	}
	head := func(kind wire.Kind, attempt string, first int) string {
		text, _ := json.Marshal(wire.ToServer{Kind: kind, Attempt: attempt, First: first})
		return string(text) + "\n"
	}
	forged := strings.Replace(lines[10], `"t":`, `"t":9`, 1)
	for name, message := range map[string]string{
		"another trainee's attempt": head(wire.Lines, wb.Attempt, 1) + lines[0],
		"a gap":                     head(wire.Lines, wa.Attempt, 12) + lines[11],
		"reordered":                 head(wire.Lines, wa.Attempt, 11) + lines[11] + lines[10],
		"a changed line":            head(wire.Lines, wa.Attempt, 11) + forged + lines[11],
		"a wrong number":            head(wire.Lines, wa.Attempt, 11) + lines[9],
		"a line cut off":            head(wire.Lines, wa.Attempt, 11) + strings.TrimSuffix(lines[10], "\n"),
		"entry 0":                   head(wire.Lines, wa.Attempt, 0) + lines[0],
		"actions in practice":       `{"kind":"actions","attempt":"` + wa.Attempt + `","first":11,"actions":[{"t":99999,"do":"finish"}]}`,
		"no message":                "hello",
		"an unknown kind":           `{"kind":"shutdown"}`,
		"an unknown key":            `{"kind":"begin","role":"instructor"}`,
		"begin of nothing":          `{"kind":"begin","handout":"0"}`,
		"a line that is too long":   head(wire.Lines, wa.Attempt, 11) + `{"n":11,` + strings.Repeat(" ", wire.MostLine) + "\n",
		"too large altogether":      head(wire.Lines, wa.Attempt, 11) + strings.Repeat("x", wire.MostBytes) + "\n",
	} {
		t.Run(name, func(t *testing.T) {
			if problem := s.send(t, ana, message); problem == "" {
				t.Error("taken")
			}
			if _, n, err := s.web.Store.Log(t.Context(), wa.Attempt); n != 10 || err != nil {
				t.Errorf("the log has %d entries now, %v; want the 10 that were kept", n, err)
			}
		})
	}
	t.Run("sent twice", func(t *testing.T) {
		if problem := s.send(t, ana, head(wire.Lines, wa.Attempt, 9)+lines[8]+lines[9]); problem != "" {
			t.Errorf("lines that are there already: %s", problem)
		}
	})
	t.Run("readings that the bench does not give", func(t *testing.T) {
		// A chain that is in order but lies: it is kept, and the board says so.
		chain, _ := chainOf(t, wa.Log)
		lie := r.Entries[:11:11]
		lie = append([]bench.Entry(nil), lie...)
		lie[10].Events = []bench.Event{{Kind: bench.ReadingNew, Counts: 750, N: 1}}
		var text string
		for _, e := range lie {
			line, err := chain.Entry(e)
			if err != nil {
				t.Fatal(err)
			}
			text = string(line)
		}
		if problem := s.send(t, ana, head(wire.Lines, wa.Attempt, 11)+text); problem != "" {
			t.Fatal(problem)
		}
		s.until("the board shows that the log does not replay", func() bool { return ines.boardOf(class)[0].Fault != "" })
	})
}

// send sends one message as a trainee's bench would, and returns why it was
// refused; nothing when it was acknowledged.
func (s *school) send(t *testing.T, p *pupil, message string) string {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
	defer cancel()
	ws, _, err := websocket.Dial(ctx, strings.Replace(s.URL, "http", "ws", 1)+"/bench/link",
		&websocket.DialOptions{HTTPHeader: http.Header{"Cookie": {p.cookie()}}})
	if err != nil {
		t.Fatal(err)
	}
	defer ws.CloseNow()
	ws.SetReadLimit(1 << 24)
	for given := false; ; {
		_, data, err := ws.Read(ctx)
		if err != nil {
			return "closed: " + err.Error()
		}
		var m wire.ToBench
		if err := json.Unmarshal(data, &m); err != nil {
			t.Fatal(err)
		}
		switch m.Kind {
		case wire.Work:
			if !given {
				given = true
				if err := ws.Write(ctx, websocket.MessageText, []byte(message)); err != nil {
					return err.Error()
				}
			}
		case wire.Refused:
			return m.Text
		case wire.Ack, wire.Seen:
			return ""
		}
	}
}

// In an assessment time stamps from the future and floods are refused, too.
func TestCandidatesCannotRunAheadOfTheClock(t *testing.T) {
	s := newSchool(t)
	_, _, ana, w := s.candidate("same")
	ana.cancel()
	act := func(at int64) string {
		return fmt.Sprintf(`{"kind":"actions","attempt":"%s","first":1,"actions":[{"t":%d,"do":"read-job"}]}`, w.Attempt, at)
	}
	if problem := s.send(t, ana, act(3_600_000)); !strings.Contains(problem, "future") {
		t.Errorf("an hour ahead: %q", problem)
	}
	if problem := s.send(t, ana, `{"kind":"lines","attempt":"`+w.Attempt+`","first":1}`+"\n{\"n\":1,}\n"); problem == "" {
		t.Error("log lines of the candidate's own were taken")
	}
	if problem := s.send(t, ana, act(10)); problem != "" {
		t.Errorf("an honest action: %s", problem)
	}
}

// Everything that reaches a candidate is searched for what must not.
func TestNothingHiddenReachesACandidate(t *testing.T) {
	s := newSchool(t)
	_, class, ana, w := s.candidate("different")
	s.sitAssessment(ana, w)
	ana.cancel()
	a, err := s.web.Store.Attempt(t.Context(), w.Attempt)
	if err != nil {
		t.Fatal(err)
	}
	h, err := s.web.Store.Handout(t.Context(), a.Handout)
	if err != nil {
		t.Fatal(err)
	}
	// All traffic of a bench that comes back: the whole attempt is sent again.
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	ws, _, err := websocket.Dial(ctx, strings.Replace(s.URL, "http", "ws", 1)+"/bench/link", &websocket.DialOptions{HTTPHeader: http.Header{"Cookie": {ana.cookie()}}})
	if err != nil {
		t.Fatal(err)
	}
	defer ws.CloseNow()
	ws.SetReadLimit(1 << 26)
	traffic := ""
	for range 2 {
		_, data, err := ws.Read(ctx)
		if err != nil {
			t.Fatal(err)
		}
		traffic += string(data) + "\n"
	}
	for _, path := range []string{"/", "/bench/", "/join/" + class.Code} {
		_, body := ana.get(path)
		traffic += body
	}
	o, err := s.web.Room.Shelf.Find(panel)
	if err != nil {
		t.Fatal(err)
	}
	world, err := s.web.Room.Shelf.World(o, a.SeedNumber())
	if err != nil {
		t.Fatal(err)
	}
	r := s.played(panel, a.SeedNumber())
	sheet, err := s.web.Room.Sheet(t.Context(), a.ID)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(traffic, `"saw":"reading"`) {
		t.Fatal("the traffic holds no readings: nothing was searched")
	}
	hidden := map[string]string{
		"the seed": a.Seed, "the handout's seed": h.Seed, "the true mean": fmt.Sprint(world.TrueMeanUm), "a seed key": `"seed"`,
		"the header of the log": a.Header, "the hash chain, which rests on the header": `"prev"`,
	}
	for i, f := range world.Foils {
		hidden[fmt.Sprintf("the truth of foil %d", i)] = fmt.Sprint(f.TrueUm)
	}
	for _, p := range o.Part.Coating.MeanUm {
		hidden[fmt.Sprint("the range ", p)] = fmt.Sprintf(`{"Low":%v,"High":%v}`, p.Low, p.High)
	}
	for _, f := range sheet.Findings {
		hidden["finding "+f.Check] = f.Check
	}
	hidden["noise"] = fmt.Sprint(o.Instrument.NoiseRelative)
	for what, text := range hidden {
		if len(text) > 3 && strings.Contains(traffic, text) {
			at := strings.Index(traffic, text)
			t.Errorf("%s (%q) reached the candidate: …%.80s…", what, text, traffic[max(0, at-30):])
		}
	}
	for i := range r.Contacts {
		c := &r.Contacts[i]
		x, y := float64(c.XUm)*1e-6, float64(c.YUm)*1e-6
		local := fmt.Sprintf("%.9g", world.Part.Coating.LocalUm(x, y))
		if strings.Contains(traffic, local) {
			t.Errorf("the true film at contact %d reached the candidate", i)
		}
	}
	if _, body := ana.get("/attempt/" + a.ID); strings.Contains(body, "Findings") {
		t.Error("a candidate sees findings")
	}
}

func TestPassphrasesAreKeptAsArgon2id(t *testing.T) {
	s := newSchool(t)
	s.instructor()
	people, err := s.web.Store.Persons(t.Context())
	if err != nil || len(people) != 1 {
		t.Fatal(err)
	}
	if h := people[0].Hash; !strings.HasPrefix(h, "$argon2id$v=19$m=19456,t=2,p=1$") || strings.Contains(h, phrase) || !auth.Matches(h, phrase) || auth.Matches(h, phrase+"x") {
		t.Errorf("hash %q", h)
	}
}
