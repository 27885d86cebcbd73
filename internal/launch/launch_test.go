package launch

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"foilwright/assets"
)

// write makes a file and the folders above it.
func write(t *testing.T, content string, elements ...string) string {
	t.Helper()
	name := filepath.Join(elements...)
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(content), 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

func TestFindModule(t *testing.T) {
	root := t.TempDir()
	write(t, "// the bench\nmodule foilwright\n\ngo 1.26\n", root, "repo", "go.mod")
	write(t, "module example.org/other\n", root, "repo", "nested", "go.mod")
	write(t, "x", root, "repo", "nested", "deep", "x")
	write(t, "module foilwright-fork\n", root, "fork", "go.mod")
	for _, c := range []struct{ name, from, want string }{
		{"at the root", "repo", "repo"},
		{"through another module", "repo/nested/deep", "repo"},
		{"above it", ".", ""},
		{"a module of a similar name", "fork", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := FindModule(filepath.Join(root, c.from))
			if c.want == "" {
				if !errors.Is(err, ErrNoModule) {
					t.Errorf("got %q and %v, want ErrNoModule", got, err)
				}
				return
			}
			if want := filepath.Join(root, c.want); err != nil || got != want {
				t.Errorf("got %q and %v, want %q", got, err, want)
			}
		})
	}
}

func TestFindToolchainWithoutGo(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	if _, err := FindToolchain(context.Background(), "."); !errors.Is(err, ErrNoGo) {
		t.Errorf("got %v, want ErrNoGo", err)
	}
}

func TestExplainIsTwoLinesWithEachPackageOnce(t *testing.T) {
	for _, c := range []struct {
		name  string
		lacks []Lack
		want  string
	}{
		{"display only", []Lack{{What: "no X display"}},
			"no window on this machine: no X display\nnothing needs to be installed for one; start from a desktop session\n"},
		{"packages", []Lack{{What: "no C header a.h", Packages: []string{"p", "q"}}, {What: "no C header b.h", Packages: []string{"q", "r"}}},
			"no window on this machine: no C header a.h; no C header b.h\nfor a window, on Debian: apt-get install p q r\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := Explain(c.lacks); got != c.want {
				t.Errorf("got %q\nwant %q", got, c.want)
			}
		})
	}
}

// fakeCompiler is a C compiler that fails when its input includes one of the headers, and cannot link.
func fakeCompiler(t *testing.T, without ...string) string {
	t.Helper()
	script := "#!/bin/sh\ninput=$(cat)\n"
	for _, h := range without {
		script += "case $input in *'<" + h + ">'*) exit 1;; esac\n"
	}
	script += "case \"$*\" in *-fsyntax-only*) exit 0;; esac\nexit 1\n"
	name := write(t, script, t.TempDir(), "cc")
	if err := os.Chmod(name, 0o755); err != nil {
		t.Fatal(err)
	}
	return name
}

func TestLinuxLacks(t *testing.T) {
	absent := filepath.Join(t.TempDir(), "no-such-compiler")
	for _, c := range []struct {
		name, display, wayland string
		tool                   Toolchain
		want, pack             string // parts of what Explain says
	}{
		{"no display", "", "", Toolchain{OS: "linux", CC: fakeCompiler(t), Cgo: true}, "DISPLAY is not set", ""},
		{"wayland alone", "", "wayland-0", Toolchain{OS: "linux", CC: fakeCompiler(t), Cgo: true}, "Wayland alone", "xwayland"},
		{"no compiler", ":0", "", Toolchain{OS: "linux", CC: absent}, "no C compiler", " gcc libc6-dev libx11-dev "},
		{"cgo off", ":0", "", Toolchain{OS: "linux", CC: fakeCompiler(t)}, "cgo is switched off", ""},
		{"one header", ":0", "", Toolchain{OS: "linux", CC: fakeCompiler(t, "X11/Xcursor/Xcursor.h"), Cgo: true},
			"no C header X11/Xcursor/Xcursor.h", "install libxcursor-dev\n"},
		{"no C library", ":0", "", Toolchain{OS: "linux", CC: fakeCompiler(t, "stdio.h"), Cgo: true},
			"no C header stdio.h and 8 more", "libc6-dev"},
		{"headers but no libraries", ":0", "", Toolchain{OS: "linux", CC: fakeCompiler(t), Cgo: true},
			"cannot be linked", "libx11-dev"},
		{"another system", ":0", "", Toolchain{OS: "plan9"}, "a window on plan9 is not supported", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Setenv("DISPLAY", c.display)
			t.Setenv("WAYLAND_DISPLAY", c.wayland)
			got := Explain(DesktopLacks(t.Context(), c.tool))
			if !strings.Contains(got, c.want) || !strings.Contains(got, c.pack) {
				t.Errorf("got %q\nwant it to contain %q and %q", got, c.want, c.pack)
			}
		})
	}
	if lacks := DesktopLacks(t.Context(), Toolchain{OS: "windows"}); lacks != nil {
		t.Errorf("on Windows %v is missing, want nothing", lacks)
	}
}

func TestBuildOutputIsSortedIntoProgressAndComplaint(t *testing.T) {
	var watch tally
	complaint := watch.read(strings.NewReader("go: downloading golang.org/x/image v0.47.0\n" +
		"internal/cpu\ngithub.com/x/y_z/v2\n# foilwright/cmd/foilwright\nmain.go:3:1: syntax error\n"))
	if m, p := watch.modules.Load(), watch.packages.Load(); m != 1 || p != 2 {
		t.Errorf("%d modules and %d packages, want 1 and 2", m, p)
	}
	if want := "# foilwright/cmd/foilwright\nmain.go:3:1: syntax error\n"; complaint != want {
		t.Errorf("complaint %q, want %q", complaint, want)
	}
}

