// Package link joins a bench to a class server. It keeps trying: a connection
// that drops, a server that restarts and a laptop that sleeps cost nothing but
// time, because whatever was not acknowledged is sent again.
//
// Nothing here blocks: a bench asks Status every frame and hands over what it
// has to send.
package link

import (
	"bytes"
	"context"
	"encoding/json"
	"sync"
	"time"

	"foilwright/internal/class/wire"
	"foilwright/sim/bench"
)

// sendEvery is how long actions and lines are gathered before they are sent.
const sendEvery = 100 * time.Millisecond

// Status is where a bench stands with its class.
type Status struct {
	Connected bool
	Class     string
	Trainee   string
	Paused    bool
	Hint      string    // newest, until it is taken away
	Problem   string    // why the server takes nothing; empty: all is well
	Taken     bool      // the bench goes on elsewhere
	Unsent    int       // entries that are not on the server's disk yet
	Ends      time.Time // of the attempt at hand; zero: no limit
	Work      *wire.Handed
	WorkN     int           // counts the works given, so that a new one is noticed
	Fault     *bench.Action // the instructor lets this happen; nil after TakeFault
}

// Link is a bench's connection to its class. It is made by Dial.
type Link struct {
	dial func(context.Context) (*socket, error)

	mu      sync.Mutex
	status  Status
	outbox  []entry // not acknowledged, in order
	sent    int     // newest entry that went out on this connection
	acked   int
	attempt string
	arrived []bench.Entry
	state   *wire.State
	begin   string // handout to be begun
	ready   bool   // work has come on this connection
	signal  chan struct{}
}

// entry is a log line (practice) or an action (assessment).
type entry struct {
	n    int
	line []byte
	act  *bench.Action
}

// Dial begins to connect to the class at a WebSocket address and keeps at it
// until the context ends.
func Dial(ctx context.Context, address string) *Link {
	return start(ctx, func(ctx context.Context) (*socket, error) { return dial(ctx, address) })
}

func start(ctx context.Context, dial func(context.Context) (*socket, error)) *Link {
	l := &Link{dial: dial, signal: make(chan struct{}, 1)}
	go l.run(ctx)
	return l
}

// Status returns where the bench stands.
func (l *Link) Status() Status {
	l.mu.Lock()
	defer l.mu.Unlock()
	s := l.status
	s.Unsent = len(l.outbox)
	return s
}

// Begin asks for the attempt to be started.
func (l *Link) Begin(handout string) {
	l.mu.Lock()
	l.begin = handout
	l.mu.Unlock()
	l.ring()
}

// Follow says which attempt lines and actions belong to from now on, and up to
// which entry the server has it.
func (l *Link) Follow(attempt string, acked int) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.attempt != attempt {
		l.outbox = nil
	}
	l.attempt, l.acked, l.sent = attempt, acked, acked
	l.drop(acked)
}

// Line hands over a log line of practice, its line feed included.
func (l *Link) Line(n int, line []byte) {
	l.put(entry{n: n, line: bytes.Clone(line)})
}

func (l *Link) put(e entry) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if e.n > l.acked {
		l.outbox = append(l.outbox, e)
	}
}

// TakeHint takes the hint away, as it has been read.
func (l *Link) TakeHint() {
	l.mu.Lock()
	l.status.Hint = ""
	l.mu.Unlock()
}

// TakeFault returns what the instructor lets happen, once.
func (l *Link) TakeFault() *bench.Action {
	l.mu.Lock()
	defer l.mu.Unlock()
	f := l.status.Fault
	l.status.Fault = nil
	return f
}

func (l *Link) ring() {
	select {
	case l.signal <- struct{}{}:
	default:
	}
}

// drop forgets what is on the server's disk; mu is held.
func (l *Link) drop(n int) {
	i := 0
	for i < len(l.outbox) && l.outbox[i].n <= n {
		i++
	}
	l.outbox = append(l.outbox[:0], l.outbox[i:]...)
	l.acked = max(l.acked, n)
}

func (l *Link) run(ctx context.Context) {
	for wait := 200 * time.Millisecond; ctx.Err() == nil; wait = min(2*wait, 5*time.Second) {
		if l.connect(ctx) {
			wait = 200 * time.Millisecond
		}
		l.mu.Lock()
		taken := l.status.Taken
		l.status.Connected, l.ready = false, false
		l.mu.Unlock()
		if taken {
			return
		}
		select {
		case <-ctx.Done():
		case <-time.After(wait):
		}
	}
}

