package launch

import (
	"context"
	_ "embed"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// Lack is one thing a machine is missing for the bench's own window.
type Lack struct {
	What     string
	Packages []string // Debian's packages that bring it; none where no package helps
}

// header is a C header the window's build includes, with the package that has it.
type header struct{ name, pack string }

// What github.com/hajimehoshi/ebiten/v2 v2.8.8 includes and links on Linux, read from its internal/glfw.
var (
	windowHeaders = []header{
		{"stdio.h", "libc6-dev"},
		{"X11/Xlib.h", "libx11-dev"},
		{"X11/extensions/Xrandr.h", "libxrandr-dev"},
		{"X11/extensions/xf86vmode.h", "libxxf86vm-dev"},
		{"X11/extensions/XInput2.h", "libxi-dev"},
		{"X11/Xcursor/Xcursor.h", "libxcursor-dev"},
		{"X11/extensions/Xinerama.h", "libxinerama-dev"},
		{"X11/extensions/shape.h", "libxext-dev"},
		{"GL/glx.h", "libgl-dev"},
	}
	windowLibraries = []string{"-lX11", "-lXrandr", "-lXxf86vm", "-lXi", "-lXcursor", "-lXinerama", "-ldl", "-lm"}
	// The window loads one of these when it opens, so that no linker notices their absence.
	drawingPackages = []string{"libgl1", "libegl1", "libgles2", "libgl1-mesa-dri"}
)

// windowProbe is a C program that prints a word for each thing the window would not find when it runs.
//
//go:embed window_probe.c.txt
var windowProbe string

// DesktopLacks looks at what the bench's own window needs to be built and opened, and returns what is missing; nothing
// means that a window can be had. On Linux it compiles, links and runs a small C program to be sure.
func DesktopLacks(ctx context.Context, tool Toolchain) []Lack {
	switch tool.OS {
	case "windows":
		return nil // neither cgo nor a library is needed there
	case "linux":
		return linuxLacks(ctx, tool)
	}
	return []Lack{{What: "a window on " + tool.OS + " is not supported"}}
}

func linuxLacks(ctx context.Context, tool Toolchain) []Lack {
	var lacks []Lack
	display := os.Getenv("DISPLAY") != ""
	if !display && os.Getenv("WAYLAND_DISPLAY") != "" {
		lacks = append(lacks, Lack{What: "no X display (Wayland alone is not enough)", Packages: []string{"xwayland"}})
	} else if !display {
		lacks = append(lacks, Lack{What: "no X display (DISPLAY is not set)"})
	}
	compiler := strings.Fields(tool.CC)
	if len(compiler) == 0 {
		compiler = []string{"gcc"}
	}
	if _, err := exec.LookPath(compiler[0]); err != nil {
		// Without a compiler nothing else can be looked at, so all of it is named.
		all := []string{"gcc"}
		for _, h := range windowHeaders {
			all = append(all, h.pack)
		}
		return append(lacks, Lack{What: "no C compiler (" + compiler[0] + ")", Packages: append(all, drawingPackages...)})
	}
	if !tool.Cgo {
		lacks = append(lacks, Lack{What: "cgo is switched off (unset CGO_ENABLED)"})
	}
	if missing := headerLacks(ctx, compiler); len(missing) > 0 {
		return append(lacks, missing...)
	}
	return append(lacks, runLacks(ctx, compiler, display)...)
}

// headerLacks lets the compiler look for each header.
func headerLacks(ctx context.Context, compiler []string) []Lack {
	if compile(ctx, compiler, windowHeaders, "-fsyntax-only") == nil {
		return nil
	}
	var lacks []Lack
	for _, h := range windowHeaders {
		// X11's extension headers lean on Xlib.h, which is looked for on its own first.
		if compile(ctx, compiler, []header{windowHeaders[0], windowHeaders[1], h}, "-fsyntax-only") != nil {
			lacks = append(lacks, Lack{What: "no C header " + h.name, Packages: []string{h.pack}})
		}
	}
	if lacks == nil {
		lacks = append(lacks, Lack{What: "the C compiler " + compiler[0] + " fails"})
	}
	if len(lacks) > 2 {
		return joined(lacks)
	}
	return lacks
}

// soundTags is what the window's build is given beside, so that it has sound where the machine has ALSA's headers
// (Debian's libasound2-dev). Without them the bench is silent, and nothing is lacking.
func soundTags(ctx context.Context, tool Toolchain) []string {
	compiler := strings.Fields(tool.CC)
	if len(compiler) == 0 {
		compiler = []string{"gcc"}
	}
	if tool.OS != "linux" || compile(ctx, compiler, []header{windowHeaders[0], {"alsa/asoundlib.h", "libasound2-dev"}}, "-fsyntax-only") != nil {
		return nil
	}
	return []string{"-tags", "alsa"}
}

// joined makes one entry of many headers, since a list of eight helps nobody.
func joined(lacks []Lack) []Lack {
	one := Lack{What: fmt.Sprintf("%s and %d more", lacks[0].What, len(lacks)-1)}
	for _, l := range lacks {
		one.Packages = append(one.Packages, l.Packages...)
	}
	return []Lack{one}
}

func compile(ctx context.Context, compiler []string, headers []header, args ...string) error {
	var source strings.Builder
	for _, h := range headers {
		fmt.Fprintf(&source, "#include <%s>\n", h.name)
	}
	source.WriteString("int main(void) { return 0; }\n")
	return compileSource(ctx, compiler, source.String(), args...)
}

func compileSource(ctx context.Context, compiler []string, source string, args ...string) error {
	args = append(slices.Clone(compiler[1:]), append([]string{"-w", "-x", "c", "-"}, args...)...)
	cmd := exec.CommandContext(ctx, compiler[0], args...)
	cmd.Stdin = strings.NewReader(source)
	return cmd.Run()
}

// runLacks builds and runs the probe: libraries to link with, libraries to load, a display that answers.
func runLacks(ctx context.Context, compiler []string, display bool) []Lack {
	dir, err := os.MkdirTemp("", "foilwright-probe-")
	if err != nil {
		return []Lack{{What: "no temporary folder to try the C compiler in: " + err.Error()}}
	}
	defer os.RemoveAll(dir)
	probe := filepath.Join(dir, "probe")
	if err := compileSource(ctx, compiler, windowProbe, append([]string{"-o", probe}, windowLibraries...)...); err != nil {
		all := []string{}
		for _, h := range windowHeaders {
			all = append(all, h.pack)
		}
		return []Lack{{What: "the X11 libraries cannot be linked", Packages: all}}
	}
	out, err := exec.CommandContext(ctx, probe).Output()
	if err != nil {
		return []Lack{{What: "a program built by the C compiler does not run: " + err.Error()}}
	}
	var lacks []Lack
	for word := range strings.FieldsSeq(string(out)) {
		switch word {
		case "display":
			if display {
				lacks = append(lacks, Lack{What: "the X display " + os.Getenv("DISPLAY") + " does not answer"})
			}
		case "drawing":
			lacks = append(lacks, Lack{What: "no OpenGL library", Packages: drawingPackages})
		}
	}
	return lacks
}

// Explain tells in two lines what is missing for a window, and how to get it.
func Explain(lacks []Lack) string {
	var what, packages []string
	for _, l := range lacks {
		what = append(what, l.What)
		for _, p := range l.Packages {
			if !slices.Contains(packages, p) {
				packages = append(packages, p)
			}
		}
	}
	advice := "nothing needs to be installed for one; start from a desktop session"
	if len(packages) > 0 {
		advice = "for a window, on Debian: apt-get install " + strings.Join(packages, " ")
	}
	return "no window on this machine: " + strings.Join(what, "; ") + "\n" + advice + "\n"
}
