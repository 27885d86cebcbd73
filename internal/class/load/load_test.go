//go:build load

// Package load puts a class server under the load of a very large class and
// tells what it costs. It is run by hand, or with the tag load:
//
//	go test -tags load -run TestLoad -v -timeout 10m ./internal/class/load
//
// The server runs as a process of its own, so that its time and memory can be
// told from those of the trainees. FOILWRIGHT_DB moves it to PostgreSQL.
package load

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/coder/websocket"

	"foilwright/internal/class/wire"
	"foilwright/sim/bench"
)

var (
	trainees = flag.Int("trainees", 500, "trainees at a time")
	lasts    = flag.Duration("lasts", 30*time.Second, "how long they work")
	perSec   = flag.Int("samples", 60, "pose samples a second and trainee")
	batches  = flag.Int("batches", 10, "messages a second and trainee")
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
	before := usage(t, server.Process.Pid)
	mine := usage(t, os.Getpid())
	began := time.Now()
	close(start)
	group.Wait()
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
	loads, _ := os.ReadFile("/proc/loadavg")
	t.Logf("load of the machine: %s", bytes.TrimSpace(loads))
	if s := complaint.String(); strings.Contains(s, "level=ERROR") {
		t.Errorf("the server complains: %.500s", s)
	}
}

type result struct {
	waits   []time.Duration
	behind  []time.Duration // how late a message was sent: the generator's own fault
	entries int
	fault   error
}

// work is one trainee: joins, begins, and moves the probe.
func work(ctx context.Context, base, join string, i int, ready chan<- string, start <-chan struct{}) (r result) {
	fail := func(err error) result {
		r.fault = err
		ready <- err.Error()
		return r
	}
	jar, _ := cookiejar.New(nil)
	client := &http.Client{Jar: jar}
	answer, err := client.PostForm(base+"/join", url.Values{"code": {join}, "name": {fmt.Sprintf("Trainee %d", i)}})
	if err != nil {
		return fail(err)
	}
	answer.Body.Close()
	client.CloseIdleConnections()
	u, _ := url.Parse(base)
	cookie := ""
	for _, c := range jar.Cookies(u) {
		cookie = c.Name + "=" + c.Value
	}
	ws, _, err := websocket.Dial(ctx, strings.Replace(base, "http", "ws", 1)+"/bench/link", &websocket.DialOptions{HTTPHeader: http.Header{"Cookie": {cookie}}})
	if err != nil {
		return fail(err)
	}
	defer ws.CloseNow()
	ws.SetReadLimit(1 << 24)
	defer context.AfterFunc(ctx, func() { ws.CloseNow() })()
	// What a trainee costs must not be measured: no context for each message, and
	// acknowledgements are read by hand.
	var data bytes.Buffer
	ackHead := []byte(`{"kind":"ack",`)
	read := func() (wire.ToBench, error) {
		var m wire.ToBench
		_, from, err := ws.Reader(context.Background())
		if err != nil {
			return m, err
		}
		data.Reset()
		if _, err := data.ReadFrom(from); err != nil {
			return m, err
		}
		text := data.Bytes()
		if bytes.HasPrefix(text, ackHead) {
			m.Kind = wire.Ack
			m.N, err = strconv.Atoi(string(text[bytes.LastIndexByte(text, ':')+1 : len(text)-1]))
			return m, err
		}
		return m, json.Unmarshal(text, &m)
	}
	var handed *wire.Handed
	for handed == nil || handed.Attempt == "" {
		m, err := read()
		if err != nil {
			return fail(err)
		}
		if m.Kind == wire.Refused {
			return fail(fmt.Errorf("refused: %s", m.Text))
		}
		if m.Kind == wire.Work {
			if handed = m.Work; handed.Attempt == "" {
				text, _ := wire.Encode(wire.ToServer{Kind: wire.Begin, Handout: handed.Handout}, nil)
				if err := ws.Write(ctx, websocket.MessageText, text); err != nil {
					return fail(err)
				}
			}
		}
	}
	l, err := bench.ReadLog("log", strings.NewReader(handed.Log))
	if err != nil {
		return fail(err)
	}
	// All messages are made beforehand: what is measured is the server.
	chain := l.Writer
	var messages [][]byte
	var lastOf []int
	n := 0
	head := wire.ToServer{Kind: wire.Lines, Attempt: handed.Attempt}
	for range int(lasts.Seconds() * float64(*batches)) {
		head.First = n + 1
		var tail []byte
		for range *perSec / *batches {
			n++
			pose := bench.Pose{XUm: int64(n%997) * 100, YUm: int64(n%499) * 50, HeightUm: 30_000 + int64(n%37), TiltX: int64(n % 300)}
			line, err := chain.Entry(bench.Entry{N: n, Action: bench.Action{At: int64(n) * 1000 / int64(*perSec), Do: bench.MoveProbe, Pose: &pose}})
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
	ready <- ""
	<-start

	// Batches and their times are noted as they are sent; the reader takes them off.
	type sent struct {
		last int
		at   time.Time
	}
	notes := make(chan sent, 1<<16)
	done := make(chan error, 1)
	go func() {
		var open []sent
		for {
			m, err := read()
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
				case s := <-notes:
					open = append(open, s)
				default:
					more = false
				}
			}
			for len(open) > 0 && open[0].last <= m.N {
				r.waits = append(r.waits, now.Sub(open[0].at))
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
		if err := ws.Write(context.Background(), websocket.MessageText, text); err != nil {
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
