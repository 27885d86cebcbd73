//go:build load

// Package load puts a class server under the load of a very large class and
// tells what it costs. It is run by hand, or with the tag load:
//
//	go test -tags load -run TestLoad -v -timeout 10m ./internal/class/load
//
// With -graded 1000 a thousand further attempts come to their end in the first
// five seconds, so that the server has them to replay and grade beside it.
//
// The server runs as a process of its own, so that its time and memory can be
// told from those of the trainees. FOILWRIGHT_DB moves it to PostgreSQL.
package load

import (
	"bufio"
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/coder/websocket"

	"foilwright/internal/class/live"
	"foilwright/internal/class/store"
	"foilwright/internal/class/wire"
	"foilwright/sim/bench"
	"foilwright/sim/trainee"
)

var (
	trainees = flag.Int("trainees", 500, "trainees at a time")
	lasts    = flag.Duration("lasts", 30*time.Second, "how long they work")
	perSec   = flag.Int("samples", 60, "pose samples a second and trainee")
	batches  = flag.Int("batches", 10, "messages a second and trainee")
	board    = flag.Bool("board", false, "an instructor has the board open, which asks anew 1.5 s after each answer")
	waits    = flag.String("waits", "", "file for when each message was sent, in milliseconds, and how many microseconds it waited")
	graded   = flag.Int("graded", 0, "attempts that end when the others begin, to be replayed and graded meanwhile")
)

const phrase = "four quiet words here"

