//go:build !js

package link

import (
	"context"
	"net/http"

	"github.com/coder/websocket"
)

// DialAs is Dial for a program that is no browser and must bring its cookie
// itself.
func DialAs(ctx context.Context, address, cookie string) *Link {
	return start(ctx, func(ctx context.Context) (*websocket.Conn, error) {
		ws, _, err := websocket.Dial(ctx, address, &websocket.DialOptions{HTTPHeader: http.Header{"Cookie": {cookie}}})
		return ws, err
	})
}
