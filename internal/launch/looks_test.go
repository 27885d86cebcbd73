//go:build browser

package launch

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"foilwright/assets"
	"foilwright/internal/browsertest"
	"foilwright/scenarios"
	"foilwright/sim/bench"
	"foilwright/sim/trainee"
)

var looks = flag.String("looks", "", "leave pictures of the bench in a browser, in all sizes and themes, in this folder")

// pageSizes are what the bench is looked at in, in pixels of the page and of the screen.
var pageSizes = []struct {
	w, h  int
	scale float64
}{{1280, 800, 1}, {1024, 768, 1}, {1920, 1080, 1}, {820, 1180, 1}, {2560, 1440, 2}}

// TestLooks leaves pictures of the first page, the bench with the view of the field, and the debrief, in a headless
// Chromium, for somebody to look at. It checks that the pages come and nothing is thrown.
func TestLooks(t *testing.T) {
	if *looks == "" {
		t.Skip("pictures are left only where -looks names a folder")
	}
	module, err := FindModule(".")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(*looks, 0o755); err != nil {
		t.Fatal(err)
	}
	t.Setenv("DISPLAY", "")
	t.Setenv("WAYLAND_DISPLAY", "")
	ctx, cancel := context.WithTimeout(t.Context(), 40*time.Minute)
	defer cancel()
	told, served := make(lines, 1000), make(chan error, 1)
	go func() { served <- Start(ctx, Options{Way: Browser, Folder: module, Pages: assets.Web()}, told) }()
	address := ""
	for address == "" {
		select {
		case line := <-told:
			if strings.HasPrefix(line, "http://") {
				address = strings.TrimSpace(line)
			}
		case err := <-served:
			t.Fatalf("not served: %v", err)
		}
	}
	log := nearlyDone(t)
	visitor := browsertest.Start(t, ctx).Visitor(t)
	page := visitor.Open(t, address)
	for _, theme := range []string{"light", "dark", "contrast"} {
		page.Size(1280, 800, 1)
		page.Evaluate(fmt.Sprintf(`localStorage.clear(); localStorage.setItem("foilwright/settings", %s);
			localStorage.setItem("foilwright/log/20300506T070809-painted-panel-0005/000000", %s)`,
			strconv.Quote(`{"theme":"`+theme+`","text":100,"seen":true}`), strconv.Quote(string(log))))
		page.Goto(address)
		page.Until("the first frame is shown", `performance.getEntriesByName("first-frame").length > 0`)
		time.Sleep(3 * time.Second)
		leave := func(what string) {
			for _, s := range pageSizes {
				page.Size(s.w, s.h, s.scale)
				page.Evaluate(twoFrames)
				name := fmt.Sprintf("%s-%s-%dx%d.png", theme, what, s.w, s.h)
				if err := os.WriteFile(filepath.Join(*looks, name), page.Picture(), 0o644); err != nil {
					t.Error(err)
				}
			}
			page.Size(1280, 800, 1)
			page.Evaluate(twoFrames)
		}
		press := func(keys ...string) {
			for _, k := range keys {
				page.Press(k, 200*time.Millisecond)
				page.Evaluate(twoFrames)
				time.Sleep(time.Second)
			}
		}
		leave("1-home")
		press("Enter", "1", "m", "e")
		leave("2-bench")
		press("r", "x", "Enter", "Enter")
		time.Sleep(4 * time.Second)
		leave("3-debrief")
	}
	if thrown := page.Thrown(); thrown != "" {
		t.Errorf("the page threw %s", thrown)
	}
}

// twoFrames waits until what has changed has been drawn.
const twoFrames = `new Promise((done) => { let n = 6; const next = () => --n ? requestAnimationFrame(next) : done(""); next() })`

// nearlyDone is the log of an attempt with a fault in it, up to its report.
func nearlyDone(t *testing.T) []byte {
	t.Helper()
	e, err := scenarios.ByID("painted-panel")
	if err != nil {
		t.Fatal(err)
	}
	w, err := bench.NewWorld(e, 5)
	if err != nil {
		t.Fatal(err)
	}
	b, err := trainee.Play(w, 5, trainee.Faults()[3].ID)
	if err != nil {
		t.Fatal(err)
	}
	var writer bench.Writer
	log, err := writer.Header(bench.NewHeader(w, ""))
	if err != nil {
		t.Fatal(err)
	}
	for _, entry := range b.Record().Entries {
		if entry.Action.Do == bench.Report {
			break
		}
		line, err := writer.Entry(entry)
		if err != nil {
			t.Fatal(err)
		}
		log = append(log, line...)
	}
	return log
}
