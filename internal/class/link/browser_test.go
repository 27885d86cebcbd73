//go:build browser

package link_test

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/coder/websocket"

	"foilwright/internal/browsertest"
	"foilwright/internal/class/wire"
)

// A page in Chromium is linked with a server that refuses it once, takes two
// lines, goes away without having taken the third, and comes back.
func TestLinkInABrowser(t *testing.T) {
	program := filepath.Join(t.TempDir(), "page.wasm")
	build := exec.Command("go", "build", "-o", program, "./testdata/page")
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 3*time.Minute)
	defer cancel()
	ended := make(chan error, 1)
	calls := 0
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, r *http.Request) {
		io.WriteString(w, `<!doctype html><script src="wasm_exec.js"></script><script>
			const go = new Go();
			go.argv = ["page", "ws://" + location.host + "/link"];
			fetch("page.wasm").then((r) => r.arrayBuffer()).then((b) => WebAssembly.instantiate(b, go.importObject)).then((p) => go.run(p.instance));
		</script>`)
	})
	mux.HandleFunc("GET /page.wasm", func(w http.ResponseWriter, r *http.Request) { http.ServeFile(w, r, program) })
	mux.HandleFunc("GET /wasm_exec.js", func(w http.ResponseWriter, r *http.Request) {
		http.ServeFile(w, r, filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec.js"))
	})
	mux.HandleFunc("GET /link", func(w http.ResponseWriter, r *http.Request) {
		if calls++; calls == 1 { // one bench that calls again only when the call before has ended
			http.Error(w, "not yet", http.StatusServiceUnavailable)
			return
		}
		ws, err := websocket.Accept(w, r, nil)
		if err != nil {
			ended <- err
			return
		}
		defer ws.CloseNow()
		s := server{ctx, ws}
		switch calls {
		case 2:
			if err := s.first(); err != nil {
				ended <- fmt.Errorf("on the first connection: %w", err)
			}
		case 3:
			ended <- s.second()
			<-ctx.Done() // the page is not to call again
		}
	})
	site := httptest.NewServer(mux)
	defer site.Close()

	browser := exec.CommandContext(ctx, "chromium", "--headless", "--no-sandbox", "--disable-dev-shm-usage", "--disable-gpu",
		"--no-first-run", "--disable-background-networking", "--remote-debugging-port=0",
		"--user-data-dir="+browsertest.Profile(t), site.URL+"/")
	if err := browser.Start(); err != nil {
		t.Fatal(err)
	}
	defer browser.Wait()
	defer cancel()
	select {
	case err := <-ended:
		if err != nil {
			t.Error(err)
		}
	case <-ctx.Done():
		t.Errorf("the page called %d times and did not come to its end", calls)
	}
}

// server is the other end of one connection.
type server struct {
	ctx context.Context
	ws  *websocket.Conn
}

func (s server) first() error {
	if err := s.say(wire.ToBench{Kind: wire.Hello, Version: wire.Version}, wire.ToBench{Kind: wire.Work, Work: &wire.Handed{Handout: "h1"}}); err != nil {
		return err
	}
	if m, _, err := s.hear(); err != nil || m.Kind != wire.Begin || m.Handout != "h1" {
		return fmt.Errorf("heard %+v, %v, want begin of h1", m, err)
	}
	if err := s.say(wire.ToBench{Kind: wire.Work, Work: &wire.Handed{Handout: "h1", Attempt: "a1"}}); err != nil {
		return err
	}
	if err := s.lines(1, "line 1 µm\nline 2 µm\n"); err != nil {
		return err
	}
	if err := s.say(wire.ToBench{Kind: wire.Ack, Attempt: "a1", N: 2}); err != nil {
		return err
	}
	return s.lines(3, "line 3 µm\n") // and it goes without a word
}

func (s server) second() error {
	if err := s.say(wire.ToBench{Kind: wire.Hello, Version: wire.Version},
		wire.ToBench{Kind: wire.Work, N: 2, Attempt: "a1", Work: &wire.Handed{Handout: "h1", Attempt: "a1"}}); err != nil {
		return err
	}
	if err := s.lines(3, "line 3 µm\nline 4 µm\n"); err != nil {
		return err
	}
	hint := strings.Repeat("µ", 1<<20) // more than a page of memory, and no ASCII
	if err := s.say(wire.ToBench{Kind: wire.Hint, Text: "lift"}, wire.ToBench{Kind: wire.Hint, Text: hint}, wire.ToBench{Kind: wire.Hint, Text: "lift clear"},
		wire.ToBench{Kind: wire.Ack, Attempt: "a1", N: 4}); err != nil {
		return err
	}
	if m, _, err := s.hear(); err != nil || m.Handout != "done lift clear" {
		return fmt.Errorf("heard %+v, %v, want the hint said back", m, err)
	}
	return nil
}

// lines hears log lines until they are those wanted; they may come in parts.
func (s server) lines(first int, want string) error {
	got := ""
	for got != want {
		m, tail, err := s.hear()
		if err != nil {
			return err
		}
		if m.Kind != wire.Lines || m.Attempt != "a1" || m.First != first || !strings.HasPrefix(want, got+string(tail)) {
			return fmt.Errorf("heard %+v with %q after %q, want %q from %d", m, tail, got, want, first)
		}
		got += string(tail)
		first += strings.Count(string(tail), "\n")
	}
	return nil
}

func (s server) say(messages ...wire.ToBench) error {
	for _, m := range messages {
		text, err := wire.Encode(m, nil)
		if err != nil {
			return err
		}
		if err := s.ws.Write(s.ctx, websocket.MessageText, text); err != nil {
			return err
		}
	}
	return nil
}

func (s server) hear() (wire.ToServer, []byte, error) {
	_, data, err := s.ws.Read(s.ctx)
	if err != nil {
		return wire.ToServer{}, nil, err
	}
	return wire.DecodeToServer(data)
}
