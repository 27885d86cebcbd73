package window

import (
	"strings"
	"syscall/js"
	"time"
	"unicode/utf8"

	"foilwright/internal/widgets"
)

const selfPaced = true

// The page's events are queued as they come, with the browser's own time stamps: a tap that is over before the next
// frame still arrives, and a slow frame loses no pose.

// clock is the page's clock, the one of event.timeStamp.
func clock(time.Time) float64 { return js.Global().Get("performance").Call("now").Float() }

type gatherer struct {
	queue, out []widgets.Event
	doc        js.Value
	canvas     js.Value
	typing     js.Value // a hidden field that takes text: dead keys, input methods, soft keyboards
	typingOn   bool
}

func (g *gatherer) take(float64, float64) []widgets.Event {
	g.queue, g.out = g.out[:0], g.queue
	return g.out
}

func (g *gatherer) on(target js.Value, name string, f func(e js.Value)) {
	options := map[string]any{"passive": false}
	target.Call("addEventListener", name, js.FuncOf(func(_ js.Value, args []js.Value) any {
		f(args[0])
		return nil
	}), options)
}

func (g *gatherer) listen() {
	doc := js.Global().Get("document")
	canvas := doc.Call("querySelector", "canvas")
	g.doc, g.canvas = doc, canvas
	canvas.Get("style").Set("touchAction", "none")
	for name, kind := range map[string]widgets.EventKind{"pointerdown": widgets.PointerDown, "pointerup": widgets.PointerUp,
		"pointercancel": widgets.PointerCancel} {
		g.on(canvas, name, func(e js.Value) {
			if kind == widgets.PointerDown {
				canvas.Call("setPointerCapture", e.Get("pointerId"))
			}
			g.pointer(e, kind)
		})
	}
	g.on(canvas, "pointermove", g.moves)
	g.on(canvas, "contextmenu", prevent)
	g.on(canvas, "wheel", g.wheel)
	g.on(js.Global(), "keydown", func(e js.Value) { g.keyEvent(e, widgets.KeyDown) })
	g.on(js.Global(), "keyup", func(e js.Value) { g.keyEvent(e, widgets.KeyUp) })
	g.on(js.Global(), "blur", func(e js.Value) { g.add(widgets.Event{Kind: widgets.Blur, AtMs: stamp(e)}) })
	g.on(doc, "paste", func(e js.Value) {
		if s := e.Get("clipboardData").Call("getData", "text").String(); s != "" {
			g.add(widgets.Event{Kind: widgets.Text, AtMs: stamp(e), Text: s})
			prevent(e)
		}
	})
	g.typing = doc.Call("createElement", "input")
	g.typing.Call("setAttribute", "style", "position:fixed;left:0;bottom:0;width:1px;height:1px;opacity:0;border:0")
	g.typing.Call("setAttribute", "aria-hidden", "true")
	g.typing.Call("setAttribute", "tabindex", "-1")
	g.typing.Call("setAttribute", "autocomplete", "off")
	doc.Get("body").Call("appendChild", g.typing)
	take := func(e js.Value) {
		if s := g.typing.Get("value").String(); s != "" && !e.Get("isComposing").Truthy() {
			g.add(widgets.Event{Kind: widgets.Text, AtMs: stamp(e), Text: s})
			g.typing.Set("value", "")
		}
	}
	g.on(g.typing, "input", take)
	g.on(g.typing, "compositionend", take)
}

func prevent(e js.Value) { e.Call("preventDefault") }

func stamp(e js.Value) float64 { return e.Get("timeStamp").Float() }

func (g *gatherer) add(e widgets.Event) { g.queue = append(g.queue, e) }

func (g *gatherer) pointer(e js.Value, kind widgets.EventKind) {
	ev := widgets.Event{Kind: kind, AtMs: stamp(e), X: e.Get("clientX").Float(), Y: e.Get("clientY").Float(),
		ID: e.Get("pointerId").Int(), Button: max(e.Get("button").Int(), 0)}
	switch e.Get("pointerType").String() {
	case "touch":
		ev.Device = widgets.Touch
	case "pen":
		ev.Device = widgets.Pen
	default:
		ev.ID = 0
	}
	g.add(ev)
}

// moves takes also the places between two frames that the browser has put together.
func (g *gatherer) moves(e js.Value) {
	if e.Get("getCoalescedEvents").Truthy() {
		if all := e.Call("getCoalescedEvents"); all.Length() > 1 {
			for i := range all.Length() {
				g.pointer(all.Index(i), widgets.PointerMove)
			}
			return
		}
	}
	g.pointer(e, widgets.PointerMove)
}

// wheel brings pixels, lines and pages to lines.
func (g *gatherer) wheel(e js.Value) {
	prevent(e)
	if e.Get("ctrlKey").Bool() {
		return
	}
	unit := 1.0 / 40
	switch e.Get("deltaMode").Int() {
	case 1:
		unit = 1
	case 2:
		unit = 15
	}
	g.add(widgets.Event{Kind: widgets.Wheel, AtMs: stamp(e), X: e.Get("clientX").Float(), Y: e.Get("clientY").Float(),
		WheelX: e.Get("deltaX").Float() * unit, WheelY: e.Get("deltaY").Float() * unit})
}

func (g *gatherer) keyEvent(e js.Value, kind widgets.EventKind) {
	key := e.Get("key")
	if key.Type() != js.TypeString || e.Get("isComposing").Truthy() {
		return
	}
	name := key.String()
	ev := widgets.Event{Kind: kind, AtMs: stamp(e), Key: name, Repeat: e.Get("repeat").Truthy(), Shift: e.Get("shiftKey").Bool(),
		Ctrl: e.Get("ctrlKey").Bool(), Alt: e.Get("altKey").Bool(), Meta: e.Get("metaKey").Bool()}
	printable := utf8.RuneCountInString(name) == 1
	switch {
	case name == " ":
		ev.Key = "Space"
	case printable:
		ev.Key = strings.ToLower(name)
	}
	if ev.Key == "Space" || pageKeys[name] || name == "/" || name == "'" {
		// These would scroll the page, leave it or open a search; the hidden field needs its text.
		if !(ev.Ctrl || ev.Meta || ev.Alt) && !(printable && g.typingFocused()) {
			prevent(e)
		}
	}
	g.add(ev)
	altGr := e.Call("getModifierState", "AltGraph").Bool()
	if kind == widgets.KeyDown && printable && (altGr || !ev.Ctrl && !ev.Meta) && !g.typingFocused() {
		prevent(e)
		g.add(widgets.Event{Kind: widgets.Text, AtMs: ev.AtMs, Text: name})
	}
}

var pageKeys = map[string]bool{"Tab": true, "Backspace": true, "PageUp": true, "PageDown": true, "Home": true, "End": true,
	"ArrowUp": true, "ArrowDown": true, "ArrowLeft": true, "ArrowRight": true}

// typingFocused says whether text arrives by the hidden field rather than by keys.
func (g *gatherer) typingFocused() bool { return g.doc.Get("activeElement").Equal(g.typing) }

// editing gives the browser's focus to the hidden field while a text field of ours is in use. It asks each frame, as a
// press on the canvas takes that focus away.
func (g *gatherer) editing(on bool) {
	switch {
	case on && !g.typingFocused():
		g.typing.Set("value", "")
		g.typing.Call("focus")
	case !on && g.typingOn:
		g.canvas.Call("focus")
	}
	g.typingOn = on
}
