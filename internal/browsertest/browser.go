// Package browsertest drives pages of a headless Chromium for tests: what a
// visitor would do with mouse, keys and forms, and pictures of what they see.
//
// It speaks the Chrome DevTools Protocol over the browser's debugging pipe,
// where each message is ended by a zero byte.
package browsertest

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"sync"
	"testing"
	"time"
)

// Browser is a running Chromium.
type Browser struct {
	to io.Writer

	mu      sync.Mutex
	last    int
	waiting map[int]chan answer
	pages   map[string]*Page // by session
	gone    error            // why nothing is answered any more
}

// answer is what the browser says to a command.
type answer struct {
	result json.RawMessage
	err    error
}

// Start starts the browser; it ends with the test, or with ctx.
func Start(t testing.TB, ctx context.Context) *Browser {
	t.Helper()
	toRead, toWrite, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	fromRead, fromWrite, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	// Software drawing, as there is no graphics card where this runs; no sandbox, as it may run as root. Several pages
	// work at a time, so that none may be put to sleep for being in the background.
	cmd := exec.CommandContext(ctx, "chromium", "--headless", "--remote-debugging-pipe", "--no-sandbox", "--disable-quic",
		"--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync",
		"--disable-dev-shm-usage", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--window-size=1280,800",
		"--disable-renderer-backgrounding", "--disable-background-timer-throttling", "--disable-backgrounding-occluded-windows",
		"--user-data-dir="+Profile(t), "about:blank")
	cmd.ExtraFiles = []*os.File{toRead, fromWrite} // file descriptors 3 and 4
	var complaint bytes.Buffer
	cmd.Stderr = &complaint
	if err := cmd.Start(); err != nil {
		t.Fatalf("%v; on Debian: apt-get install chromium", err)
	}
	toRead.Close()
	fromWrite.Close()
	b := &Browser{to: toWrite, waiting: map[int]chan answer{}, pages: map[string]*Page{}}
	go b.listen(fromRead)
	t.Cleanup(func() {
		b.ask("", "Browser.close", nil)
		cmd.Wait()
		toWrite.Close()
		fromRead.Close()
		if t.Failed() {
			t.Logf("chromium said: %.2000s", complaint.String())
		}
	})
	return b
}

// Profile returns a new folder for a browser's profile. The browser's helpers
// outlive it for a moment and still write there, so that the folder is removed
// with patience, and left behind rather than failing a test.
func Profile(t testing.TB) string {
	t.Helper()
	folder, err := os.MkdirTemp("", "foilwright-profile-*")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		for range 50 {
			if os.RemoveAll(folder) == nil {
				return
			}
			time.Sleep(100 * time.Millisecond)
		}
	})
	return folder
}

// listen hands answers to those who asked and events to their pages.
func (b *Browser) listen(from io.Reader) {
	in := bufio.NewReader(from)
	for {
		content, err := in.ReadBytes(0)
		if err != nil {
			b.mu.Lock()
			b.gone = fmt.Errorf("chromium went away: %w", err)
			for id, to := range b.waiting {
				to <- answer{err: b.gone}
				delete(b.waiting, id)
			}
			b.mu.Unlock()
			return
		}
		var m struct {
			ID        int
			SessionID string
			Method    string
			Params    json.RawMessage
			Result    json.RawMessage
			Error     *struct{ Message string }
		}
		if json.Unmarshal(content[:len(content)-1], &m) != nil {
			continue
		}
		b.mu.Lock()
		if m.ID == 0 {
			b.pages[m.SessionID].note(m.Method, m.Params)
		} else if to := b.waiting[m.ID]; to != nil {
			delete(b.waiting, m.ID)
			a := answer{result: m.Result}
			if m.Error != nil {
				a.err = errors.New(m.Error.Message)
			}
			to <- a
		}
		b.mu.Unlock()
	}
}

// ask sends one command, to a page's session or to the browser as a whole, and
// returns its result.
func (b *Browser) ask(session, method string, parameters any) (json.RawMessage, error) {
	message := map[string]any{"method": method}
	if parameters != nil {
		message["params"] = parameters
	}
	if session != "" {
		message["sessionId"] = session
	}
	b.mu.Lock()
	if b.gone != nil {
		b.mu.Unlock()
		return nil, b.gone
	}
	b.last++
	id, to := b.last, make(chan answer, 1)
	message["id"] = id
	b.waiting[id] = to
	content, err := json.Marshal(message)
	if err == nil {
		_, err = b.to.Write(append(content, 0))
	}
	b.mu.Unlock()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", method, err)
	}
	a := <-to
	if a.err != nil {
		return nil, fmt.Errorf("%s: %w", method, a.err)
	}
	return a.result, nil
}

// mustAsk is ask where nothing may go wrong; result may be nil.
func (b *Browser) mustAsk(t testing.TB, session, method string, parameters, result any) {
	t.Helper()
	content, err := b.ask(session, method, parameters)
	if err != nil {
		t.Fatal(err)
	}
	if result != nil {
		if err := json.Unmarshal(content, result); err != nil {
			t.Fatal(err)
		}
	}
}
