//go:build display

package window

import (
	"bufio"
	"bytes"
	"fmt"
	"image"
	"image/png"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"

	"foilwright/internal/paint"
	"foilwright/internal/screens"
	"foilwright/internal/store"
	"foilwright/internal/widgets"
	"foilwright/scenarios"
	"foilwright/sim/bench"
)

// playVariable makes the test binary open the bench itself in a window: it names the folder the bench keeps its data in.
// exerciseVariable names the exercise that is offered; all are without it.
const playVariable, exerciseVariable = "FOILWRIGHT_TEST_PLAY", "FOILWRIGHT_TEST_EXERCISE"

// benchInAWindow shows the bench and answers on standard output what is asked on standard input: where a thing lies that
// can be pressed ("place ID"), or a place of the piece ("piece X Y", mm).
func benchInAWindow(folder, exercise string) error {
	st, err := store.Open(folder)
	if err != nil {
		return err
	}
	list := scenarios.Shipped()
	if exercise != "" {
		one, err := scenarios.ByID(exercise)
		if err != nil {
			return err
		}
		list = []*bench.Exercise{one}
	}
	app := screens.New(screens.Config{
		Store: st, Exercises: list, Clock: time.Now, Seed: func() uint64 { return 5 }, Whole: scenarios.Whole,
	})
	questions := make(chan string)
	go func() {
		for s := bufio.NewScanner(os.Stdin); s.Scan(); {
			questions <- s.Text()
		}
		os.Exit(0) // whoever asked is gone
	}()
	return Run(&asked{app, questions}, Options{Title: "play of a test", W: 1280, H: 800})
}

type asked struct {
	*screens.App
	questions chan string
}

func (a *asked) Frame(in widgets.Input, l *paint.List) widgets.Reply {
	reply := a.App.Frame(in, l)
	places := a.Places()
	select {
	case q := <-a.questions:
		var id string
		var x, y float64
		at, there := paint.Point{}, false
		if _, err := fmt.Sscanf(q, "piece %g %g", &x, &y); err == nil {
			at, there = a.OnPiece(x, y)
		} else if _, err := fmt.Sscanf(q, "place %s", &id); err == nil {
			var r paint.Rect
			if r, there = places[id]; there {
				at = r.Center()
			}
		}
		fmt.Println(there, at.X, at.Y)
	default:
	}
	return reply
}

// mouse works the bench in a real window with the mouse alone, and sees of it only what is on the screen and in the log.
type mouse struct {
	testing.TB
	xdotool, window string
	ask             io.Writer
	answers         *bufio.Scanner
	data, pictures  string
}

// newMouse opens the bench in a window.
func newMouse(t testing.TB, exercise, pictures string) *mouse {
	t.Helper()
	xdotool, err := exec.LookPath("xdotool")
	if err != nil {
		t.Skip("xdotool, which is the mouse, is not installed")
	}
	if err := os.MkdirAll(pictures, 0o755); err != nil {
		t.Fatal(err)
	}
	m := &mouse{TB: t, xdotool: xdotool, data: t.TempDir(), pictures: pictures}
	child := exec.Command(os.Args[0])
	child.Env = append(os.Environ(), playVariable+"="+m.data, exerciseVariable+"="+exercise)
	child.Stderr = os.Stderr
	in, err := child.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := child.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = child.Process.Kill(); _ = child.Wait() })
	m.ask, m.answers = in, bufio.NewScanner(out)
	m.place("settings") // the first page is drawn
	m.window = m.do("search", "--sync", "--name", "^play of a test$")
	m.do("windowfocus", "--sync", m.window, "windowmove", m.window, "0", "0")
	time.Sleep(500 * time.Millisecond) // for the move to arrive
	return m
}

// do runs xdotool.
func (m *mouse) do(args ...string) string {
	m.Helper()
	out, err := exec.Command(m.xdotool, args...).CombinedOutput()
	if err != nil {
		m.Fatalf("xdotool %s: %v %s", strings.Join(args, " "), err, out)
	}
	return strings.TrimSpace(string(out))
}

// patience is how long the bench may take for what it was asked to do: a busy machine draws a frame in a second.
const patience = 20 * time.Second

// where asks until the bench tells where something is.
func (m *mouse) where(question string) (x, y float64) {
	m.Helper()
	for began := time.Now(); time.Since(began) < patience; time.Sleep(50 * time.Millisecond) {
		if _, err := fmt.Fprintln(m.ask, question); err != nil {
			m.Fatal(err)
		}
		var there bool
		if !m.answers.Scan() {
			m.Fatalf("the window closed at %q", question)
		}
		if _, err := fmt.Sscan(m.answers.Text(), &there, &x, &y); err != nil {
			m.Fatalf("%q to %q: %v", m.answers.Text(), question, err)
		}
		if there {
			return x, y
		}
	}
	m.fail("it is nowhere: %s", question)
	return 0, 0
}

func (m *mouse) place(id string) (x, y float64) { m.Helper(); return m.where("place " + id) }

