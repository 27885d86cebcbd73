//go:build browser

package screens

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"foilwright/assets"
	"foilwright/internal/browsertest"
	"foilwright/internal/launch"
	"foilwright/internal/paint"
)

// tablet plays the bench in a browser by touch. What is to be touched lies where
// a driver of the same size, which does the same, has it. Every step is checked
// in the log that the page keeps.
type tablet struct {
	*driver
	page   *browsertest.Page
	folder string // for the pictures
}

// count is how often the page's log says something.
func (b *tablet) count(what string) int {
	b.t.Helper()
	n, err := strconv.Atoi(b.page.Evaluate(fmt.Sprintf(`String(Object.keys(localStorage).filter((k) => k.startsWith("foilwright/log/")).sort()
		.map((k) => localStorage[k]).join("").split(%q).length - 1)`, what)))
	if err != nil {
		b.t.Fatal(err)
	}
	return n
}

// until waits for the page's log to say something once more than before.
func (b *tablet) until(what string, before int, patience time.Duration) bool {
	b.t.Helper()
	for began := time.Now(); time.Since(began) < patience; time.Sleep(150 * time.Millisecond) {
		if b.count(what) > before {
			return true
		}
	}
	return false
}

// does touches what has an id until the page's log has one more of a verb; an
// empty verb is of what no log tells.
func (b *tablet) does(id, verb string) {
	b.t.Helper()
	r, there := b.app.where[id]
	if !there {
		b.t.Fatalf("there is no %q on the screen", id)
	}
	b.tap(id, 60)
	b.pass(200)
	what := `"do":"` + verb + `"`
	before := b.count(what)
	for range 4 {
		lift := b.page.Touch(r.X+r.W/2, r.Y+r.H/2)
		time.Sleep(80 * time.Millisecond)
		lift()
		if verb == "" {
			time.Sleep(2 * time.Second)
			return
		}
		if b.until(what, before, 5*time.Second) {
			return
		}
	}
	b.picture("failed")
	b.t.Fatalf("no %s in the log after touching %q", verb, id)
}

// reads brings the probe to a place by finger and takes a reading by the button.
func (b *tablet) reads(xMm, yMm float64) {
	b.t.Helper()
	q := b.at(xMm, yMm)
	b.finger(q.X, q.Y, 900)
	b.pass(500)
	b.tap("hold", 1200)
	b.pass(900)
	const reading = `"saw":"reading"`
	before := b.count(reading)
	for range 4 {
		lift := b.page.Touch(q.X, q.Y)
		time.Sleep(900 * time.Millisecond)
		lift()
		time.Sleep(500 * time.Millisecond)
		r := b.app.where["hold"]
		lift = b.page.Touch(r.X+r.W/2, r.Y+r.H/2)
		read := b.until(reading, before, 10*time.Second)
		lift()
		time.Sleep(900 * time.Millisecond)
		if read {
			return
		}
	}
	b.picture("failed")
	b.t.Fatalf("no reading at (%g, %g) mm", xMm, yMm)
}

func (b *tablet) picture(name string) {
	b.t.Helper()
	if err := os.WriteFile(filepath.Join(b.folder, name+".png"), b.page.Picture(), 0o644); err != nil {
		b.t.Error(err)
	}
}

// TestPlayByTouch plays the painted panel from home to debrief by touch alone,
// on the page of a tablet held upright, in a headless Chromium. Pictures of each
// step are left in build/touch.
func TestPlayByTouch(t *testing.T) {
	module, err := launch.FindModule(".")
	if err != nil {
		t.Fatal(err)
	}
	t.Setenv("DISPLAY", "")
	t.Setenv("WAYLAND_DISPLAY", "")
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Minute)
	defer cancel()
	address, served := make(chan string, 1), make(chan error, 1)
	go func() {
		served <- launch.Start(ctx, launch.Options{Way: launch.Browser, Folder: module, Pages: assets.Web()}, firstAddress(address))
	}()
	b := &tablet{driver: newDriver(t, 820, 1180), folder: filepath.Join(module, "build", "touch")}
	if err := os.MkdirAll(b.folder, 0o755); err != nil {
		t.Fatal(err)
	}
	visitor := browsertest.Start(t, ctx).Visitor(t)
	b.page = visitor.Open(t, "about:blank")
	b.page.Size(820, 1180, 1)
	b.page.Finger()
	select {
	case at := <-address:
		b.page.Goto(at + "?exercise=painted-panel")
	case err := <-served:
		t.Fatalf("not served: %v", err)
	}
	for began := time.Now(); b.page.Evaluate(`String(performance.getEntriesByName("first-frame").length)`) == "0"; time.Sleep(200 * time.Millisecond) {
		if time.Since(began) > 2*time.Minute {
			t.Fatalf("no bench; the console says %s", b.page.Console())
		}
	}
	b.app.where = map[string]paint.Rect{}
	b.frame()
	b.playByTouch()
	if b.count(`"saw":"finished"`) != 1 {
		t.Error("the page's log does not say that the attempt is finished")
	}
	if thrown := b.page.Thrown(); thrown != "" {
		t.Errorf("the page threw %s", thrown)
	}
	t.Logf("%d readings by touch, pictures in %s", b.count(`"saw":"reading"`), b.folder)
}

func (b *tablet) playByTouch() {
	b.picture("1-home")
	b.does("start-painted-panel", "read-job")
	b.picture("2-job")
	b.does("to-bench", "")
	b.does("look-tip", "look-tip")
	b.does("wipe-tip", "wipe-tip")
	b.does("card-foil-75", "read-certificate")
	b.does("clear", "clear-memory")
	b.does("twin-3", "place")
	b.does("zero", "begin-zero")
	for i := range 5 {
		b.reads(52+4*float64(i), 50)
	}
	b.picture("3-zero")
	b.does("store", "store-zero")
	b.does("foil-75", "lay-foil")
	b.does("foil", "begin-foil")
	b.does("foil-value", "")
	b.write("77.2")
	b.page.Insert("77.2")
	time.Sleep(time.Second)
	b.picture("4-foil-value")
	b.does("set", "set-foil-value")
	for i := range 5 {
		b.reads(52+4*float64(i), 50)
	}
	b.does("store", "store-foil")
	verify := func(name string) {
		b.does("verify", "begin-verify")
		b.does("twin-3", "place")
		b.does("foil-50", "lay-foil")
		for i := range 3 {
			b.reads(54+4*float64(i), 50)
		}
		b.picture(name)
		b.does("good", "judge-verify")
	}
	b.does("card-foil-50", "read-certificate")
	b.does("card-foil-50", "")
	verify("5-verify")
	b.does("panel", "place")
	b.does("measure", "")
	for i, q := range spots {
		if i > 0 {
			b.does("new-spot", "new-spot")
		}
		for k := range 3 {
			b.reads(q[0]+3*float64(k), q[1])
		}
	}
	b.picture("6-measured")
	verify("7-verify-again")
	b.does("report", "")
	b.does(b.verdict(), "")
	b.picture("8-report")
	b.does("finish", "report")
	b.picture("9-finish")
	b.does("finish-now-yes", "finish")
	b.pass(300)
	time.Sleep(5 * time.Second)
	b.picture("10-debrief")
}

// firstAddress passes on the first address of what is told to it.
type firstAddress chan string

func (f firstAddress) Write(line []byte) (int, error) {
	for _, word := range strings.Fields(string(line)) {
		if strings.HasPrefix(word, "http://") {
			select {
			case f <- word:
			default:
			}
		}
	}
	return len(line), nil
}
