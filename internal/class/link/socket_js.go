package link

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"syscall/js"
)

var errClosed = errors.New("the connection is closed")

// openState is WebSocket.OPEN.
const openState = 1

// socket is the browser's own WebSocket. A library that also serves other
// programs would bring HTTP and TLS into the page, which the browser has.
//
// The browser calls back between the turns of this program and must not be
// kept waiting, so messages are gathered here until read takes them.
type socket struct {
	ws    js.Value
	heard []js.Func

	mu       sync.Mutex
	messages []string
	opened   bool
	closed   bool
	signal   chan struct{} // something of the above has changed
}

func dial(ctx context.Context, address string) (*socket, error) {
	s := &socket{signal: make(chan struct{}, 1)}
	if err := s.make(address); err != nil {
		return nil, err
	}
	s.on("onopen", func(js.Value) { s.opened = true })
	s.on("onclose", func(js.Value) { s.closed = true })
	s.on("onmessage", func(event js.Value) {
		if data := event.Get("data"); data.Type() == js.TypeString { // the server sends nothing but text
			s.messages = append(s.messages, data.String())
		}
	})
	err := s.until(ctx, func() bool { return s.opened })
	if err != nil {
		s.close()
		return nil, fmt.Errorf("connect to %s: %w", address, err)
	}
	return s, nil
}

// make asks the browser for a WebSocket; it throws at an address it does not
// like, such as ws: on an https: page.
func (s *socket) make(address string) (err error) {
	defer func() {
		if thrown := recover(); thrown != nil {
			err = fmt.Errorf("connect to %s: %v", address, thrown)
		}
	}()
	s.ws = js.Global().Get("WebSocket").New(address)
	return nil
}

// on has what happened noted with mu held.
func (s *socket) on(name string, note func(event js.Value)) {
	f := js.FuncOf(func(_ js.Value, args []js.Value) any {
		s.mu.Lock()
		note(args[0])
		s.mu.Unlock()
		select {
		case s.signal <- struct{}{}:
		default:
		}
		return nil
	})
	s.heard = append(s.heard, f)
	s.ws.Set(name, f)
}

// until waits until done holds, which is asked with mu held. What arrived
// before the connection closed still counts.
func (s *socket) until(ctx context.Context, done func() bool) error {
	for {
		s.mu.Lock()
		ok, closed := done(), s.closed
		s.mu.Unlock()
		if ok {
			return nil
		}
		if closed {
			return errClosed
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-s.signal:
		}
	}
}

func (s *socket) read(ctx context.Context) ([]byte, error) {
	var text string
	err := s.until(ctx, func() bool {
		if len(s.messages) == 0 {
			return false
		}
		text, s.messages = s.messages[0], s.messages[1:]
		return true
	})
	if err != nil {
		return nil, err
	}
	return []byte(text), nil
}

// write hands the text to the browser, which never blocks.
func (s *socket) write(ctx context.Context, text []byte) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	if s.ws.Get("readyState").Int() != openState {
		return errClosed
	}
	s.ws.Call("send", string(text))
	return nil
}

// close ends the connection and listens no more.
func (s *socket) close() {
	for _, name := range []string{"onopen", "onclose", "onmessage"} {
		s.ws.Set(name, js.Null())
	}
	s.ws.Call("close")
	for _, f := range s.heard {
		f.Release()
	}
}
