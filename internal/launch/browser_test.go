//go:build browser

package launch

import (
	"bytes"
	"context"
	"image"
	_ "image/png"
	"os"
	"strings"
	"testing"
	"time"

	"foilwright/assets"
	"foilwright/internal/browsertest"
)

// TestBenchRunsInABrowser builds and serves the real bench, loads it in a headless Chromium, and looks at the page. It
// needs Chromium and about a minute. With FOILWRIGHT_SHOT set, the picture it judged is left in that file.
func TestBenchRunsInABrowser(t *testing.T) {
	module, err := FindModule(".")
	if err != nil {
		t.Fatal(err)
	}
	t.Setenv("DISPLAY", "") // so that no other browser opens
	t.Setenv("WAYLAND_DISPLAY", "")
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Minute)
	defer cancel()
	told, served := make(lines, 1000), make(chan error, 1)
	go func() {
		served <- Start(ctx, Options{Way: Browser, Folder: module, Pages: assets.Web()}, told)
	}()
	var address string
	for address == "" {
		select {
		case line := <-told:
			t.Log(line)
			if strings.HasPrefix(line, "http://") {
				address = line
			}
		case err := <-served:
			t.Fatalf("not served: %v", err)
		}
	}

	visitor := browsertest.Start(t, ctx).Visitor(t)
	began := time.Now()
	page := visitor.Open(t, address)
	const state = `(() => {
		const word = document.getElementById("word"), canvas = document.querySelector("canvas");
		if (word && word.className === "bad") return "failed: " + word.textContent;
		if (!canvas || canvas.width === 0 || document.getElementById("load").style.display !== "none") return "loading";
		return "running";
	})()`
	for {
		answer := page.Evaluate(state)
		if answer == "running" {
			break
		}
		if strings.HasPrefix(answer, "failed") || time.Since(began) > 2*time.Minute {
			t.Fatalf("after %.0f s the page says %q; its console: %s", time.Since(began).Seconds(), answer, page.Console())
		}
		time.Sleep(200 * time.Millisecond)
	}
	t.Logf("running %.1f s after the page was asked for", time.Since(began).Seconds())

	for began := time.Now(); time.Since(began) < time.Minute; time.Sleep(100 * time.Millisecond) {
		const shown = `String((performance.getEntriesByName("first-frame")[0] || {startTime: -1}).startTime)`
		if answer := page.Evaluate(shown); answer != "-1" {
			t.Logf("first frame %s ms after navigation; program fetched by %s ms, started at %s ms", answer,
				page.Evaluate(`String((performance.getEntriesByType("resource").find((r) => r.name.endsWith(".wasm")) || {responseEnd: -1}).responseEnd)`),
				page.Evaluate(`String(performance.getEntriesByName("program-start")[0].startTime)`))
			// On a busy machine this says more than the clock.
			t.Logf("the page's thread worked %.1f s until then", page.Worked())
			break
		}
	}

	// The first frame comes a little after the program has started; a blank page has one colour.
	var colours int
	for began := time.Now(); time.Since(began) < time.Minute; time.Sleep(time.Second) {
		picture := page.Picture()
		if colours = coloursOf(t, picture); colours >= 20 {
			if name := os.Getenv("FOILWRIGHT_SHOT"); name != "" {
				if err := os.WriteFile(name, picture, 0o644); err != nil {
					t.Error(err)
				}
			}
			break
		}
	}
	if colours < 20 {
		t.Errorf("the page shows %d colours a minute after it started, want a drawn bench; its console: %s", colours, page.Console())
	}
	if answer := page.Evaluate(state); answer != "running" {
		t.Errorf("in the end the page says %q; its console: %s", answer, page.Console())
	}
	if thrown := page.Thrown(); thrown != "" {
		t.Errorf("the page threw %s", thrown)
	}
	cancel()
	if err := <-served; err != nil {
		t.Error(err)
	}
}

// coloursOf counts the colours of a picture.
func coloursOf(t *testing.T, content []byte) int {
	t.Helper()
	picture, _, err := image.Decode(bytes.NewReader(content))
	if err != nil {
		t.Fatal(err)
	}
	seen := map[[3]uint32]bool{}
	b := picture.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			red, green, blue, _ := picture.At(x, y).RGBA()
			seen[[3]uint32{red, green, blue}] = true
		}
	}
	return len(seen)
}
