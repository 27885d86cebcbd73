//go:build !js

package window

import (
	"strings"
	"time"
	"unicode/utf8"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/inpututil"

	"foilwright/internal/widgets"
)

const selfPaced = false

// linesPerNotch of a mouse wheel.
const linesPerNotch = 2.5

func clock(start time.Time) float64 { return float64(time.Since(start)) / float64(time.Millisecond) }

// gatherer turns the polled state of mouse, touches and keys into events. A press that is over before the next poll is
// not lost: ebiten keeps buttons and keys down until they were read once, so that it is seen in one frame and let go in
// the next (TestPressesShorterThanAFrame). Only two presses of one button or key within one frame become one.
type gatherer struct {
	events  []widgets.Event
	x, y    float64
	seen    bool
	focused bool
	held    [3]bool
	touches map[ebiten.TouchID][2]float64
	ids     []ebiten.TouchID
	keys    []ebiten.Key
	down    map[ebiten.Key]string
	repeat  map[ebiten.Key]float64
	chars   []rune
}

func (g *gatherer) listen() {
	g.touches = map[ebiten.TouchID][2]float64{}
	g.down = map[ebiten.Key]string{}
	g.repeat = map[ebiten.Key]float64{}
}

func (g *gatherer) editing(bool) {}

func (g *gatherer) take(now, scale float64) []widgets.Event {
	g.events = g.events[:0]
	if f := ebiten.IsFocused(); f != g.focused {
		g.focused = f
		if !f {
			g.add(widgets.Event{Kind: widgets.Blur, AtMs: now})
		}
	}
	g.mouse(now, scale)
	g.touch(now, scale)
	g.keyboard(now)
	return g.events
}

func (g *gatherer) add(e widgets.Event) { g.events = append(g.events, e) }

var buttons = [3]ebiten.MouseButton{ebiten.MouseButtonLeft, ebiten.MouseButtonMiddle, ebiten.MouseButtonRight}

func (g *gatherer) mouse(now, scale float64) {
	cx, cy := ebiten.CursorPosition()
	x, y := float64(cx)/scale, float64(cy)/scale
	if x != g.x || y != g.y || !g.seen {
		g.x, g.y, g.seen = x, y, true
		g.add(widgets.Event{Kind: widgets.PointerMove, AtMs: now, X: x, Y: y})
	}
	for i, b := range buttons {
		if p := ebiten.IsMouseButtonPressed(b); p != g.held[i] {
			g.held[i] = p
			kind := widgets.PointerUp
			if p {
				kind = widgets.PointerDown
			}
			g.add(widgets.Event{Kind: kind, AtMs: now, X: x, Y: y, Button: i})
		}
	}
	if wx, wy := ebiten.Wheel(); wx != 0 || wy != 0 {
		g.add(widgets.Event{Kind: widgets.Wheel, AtMs: now, X: x, Y: y, WheelX: -wx * linesPerNotch, WheelY: -wy * linesPerNotch})
	}
}

func (g *gatherer) touch(now, scale float64) {
	g.ids = ebiten.AppendTouchIDs(g.ids[:0])
	here := map[ebiten.TouchID]bool{}
	for _, id := range g.ids {
		here[id] = true
		px, py := ebiten.TouchPosition(id)
		at := [2]float64{float64(px) / scale, float64(py) / scale}
		e := widgets.Event{AtMs: now, X: at[0], Y: at[1], ID: int(id) + 1, Device: widgets.Touch}
		was, known := g.touches[id]
		switch {
		case !known:
			e.Kind = widgets.PointerDown
			g.add(e)
		case was != at:
			e.Kind = widgets.PointerMove
			g.add(e)
		}
		g.touches[id] = at
	}
	for id, at := range g.touches {
		if !here[id] {
			delete(g.touches, id)
			g.add(widgets.Event{Kind: widgets.PointerUp, AtMs: now, X: at[0], Y: at[1], ID: int(id) + 1, Device: widgets.Touch})
		}
	}
}

// Held keys repeat after this time and at this pace, in milliseconds.
const repeatAfter, repeatEvery = 420, 33

func (g *gatherer) keyboard(now float64) {
	base := widgets.Event{AtMs: now, Kind: widgets.KeyDown,
		Shift: ebiten.IsKeyPressed(ebiten.KeyShift), Ctrl: ebiten.IsKeyPressed(ebiten.KeyControl),
		Alt: ebiten.IsKeyPressed(ebiten.KeyAlt), Meta: ebiten.IsKeyPressed(ebiten.KeyMeta)}
	g.keys = inpututil.AppendPressedKeys(g.keys[:0])
	for _, k := range g.keys {
		name, known := g.down[k]
		e := base
		if !known {
			name = keyName(k)
			g.down[k] = name
			g.repeat[k] = now + repeatAfter
		} else if now < g.repeat[k] {
			continue
		} else {
			g.repeat[k] = now + repeatEvery
			e.Repeat = true
		}
		e.Key = name
		g.add(e)
	}
	for k, name := range g.down {
		if !ebiten.IsKeyPressed(k) {
			delete(g.down, k)
			e := base
			e.Kind, e.Key = widgets.KeyUp, name
			g.add(e)
		}
	}
	g.chars = ebiten.AppendInputChars(g.chars[:0])
	if len(g.chars) > 0 && !base.Ctrl {
		g.add(widgets.Event{Kind: widgets.Text, AtMs: now, Text: string(g.chars)})
	}
}

// keyName is the name of a key for widgets: the character it gives on this keyboard, or its usual name.
func keyName(k ebiten.Key) string {
	name := k.String()
	switch {
	case name == "NumpadEnter":
		return "Enter"
	case strings.HasPrefix(name, "Digit"):
		return name[len("Digit"):]
	}
	if utf8.RuneCountInString(name) == 1 || !namedKeys[name] {
		if s := ebiten.KeyName(k); s != "" {
			return strings.ToLower(s)
		}
	}
	return strings.TrimSuffix(strings.TrimSuffix(name, "Left"), "Right") + arrowTail(name)
}

// arrowTail gives the arrows back the ending that tells left from right.
func arrowTail(name string) string {
	switch name {
	case "ArrowLeft":
		return "Left"
	case "ArrowRight":
		return "Right"
	}
	return ""
}

var namedKeys = func() map[string]bool {
	m := map[string]bool{}
	for _, n := range strings.Fields("Tab Enter Escape Space Backspace Delete Insert Home End PageUp PageDown " +
		"ArrowLeft ArrowRight ArrowUp ArrowDown F1 F2 F3 F4 F5 F6 F7 F8 F9 F10 F11 F12") {
		m[n] = true
	}
	return m
}()
