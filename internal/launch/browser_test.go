//go:build browser

package launch

import (
	"bufio"
	"bytes"
	"context"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"image"
	_ "image/png"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"foilwright/assets"
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

	page := openPage(t, ctx, address)
	page.mustAsk(t, "Performance.enable", map[string]any{"timeDomain": "threadTicks"}, nil)
	const state = `(() => {
		const word = document.getElementById("word"), canvas = document.querySelector("canvas");
		if (word && word.className === "bad") return "failed: " + word.textContent;
		if (!canvas || canvas.width === 0 || document.getElementById("load").style.display !== "none") return "loading";
		return "running";
	})()`
	began := time.Now()
	for {
		answer := page.evaluate(t, state)
		if answer == "running" {
			break
		}
		if strings.HasPrefix(answer, "failed") || time.Since(began) > 2*time.Minute {
			t.Fatalf("after %.0f s the page says %q; its console: %s", time.Since(began).Seconds(), answer, page.console)
		}
		time.Sleep(200 * time.Millisecond)
	}
	t.Logf("running %.1f s after the page was asked for", time.Since(began).Seconds())

	for began := time.Now(); time.Since(began) < time.Minute; time.Sleep(100 * time.Millisecond) {
		const shown = `String((performance.getEntriesByName("first-frame")[0] || {startTime: -1}).startTime)`
		if answer := page.evaluate(t, shown); answer != "-1" {
			t.Logf("first frame %s ms after navigation; program fetched by %s ms, started at %s ms", answer,
				page.evaluate(t, `String((performance.getEntriesByType("resource").find((r) => r.name.endsWith(".wasm")) || {responseEnd: -1}).responseEnd)`),
				page.evaluate(t, `String(performance.getEntriesByName("program-start")[0].startTime)`))
			// On a busy machine this says more than the clock.
			t.Logf("the page's thread worked %.1f s until then", page.worked(t))
			break
		}
	}

	// The first frame comes a little after the program has started; a blank page has one colour.
	var colours int
	for began := time.Now(); time.Since(began) < time.Minute; time.Sleep(time.Second) {
		picture := page.picture(t)
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
		t.Errorf("the page shows %d colours a minute after it started, want a drawn bench; its console: %s", colours, page.console)
	}
	if answer := page.evaluate(t, state); answer != "running" {
		t.Errorf("in the end the page says %q; its console: %s", answer, page.console)
	}
	if page.thrown != "" {
		t.Errorf("the page threw %s", page.thrown)
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

// browserPage is one page of a headless Chromium, spoken to through its debugging pipe: messages of the Chrome DevTools
// Protocol, each ended by a zero byte.
type browserPage struct {
	to      io.Writer
	from    *bufio.Reader
	session string
	last    int
	console string // what the page wrote
	thrown  string // the first exception nobody caught
}

func openPage(t *testing.T, ctx context.Context, address string) *browserPage {
	t.Helper()
	toRead, toWrite, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	fromRead, fromWrite, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	// Software drawing, as there is no graphics card where this runs; no sandbox, as it may run as root.
	cmd := exec.CommandContext(ctx, "chromium", "--headless", "--remote-debugging-pipe", "--no-sandbox", "--disable-quic",
		"--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync",
		"--disable-dev-shm-usage", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--window-size=1280,800",
		"--user-data-dir="+filepath.Join(t.TempDir(), "profile"), "about:blank")
	cmd.ExtraFiles = []*os.File{toRead, fromWrite} // file descriptors 3 and 4
	var complaint bytes.Buffer
	cmd.Stderr = &complaint
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	toRead.Close()
	fromWrite.Close()
	p := &browserPage{to: toWrite, from: bufio.NewReader(fromRead)}
	t.Cleanup(func() {
		p.ask("Browser.close", nil)
		cmd.Wait()
		if t.Failed() {
			t.Logf("chromium said: %.2000s", complaint.String())
		}
	})
	var target struct{ TargetID string }
	p.mustAsk(t, "Target.createTarget", map[string]any{"url": "about:blank"}, &target)
	var attached struct{ SessionID string }
	p.mustAsk(t, "Target.attachToTarget", map[string]any{"targetId": target.TargetID, "flatten": true}, &attached)
	p.session = attached.SessionID
	p.mustAsk(t, "Runtime.enable", nil, nil)
	p.mustAsk(t, "Page.enable", nil, nil)
	p.mustAsk(t, "Page.navigate", map[string]any{"url": address}, nil)
	return p
}

// ask sends one command and returns its result, noting events that come before it.
func (p *browserPage) ask(method string, parameters any) (json.RawMessage, error) {
	p.last++
	message := map[string]any{"id": p.last, "method": method}
	if parameters != nil {
		message["params"] = parameters
	}
	if p.session != "" && !strings.HasPrefix(method, "Browser.") {
		message["sessionId"] = p.session
	}
	content, err := json.Marshal(message)
	if err != nil {
		return nil, err
	}
	if _, err := p.to.Write(append(content, 0)); err != nil {
		return nil, err
	}
	for {
		content, err := p.from.ReadBytes(0)
		if err != nil {
			return nil, fmt.Errorf("chromium went away: %w", err)
		}
		var answer struct {
			ID     int
			Method string
			Params json.RawMessage
			Result json.RawMessage
			Error  *struct{ Message string }
		}
		if err := json.Unmarshal(content[:len(content)-1], &answer); err != nil {
			return nil, err
		}
		switch {
		case answer.Method == "Runtime.consoleAPICalled":
			p.console += fmt.Sprintf("%.500s\n", answer.Params)
		case answer.Method == "Runtime.exceptionThrown" && p.thrown == "":
			p.thrown = fmt.Sprintf("%.1000s", answer.Params)
		case answer.ID == p.last && answer.Error != nil:
			return nil, fmt.Errorf("%s: %s", method, answer.Error.Message)
		case answer.ID == p.last:
			return answer.Result, nil
		}
	}
}

func (p *browserPage) mustAsk(t *testing.T, method string, parameters, result any) {
	t.Helper()
	content, err := p.ask(method, parameters)
	if err != nil {
		t.Fatal(err)
	}
	if result != nil {
		if err := json.Unmarshal(content, result); err != nil {
			t.Fatal(err)
		}
	}
}

// evaluate runs a script on the page and returns the text it ends with.
func (p *browserPage) evaluate(t *testing.T, script string) string {
	t.Helper()
	var answer struct{ Result struct{ Value string } }
	p.mustAsk(t, "Runtime.evaluate", map[string]any{"expression": script}, &answer)
	return answer.Result.Value
}

// worked returns the processor time of the page's own thread, in seconds.
func (p *browserPage) worked(t *testing.T) float64 {
	t.Helper()
	var answer struct {
		Metrics []struct {
			Name  string
			Value float64
		}
	}
	p.mustAsk(t, "Performance.getMetrics", nil, &answer)
	for _, m := range answer.Metrics {
		if m.Name == "TaskDuration" {
			return m.Value
		}
	}
	return 0
}

// picture returns what the page shows, as PNG.
func (p *browserPage) picture(t *testing.T) []byte {
	t.Helper()
	var answer struct{ Data string }
	p.mustAsk(t, "Page.captureScreenshot", nil, &answer)
	content, err := base64.StdEncoding.DecodeString(answer.Data)
	if err != nil {
		t.Fatal(err)
	}
	return content
}
