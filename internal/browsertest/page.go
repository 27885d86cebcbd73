package browsertest

import (
	"encoding/base64"
	"encoding/json"
	"fmt"
	"strconv"
	"testing"
	"time"
)

// Visitor is somebody with cookies of their own.
type Visitor struct {
	browser *Browser
	context string
}

// Visitor returns somebody new.
func (b *Browser) Visitor(t testing.TB) *Visitor {
	t.Helper()
	var made struct{ BrowserContextID string }
	b.mustAsk(t, "", "Target.createBrowserContext", nil, &made)
	return &Visitor{b, made.BrowserContextID}
}

// Page is one page of a visitor.
type Page struct {
	testing.TB
	browser         *Browser
	visitor         *Visitor
	session, target string
	console, thrown string // under the browser's lock
}

// Open opens a page, 1280 by 800, at an address.
func (v *Visitor) Open(t testing.TB, address string) *Page {
	t.Helper()
	p := &Page{TB: t, browser: v.browser, visitor: v}
	var target struct{ TargetID string }
	v.browser.mustAsk(t, "", "Target.createTarget", map[string]any{"url": "about:blank", "browserContextId": v.context}, &target)
	var attached struct{ SessionID string }
	v.browser.mustAsk(t, "", "Target.attachToTarget", map[string]any{"targetId": target.TargetID, "flatten": true}, &attached)
	p.target, p.session = target.TargetID, attached.SessionID
	v.browser.mu.Lock()
	v.browser.pages[p.session] = p
	v.browser.mu.Unlock()
	p.ask("Runtime.enable", nil, nil)
	p.ask("Page.enable", nil, nil)
	p.ask("Performance.enable", map[string]any{"timeDomain": "threadTicks"}, nil)
	p.Size(1280, 800, 1)
	p.Goto(address)
	return p
}

// Beside opens another page of the same visitor.
func (p *Page) Beside(address string) *Page {
	p.Helper()
	return p.visitor.Open(p, address)
}

// Close closes the page, as its visitor would.
func (p *Page) Close() {
	p.Helper()
	p.browser.mustAsk(p, "", "Target.closeTarget", map[string]any{"targetId": p.target}, nil)
}

// note takes in an event; the browser's lock is held.
func (p *Page) note(method string, parameters json.RawMessage) {
	switch {
	case p == nil:
	case method == "Runtime.consoleAPICalled":
		p.console += fmt.Sprintf("%.500s\n", parameters)
	case method == "Runtime.exceptionThrown" && p.thrown == "":
		p.thrown = fmt.Sprintf("%.1000s", parameters)
	}
}

// Console returns what the page wrote.
func (p *Page) Console() string {
	p.browser.mu.Lock()
	defer p.browser.mu.Unlock()
	return p.console
}

// Thrown returns the first exception that nobody caught.
func (p *Page) Thrown() string {
	p.browser.mu.Lock()
	defer p.browser.mu.Unlock()
	return p.thrown
}

func (p *Page) ask(method string, parameters, result any) {
	p.Helper()
	p.browser.mustAsk(p, p.session, method, parameters, result)
}

// Size sets the size of what can be seen, in pixels of the page, and how many
// pixels of the screen one of them takes.
func (p *Page) Size(width, height int, scale float64) {
	p.Helper()
	p.ask("Emulation.setDeviceMetricsOverride", map[string]any{"width": width, "height": height, "deviceScaleFactor": scale, "mobile": false}, nil)
}

// Dark says whether the visitor prefers dark pages.
func (p *Page) Dark(on bool) {
	p.Helper()
	scheme := "light"
	if on {
		scheme = "dark"
	}
	p.ask("Emulation.setEmulatedMedia", map[string]any{"features": []map[string]string{{"name": "prefers-color-scheme", "value": scheme}}}, nil)
}

// Block keeps the page from fetching addresses that fit a pattern.
func (p *Page) Block(pattern string) {
	p.Helper()
	p.ask("Network.enable", nil, nil)
	p.ask("Network.setBlockedURLs", map[string]any{"urls": []string{pattern}}, nil)
}

// Goto opens an address and waits until the page is there.
func (p *Page) Goto(address string) {
	p.Helper()
	var answer struct{ ErrorText string }
	p.ask("Page.navigate", map[string]any{"url": address}, &answer)
	if answer.ErrorText != "" {
		p.Fatalf("%s: %s", address, answer.ErrorText)
	}
	p.Until("the page is there", `document.readyState === "complete"`)
}

// Evaluate runs a script on the page and returns the text it ends with; a
// promise is waited for.
func (p *Page) Evaluate(script string) string {
	p.Helper()
	text, err := p.evaluate(script)
	if err != nil {
		p.Fatal(err)
	}
	return text
}

func (p *Page) evaluate(script string) (string, error) {
	content, err := p.browser.ask(p.session, "Runtime.evaluate", map[string]any{"expression": script, "awaitPromise": true})
	if err != nil {
		return "", err
	}
	var answer struct {
		Result           struct{ Value any }
		ExceptionDetails *struct {
			Text      string
			Exception struct{ Description string }
		}
	}
	if err := json.Unmarshal(content, &answer); err != nil {
		return "", err
	}
	if x := answer.ExceptionDetails; x != nil {
		return "", fmt.Errorf("%s %s, in %.300s", x.Text, x.Exception.Description, script)
	}
	switch v := answer.Result.Value.(type) {
	case nil:
		return "", nil
	case string:
		return v, nil
	default:
		return fmt.Sprint(v), nil
	}
}

// patience is how long a page may take for a thing.
const patience = 2 * time.Minute

