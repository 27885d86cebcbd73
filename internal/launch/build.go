package launch

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync/atomic"
	"time"
)

// buildFolder holds everything that is built, inside the repository; git ignores it.
const buildFolder = "build"

// BuildDesktop compiles the bench for this machine's own window and returns the program's path. The go command's cache
// makes a second call quick.
func BuildDesktop(ctx context.Context, tool Toolchain, module string, progress io.Writer) (string, error) {
	name := "foilwright"
	if tool.OS == "windows" {
		name += ".exe"
	}
	return build(ctx, tool, module, progress, name, nil, soundTags(ctx, tool)...)
}

// BuildBrowser compiles the bench for browsers and returns the program's path.
func BuildBrowser(ctx context.Context, tool Toolchain, module string, progress io.Writer) (string, error) {
	return build(ctx, tool, module, progress, "foilwright.wasm", []string{"GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0"})
}

func build(ctx context.Context, tool Toolchain, module string, progress io.Writer, name string, env []string, args ...string) (string, error) {
	out := filepath.Join(module, buildFolder, name)
	// No version control stamp: git refuses folders of another owner, and nothing reads the stamp.
	args = append([]string{"build", "-v", "-buildvcs=false", "-trimpath", "-ldflags", "-s -w"}, args...)
	cmd := exec.CommandContext(ctx, tool.Go, append(args, "-o", out, "./cmd/foilwright")...)
	cmd.Dir = module
	cmd.Env = append(os.Environ(), env...)
	stderr, err := cmd.StderrPipe()
	if err != nil {
		return "", fmt.Errorf("building %s: %w", name, err)
	}
	fmt.Fprintf(progress, "building %s/%s (minutes the first time, seconds after that)\n", buildFolder, name)
	began := time.Now()
	if err := cmd.Start(); err != nil {
		return "", fmt.Errorf("building %s: %w", name, err)
	}
	var watch tally
	done := make(chan struct{})
	go watch.show(progress, began, done)
	complaint := watch.read(stderr)
	err = cmd.Wait()
	close(done)
	if ctx.Err() != nil {
		return "", fmt.Errorf("building %s: %w", name, ctx.Err())
	}
	if err != nil {
		return "", fmt.Errorf("building %s: %w\n%s", name, err, strings.TrimRight(complaint, "\n"))
	}
	about, err := os.Stat(out)
	if err != nil {
		return "", fmt.Errorf("building %s: %w", name, err)
	}
	fmt.Fprintf(progress, "built %s/%s, %.1f MB, in %.0f s\n", buildFolder, name,
		float64(about.Size())/1e6, time.Since(began).Seconds())
	return out, nil
}

// tally counts what a build has done so far.
type tally struct{ modules, packages atomic.Int64 }

var packageLine = regexp.MustCompile(`^[a-z0-9][A-Za-z0-9_.~/-]*$`)

// read counts the lines by which "go build -v" tells its progress, and returns all others.
func (t *tally) read(r io.Reader) string {
	var rest bytes.Buffer
	lines := bufio.NewScanner(r)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		switch line := lines.Text(); {
		case strings.HasPrefix(line, "go: downloading "):
			t.modules.Add(1)
		case packageLine.MatchString(line):
			t.packages.Add(1)
		default:
			fmt.Fprintln(&rest, line)
		}
	}
	io.Copy(io.Discard, r) // a line past the limit must not block the build
	return rest.String()
}

// show prints the count from time to time until done.
func (t *tally) show(w io.Writer, began time.Time, done <-chan struct{}) {
	tick := time.NewTicker(5 * time.Second)
	defer tick.Stop()
	for {
		select {
		case <-done:
			return
		case <-tick.C:
			fmt.Fprintf(w, "  %3.0f s: ", time.Since(began).Seconds())
			if n := t.modules.Load(); n > 0 {
				fmt.Fprintf(w, "%d modules fetched, ", n)
			}
			fmt.Fprintf(w, "%d packages compiled\n", t.packages.Load())
		}
	}
}
