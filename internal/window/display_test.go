//go:build display

package window

import (
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"foilwright/internal/paint"
	"foilwright/internal/widgets"
	"foilwright/internal/widgets/gallery"
)

// The tests of this file need a display: xvfb-run -a go test -tags display ./internal/window. Each window is opened by
// the test binary itself, run again, since ebiten runs one window in the life of a process.

const pageVariable, shotVariable = "FOILWRIGHT_TEST_PAGE", "FOILWRIGHT_TEST_SHOT"

func TestMain(m *testing.M) {
	if os.Getenv(pressesVariable) != "" {
		if err := Run(&tellPresses{start: time.Now()}, Options{Title: "presses of a test", W: 800, H: 600}); err != nil {
			os.Stderr.WriteString(err.Error() + "\n")
			os.Exit(1)
		}
		return
	}
	if folder := os.Getenv(playVariable); folder != "" {
		if err := benchInAWindow(folder, os.Getenv(exerciseVariable)); err != nil {
			os.Stderr.WriteString(err.Error() + "\n")
			os.Exit(1)
		}
		return
	}
	if shot := os.Getenv(shotVariable); shot != "" {
		g := gallery.New()
		g.Page = int(os.Getenv(pageVariable)[0] - '0')
		if err := Run(still{g}, Options{Title: "test", W: 1000, H: 640, ShotPath: shot, ShotFrame: 4}); err != nil {
			os.Stderr.WriteString(err.Error() + "\n")
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

// still keeps the pointer, which may lie anywhere on the test's display, from an app.
type still struct{ app App }

func (s still) Frame(in widgets.Input, l *paint.List) widgets.Reply {
	in.Events = nil
	return s.app.Frame(in, l)
}

// TestCardAgreesWithSoftware compares the window's own pixels with the software painter's. Both paint the same mesh, so
// only rounding of colours and of places on edges may differ: no channel by more than 3 of 255 in all but 1 of 10000
// pixels.
func TestCardAgreesWithSoftware(t *testing.T) {
	for page := range 6 {
		t.Run(string(rune('0'+page)), func(t *testing.T) {
			shot := filepath.Join(t.TempDir(), "shot.png")
			again := exec.Command(os.Args[0])
			again.Env = append(os.Environ(), shotVariable+"="+shot, pageVariable+"="+string(rune('0'+page)))
			if out, err := again.CombinedOutput(); err != nil {
				t.Fatalf("the window failed: %v\n%s", err, out)
			}
			f, err := os.Open(shot)
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			got, err := png.Decode(f)
			if err != nil {
				t.Fatal(err)
			}
			g := gallery.New()
			g.Page = page
			l := &paint.List{}
			w, h := got.Bounds().Dx(), got.Bounds().Dy()
			for range 2 {
				g.Frame(widgets.Input{W: float64(w), H: float64(h), Scale: 1, NowMs: 1}, l)
			}
			want := paint.Render(l, w, h, 1)
			differ, worst := 0, 0
			for y := range h {
				for x := range w {
					r, gr, b, _ := got.At(x, y).RGBA()
					p := want.RGBAAt(x, y)
					d := max(apart(r, p.R), apart(gr, p.G), apart(b, p.B))
					worst = max(worst, d)
					if d > 3 {
						differ++
					}
				}
			}
			t.Logf("%d of %d pixels differ by more than 3, at most by %d", differ, w*h, worst)
			if differ > w*h/10000 {
				t.Errorf("%d pixels differ, want at most %d", differ, w*h/10000)
			}
		})
	}
}

func apart(a uint32, b uint8) int {
	d := int(a>>8) - int(b)
	return max(d, -d)
}