func (m *mouse) fail(format string, args ...any) {
	m.Helper()
	m.shot("failed")
	m.Fatalf(format+"; %s/failed.png shows the window", append(args, m.pictures)...)
}

// move brings the pointer to a place, as a hand does, on a way.
func (m *mouse) move(x, y float64) {
	m.Helper()
	m.do("mousemove", "--window", m.window, num(x-6), num(y-4), "sleep", "0.03", "mousemove", "--window", m.window, num(x), num(y), "sleep", "0.03")
}

func num(v float64) string { return fmt.Sprint(int(math.Round(v))) }

// click presses what has an id.
func (m *mouse) click(id string) {
	m.Helper()
	x, y := m.place(id)
	if x < 0 || y < 0 || x > 1280 || y > 800 {
		m.fail("%s lies outside the window, at (%.0f, %.0f)", id, x, y)
	}
	m.move(x, y)
	m.do("mousedown", "1", "sleep", "0.08", "mouseup", "1")
}

// log is what all attempts have written down so far.
func (m *mouse) log() []byte {
	m.Helper()
	names, err := filepath.Glob(filepath.Join(m.data, "*.jsonl"))
	if err != nil {
		m.Fatal(err)
	}
	var all []byte
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			m.Fatal(err)
		}
		all = append(all, text...)
	}
	return all
}

// until waits for the log to say something once more than before.
func (m *mouse) until(what string, before int, limit time.Duration) bool {
	m.Helper()
	for began := time.Now(); ; time.Sleep(30 * time.Millisecond) {
		if bytes.Count(m.log(), []byte(what)) > before {
			return true
		}
		if time.Since(began) > limit {
			return false
		}
	}
}

// does clicks what has an id and expects one more of a verb in the log.
func (m *mouse) does(id, verb string) {
	m.Helper()
	what := `"do":"` + verb + `"`
	before := bytes.Count(m.log(), []byte(what))
	m.click(id)
	if !m.until(what, before, patience) {
		m.fail("no %s in the log after clicking %q", verb, id)
	}
}

// goes clicks what has an id and expects another to be on the page then.
func (m *mouse) goes(id, to string) {
	m.Helper()
	m.click(id)
	m.place(to)
}

const reading = `"saw":"reading"`

// reads takes a reading at a place of the piece: the button is held until the reading shows.
func (m *mouse) reads(xMm, yMm float64) {
	m.Helper()
	x, y := m.where(fmt.Sprintf("piece %g %g", xMm, yMm))
	before := bytes.Count(m.log(), []byte(reading))
	for range 3 {
		m.move(x, y)
		time.Sleep(400 * time.Millisecond) // the hand comes to rest
		m.do("mousedown", "1")
		read := m.until(reading, before, patience)
		m.do("mouseup", "1")
		time.Sleep(500 * time.Millisecond) // lifted clear
		if read || m.until(reading, before, time.Second) {
			return
		}
	}
	m.fail("no reading at (%g, %g) mm", xMm, yMm)
}

// shot leaves a picture of the window, as the display has it.
func (m *mouse) shot(name string) {
	m.Helper()
	time.Sleep(400 * time.Millisecond) // for the frame to be shown
	img, err := picture(m.window)
	if err != nil {
		m.Errorf("no picture of %s: %v", name, err)
		return
	}
	f, err := os.Create(filepath.Join(m.pictures, name+".png"))
	if err != nil {
		m.Fatal(err)
	}
	defer f.Close()
	if err := png.Encode(f, img); err != nil {
		m.Fatal(err)
	}
}

// picture reads the pixels of a window from the display.
func picture(window string) (*image.RGBA, error) {
	display, err := xgb.NewConn()
	if err != nil {
		return nil, err
	}
	defer display.Close()
	var id uint32
	if _, err := fmt.Sscan(window, &id); err != nil {
		return nil, err
	}
	size, err := xproto.GetGeometry(display, xproto.Drawable(id)).Reply()
	if err != nil {
		return nil, err
	}
	got, err := xproto.GetImage(display, xproto.ImageFormatZPixmap, xproto.Drawable(id), 0, 0, size.Width, size.Height, math.MaxUint32).Reply()
	if err != nil {
		return nil, err
	}
	img := image.NewRGBA(image.Rect(0, 0, int(size.Width), int(size.Height)))
	if len(got.Data) != len(img.Pix) {
		return nil, fmt.Errorf("%d bytes of a picture of %d by %d; the display needs 24 bit colours", len(got.Data), size.Width, size.Height)
	}
	for i := 0; i < len(img.Pix); i += 4 {
		img.Pix[i], img.Pix[i+1], img.Pix[i+2], img.Pix[i+3] = got.Data[i+2], got.Data[i+1], got.Data[i], 255
	}
	return img, nil
}

// attempts are the logs, the first one first.
func (m *mouse) attempts() []string {
	m.Helper()
	names, err := filepath.Glob(filepath.Join(m.data, "*.jsonl"))
	if err != nil {
		m.Fatal(err)
	}
	slices.Sort(names)
	return names
}