// The shape asked for is 500 trainees, 60 samples a second in ten batches, the
// answer to 99 of 100 batches within 20 ms, and less than half a core for the
// server. The test fails only where an entry is lost or refused: a busy machine
// must not turn into a red test. The figures are printed.
func TestLoad(t *testing.T) {
	program := t.TempDir() + "/desk"
	if out, err := exec.Command("go", "build", "-o", program, "foilwright/cmd/foilwright-desk").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	site := t.TempDir()
	for _, name := range []string{"foilwright.wasm", "wasm_exec.js"} {
		if err := os.WriteFile(site+"/"+name, []byte("no bench is needed here"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	data := t.TempDir()
	server := exec.CommandContext(ctx, program, "serve", "-data", data, "-listen", "127.0.0.1:0", "-bench", site, "-join", "http://127.0.0.1")
	told, err := server.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	var complaint bytes.Buffer
	server.Stderr = &complaint
	if err := server.Start(); err != nil {
		t.Fatal(err)
	}
	defer server.Wait()
	defer cancel()
	code := ""
	for lines := bufio.NewScanner(told); code == "" && lines.Scan(); {
		if m := regexp.MustCompile(`code=([A-Z0-9]+)`).FindStringSubmatch(lines.Text()); m != nil {
			code = m[1]
		}
	}
	go io.Copy(io.Discard, told)
	port := portOf(t, server.Process.Pid)
	base := "http://127.0.0.1:" + port

	jar, _ := cookiejar.New(nil)
	desk := &http.Client{Jar: jar}
	post(t, desk, base+"/setup", "code", code, "name", "Ines", "passphrase", phrase, "again", phrase)
	class := post(t, desk, base+"/classes", "title", "Load")
	post(t, desk, base+class+"/handout", "exercise", "painted-panel", "mode", "practice", "variant", "same")
	join := regexp.MustCompile(`joincode">([A-Z0-9]+)<`).FindStringSubmatch(get(t, desk, base+class))[1]

	var group sync.WaitGroup
	ready, start := make(chan string, *trainees), make(chan struct{})
	results := make([]result, *trainees)
	for i := range *trainees {
		group.Go(func() { results[i] = work(ctx, base, join, i, ready, start) })
		time.Sleep(20 * time.Millisecond) // as a class comes in, and within the limit of joins
	}
	for range *trainees {
		if fault := <-ready; fault != "" {
			t.Fatal(fault)
		}
	}
	finishing := finishers(t, ctx, base, join)
	// What lies about from the building of all this is neither collected nor
	// written to the disk while the server is measured.
	runtime.GC()
	debug.SetGCPercent(400)
	syscall.Sync()
	before := usage(t, server.Process.Pid)
	mine := usage(t, os.Getpid())
	began := time.Now()
	close(start)
	var marked chan time.Duration
	if *graded > 0 {
		marked = make(chan time.Duration, 1)
		go func() { marked <- finish(t, ctx, finishing, data) }()
	}
	watched := make(chan []time.Duration, 1)
	over := make(chan struct{})
	go func() { watched <- watch(desk, base+class+"/board.json", over) }()
	group.Wait()
	close(over)
	took := time.Since(began)
	after := usage(t, server.Process.Pid)
	own := usage(t, os.Getpid())

	var all, behind []time.Duration
	entries := 0
	for i, r := range results {
		if r.fault != nil {
			t.Errorf("trainee %d: %v", i, r.fault)
		}
		all, behind = append(all, r.waits...), append(behind, r.behind...)
		entries += r.entries
	}
	if *waits != "" {
		writeWaits(t, results, began)
	}
	slices.Sort(all)
	at := func(share float64) time.Duration { return all[min(len(all)-1, int(share*float64(len(all))))] }
	slices.Sort(behind)
	late := func(share float64) time.Duration { return behind[min(len(behind)-1, int(share*float64(len(behind))))] }
	t.Logf("%d trainees, %d entries in %d batches over %.1f s: %.0f entries/s", *trainees, entries, len(all), took.Seconds(), float64(entries)/took.Seconds())
	t.Logf("batch to acknowledgement: median %v, p90 %v, p99 %v, p99.9 %v, worst %v", at(0.5), at(0.9), at(0.99), at(0.999), all[len(all)-1])
	spent := after.cpu - before.cpu
	t.Logf("server: %.2f cores, %.1f ms of processor time for 1000 batches, resident %d MB (peak %d MB)",
		spent.Seconds()/took.Seconds(), 1e6*spent.Seconds()/float64(len(all)), after.rss>>20, after.peak>>20)
	t.Logf("trainees: %.2f cores; behind their own beat by %v at the median, %v in 99 of 100 messages",
		(own.cpu-mine.cpu).Seconds()/took.Seconds(), late(0.5), late(0.99))
	if looks := <-watched; *board {
		slices.Sort(looks)
		t.Logf("the board answered %d times, at the median within %v, at worst %v", len(looks), looks[len(looks)/2], looks[len(looks)-1])
	}
	if marked != nil {
		t.Logf("%d attempts ended as it began; all were replayed, graded and noted %.1f s later", *graded, (<-marked).Seconds())
	}
	loads, _ := os.ReadFile("/proc/loadavg")
	t.Logf("load of the machine: %s", bytes.TrimSpace(loads))
	cancel() // kills it
	server.Wait()
	kept(t, data, results)
	if s := complaint.String(); strings.Contains(s, "level=ERROR") {
		t.Errorf("the server complains: %.500s", s)
	}
}

func writeWaits(t *testing.T, results []result, began time.Time) {
	var text bytes.Buffer
	for _, r := range results {
		for i, wait := range r.waits {
			fmt.Fprintln(&text, r.sent[i].Sub(began).Milliseconds(), wait.Microseconds())
		}
	}
	if err := os.WriteFile(*waits, text.Bytes(), 0o644); err != nil {
		t.Error(err)
	}
}

// watch keeps the board of a class open, if asked to, and returns how long
// each answer took.
func watch(desk *http.Client, address string, over <-chan struct{}) (took []time.Duration) {
	for *board {
		began := time.Now()
		answer, err := desk.Get(address)
		if err == nil {
			io.Copy(io.Discard, answer.Body)
			answer.Body.Close()
			took = append(took, time.Since(began))
		}
		select {
		case <-over:
			return took
		case <-time.After(1500 * time.Millisecond):
		}
	}
	return nil
}

// kept opens the killed server's data and looks for every acknowledged entry.
func kept(t *testing.T, data string, results []result) {
	t.Helper()
	st, err := store.Open(t.Context(), data, os.Getenv("FOILWRIGHT_DB"))
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	total := 0
	for i, r := range results {
		_, n, err := st.Log(t.Context(), r.attempt)
		if err != nil || n < r.entries {
			t.Errorf("trainee %d: %d entries were acknowledged, %d are there, %v", i, r.entries, n, err)
		}
		total += n
	}
	t.Logf("the server was killed; %d entries are there", total)
}

type result struct {
	attempt string
	waits   []time.Duration
	sent    []time.Time
	behind  []time.Duration // how late a message was sent: the generator's own fault
	entries int
	fault   error
}

// seated is a trainee's connection with an attempt begun.
type seated struct {
	ws    *websocket.Conn
	data  bytes.Buffer
	work  *wire.Handed
	chain bench.Writer
}

// hall is an address of this machine's own for each hall of 500 trainees, as
// the server limits how many may join from one.
func hall(n int) *net.TCPAddr { return &net.TCPAddr{IP: net.IPv4(127, 0, 0, byte(1+n/500))} }

// sit joins a class, connects and begins the attempt.
func sit(ctx context.Context, base, join, name string, from *net.TCPAddr) (*seated, error) {
	jar, _ := cookiejar.New(nil)
	client := &http.Client{Jar: jar, Transport: &http.Transport{DialContext: (&net.Dialer{LocalAddr: from}).DialContext}}
	answer, err := client.PostForm(base+"/join", url.Values{"code": {join}, "name": {name}})
	if err != nil {
		return nil, err
	}
	answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		return nil, fmt.Errorf("joining: %s", answer.Status)
	}
	client.CloseIdleConnections()
	u, _ := url.Parse(base)
	cookie := ""
	for _, c := range jar.Cookies(u) {
		cookie = c.Name + "=" + c.Value
	}
	ws, _, err := websocket.Dial(ctx, strings.Replace(base, "http", "ws", 1)+"/bench/link", &websocket.DialOptions{
		HTTPClient: &http.Client{Transport: client.Transport}, HTTPHeader: http.Header{"Cookie": {cookie}},
	})
	if err != nil {
		return nil, err
	}
	ws.SetReadLimit(1 << 24)
	context.AfterFunc(ctx, func() { ws.CloseNow() })
	s := &seated{ws: ws}
	for s.work == nil || s.work.Attempt == "" {
		m, err := s.read()
		if err != nil {
			return nil, err
		}
		if m.Kind == wire.Refused {
			return nil, fmt.Errorf("refused: %s", m.Text)
		}
		if m.Kind == wire.Work {
			if s.work = m.Work; s.work.Attempt == "" {
				text, _ := wire.Encode(wire.ToServer{Kind: wire.Begin, Handout: s.work.Handout}, nil)
				if err := ws.Write(ctx, websocket.MessageText, text); err != nil {
					return nil, err
				}
			}
		}
	}
	l, err := bench.ReadLog("log", strings.NewReader(s.work.Log))
	if err != nil {
		return nil, err
	}
	s.chain = l.Writer
	return s, nil
}

var ackHead = []byte(`{"kind":"ack",`)

// read reads a message. What a trainee costs must not be measured: no context
// for each message, and acknowledgements are read by hand.
func (s *seated) read() (wire.ToBench, error) {
	var m wire.ToBench
	_, from, err := s.ws.Reader(context.Background())
	if err != nil {
		return m, err
	}
	s.data.Reset()
	if _, err := s.data.ReadFrom(from); err != nil {
		return m, err
	}
	text := s.data.Bytes()
	if bytes.HasPrefix(text, ackHead) {
		m.Kind = wire.Ack
		m.N, err = strconv.Atoi(string(text[bytes.LastIndexByte(text, ':')+1 : len(text)-1]))
		return m, err
	}
	return m, json.Unmarshal(text, &m)
}

// send sends log lines.
func (s *seated) send(first int, lines []byte) error {
	text, err := wire.Encode(wire.ToServer{Kind: wire.Lines, Attempt: s.work.Attempt, First: first}, lines)
	if err != nil {
		return err
	}
	return s.ws.Write(context.Background(), websocket.MessageText, text)
}

// acked waits until entries up to n are acknowledged.
func (s *seated) acked(n int) error {
	for {
		switch m, err := s.read(); {
		case err != nil:
			return err
		case m.Kind == wire.Refused:
			return fmt.Errorf("refused: %s", m.Text)
		case m.Kind == wire.Ack && m.N >= n:
			return nil
		}
	}
}

// finisher has done a whole attempt but for its last entry.
type finisher struct {
	*seated
	n    int
	last []byte
}

// finishers are as many as -graded says.
func finishers(t *testing.T, ctx context.Context, base, join string) []finisher {
	t.Helper()
	var all []finisher
	var entries []bench.Entry
	for i := range *graded {
		time.Sleep(20 * time.Millisecond) // within the limit of joins
		s, err := sit(ctx, base, join, fmt.Sprintf("Finisher %d", i), hall(*trainees+499+i))
		if err != nil {
			t.Fatal(err)
		}
		if entries == nil { // the variant is the same for all
			shelf, err := live.NewShelf("")
			if err != nil {
				t.Fatal(err)
			}
			o, err := shelf.Find(s.work.Exercise)
			if err != nil {
				t.Fatal(err)
			}
			w, err := shelf.World(o, s.work.Seed)
			if err != nil {
				t.Fatal(err)
			}
			b, err := trainee.Play(w, 7)
			if err != nil {
				t.Fatal(err)
			}
			entries = b.Record().Entries
			t.Logf("the attempts that end have %d entries", len(entries))
		}
		f := finisher{seated: s, n: len(entries)}
		var lines []byte
		for _, e := range entries {
			line, err := s.chain.Entry(e)
			if err != nil {
				t.Fatal(err)
			}
			if e.N == f.n {
				f.last = line
				break
			}
			lines = append(lines, line...)
		}
		if err := s.send(1, lines); err != nil {
			t.Fatal(err)
		}
		if err := s.acked(f.n - 1); err != nil {
			t.Fatal(err)
		}
		all = append(all, f)
	}
	return all
}

// finish ends the attempts and tells how long it took until the server had
// done with all: until what a record store is told of them stands in its
// database, a word for the beginning and one for the end of each.
func finish(t *testing.T, ctx context.Context, all []finisher, data string) time.Duration {
	began := time.Now()
	for _, f := range all {
		if err := f.send(f.n, f.last); err != nil {
			t.Error(err)
			return 0
		}
		time.Sleep(5 * time.Millisecond) // no hand is quicker than another by less
	}
	driver, source := "sqlite", "file:"+filepath.Join(data, store.FileName)+"?mode=ro"
	if address := os.Getenv("FOILWRIGHT_DB"); address != "" {
		driver, source = "pgx", address
	}
	db, err := sql.Open(driver, source)
	if err != nil {
		t.Error(err)
		return 0
	}
	defer db.Close()
	for time.Since(began) < 5*time.Minute {
		told := 0
		if err := db.QueryRowContext(ctx, "select count(*) from outbox").Scan(&told); err != nil {
			t.Error(err)
			return 0
		}
		if told >= 2*len(all) {
			return time.Since(began)
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Errorf("after 5 minutes not all of %d attempts are graded", len(all))
	return 0
}

// work is one trainee: joins, begins, and moves the probe.
func work(ctx context.Context, base, join string, i int, ready chan<- string, start <-chan struct{}) (r result) {
	fail := func(err error) result {
		r.fault = err
		ready <- err.Error()
		return r
	}
	s, err := sit(ctx, base, join, fmt.Sprintf("Trainee %d", i), hall(i))
	if err != nil {
		return fail(err)
	}
	defer s.ws.CloseNow()
	r.attempt = s.work.Attempt
	// All messages are made beforehand: what is measured is the server.
	var messages [][]byte
	var lastOf []int
	n := 0
	head := wire.ToServer{Kind: wire.Lines, Attempt: s.work.Attempt}
	for range int(lasts.Seconds() * float64(*batches)) {
		head.First = n + 1
		var tail []byte
		for range *perSec / *batches {
			n++
			pose := bench.Pose{XUm: int64(n%997) * 100, YUm: int64(n%499) * 50, HeightUm: 30_000 + int64(n%37), TiltX: int64(n % 300)}
			line, err := s.chain.Entry(bench.Entry{N: n, Action: bench.Action{At: int64(n) * 1000 / int64(*perSec), Do: bench.MoveProbe, Pose: &pose}})
			if err != nil {
				return fail(err)
			}
			tail = append(tail, line...)
		}
		text, err := wire.Encode(head, tail)
		if err != nil {
			return fail(err)
		}
		messages, lastOf = append(messages, text), append(lastOf, n)
	}
	// Batches and their times are noted as they are sent; the reader takes them off.
	type sent struct {
		last int
		at   time.Time
	}
	notes := make(chan sent, len(messages))
	ready <- ""
	<-start

	done := make(chan error, 1)
	go func() {
		var open []sent
		for {
			m, err := s.read()
			if err != nil {
				done <- err
				return
			}
			if m.Kind == wire.Refused {
				done <- fmt.Errorf("refused: %s", m.Text)
				return
			}
			if m.Kind != wire.Ack {
				continue
			}
			now := time.Now()
			for more := true; more; {
				select {
				case note := <-notes:
					open = append(open, note)
				default:
					more = false
				}
			}
			for len(open) > 0 && open[0].last <= m.N {
				r.waits, r.sent = append(r.waits, now.Sub(open[0].at)), append(r.sent, open[0].at)
				open = open[1:]
			}
			if m.N >= n {
				r.entries = m.N
				done <- nil
				return
			}
		}
	}()
	beat := time.Second / time.Duration(*batches)
	next := time.Now().Add(time.Duration(i) * beat / time.Duration(*trainees)) // not all in step
	for i, text := range messages {
		time.Sleep(time.Until(next))
		now := time.Now()
		r.behind = append(r.behind, now.Sub(next))
		notes <- sent{lastOf[i], now}
		if err := s.ws.Write(context.Background(), websocket.MessageText, text); err != nil {
			r.fault = err
			return r
		}
		next = next.Add(beat)
	}
	select {
	case r.fault = <-done:
	case <-time.After(time.Minute):
		r.fault = fmt.Errorf("not all of %d entries are acknowledged a minute after the last was sent", n)
	}
	return r
}

func post(t *testing.T, c *http.Client, address string, pairs ...string) string {
	t.Helper()
	form := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		form.Set(pairs[i], pairs[i+1])
	}
	answer, err := c.PostForm(address, form)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	body, _ := io.ReadAll(answer.Body)
	if answer.StatusCode != http.StatusOK {
		t.Fatalf("%s: %d %.300s", address, answer.StatusCode, body)
	}
	return answer.Request.URL.Path
}

func get(t *testing.T, c *http.Client, address string) string {
	t.Helper()
	answer, err := c.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	body, _ := io.ReadAll(answer.Body)
	return string(body)
}

// use is what a process has used so far.
type use struct {
	cpu       time.Duration
	rss, peak int64
}

// usage reads /proc, in the clock ticks of Linux, 100 a second.
func usage(t *testing.T, pid int) use {
	t.Helper()
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		t.Fatal(err)
	}
	fields := strings.Fields(string(stat[bytes.LastIndexByte(stat, ')')+2:]))
	user, _ := strconv.Atoi(fields[11])
	system, _ := strconv.Atoi(fields[12])
	u := use{cpu: time.Duration(user+system) * 10 * time.Millisecond}
	status, _ := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	for line := range strings.Lines(string(status)) {
		var kb int64
		if _, err := fmt.Sscanf(line, "VmRSS: %d kB", &kb); err == nil {
			u.rss = kb << 10
		}
		if _, err := fmt.Sscanf(line, "VmHWM: %d kB", &kb); err == nil {
			u.peak = kb << 10
		}
	}
	return u
}

// portOf finds the port a process listens on.
func portOf(t *testing.T, pid int) string {
	t.Helper()
	inodes := map[string]bool{}
	fds, _ := os.ReadDir(fmt.Sprintf("/proc/%d/fd", pid))
	for _, fd := range fds {
		if to, err := os.Readlink(fmt.Sprintf("/proc/%d/fd/%s", pid, fd.Name())); err == nil && strings.HasPrefix(to, "socket:[") {
			inodes[strings.Trim(to, "socket:[]")] = true
		}
	}
	for _, file := range []string{"/proc/net/tcp", "/proc/net/tcp6"} {
		table, _ := os.ReadFile(file)
		for line := range strings.Lines(string(table)) {
			f := strings.Fields(line)
			if len(f) > 9 && f[3] == "0A" && inodes[f[9]] {
				n, _ := strconv.ParseInt(f[1][strings.LastIndexByte(f[1], ':')+1:], 16, 32)
				return strconv.FormatInt(n, 10)
			}
		}
	}
	t.Fatal("the server listens on no port")
	return ""
}
