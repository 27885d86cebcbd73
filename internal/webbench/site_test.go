package webbench

import (
	"bytes"
	"compress/gzip"
	"context"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/fstest"
	"time"
)

// program stands for the compiled bench: long enough that its packed form differs in length.
var program = bytes.Repeat([]byte("\x00asm foilwright "), 500)

func newTestSite(t *testing.T) *Site {
	t.Helper()
	pages, err := PageFiles(fstest.MapFS{
		"index.html": {Data: []byte("<!doctype html>" + strings.Repeat("<p>bench</p>", 50))},
		"icon.png":   {Data: []byte("\x89PNG tiny")},
	})
	if err != nil {
		t.Fatal(err)
	}
	site, err := NewSite(append(pages,
		File{Name: ProgramName, Content: program, Gzip: pack(program)},
		File{Name: LoaderName, Content: []byte("globalThis.Go = class {}")})...)
	if err != nil {
		t.Fatal(err)
	}
	return site
}

func ask(site http.Handler, method, target string, header ...string) *http.Response {
	r := httptest.NewRequest(method, target, nil)
	for i := 0; i < len(header); i += 2 {
		r.Header.Add(header[i], header[i+1])
	}
	w := httptest.NewRecorder()
	site.ServeHTTP(w, r)
	return w.Result()
}

func TestSiteAnswers(t *testing.T) {
	site := newTestSite(t)
	for _, c := range []struct {
		name, method, target, accept string
		status                       int
		contentType, encoding        string
	}{
		{"front page", "GET", "/", "", 200, "text/html; charset=utf-8", ""},
		{"front page by name", "GET", "/index.html", "gzip", 200, "text/html; charset=utf-8", "gzip"},
		{"program packed", "GET", "/foilwright.wasm", "gzip, deflate, br", 200, "application/wasm", "gzip"},
		{"program plain", "GET", "/foilwright.wasm", "", 200, "application/wasm", ""},
		{"gzip refused", "GET", "/foilwright.wasm", "gzip;q=0, br", 200, "application/wasm", ""},
		{"anything accepted", "GET", "/foilwright.wasm", "*", 200, "application/wasm", "gzip"},
		{"anything but gzip", "GET", "/foilwright.wasm", "*;q=1, gzip;q=0", 200, "application/wasm", ""},
		{"loader", "GET", "/wasm_exec.js", "gzip", 200, "text/javascript; charset=utf-8", ""},
		{"picture that does not pack", "GET", "/icon.png", "gzip", 200, "image/png", ""},
		{"head", "HEAD", "/foilwright.wasm", "gzip", 200, "application/wasm", "gzip"},
		{"unknown file", "GET", "/secrets", "", 404, "text/plain; charset=utf-8", ""},
		{"way out of the folder", "GET", "/../go.mod", "", 404, "text/plain; charset=utf-8", ""},
		{"post", "POST", "/", "", 405, "text/plain; charset=utf-8", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := ask(site, c.method, c.target, "Accept-Encoding", c.accept)
			if got.StatusCode != c.status {
				t.Fatalf("status %d, want %d", got.StatusCode, c.status)
			}
			if v := got.Header.Get("Content-Type"); v != c.contentType {
				t.Errorf("Content-Type %q, want %q", v, c.contentType)
			}
			if v := got.Header.Get("Content-Encoding"); v != c.encoding {
				t.Errorf("Content-Encoding %q, want %q", v, c.encoding)
			}
			if c.status == 200 && got.Header.Get("Cache-Control") != "no-cache" {
				t.Errorf("Cache-Control %q, want no-cache", got.Header.Get("Cache-Control"))
			}
		})
	}
}

func TestSiteContent(t *testing.T) {
	site := newTestSite(t)
	plain, err := io.ReadAll(ask(site, "GET", "/foilwright.wasm").Body)
	if err != nil || !bytes.Equal(plain, program) {
		t.Errorf("plain content differs from the program (error %v)", err)
	}
	packed, err := gzip.NewReader(ask(site, "GET", "/foilwright.wasm", "Accept-Encoding", "gzip").Body)
	if err != nil {
		t.Fatal(err)
	}
	if unpacked, err := io.ReadAll(packed); err != nil || !bytes.Equal(unpacked, program) {
		t.Errorf("packed content does not unpack to the program (error %v)", err)
	}
}

