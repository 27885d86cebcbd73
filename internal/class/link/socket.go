//go:build !js

package link

import (
	"context"
	"net/http"

	"github.com/coder/websocket"
)

// mostRead bounds a message of the server, in bytes.
const mostRead = 64 << 20

// socket is a WebSocket that carries text. The browser brings its own, in
// socket_js.go.
type socket struct {
	ws *websocket.Conn
}

// DialAs is Dial for a program that is no browser and must bring its cookie
// itself.
func DialAs(ctx context.Context, address, cookie string) *Link {
	return start(ctx, func(ctx context.Context) (*socket, error) {
		return open(ctx, address, &websocket.DialOptions{HTTPHeader: http.Header{"Cookie": {cookie}}})
	})
}

func dial(ctx context.Context, address string) (*socket, error) {
	return open(ctx, address, nil)
}

func open(ctx context.Context, address string, options *websocket.DialOptions) (*socket, error) {
	ws, _, err := websocket.Dial(ctx, address, options)
	if err != nil {
		return nil, err
	}
	ws.SetReadLimit(mostRead)
	return &socket{ws: ws}, nil
}

func (s *socket) read(ctx context.Context) ([]byte, error) {
	_, data, err := s.ws.Read(ctx)
	return data, err
}

func (s *socket) write(ctx context.Context, text []byte) error {
	return s.ws.Write(ctx, websocket.MessageText, text)
}

func (s *socket) close() { _ = s.ws.CloseNow() }