// Until waits until an expression is true on the page. While the page goes
// from one address to another nothing is.
func (p *Page) Until(what, expression string) {
	p.Helper()
	var last error
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		var text string
		if text, last = p.evaluate("Promise.resolve(" + expression + ").then(Boolean)"); last == nil && text == "true" {
			return
		}
	}
	shown, _ := p.evaluate(`location.pathname + ": " + (document.body ? document.body.innerText.slice(0, 600) : "")`)
	p.Fatalf("not within %.0f s: %s (%v); the page shows %s; its console: %.1000s", patience.Seconds(), what, last, shown, p.Console())
}

// there waits until a page is complete and has an element.
func (p *Page) there(selector string) {
	p.Helper()
	p.Until("there is "+selector, `document.readyState === "complete" && document.querySelector(`+strconv.Quote(selector)+`)`)
}

// Text returns the text of the first element that fits a selector.
func (p *Page) Text(selector string) string {
	p.Helper()
	p.there(selector)
	return p.Evaluate("document.querySelector(" + strconv.Quote(selector) + ").textContent.trim()")
}

// Fill writes into a field, or chooses from a list, as a visitor would.
func (p *Page) Fill(selector, text string) {
	p.Helper()
	p.there(selector)
	p.Evaluate(fmt.Sprintf(`(() => {
		const e = document.querySelector(%q);
		e.focus();
		if (e.tagName === "SELECT" && ![...e.options].some((o) => o.value === %q)) throw new Error("there is no such choice");
		e.value = %q;
		e.dispatchEvent(new Event("input", {bubbles: true}));
		e.dispatchEvent(new Event("change", {bubbles: true}));
	})()`, selector, text, text))
}

// Click clicks on the first element that fits a selector. It fails where the
// element cannot be hit: hidden, off the page, or under another one.
func (p *Page) Click(selector string) {
	p.Helper()
	p.there(selector)
	at := p.Evaluate(fmt.Sprintf(`(() => {
		const e = document.querySelector(%q);
		e.scrollIntoView({block: "center", behavior: "instant"});
		const r = e.getBoundingClientRect(), x = r.x + r.width / 2, y = r.y + r.height / 2;
		const hit = document.elementFromPoint(x, y);
		if (!hit || hit !== e && !e.contains(hit) && !hit.contains(e)) return "it is hidden or covered by " + (hit ? hit.outerHTML.slice(0, 100) : "nothing");
		return x + " " + y;
	})()`, selector))
	var x, y float64
	if _, err := fmt.Sscan(at, &x, &y); err != nil {
		p.Fatalf("cannot click on %s: %s", selector, at)
	}
	p.Mouse("mouseMoved", x, y)
	p.Mouse("mousePressed", x, y)
	p.Mouse("mouseReleased", x, y)
}

// Mouse is one event of the mouse with its left button.
func (p *Page) Mouse(kind string, x, y float64) {
	p.Helper()
	event := map[string]any{"type": kind, "x": x, "y": y}
	if kind != "mouseMoved" {
		event["button"], event["clickCount"] = "left", 1
	}
	p.ask("Input.dispatchMouseEvent", event, nil)
}

// Press holds a key down for a time: a letter or digit, or "Enter" or "Space".
func (p *Page) Press(key string, hold time.Duration) {
	p.Helper()
	release := p.Hold(key)
	time.Sleep(hold)
	release()
}

// Hold presses a key and returns what lets it go.
func (p *Page) Hold(key string) (release func()) {
	p.Helper()
	event := map[string]any{"key": key, "code": key, "text": key}
	switch {
	case key == "Enter":
		event["text"], event["windowsVirtualKeyCode"] = "\r", 13
	case key == "Space":
		event["key"], event["text"], event["windowsVirtualKeyCode"] = " ", " ", 32
	case key >= "0" && key <= "9":
		event["code"], event["windowsVirtualKeyCode"] = "Digit"+key, int(key[0])
	case key >= "a" && key <= "z":
		letter := string(key[0] - 'a' + 'A')
		event["code"], event["windowsVirtualKeyCode"] = "Key"+letter, int(letter[0])
	default:
		p.Fatalf("key %q is not known here", key)
	}
	event["type"] = "keyDown"
	p.ask("Input.dispatchKeyEvent", event, nil)
	return func() {
		p.Helper()
		delete(event, "text")
		event["type"] = "keyUp"
		p.ask("Input.dispatchKeyEvent", event, nil)
	}
}

// Worked returns the processor time of the page's own thread, in seconds.
func (p *Page) Worked() float64 {
	p.Helper()
	var answer struct {
		Metrics []struct {
			Name  string
			Value float64
		}
	}
	p.ask("Performance.getMetrics", nil, &answer)
	for _, m := range answer.Metrics {
		if m.Name == "TaskDuration" {
			return m.Value
		}
	}
	return 0
}

// Picture returns what the page shows, as PNG.
func (p *Page) Picture() []byte {
	p.Helper()
	return p.picture(nil)
}

// WholePicture returns the whole page, what must be scrolled to included.
func (p *Page) WholePicture() []byte {
	p.Helper()
	return p.picture(map[string]any{"captureBeyondViewport": true, "clip": p.whole()})
}

func (p *Page) picture(parameters map[string]any) []byte {
	p.Helper()
	var answer struct{ Data string }
	p.ask("Page.captureScreenshot", parameters, &answer)
	content, err := base64.StdEncoding.DecodeString(answer.Data)
	if err != nil {
		p.Fatal(err)
	}
	return content
}

// whole is the rectangle of the page's content.
func (p *Page) whole() map[string]any {
	p.Helper()
	var layout struct {
		CSSContentSize struct{ Width, Height float64 }
	}
	p.ask("Page.getLayoutMetrics", nil, &layout)
	return map[string]any{"x": 0, "y": 0, "width": layout.CSSContentSize.Width, "height": layout.CSSContentSize.Height, "scale": 1}
}