func TestHeadHasTheHeadersOfGetAndNoBody(t *testing.T) {
	site := newTestSite(t)
	get := ask(site, "GET", "/foilwright.wasm", "Accept-Encoding", "gzip")
	head := ask(site, "HEAD", "/foilwright.wasm", "Accept-Encoding", "gzip")
	for _, key := range []string{"Content-Length", "Content-Type", "ETag", "Vary", "X-Unpacked-Length"} {
		if get.Header.Get(key) != head.Header.Get(key) || head.Header.Get(key) == "" {
			t.Errorf("%s: GET %q, HEAD %q, want the same and not empty", key, get.Header.Get(key), head.Header.Get(key))
		}
	}
	if body, err := io.ReadAll(head.Body); err != nil || len(body) != 0 {
		t.Errorf("HEAD answered %d bytes (error %v), want none", len(body), err)
	}
}

func TestUnchangedFileIsNotSentAgain(t *testing.T) {
	site := newTestSite(t)
	first := ask(site, "GET", "/foilwright.wasm", "Accept-Encoding", "gzip")
	tag := first.Header.Get("ETag")
	plainTag := ask(site, "GET", "/foilwright.wasm").Header.Get("ETag")
	if tag == plainTag {
		t.Errorf("packed and plain forms share the tag %s", tag)
	}
	for _, c := range []struct {
		name, condition string
		want            int
	}{
		{"same tag", tag, 304},
		{"weak form, in a list", `"other", W/` + tag, 304},
		{"any", "*", 304},
		{"tag of the plain form", plainTag, 200},
		{"tag of another build", `"0123456789ab"`, 200},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := ask(site, "GET", "/foilwright.wasm", "Accept-Encoding", "gzip", "If-None-Match", c.condition)
			if got.StatusCode != c.want {
				t.Errorf("status %d, want %d", got.StatusCode, c.want)
			}
		})
	}
}

func TestSiteNeedsAFrontPage(t *testing.T) {
	if _, err := NewSite(File{Name: "a.txt"}); err == nil {
		t.Error("a site without index.html was accepted")
	}
}

func TestOnlyThisMachineIsServed(t *testing.T) {
	guarded := loopbackOnly(newTestSite(t))
	for _, c := range []struct {
		name, from, host string
		want             int
	}{
		{"loopback", "127.0.0.1:50000", "127.0.0.1:8737", 200},
		{"localhost", "127.0.0.1:50000", "localhost:8737", 200},
		{"version 6", "[::1]:50000", "[::1]:8737", 200},
		{"version 4 inside 6", "[::ffff:127.0.0.1]:50000", "localhost", 200},
		{"another machine", "192.0.2.7:50000", "127.0.0.1:8737", 403},
		{"a foreign name", "127.0.0.1:50000", "bench.example:8737", 403},
		{"no name", "127.0.0.1:50000", "", 403},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := httptest.NewRequest("GET", "/", nil)
			r.RemoteAddr, r.Host = c.from, c.host
			w := httptest.NewRecorder()
			guarded.ServeHTTP(w, r)
			if w.Code != c.want {
				t.Errorf("status %d, want %d", w.Code, c.want)
			}
		})
	}
}

func TestListenTakesTheNextFreePort(t *testing.T) {
	first, err := Listen(0)
	if err != nil {
		t.Fatal(err)
	}
	defer first.Close()
	taken := first.Addr().(*net.TCPAddr)
	if !taken.IP.IsLoopback() {
		t.Fatalf("listening on %v, want the loopback address", taken)
	}
	second, err := Listen(taken.Port)
	if err != nil {
		t.Fatal(err)
	}
	defer second.Close()
	if p := second.Addr().(*net.TCPAddr).Port; p <= taken.Port || p >= taken.Port+portsTried {
		t.Errorf("port %d taken, got %d, want one of the next %d", taken.Port, p, portsTried-1)
	}
	if _, err := Listen(65536); err == nil {
		t.Error("port 65536 was accepted")
	}
}

func TestServeEndsWithItsContext(t *testing.T) {
	l, err := Listen(0)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- Serve(ctx, l, newTestSite(t)) }()
	answer, err := http.Get("http://" + l.Addr().String() + "/")
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.StatusCode != 200 {
		t.Errorf("status %d, want 200", answer.StatusCode)
	}
	cancel()
	select {
	case err := <-done:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(5 * time.Second):
		t.Fatal("still serving 5 s after its context ended")
	}
}
