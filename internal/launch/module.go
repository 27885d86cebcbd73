// Package launch starts the bench from its source: it looks at the machine, builds what can run there, and runs it in
// a window or serves it to a browser. It is what the README's first command does.
//
// It needs the go command and nothing else; it never links the window.
package launch

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
)

// ErrNoGo says that the go command cannot be found.
var ErrNoGo = errors.New("the go command is not on the PATH")

// ErrNoModule says that a folder does not lie in this repository.
var ErrNoModule = errors.New("this is not the foilwright repository")

var moduleLine = regexp.MustCompile(`(?m)^module\s+"?foilwright"?\s*(//.*)?$`)

// FindModule returns the folder of the repository that dir lies in.
func FindModule(dir string) (string, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return "", fmt.Errorf("looking for the repository: %w", err)
	}
	for at := dir; ; at = filepath.Dir(at) {
		content, err := os.ReadFile(filepath.Join(at, "go.mod"))
		if err == nil && moduleLine.Match(content) {
			return at, nil
		}
		if at == filepath.Dir(at) {
			return "", fmt.Errorf("%w: no go.mod of module foilwright in %s or above it", ErrNoModule, dir)
		}
	}
}

// Toolchain is the go command and what it says of itself.
type Toolchain struct {
	Go      string // path of the command
	Version string // go1.26.0
	Root    string // GOROOT
	OS      string // of this machine, as GOHOSTOS
	Cgo     bool   // cgo is on; go itself switches it off when it finds no C compiler
	CC      string // C compiler as go would call it, with arguments if it has any
}

// FindToolchain asks the go command about itself, in the module's folder, where go.mod may choose another version.
func FindToolchain(ctx context.Context, module string) (Toolchain, error) {
	path, err := exec.LookPath("go")
	if err != nil {
		return Toolchain{}, ErrNoGo
	}
	keys := []string{"GOVERSION", "GOROOT", "GOHOSTOS", "CGO_ENABLED", "CC"}
	cmd := exec.CommandContext(ctx, path, append([]string{"env"}, keys...)...)
	cmd.Dir = module
	var complaint bytes.Buffer
	cmd.Stderr = &complaint
	out, err := cmd.Output()
	if err != nil {
		return Toolchain{}, fmt.Errorf("go env: %w: %s", err, strings.TrimSpace(complaint.String()))
	}
	lines := strings.Split(strings.ReplaceAll(string(out), "\r\n", "\n"), "\n")
	if len(lines) < len(keys) {
		return Toolchain{}, fmt.Errorf("go env answered %d lines, expected %d", len(lines), len(keys))
	}
	return Toolchain{
		Go: path, Version: lines[0], Root: lines[1], OS: lines[2], Cgo: lines[3] == "1", CC: lines[4],
	}, nil
}
