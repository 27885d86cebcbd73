package main

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"time"

	"foilwright/internal/class/link"
	"foilwright/internal/class/live"
	"foilwright/internal/class/store"
	"foilwright/internal/class/wire"
	"foilwright/sim/bench"
	"foilwright/sim/trainee"
)

// TestMain lets this test program stand in for the desk: started with
// FOILWRIGHT_DESK_ARGS it carries out that command line.
func TestMain(m *testing.M) {
	if args := os.Getenv("FOILWRIGHT_DESK_ARGS"); args != "" {
		os.Exit(run(strings.Split(args, "\n"), streams{in: os.Stdin, out: os.Stdout, err: os.Stderr}))
	}
	os.Exit(m.Run())
}

// served is a class server in a process of its own.
type served struct {
	cmd   *exec.Cmd
	base  string
	setup string
}

func startServer(t *testing.T, data, site string) *served {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), "FOILWRIGHT_DESK_ARGS="+strings.Join([]string{"serve", "-data", data, "-listen", "127.0.0.1:0", "-bench", site}, "\n"))
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	cmd.Stderr = os.Stderr
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		cmd.Process.Kill()
		cmd.Wait()
	})
	s := &served{cmd: cmd}
	lines := bufio.NewScanner(out)
	for s.base == "" && lines.Scan() {
		if u, err := url.Parse(lines.Text()); err == nil && u.Scheme == "http" && u.Port() != "" {
			s.base = "http://127.0.0.1:" + u.Port()
		}
	}
	if s.base == "" {
		t.Fatal("the server told no address")
	}
	first := make(chan string, 1)
	go func() {
		for lines.Scan() {
			if m := regexp.MustCompile(`code=([A-Z0-9]+)`).FindStringSubmatch(lines.Text()); m != nil {
				first <- m[1]
			}
		}
	}()
	select {
	case s.setup = <-first:
	case <-time.After(time.Second):
	}
	return s
}

// companion is a trainee of the class that the server is killed in.
type companion struct {
	cookie string
	link   *link.Link
	cancel context.CancelFunc
	work   *wire.Handed
	chain  bench.Writer
	given  int // entries handed to the link
}

// resume takes up the attempt as the server has it.
func (c *companion) resume(t *testing.T, entries []bench.Entry) {
	t.Helper()
	c.work = c.link.Status().Work
	log, err := bench.ReadLog("log", strings.NewReader(c.work.Log))
	if err != nil {
		t.Fatal(err)
	}
	for i, e := range log.Entries {
		if !reflect.DeepEqual(e, entries[i]) {
			t.Fatalf("entry %d is not the one that was sent", e.N)
		}
	}
	c.given, c.chain = len(log.Entries), log.Writer
	c.link.Follow(c.work.Attempt, c.given)
}

// give hands over entries up to one.
func (c *companion) give(t *testing.T, entries []bench.Entry, upTo int) {
	t.Helper()
	for _, e := range entries[c.given:max(c.given, upTo)] {
		line, err := c.chain.Entry(e)
		if err != nil {
			t.Fatal(err)
		}
		c.link.Line(e.N, line)
		c.given = e.N
	}
}

// acked is up to where entries have been acknowledged.
func (c *companion) acked() int { return c.given - c.link.Status().Unsent }

