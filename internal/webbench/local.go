package webbench

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"strconv"
	"syscall"
	"time"
)

// DefaultPort is where the bench is served unless another port is asked for or this one is taken.
const DefaultPort = 8737

// portsTried is how many ports Listen looks at before it gives up.
const portsTried = 20

// Listen opens the loopback address at a port, or at the next free one above it. Port 0 takes any free port.
func Listen(port int) (net.Listener, error) {
	if port < 0 || port > 65535 {
		return nil, fmt.Errorf("port %d is outside 0 to 65535", port)
	}
	for p := port; ; p++ {
		l, err := net.Listen("tcp4", net.JoinHostPort("127.0.0.1", strconv.Itoa(p)))
		if err == nil {
			return l, nil
		}
		if !errors.Is(err, syscall.EADDRINUSE) && !errors.Is(err, wsaAddressInUse) {
			return nil, fmt.Errorf("listening on 127.0.0.1:%d: %w", p, err)
		}
		if p == port+portsTried-1 || p == 65535 {
			return nil, fmt.Errorf("ports %d to %d of this machine are all taken", port, p)
		}
	}
}

// wsaAddressInUse is what Windows says for an address in use; package syscall has no name for it.
const wsaAddressInUse = syscall.Errno(10048)

// Serve answers requests from this machine until the context ends; then it lets running requests finish for a moment
// and returns nil.
func Serve(ctx context.Context, l net.Listener, site http.Handler) error {
	server := &http.Server{
		Handler:           loopbackOnly(site),
		ReadHeaderTimeout: 10 * time.Second,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    1 << 16,
	}
	return ServeUntil(ctx, server, l, server.Serve)
}

// ServeUntil lets a server answer on l, by its Serve or ServeTLS, until the context ends; then it lets running requests
// finish for a moment and returns nil.
func ServeUntil(ctx context.Context, server *http.Server, l net.Listener, serve func(net.Listener) error) error {
	stopped := make(chan error, 1)
	go func() { stopped <- serve(l) }()
	select {
	case err := <-stopped:
		return fmt.Errorf("serving on %s: %w", l.Addr(), err)
	case <-ctx.Done():
	}
	grace, cancel := context.WithTimeout(context.Background(), 2*time.Second)
	defer cancel()
	if err := server.Shutdown(grace); err != nil {
		server.Close()
	}
	if err := <-stopped; !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}

// loopbackOnly refuses requests that come from another machine, and those made through a name that is not this
// machine's own, by which a page from elsewhere could reach in (DNS rebinding).
func loopbackOnly(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		from, err := netip.ParseAddrPort(r.RemoteAddr)
		if err != nil || !from.Addr().Unmap().IsLoopback() || !isLocalName(r.Host) {
			http.Error(w, "this bench is served to its own machine only", http.StatusForbidden)
			return
		}
		next.ServeHTTP(w, r)
	})
}

func isLocalName(host string) bool {
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	if host == "localhost" {
		return true
	}
	a, err := netip.ParseAddr(trimBrackets(host))
	return err == nil && a.IsLoopback()
}

func trimBrackets(host string) string {
	if len(host) > 2 && host[0] == '[' && host[len(host)-1] == ']' {
		return host[1 : len(host)-1]
	}
	return host
}
