//go:build display

package window

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"foilwright/internal/paint"
	"foilwright/internal/widgets"
)

const pressesVariable = "FOILWRIGHT_TEST_PRESSES"

// tellPresses is an app that prints what it is told of presses, and paints each frame anew, which is the slow case.
type tellPresses struct {
	frames int
	start  time.Time
}

func (a *tellPresses) Frame(in widgets.Input, l *paint.List) widgets.Reply {
	if a.frames++; a.frames == 3 {
		fmt.Println("ready")
	}
	l.Reset()
	l.Rect(paint.R(0, 0, in.W, in.H), paint.Light().Paper)
	l.Rect(paint.R(float64(a.frames%300), 10, 50, 50), paint.Light().Ink)
	for _, e := range in.Events {
		switch e.Kind {
		case widgets.PointerDown:
			fmt.Printf("down %.0f,%.0f\n", e.X, e.Y)
		case widgets.PointerUp:
			fmt.Printf("up %.0f,%.0f\n", e.X, e.Y)
		case widgets.KeyDown:
			fmt.Println("key " + e.Key)
		case widgets.KeyUp:
			fmt.Println("let go " + e.Key)
		}
	}
	return widgets.Reply{Quit: time.Since(a.start) > time.Minute}
}

// A press that is over before the next frame is told of all the same, with its release in a later frame.
func TestPressesShorterThanAFrame(t *testing.T) {
	xdotool, err := exec.LookPath("xdotool")
	if err != nil {
		t.Skip("xdotool, which presses, is not installed")
	}
	child := exec.Command(os.Args[0])
	child.Env = append(os.Environ(), pressesVariable+"=1")
	child.Stderr = os.Stderr
	out, err := child.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() { _ = child.Process.Kill(); _ = child.Wait() }()
	lines := make(chan string, 100)
	go func() {
		for s := bufio.NewScanner(out); s.Scan(); {
			lines <- s.Text()
		}
		close(lines)
	}()
	await := func(want string) {
		t.Helper()
		var seen []string
		for end := time.After(20 * time.Second); ; {
			select {
			case got, ok := <-lines:
				if got == want {
					return
				}
				if seen = append(seen, got); !ok {
					t.Fatalf("the window closed before %q; %q were seen", want, seen)
				}
			case <-end:
				t.Fatalf("%q did not come; %q were seen", want, seen)
			}
		}
	}
	press := func(args ...string) {
		t.Helper()
		if out, err := exec.Command(xdotool, args...).CombinedOutput(); err != nil {
			t.Fatalf("xdotool %s: %v %s", strings.Join(args, " "), err, out)
		}
	}
	await("ready")
	press("search", "--sync", "--name", "^presses of a test$", "windowfocus", "--sync", "windowmove", "0", "0")
	time.Sleep(time.Second) // for the move to arrive
	for i := range 8 {
		x := fmt.Sprint(100 + 20*i)
		press("mousemove", x, "200", "click", "1") // pressed and let go at once
		await("down " + x + ",200")
		await("up " + x + ",200")
	}
	for _, k := range [][2]string{{"z", "z"}, {"Return", "Enter"}, {"Escape", "Escape"}, {"F1", "F1"}, {"Left", "ArrowLeft"}, {"space", "Space"}} {
		press("key", "--delay", "0", k[0])
		await("key " + k[1])
		await("let go " + k[1])
	}
}