// Killed without warning in the middle of a class, over and over, while
// everybody writes, the server loses nothing that it has acknowledged to
// anybody, and the benches go on by themselves.
func TestAKilledServerLosesNothingAcknowledged(t *testing.T) {
	data, site := t.TempDir(), t.TempDir()
	for _, name := range []string{"foilwright.wasm", "wasm_exec.js"} {
		if err := os.WriteFile(filepath.Join(site, name), []byte("no browser comes here"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	s := startServer(t, data, site)
	jar, _ := cookiejar.New(nil)
	desk := &http.Client{Jar: jar}
	post := func(path string, pairs ...string) string {
		t.Helper()
		form := url.Values{}
		for i := 0; i+1 < len(pairs); i += 2 {
			form.Set(pairs[i], pairs[i+1])
		}
		answer, err := desk.PostForm(s.base+path, form)
		if err != nil {
			t.Fatal(err)
		}
		defer answer.Body.Close()
		if body, _ := io.ReadAll(answer.Body); answer.StatusCode != http.StatusOK {
			t.Fatalf("%s: %d %.300s", path, answer.StatusCode, body)
		}
		return answer.Request.URL.Path
	}
	const phrase = "four quiet words here"
	post("/setup", "code", s.setup, "name", "Ines Marr", "passphrase", phrase, "again", phrase)
	class := post("/classes", "title", "Monday group")
	post(class+"/handout", "exercise", "painted-panel", "mode", "practice", "variant", "same")
	answer, err := desk.Get(s.base + class)
	if err != nil {
		t.Fatal(err)
	}
	page, _ := io.ReadAll(answer.Body)
	answer.Body.Close()
	join := regexp.MustCompile(`joincode">([A-Z0-9]+)<`).FindSubmatch(page)
	if join == nil {
		t.Fatal("no join code on the page")
	}
	until := func(what string, ok func() bool) {
		t.Helper()
		for end := time.Now().Add(60 * time.Second); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
			if ok() {
				return
			}
		}
		t.Fatalf("not within a minute: %s", what)
	}
	connect := func(c *companion) {
		ctx, cancel := context.WithCancel(context.Background())
		c.link, c.cancel = link.DialAs(ctx, strings.Replace(s.base, "http", "ws", 1)+"/bench/link", c.cookie), cancel
		until("work is handed out", func() bool { return c.link.Status().Work != nil })
	}
	benches := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	all := make([]*companion, 8)
	for i := range all {
		answer, err := benches.PostForm(s.base+"/join", url.Values{"code": {string(join[1])}, "name": {fmt.Sprintf("Trainee %d", i)}})
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		c := &companion{}
		c.cookie, _, _ = strings.Cut(answer.Header.Get("Set-Cookie"), ";")
		connect(c)
		c.link.Begin(c.link.Status().Work.Handout)
		until("the attempt has begun", func() bool { return c.link.Status().Work.Attempt != "" })
		all[i] = c
	}

	shelf, err := live.NewShelf("")
	if err != nil {
		t.Fatal(err)
	}
	o, err := shelf.Find("painted-panel")
	if err != nil {
		t.Fatal(err)
	}
	w, err := shelf.World(o, all[0].link.Status().Work.Seed)
	if err != nil {
		t.Fatal(err)
	}
	b, err := trainee.Play(w, 7)
	if err != nil {
		t.Fatal(err)
	}
	entries := b.Record().Entries
	for _, c := range all {
		c.resume(t, entries)
	}
	const kills = 4
	sum := func() (n int) {
		for _, c := range all {
			n += c.acked()
		}
		return n
	}
	for kill := 1; kill <= kills; kill++ {
		// Everybody writes on, a little at a time, and the server dies in the
		// middle of it.
		enough := sum() + len(all)*len(entries)/(kills+3)
		for goal := 0; sum() < enough; goal += 6 {
			for _, c := range all {
				c.give(t, entries, min(len(entries)-1, c.given+6))
			}
			time.Sleep(20 * time.Millisecond)
			if goal > 100*len(entries) {
				t.Fatal("nothing is acknowledged any more")
			}
		}
		s.cmd.Process.Kill()
		s.cmd.Wait()
		acked := make([]int, len(all))
		for i, c := range all {
			until("the bench has noticed", func() bool { return !c.link.Status().Connected })
			acked[i] = c.acked() // everything that ever reached it
			c.cancel()
		}
		s = startServer(t, data, site)
		acknowledged, there := 0, 0
		for i, c := range all {
			connect(c)
			c.resume(t, entries)
			acknowledged, there = acknowledged+acked[i], there+c.given
			if c.given < acked[i] {
				t.Fatalf("kill %d, trainee %d: %d entries were acknowledged, %d are there", kill, i, acked[i], c.given)
			}
		}
		t.Logf("kill %d: %d entries were acknowledged, %d are there", kill, acknowledged, there)
	}
	for _, c := range all {
		c.give(t, entries, len(entries))
		until("all is acknowledged", func() bool { return c.link.Status().Unsent == 0 })
		c.cancel()
	}
	s.cmd.Process.Kill()
	s.cmd.Wait()
	st, err := store.Open(t.Context(), data, "")
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	for i, c := range all {
		text, n, err := st.Log(t.Context(), c.work.Attempt)
		if err != nil || n != len(entries) {
			t.Fatalf("trainee %d: in the end %d entries are there, %v; want %d", i, n, err, len(entries))
		}
		log, err := bench.ReadLog("log", bytes.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := bench.Replay("log", w, log); err != nil {
			t.Error(err)
		}
	}
}

// A backup made of one database comes back in the other.
func TestBackupAndRestore(t *testing.T) {
	from, to := t.TempDir(), filepath.Join(t.TempDir(), "new")
	st, err := store.Open(t.Context(), from, "")
	if err != nil {
		t.Fatal(err)
	}
	if err := st.Write(t.Context(), func(tx *store.Tx) error {
		if err := tx.AddClass(store.Class{ID: "c", Title: "Übung µ", Code: "ABC", Owner: "o", Created: 1 << 40}); err != nil {
			return err
		}
		return tx.Note("o", "made class", "c", "")
	}); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(from, "seal.key"), []byte("key"), 0o600); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "backup.zip")
	if code, out, complaint := desk("backup", "-data", from, "-out", file); code != exitDone {
		t.Fatalf("backup: %d %s %s", code, out, complaint)
	}
	st.Close()
	if code, out, complaint := desk("restore", file, "-data", to); code != exitDone {
		t.Fatalf("restore: %d %s %s", code, out, complaint)
	}
	if code, _, complaint := desk("restore", file, "-data", to); code != exitInput || !strings.Contains(complaint, "already") {
		t.Errorf("restored over a database: %d %s", code, complaint)
	}
	back, err := store.Open(t.Context(), to, "")
	if err != nil {
		t.Fatal(err)
	}
	defer back.Close()
	c, err := back.Class(t.Context(), "c")
	if err != nil || c.Title != "Übung µ" || c.Created != 1<<40 {
		t.Errorf("class %+v, %v", c, err)
	}
	if n, err := back.CheckAudit(t.Context()); n != 1 || err != nil {
		t.Errorf("audit trail: %d, %v", n, err)
	}
	if key, err := os.ReadFile(filepath.Join(to, "seal.key")); err != nil || string(key) != "key" {
		t.Errorf("key %q, %v", key, err)
	}
}