func TestPackedIsReusedOnlyForTheSameProgram(t *testing.T) {
	program := write(t, "first program", t.TempDir(), "p.wasm")
	for _, step := range []struct {
		name, content string
		packs         bool
	}{
		{"first", "first program", true},
		{"again", "first program", false},
		{"changed", "other program", true},
	} {
		if err := os.WriteFile(program, []byte(step.content), 0o644); err != nil {
			t.Fatal(err)
		}
		var told bytes.Buffer
		content, packed, err := Packed(program, &told)
		if err != nil {
			t.Fatal(err)
		}
		if packs := told.Len() > 0; packs != step.packs {
			t.Errorf("%s: packed anew: %v, want %v", step.name, packs, step.packs)
		}
		r, err := gzip.NewReader(bytes.NewReader(packed))
		if err != nil {
			t.Fatal(err)
		}
		if unpacked, err := io.ReadAll(r); err != nil || string(unpacked) != step.content || string(content) != step.content {
			t.Errorf("%s: content %q, unpacked %q (error %v), want both %q", step.name, content, unpacked, err, step.content)
		}
	}
}

// smallModule is a repository whose bench is a program of three lines.
func smallModule(t *testing.T, program string) string {
	t.Helper()
	root := t.TempDir()
	write(t, "module foilwright\n\ngo 1.26\n", root, "go.mod")
	write(t, program, root, "cmd", "foilwright", "main.go")
	return root
}

// lines hands on what is written to it, line by line.
type lines chan string

func (l lines) Write(p []byte) (int, error) {
	for s := range strings.SplitSeq(strings.TrimRight(string(p), "\n"), "\n") {
		l <- s
	}
	return len(p), nil
}

func TestStartServesTheBrowserBenchUntilStopped(t *testing.T) {
	t.Setenv("DISPLAY", "") // so that no browser opens
	t.Setenv("WAYLAND_DISPLAY", "")
	root := smallModule(t, "package main\n\nfunc main() { println(1) }\n")
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	told, done := make(lines, 1000), make(chan error, 1)
	go func() {
		done <- Start(ctx, Options{Way: Browser, Folder: root, Pages: assets.Web()}, told)
	}()
	var address string
	for address == "" {
		select {
		case line := <-told:
			if strings.HasPrefix(line, "http://127.0.0.1:") {
				address = line
			}
		case err := <-done:
			t.Fatalf("ended before it served: %v", err)
		case <-time.After(3 * time.Minute):
			t.Fatal("no address within three minutes")
		}
	}
	for name, start := range map[string]string{"": "<!doctype html>", "foilwright.wasm": "\x00asm", "wasm_exec.js": "//"} {
		answer, err := http.Get(address + name)
		if err != nil {
			t.Fatal(err)
		}
		body, err := io.ReadAll(answer.Body)
		answer.Body.Close()
		if err != nil || answer.StatusCode != 200 || !bytes.HasPrefix(body, []byte(start)) {
			t.Errorf("/%s: status %d, %d bytes (error %v), want a file that starts with %q", name, answer.StatusCode, len(body), err, start)
		}
	}
	stop()
	if err := <-done; err != nil {
		t.Errorf("stopped with %v, want no error", err)
	}
}

func TestStartTellsWhatTheCompilerSaid(t *testing.T) {
	root := smallModule(t, "package main\n\nfunc main() { nonsense }\n")
	err := Start(t.Context(), Options{Way: Browser, Folder: root, Pages: assets.Web()}, io.Discard)
	if err == nil || !strings.Contains(err.Error(), "main.go:3") {
		t.Errorf("got %v, want an error that names main.go:3", err)
	}
}

func TestStartWithoutAWindow(t *testing.T) {
	t.Setenv("DISPLAY", "")
	t.Setenv("WAYLAND_DISPLAY", "")
	root := smallModule(t, "package main\n\nfunc main() {}\n")
	tool, err := FindToolchain(t.Context(), root)
	if err != nil {
		t.Fatal(err)
	}
	if len(DesktopLacks(t.Context(), tool)) == 0 {
		t.Skip("this system opens windows without DISPLAY")
	}
	var told bytes.Buffer
	if err := Start(t.Context(), Options{Way: Desktop, Folder: root}, &told); !errors.Is(err, ErrNoWindow) {
		t.Errorf("got %v, want ErrNoWindow", err)
	}
	if n := strings.Count(told.String(), "\n"); n != 2 {
		t.Errorf("told %d lines, want 2:\n%s", n, told.String())
	}
	told.Reset()
	if err := Start(t.Context(), Options{Folder: root, Port: 8737, CheckOnly: true}, &told); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(told.String(), "plan: build build/foilwright.wasm") {
		t.Errorf("the plan does not fall back to the browser:\n%s", told.String())
	}
	if _, err := os.Stat(filepath.Join(root, "build")); err == nil {
		t.Error("-check left a build folder")
	}
}

func TestSiteNeedsTheLoader(t *testing.T) {
	pages := fstest.MapFS{"index.html": {Data: []byte("<!doctype html>")}}
	if _, err := Site(Toolchain{Root: t.TempDir()}, pages, nil, nil); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("got %v, want an error about the missing loader", err)
	}
}
