//go:build browser

package lesson

import (
	"encoding/json"
	"strconv"
	"strings"
	"time"

	"foilwright/internal/browsertest"
	"foilwright/internal/class/live"
	"foilwright/internal/class/wire"
	"foilwright/scenarios"
	"foilwright/sim/bench"
	"foilwright/sim/trainee"
)

// pupil is a trainee whose page speaks the protocol by a script in place of
// the bench.
type pupil struct {
	*school
	page *browsertest.Page
	name string
	from *bench.Writer
	n    int // entries sent
}

// script keeps one WebSocket to the class and what came over it.
const script = `(() => {
	const socket = new WebSocket(location.origin.replace(/^http/, "ws") + "/bench/link");
	const link = window.link = {socket: socket, acked: 0, problem: "", text: ""};
	socket.onmessage = (e) => {
		const m = JSON.parse(e.data);
		if (m.kind === "work") { link.text = JSON.stringify(m.work || null); link.work = m.work; }
		if (m.kind === "ack" || m.kind === "seen") link.acked = m.n;
		if (m.kind === "refused") link.problem = m.text;
	};
})()`

// scripted lets somebody join by the form, without the bench's program.
func (s *school) scripted(b *browsertest.Browser, code, name string) *pupil {
	s.Helper()
	p := &pupil{school: s, page: b.Visitor(s).Open(s, s.address+"/join/"+code), name: name}
	p.page.Block("*foilwright.wasm*")
	p.page.Fill("[name=name]", name)
	p.page.Click("button.first")
	p.page.Until("joined", `location.pathname === "/bench/" && document.readyState === "complete"`)
	p.page.Evaluate(script)
	p.page.Until("connected", "link.socket.readyState === 1")
	return p
}

func (p *pupil) say(m wire.ToServer, tail []byte) {
	p.Helper()
	text, err := wire.Encode(m, tail)
	if err != nil {
		p.Fatal(err)
	}
	p.page.Evaluate("link.socket.send(" + quote(text) + ")")
}

// quote writes a text as a script has it.
func quote(text []byte) string {
	out, _ := json.Marshal(string(text))
	return string(out)
}

func (p *pupil) taken() *wire.Handed {
	p.Helper()
	var w wire.Handed
	if err := json.Unmarshal([]byte(p.page.Evaluate("link.text")), &w); err != nil {
		p.Fatal(err)
	}
	return &w
}

func (p *pupil) waits() {
	p.Helper()
	p.page.Until("the assessment waits", "link.work && link.work.waits")
}

// begin begins what was handed out.
func (p *pupil) begin() *wire.Handed {
	p.Helper()
	p.page.Until("work is handed out", "link.work && !link.work.waits && !link.work.attempt")
	p.say(wire.ToServer{Kind: wire.Begin, Handout: p.taken().Handout}, nil)
	p.page.Evaluate("link.acked = 0")
	p.page.Until("the attempt has begun", "link.work && link.work.attempt")
	w := p.taken()
	p.follow(w)
	return w
}

// follow goes on where the server's log ends, and returns with how many entries.
func (p *pupil) follow(w *wire.Handed) int {
	p.Helper()
	if w.Assessment {
		return 0
	}
	l, err := bench.ReadLog(p.name, strings.NewReader(w.Log))
	if err != nil {
		p.Fatal(err)
	}
	p.from, p.n = &l.Writer, len(l.Entries)
	return p.n
}

// played is what a scripted trainee does with what was handed out.
func (s *school) played(w *wire.Handed, faults ...string) []bench.Entry {
	s.Helper()
	e, err := scenarios.ByID(w.Exercise)
	if err != nil {
		s.Fatal(err)
	}
	world, err := bench.NewWorld(e, w.Seed)
	if err != nil {
		s.Fatal(err)
	}
	b, err := trainee.Play(world, w.Seed, faults...)
	if err != nil {
		s.Fatal(err)
	}
	return b.Record().Entries
}

// send sends log lines in batches and waits for nothing.
func (p *pupil) send(w *wire.Handed, entries []bench.Entry) {
	p.Helper()
	for len(entries) > 0 {
		batch := entries[:min(300, len(entries))]
		entries = entries[len(batch):]
		var lines []byte
		for _, e := range batch {
			line, err := p.from.Entry(e)
			if err != nil {
				p.Fatal(err)
			}
			lines = append(lines, line...)
		}
		p.say(wire.ToServer{Kind: wire.Lines, Attempt: w.Attempt, First: batch[0].N}, lines)
		p.n = batch[len(batch)-1].N
	}
}

// practise sends log lines and waits until all are acknowledged.
func (p *pupil) practise(w *wire.Handed, entries []bench.Entry) {
	p.Helper()
	if len(entries) == 0 {
		return // all of it was there already
	}
	p.send(w, entries)
	p.page.Until(p.name+"'s entries are acknowledged", "link.problem || link.acked >= "+strconv.Itoa(p.n))
	if problem := p.page.Evaluate("link.problem"); problem != "" {
		p.Fatal(problem)
	}
}

// acked is the newest entry that the server said to have on its disk.
func (p *pupil) acked() int {
	p.Helper()
	n, err := strconv.Atoi(p.page.Evaluate("String(link.acked)"))
	if err != nil {
		p.Fatal(err)
	}
	return n
}

