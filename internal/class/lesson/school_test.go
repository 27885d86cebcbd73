//go:build browser

package lesson

import (
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"foilwright/internal/browsertest"
	"foilwright/internal/launch"
)

// school is the class server, a process of its own that can be killed.
type school struct {
	*testing.T
	program, site, data, pictures string

	address string
	code    string // of the first start
	process *exec.Cmd
}

// newSchool builds the desk and the bench for browsers.
func newSchool(t *testing.T) *school {
	t.Helper()
	began := time.Now()
	module, err := launch.FindModule(".")
	if err != nil {
		t.Fatal(err)
	}
	tool, err := launch.FindToolchain(t.Context(), module)
	if err != nil {
		t.Fatal(err)
	}
	bench, err := launch.BuildBrowser(t.Context(), tool, module, io.Discard)
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := launch.Packed(bench, io.Discard); err != nil {
		t.Fatal(err)
	}
	s := &school{T: t, program: filepath.Join(t.TempDir(), "desk"), site: t.TempDir(), data: t.TempDir(), pictures: filepath.Join(module, "build", "ci", "class")}
	build := exec.Command(tool.Go, "build", "-buildvcs=false", "-trimpath", "-ldflags=-s -w", "-o", s.program, "./cmd/foilwright-desk")
	build.Dir, build.Env = module, append(os.Environ(), "CGO_ENABLED=0")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for _, from := range []string{bench, bench + ".gz", filepath.Join(tool.Root, "lib", "wasm", "wasm_exec.js")} {
		if err := os.Symlink(from, filepath.Join(s.site, filepath.Base(from))); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.MkdirAll(s.pictures, 0o755); err != nil {
		t.Fatal(err)
	}
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	s.address = "http://" + free.Addr().String()
	free.Close()
	t.Cleanup(s.kill)
	t.Logf("built in %.0f s", time.Since(began).Seconds())
	return s
}

var setupCode = regexp.MustCompile(`code=([A-Z0-9]+)`)

// start starts the server, on the same data and at the same address each time,
// and waits until it answers.
func (s *school) start() {
	s.Helper()
	out := filepath.Join(s.TempDir(), "out")
	told, err := os.Create(out)
	if err != nil {
		s.Fatal(err)
	}
	defer told.Close()
	s.process = exec.Command(s.program, "serve", "-data", s.data, "-listen", strings.TrimPrefix(s.address, "http://"), "-join", s.address, "-bench", s.site)
	s.process.Stdout, s.process.Stderr = told, told
	if err := s.process.Start(); err != nil {
		s.Fatal(err)
	}
	for end := time.Now().Add(time.Minute); ; time.Sleep(20 * time.Millisecond) {
		answer, err := http.Get(s.address + "/")
		if err == nil {
			answer.Body.Close()
			break
		}
		if time.Now().After(end) {
			s.Fatalf("the server does not come up: %v", err)
		}
	}
	text, err := os.ReadFile(out) // complete: it is written before the first answer
	if err != nil {
		s.Fatal(err)
	}
	s.code = ""
	if m := setupCode.FindSubmatch(text); m != nil {
		s.code = string(m[1])
	}
}

// kill is kill -9.
func (s *school) kill() {
	if s.process != nil {
		s.process.Process.Kill()
		s.process.Wait()
		s.process = nil
	}
}

// keep leaves a file among the pictures.
func (s *school) keep(name string, content []byte) {
	s.Helper()
	if err := os.WriteFile(filepath.Join(s.pictures, name), content, 0o644); err != nil {
		s.Fatal(err)
	}
}

// shot leaves a picture of what a page shows.
func (s *school) shot(name string, p *browsertest.Page) {
	s.Helper()
	s.keep(name+".png", p.Picture())
}