// connect is one connection from beginning to end; it reports whether there
// was one.
func (l *Link) connect(ctx context.Context) bool {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	limit, stop := context.WithTimeout(ctx, 10*time.Second)
	ws, err := l.dial(limit)
	stop()
	if err != nil {
		return false
	}
	defer ws.close()
	l.mu.Lock()
	l.status.Connected = true
	l.mu.Unlock()
	go func() {
		defer cancel()
		l.write(ctx, ws)
	}()
	for {
		data, err := ws.read(ctx)
		if err != nil {
			return true
		}
		var m wire.ToBench
		if err := json.Unmarshal(data, &m); err != nil {
			return true
		}
		l.take(&m)
	}
}

// take takes in a message of the server.
func (l *Link) take(m *wire.ToBench) {
	l.mu.Lock()
	defer l.mu.Unlock()
	s := &l.status
	switch m.Kind {
	case wire.Hello:
		s.Class, s.Trainee, s.Paused, s.Problem = m.Class, m.Trainee, m.Paused, ""
		if m.Version != wire.Version {
			s.Problem = "this page is older or newer than the class server; load it anew"
		}
	case wire.Work:
		l.work(m)
	case wire.Ack, wire.Seen:
		if m.Attempt != l.attempt {
			return
		}
		l.drop(m.N)
		l.see(m.Seen)
		if m.State != nil {
			l.state = m.State
		}
	case wire.Pause:
		s.Paused = m.On
	case wire.Hint:
		s.Hint = m.Text
	case wire.Fault:
		s.Fault = m.Action
	case wire.Refused:
		s.Problem = m.Text
	case wire.Taken:
		s.Taken, s.Problem = true, m.Text
	}
}

// work takes in what was handed out; mu is held.
func (l *Link) work(m *wire.ToBench) {
	s := &l.status
	known := s.Work != nil && m.Work != nil && s.Work.Attempt == m.Work.Attempt && m.Work.Attempt == l.attempt && l.attempt != ""
	s.Work, s.Problem, l.ready, s.Ends = m.Work, "", true, time.Time{}
	if m.Work != nil && m.Work.LeftMs > 0 {
		s.Ends = time.Now().Add(time.Duration(m.Work.LeftMs) * time.Millisecond) // by this machine's steady clock
	}
	if !known {
		s.WorkN++
		l.arrived, l.state = nil, nil
		if m.Work != nil && m.Work.Assessment {
			l.state = m.Work.State
		}
		return
	}
	// The same attempt after a break: go on where the server stands.
	l.drop(m.N)
	l.sent = m.N
	if m.Work.Assessment {
		l.see(m.Work.Seen)
		l.state = m.Work.State
	}
}

// see notes what came of actions, each once; mu is held.
func (l *Link) see(seen []wire.Entry) {
	last := 0
	if n := len(l.arrived); n > 0 {
		last = l.arrived[n-1].N
	}
	for _, e := range seen {
		if e.N > last {
			l.arrived = append(l.arrived, bench.Entry{N: e.N, Action: e.Action, Events: e.Events})
			last = e.N
		}
	}
}

// write sends what is to be sent until the connection ends.
func (l *Link) write(ctx context.Context, ws *socket) {
	tick := time.NewTicker(sendEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-l.signal:
		case <-tick.C:
		}
		for {
			text := l.next()
			if text == nil {
				break
			}
			limit, stop := context.WithTimeout(ctx, 20*time.Second)
			err := ws.write(limit, text)
			stop()
			if err != nil {
				return
			}
		}
	}
}

// next returns the next message to be sent, nil when there is none.
func (l *Link) next() []byte {
	l.mu.Lock()
	defer l.mu.Unlock()
	if !l.ready {
		return nil
	}
	if l.begin != "" {
		m := wire.ToServer{Kind: wire.Begin, Handout: l.begin}
		l.begin = ""
		return encode(m, nil)
	}
	if l.status.Problem != "" {
		return nil
	}
	m := wire.ToServer{Attempt: l.attempt}
	var tail []byte
	for _, e := range l.outbox {
		if e.n <= l.sent {
			continue
		}
		if m.First == 0 {
			m.First = e.n
		}
		if len(tail) > wire.MostBytes/2 || e.n-m.First >= wire.MostInBatch/2 {
			break
		}
		if e.act != nil {
			m.Kind = wire.Actions
			m.Actions = append(m.Actions, *e.act)
		} else {
			m.Kind = wire.Lines
			tail = append(tail, e.line...)
		}
		l.sent = e.n
	}
	if m.First == 0 {
		return nil
	}
	return encode(m, tail)
}

func encode(m wire.ToServer, tail []byte) []byte {
	text, err := wire.Encode(m, tail)
	if err != nil {
		return nil // plain values always encode
	}
	return text
}
