package live

import (
	"context"
	"errors"
	"sync"
	"time"

	"github.com/coder/websocket"

	"foilwright/internal/class/wire"
)

// conn is one browser's connection. Whatever is to be told to it is noted, and
// one goroutine writes: nobody waits for a slow browser. Its methods may be
// called on nil, when nobody is there.
type conn struct {
	ws     *websocket.Conn
	signal chan struct{}
	late   *time.Timer // closes the connection while a message is being written
	text   []byte      // of the newest acknowledgement, to be written over

	mu     sync.Mutex
	queue  [][]byte
	queued int // bytes
	seen   []wire.Entry
	again  bool // acknowledge even if nothing is new
	reason string
	ended  bool
	seat   *seat
}

// mostQueued bounds what waits for a browser that takes nothing: messages and
// bytes. A single message may be larger.
const (
	mostQueued      = 2000
	mostQueuedBytes = 4 << 20
)

// writeWithin is how long a browser may take for one message of a size: 10 s,
// and for long logs what a poor network needs.
func writeWithin(size int) time.Duration {
	return 10*time.Second + time.Duration(size>>16)*time.Second
}

func newConn(ws *websocket.Conn) *conn {
	late := time.AfterFunc(time.Hour, func() { ws.CloseNow() })
	late.Stop()
	return &conn{ws: ws, signal: make(chan struct{}, 1), late: late}
}

func (c *conn) ring() {
	select {
	case c.signal <- struct{}{}:
	default:
	}
}

// wake has entries acknowledged.
func (c *conn) wake() {
	if c == nil {
		return
	}
	c.mu.Lock()
	c.again = true
	c.mu.Unlock()
	c.ring()
}

// tell notes what a candidate is to see of an entry.
func (c *conn) tell(e wire.Entry) {
	if c == nil {
		return
	}
	c.mu.Lock()
	c.seen = append(c.seen, e)
	c.mu.Unlock()
}

// send queues a message.
func (c *conn) send(m wire.ToBench) {
	if c == nil {
		return
	}
	text, err := wire.Encode(m, nil)
	if err != nil {
		c.end("a message could not be written")
		return
	}
	c.sendText(text)
}

// sendText queues a message that is encoded already.
func (c *conn) sendText(text []byte) {
	c.mu.Lock()
	if n := len(c.queue); n == 0 || n < mostQueued && c.queued+len(text) <= mostQueuedBytes {
		c.queue, c.queued = append(c.queue, text), c.queued+len(text)
	} else {
		c.ended, c.reason = true, tooSlow
		c.late.Reset(0)
	}
	c.mu.Unlock()
	c.ring()
}

// end closes the connection after saying why.
func (c *conn) end(why string) {
	if c == nil {
		return
	}
	c.mu.Lock()
	c.ended, c.reason = true, why
	c.mu.Unlock()
	c.ring()
}

// sit notes the seat of the connection.
func (c *conn) sit(s *seat) {
	c.mu.Lock()
	c.seat, c.seen = s, nil
	c.mu.Unlock()
}

// write writes what is to be told until the context or the connection ends.
func (c *conn) write(ctx context.Context) error {
	for {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-c.signal:
		}
		c.mu.Lock()
		queue, ended, reason, s, again := c.queue, c.ended, c.reason, c.seat, c.again
		c.queue, c.queued, c.again = nil, 0, false
		c.mu.Unlock()
		for _, text := range queue {
			if err := c.put(text); err != nil {
				return err
			}
		}
		if ended {
			return errors.Join(errors.New(reason), c.ws.Close(websocket.StatusTryAgainLater, reason))
		}
		if s != nil && again {
			if err := c.acknowledge(s); err != nil {
				return err
			}
		}
	}
}

// acknowledge tells up to where entries are on the disk, and in an assessment
// what came of them.
func (c *conn) acknowledge(s *seat) error {
	m := wire.ToBench{Kind: wire.Ack, Attempt: s.attempt.ID}
	s.mu.Lock()
	m.N = s.kept
	c.mu.Lock()
	n := 0
	for n < len(c.seen) && c.seen[n].N <= m.N {
		n++
	}
	if n > 0 {
		m.Kind, m.Seen = wire.Seen, c.seen[:n:n]
		c.seen = c.seen[n:]
		m.State = s.state()
	}
	c.mu.Unlock()
	if n == 0 {
		s.mu.Unlock()
		c.text = wire.AppendAck(c.text[:0], m.Attempt, m.N)
		return c.put(c.text)
	}
	text, err := wire.Encode(m, nil) // here, because the state is the bench's own
	s.mu.Unlock()
	if err != nil {
		return err
	}
	return c.put(text)
}

// tooSlow is why a connection ends whose browser takes nothing.
const tooSlow = "this browser takes nothing any more"

// put writes a message. One timer stands for all: a context with a deadline
// for each would cost as much as the writing.
func (c *conn) put(text []byte) error {
	c.late.Reset(writeWithin(len(text)))
	err := c.ws.Write(context.Background(), websocket.MessageText, text)
	if !c.late.Stop() && err != nil {
		return errors.New(tooSlow)
	}
	return err
}