// comeBack connects anew and returns how many entries the server has.
func (p *pupil) comeBack(w *wire.Handed) int {
	p.Helper()
	p.page.Until("the connection has gone", "link.socket.readyState === 3")
	p.page.Evaluate(script)
	p.page.Until("the work is back", "link.work && link.work.attempt === "+strconv.Quote(w.Attempt))
	return p.follow(p.taken())
}

// act carries out actions under assessment.
func (p *pupil) act(w *wire.Handed, actions []bench.Action) {
	p.Helper()
	p.say(wire.ToServer{Kind: wire.Actions, Attempt: w.Attempt, First: 1, Actions: actions}, nil)
	p.page.Until(p.name+"'s actions are acknowledged", "link.problem || link.acked >= "+strconv.Itoa(len(actions)))
	if problem := p.page.Evaluate("link.problem"); problem != "" {
		p.Fatal(problem)
	}
}

// worker is a trainee at the real bench, followed by what the instructor's
// page is told of it.
type worker struct {
	by *desk
	*browsertest.Page
	name, class, attempt string
}

// running waits until the bench in a page has drawn itself.
func running(p *browsertest.Page) {
	p.Helper()
	p.Until("the bench runs", `document.querySelector("canvas")?.width > 0 && performance.getEntriesByName("first-frame").length > 0`)
}

// scene is the bench as the server has it.
func (a *worker) scene() *live.Scene {
	a.Helper()
	var sc live.Scene
	text := a.by.Evaluate(`fetch("/attempt/` + a.attempt + `/scene.json").then((r) => r.text())`)
	if err := json.Unmarshal([]byte(text), &sc); err != nil {
		a.Fatalf("%v in %.200s", err, text)
	}
	return &sc
}

// begin presses the button of the card that tells what was handed out.
func (a *worker) begin() {
	a.Helper()
	for range 8 {
		a.Press("Enter", 300*time.Millisecond)
		for range 20 {
			if r := row(a, a.by.board(a.class), a.name); r.Attempt != "" && r.Attempt != a.attempt {
				a.attempt = r.Attempt
				a.until("the job sheet is open", func(sc *live.Scene) bool { return sc.View.JobRead })
				return
			}
			time.Sleep(100 * time.Millisecond)
		}
	}
	a.Fatal("the attempt does not begin")
}

// patience is how long a slow bench may take for one step.
const patience = time.Minute

func (a *worker) until(what string, ok func(*live.Scene) bool) {
	a.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
		if ok(a.scene()) {
			return
		}
	}
	a.by.shot("failed", a.Page)
	a.Fatalf("not within %.0f s: %s", patience.Seconds(), what)
}

// key presses a key until something has come of it: a slow bench may miss one.
func (a *worker) key(key, what string, ok func(*live.Scene) bool) {
	a.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); {
		a.Press(key, 250*time.Millisecond)
		for range 12 {
			if ok(a.scene()) {
				return
			}
			time.Sleep(100 * time.Millisecond)
		}
	}
	a.by.shot("failed", a.Page)
	a.Fatalf("key %s: not within %.0f s: %s", key, patience.Seconds(), what)
}

func (a *worker) place(key, piece string) {
	a.Helper()
	a.key(key, piece+" is placed", func(sc *live.Scene) bool { return sc.View.Piece == piece })
}

// prepare reads the job, and has the tip and the memory clean.
func (a *worker) prepare() {
	a.Helper()
	a.Press("Enter", 300*time.Millisecond)
	time.Sleep(500 * time.Millisecond)
	a.key("l", "the tip is looked at", func(sc *live.Scene) bool { return sc.View.TipSeen })
	a.Press("w", 300*time.Millisecond)
	a.key("c", "the memory is empty", func(sc *live.Scene) bool { return sc.View.Statistics.N == 0 })
}

// zero takes a zero of too few readings on the bare piece.
func (a *worker) zero() {
	a.Helper()
	a.place("2", "twin-3")
	a.key("z", "the zero is begun", func(sc *live.Scene) bool { return sc.View.Mode == bench.Zeroing })
	a.reading()
	a.key("s", "the zero is stored", func(sc *live.Scene) bool { return sc.View.Zeroed })
}

// reading puts the probe down until a reading has come, and lifts it.
func (a *worker) reading() {
	a.Helper()
	taken := func(sc *live.Scene) int { return len(sc.View.Taken) + sc.View.Statistics.N }
	before := taken(a.scene())
	lift := a.Hold("Space")
	a.until("there is a reading", func(sc *live.Scene) bool { return taken(sc) > before })
	lift()
	a.until("the probe is lifted", func(sc *live.Scene) bool { return !sc.View.Touching })
	time.Sleep(700 * time.Millisecond) // on its way up
}

// handIn reports what the instrument shows and ends the attempt.
func (a *worker) handIn() {
	a.Helper()
	a.Press("r", 300*time.Millisecond)
	time.Sleep(time.Second)
	a.Press("a", 300*time.Millisecond)
	a.key("Enter", "it is handed in", func(sc *live.Scene) bool { return sc.View.Finished })
}
