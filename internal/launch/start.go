package launch

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"os"
	"os/exec"
	"path/filepath"

	"foilwright/internal/webbench"
)

// Way is how the bench is shown.
type Way int

const (
	Auto    Way = iota // in a window where one can be had, else in a browser
	Desktop            // in a window, and an error where none can be had
	Browser            // in a browser
)

// Options are what the user of Start chooses.
type Options struct {
	Way       Way
	Port      int // of the browser bench; see webbench.Listen
	CheckOnly bool
	Folder    string // where to look for the repository, usually the working directory
	Pages     fs.FS  // the page around the browser bench: index.html and what it needs
}

// ErrNoWindow says that the bench was asked to open a window where none can be had, or that its window failed.
var ErrNoWindow = errors.New("the bench cannot open a window")

// Start builds the bench and shows it. It returns when the window is closed, or when the context ends while the bench
// is served. Everything it tells the user goes to out.
func Start(ctx context.Context, o Options, out io.Writer) error {
	module, err := FindModule(o.Folder)
	if err != nil {
		return err
	}
	tool, err := FindToolchain(ctx, module)
	if err != nil {
		return err
	}
	var lacks []Lack
	if o.Way != Browser {
		lacks = DesktopLacks(ctx, tool)
	}
	if o.CheckOnly {
		writePlan(out, o, module, tool, lacks)
		return nil
	}
	switch {
	case o.Way == Browser:
		return serve(ctx, o, module, tool, out)
	case len(lacks) == 0:
		return openWindow(ctx, tool, module, out)
	case o.Way == Desktop:
		fmt.Fprint(out, Explain(lacks))
		return ErrNoWindow
	}
	fmt.Fprint(out, Explain(lacks))
	return serve(ctx, o, module, tool, out)
}

func writePlan(out io.Writer, o Options, module string, tool Toolchain, lacks []Lack) {
	fmt.Fprintf(out, "repository: %s\ngo: %s at %s\n", module, tool.Version, tool.Go)
	if len(lacks) > 0 {
		fmt.Fprint(out, Explain(lacks))
	}
	switch {
	case o.Way == Browser || o.Way == Auto && len(lacks) > 0:
		fmt.Fprintf(out, "plan: build %s/%s and serve it at http://127.0.0.1:%d/ or the next free port\n",
			buildFolder, webbench.ProgramName, o.Port)
	case len(lacks) > 0:
		fmt.Fprintln(out, "plan: none; a window was asked for and cannot be had")
	default:
		fmt.Fprintf(out, "plan: build %s/foilwright and open it in a window\n", buildFolder)
	}
}

// openWindow builds and runs the desktop bench, and waits until its window is closed.
func openWindow(ctx context.Context, tool Toolchain, module string, out io.Writer) error {
	program, err := BuildDesktop(ctx, tool, module, out)
	if err != nil {
		return err
	}
	fmt.Fprintln(out, "opening the bench")
	cmd := exec.CommandContext(ctx, program)
	cmd.Dir = module
	cmd.Stdin, cmd.Stdout, cmd.Stderr = os.Stdin, os.Stdout, os.Stderr
	err = cmd.Run()
	if err != nil && ctx.Err() == nil {
		return fmt.Errorf("%w: %s ended: %w", ErrNoWindow, filepath.Base(program), err)
	}
	return nil
}

// serve builds the browser bench and serves it until the context ends.
func serve(ctx context.Context, o Options, module string, tool Toolchain, out io.Writer) error {
	program, err := BuildBrowser(ctx, tool, module, out)
	if err != nil {
		return err
	}
	content, packed, err := Packed(program, out)
	if err != nil {
		return err
	}
	site, err := Site(tool, o.Pages, content, packed)
	if err != nil {
		return err
	}
	l, err := webbench.Listen(o.Port)
	if err != nil {
		return err
	}
	address := fmt.Sprintf("http://127.0.0.1:%d/", l.Addr().(*net.TCPAddr).Port)
	// The address is printed on a line of its own, so that scripts and terminals can pick it up.
	fmt.Fprintf(out, "the bench is served to this machine; stop with Ctrl-C\n%s\n", address)
	if err := OpenBrowser(tool, address); err != nil {
		fmt.Fprintln(out, "open that address in a browser")
	}
	return webbench.Serve(ctx, l, site)
}
