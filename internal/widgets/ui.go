package widgets

import (
	"fmt"

	"foilwright/internal/paint"
)

// ID names a widget from pass to pass.
type ID uint64

// UI holds what must be remembered between passes. Theme and TextScale may be changed between frames.
type UI struct {
	Theme     *paint.Theme
	TextScale float64 // 1..2
	Check     bool    // note cut labels, doubled ids and widgets in each other's way in Faults; for tests

	L      *paint.List // the list of this pass
	Screen paint.Rect  // the whole surface
	NowMs  float64

	// input of this pass
	events            []Event
	x, y              float64
	inside            bool // a pointer is over the surface
	down              bool
	pressed, released bool
	device            Device
	pointer           int
	wheelX, wheelY    float64
	wheeled           ID // pane scrolled last by the wheel
	wheeledAt         float64
	key               *Event
	text              string
	shift             bool

	hot, hotNext   ID
	movedAt        float64
	hotSince       float64
	tipOff         ID // was pressed: its tooltip stays away until the pointer leaves
	active         ID
	activeOff      bool // the active widget lost its press to a scroll drag
	pressX, pressY float64
	focus          ID
	ring           bool // show the focus ring: the keyboard was used last
	reveal         bool // bring the focused widget into view
	order          []ID
	topLayer       int // highest layer of the last pass
	passTop        int
	layer          int
	seeds          []ID
	clips          []paint.Rect
	panes          []*pane
	paneOf         map[ID]*pane
	modals         []modal
	passModals     []ID
	edit           editor
	left           editor // a draft whose field lost the keyboard
	clipboard      string
	notices        []notice
	tip            tooltip
	cursor         Cursor
	editing        bool
	numbers        map[number]string
	points         []paint.Point
	repeatAt       float64
	seen           map[ID]string
	placed         []placed // of this pass; while Check is set
	faults         map[string]bool
	pendingFocus   ID
}

// New returns a kit in the light theme.
func New() *UI {
	return &UI{
		Theme: paint.Light(), TextScale: 1,
		paneOf: map[ID]*pane{}, numbers: map[number]string{}, seen: map[ID]string{}, faults: map[string]bool{},
		seeds: []ID{14695981039346656037},
	}
}

// Frame runs body over the input and leaves the picture in l.
func (u *UI) Frame(in Input, l *paint.List, body func(screen paint.Rect)) Reply {
	u.Screen = paint.R(0, 0, in.W, in.H)
	u.NowMs = in.NowMs
	u.L = l
	reply := Reply{}
	events := in.Events
	for len(events) > 0 {
		n := 0
		for n < len(events) && !edge(&events[n]) {
			n++
		}
		if n < len(events) {
			// A press is preceded by a pass that only moves the pointer there, so that the widget on top is known, and a
			// release by one that ends the drag where it was lifted.
			if e := events[n]; e.Kind == PointerDown || e.Kind == PointerUp {
				e.Kind = PointerMove
				u.pass(events[:n], &e, nil, body)
				u.pass(nil, nil, &events[n], body)
			} else {
				u.pass(events[:n], nil, &events[n], body)
			}
			n++
		} else {
			u.pass(events[:n], nil, nil, body)
		}
		events = events[n:]
	}
	u.pass(nil, nil, nil, body)
	reply.Cursor, reply.Editing = u.cursor, u.editing
	return reply
}

func edge(e *Event) bool {
	switch e.Kind {
	case PointerMove, Wheel, KeyUp:
		return false
	}
	return true
}

func (u *UI) pass(moves []Event, extra, last *Event, body func(paint.Rect)) {
	u.begin(moves, extra, last)
	body(u.Screen)
	u.end()
}

func (u *UI) begin(moves []Event, extra, last *Event) {
	u.events = u.events[:0]
	u.wheelX, u.wheelY, u.key, u.text = 0, 0, nil, ""
	u.pressed, u.released = false, false
	for i := range moves {
		u.feed(&moves[i])
		u.events = append(u.events, moves[i])
	}
	if extra != nil {
		u.feed(extra)
	}
	if last != nil {
		u.feed(last)
		u.events = append(u.events, *last)
	}
	u.L.Reset()
	u.hotNext, u.layer, u.passTop = 0, 0, 0
	u.order = u.order[:0]
	u.passModals = u.passModals[:0]
	u.cursor, u.editing = CursorArrow, false
	u.tip.text = ""
	if u.Check {
		clear(u.seen)
		u.placed = u.placed[:0]
	}
	if u.pendingFocus != 0 {
		u.setFocus(u.pendingFocus)
		u.pendingFocus = 0
	}
}

// feed brings the pointer's and the keyboard's state up to date with an event.
func (u *UI) feed(e *Event) {
	switch e.Kind {
	case PointerMove:
		// Only the pointer that pressed drives widgets until it is lifted; a hovering mouse otherwise.
		if u.down && e.ID != u.pointer {
			return
		}
		u.x, u.y, u.device, u.inside, u.movedAt = e.X, e.Y, e.Device, true, u.NowMs
	case PointerDown:
		if u.down || e.Button != 0 {
			return
		}
		u.x, u.y, u.device, u.pointer = e.X, e.Y, e.Device, e.ID
		u.inside, u.down, u.pressed, u.ring = true, true, true, false
		u.pressX, u.pressY, u.activeOff = e.X, e.Y, false
	case PointerUp, PointerCancel:
		if !u.down || e.ID != u.pointer {
			return
		}
		if e.Kind == PointerUp {
			u.x, u.y = e.X, e.Y
		} else {
			u.activeOff = true
		}
		u.down, u.released = false, true
	case Wheel:
		u.x, u.y, u.inside = e.X, e.Y, true
		u.wheelX += e.WheelX
		u.wheelY += e.WheelY
	case KeyDown:
		u.key, u.shift = e, e.Shift
	case KeyUp:
		u.shift = e.Shift
	case Text:
		u.text = e.Text
	case Blur:
		u.inside = false
		if u.down {
			u.down, u.released, u.activeOff = false, true, true
		}
	}
}

func (u *UI) end() {
	if u.Check {
		u.walk()
	}
	u.closeModals()
	u.drawNotices()
	u.drawTip()
	if u.released || (!u.down && u.active != 0) {
		u.active = 0
		if u.device == Touch {
			u.inside = false
			u.hotNext = 0
		}
	}
	if u.pressed && u.active == 0 {
		u.focus = 0
	}
	if u.pressed {
		u.tipOff = u.hotNext
	}
	if u.hotNext != u.hot {
		u.hot, u.hotSince = u.hotNext, u.NowMs
		if u.tipOff != u.hot {
			u.tipOff = 0
		}
	}
	u.topLayer = u.passTop
	u.reveal = false
	u.traverse()
	if len(u.seeds) != 1 || len(u.clips) != 0 || len(u.panes) != 0 {
		panic(fmt.Sprintf("widgets: %d scopes, %d clips, %d panes left open at the end of the pass", len(u.seeds)-1, len(u.clips), len(u.panes)))
	}
}

// traverse moves the focus by Tab and keeps it on something that is still there.
func (u *UI) traverse() {
	at := -1
	for i, s := range u.order {
		if s == u.focus {
			at = i
		}
	}
	if at < 0 && u.focus != 0 && u.pendingFocus == 0 {
		u.focus = 0
		if u.layerIsModal() && len(u.order) > 0 {
			u.setFocus(u.order[0])
		}
	}
	if len(u.order) == 0 || !u.takeKey("Tab") {
		return
	}
	n := len(u.order)
	switch {
	case at < 0 && u.shift:
		at = n - 1
	case at < 0:
		at = 0
	case u.shift:
		at = (at + n - 1) % n
	default:
		at = (at + 1) % n
	}
	u.setFocus(u.order[at])
	u.ring = true
}

func (u *UI) layerIsModal() bool { return u.passTop > 0 }

func (u *UI) setFocus(id ID) {
	u.focus, u.reveal = id, true
}

// SetFocus gives the keyboard to the widget with this id in the present scope, from the next pass on.
func (u *UI) SetFocus(id string) { u.pendingFocus = u.ID(id) }

// Focused says whether the widget with this id in the present scope has the keyboard.
func (u *UI) Focused(id string) bool { return u.focus != 0 && u.focus == u.ID(id) }

// ID is the identity of a name in the present scope.
func (u *UI) ID(name string) ID {
	h := u.seeds[len(u.seeds)-1]
	for i := range len(name) {
		h = (h ^ ID(name[i])) * 1099511628211
	}
	return h
}

// Scope opens a name space, for rows of like widgets; close it with EndScope.
func (u *UI) Scope(name string, index int) {
	u.seeds = append(u.seeds, (u.ID(name)^ID(index+1))*1099511628211)
}

// EndScope closes the last Scope.
func (u *UI) EndScope() { u.seeds = u.seeds[:len(u.seeds)-1] }

// use notes that a widget was asked for, to find doubled ids.
func (u *UI) use(name string) ID {
	id := u.ID(name)
	if u.Check {
		if _, twice := u.seen[id]; twice {
			u.faults["id "+name+" is used twice"] = true
		}
		u.seen[id] = name
	}
	return id
}

// Faults lists cut labels, doubled ids, and widgets cut off or overlapping seen so far while Check was set, in no order.
func (u *UI) Faults() []string {
	var out []string
	for f := range u.faults {
		out = append(out, f)
	}
	return out
}

// visible is the part of r inside the clips in force.
func (u *UI) visible(r paint.Rect) paint.Rect {
	if n := len(u.clips); n > 0 {
		return r.Intersect(u.clips[n-1])
	}
	return r
}

func (u *UI) pushClip(r paint.Rect) {
	u.clips = append(u.clips, u.visible(r))
	u.L.PushClip(r)
}

func (u *UI) popClip() {
	u.clips = u.clips[:len(u.clips)-1]
	u.L.PopClip()
}

// over says whether the pointer is over the visible part of r, in a layer that is not covered by a dialog.
func (u *UI) over(r paint.Rect) bool {
	return u.inside && u.layer >= u.topLayer && u.visible(r).Contains(u.x, u.y)
}

// sense is the heart of every widget: it offers id for hovering, takes presses and reports a click on release.
func (u *UI) sense(id ID, r paint.Rect) (hot, held, clicked bool) {
	inside := u.over(r)
	if u.Check {
		u.place(id, r)
	}
	if inside {
		u.hotNext = id
	}
	hot = u.hot == id && inside && (u.active == 0 || u.active == id)
	if hot && u.pressed {
		u.active = id
	}
	held = u.active == id && u.down && !u.activeOff
	clicked = u.active == id && u.released && inside && !u.activeOff
	return hot, held, clicked
}

// stop makes id reachable by Tab, gives it the focus when pressed, and says whether it has it.
func (u *UI) stop(id ID, r paint.Rect) bool {
	if u.layer < u.passTop || u.layer < u.topLayer {
		return false
	}
	u.order = append(u.order, id)
	if u.pressed && u.active == id {
		u.focus = id
	}
	if u.focus != id {
		return false
	}
	if u.reveal {
		for i := len(u.panes) - 1; i >= 0; i-- {
			u.panes[i].show(r)
		}
	}
	return true
}

// takeKey consumes a press of the key without Ctrl, Alt or Meta.
func (u *UI) takeKey(name string) bool {
	if u.key == nil || u.key.Key != name || u.key.Ctrl || u.key.Alt || u.key.Meta {
		return false
	}
	u.key = nil
	u.ring = true
	return true
}

// Pressed consumes a key press that no widget took, for shortcuts of a screen; ask after the widgets. Held keys count
// once. Behind an open dialog it is always false.
func (u *UI) Pressed(key string) bool {
	if u.key == nil || u.key.Repeat || u.layer < u.topLayer || u.editing {
		return false
	}
	return u.takeKey(key)
}

// activated says whether the focused widget was fired by the keyboard.
func (u *UI) activated(focused bool) bool {
	if !focused || u.key == nil || u.key.Repeat {
		return false
	}
	return u.takeKey("Enter") || u.takeKey("Space")
}

// Px is a length that grows with the text size.
func (u *UI) Px(v float64) float64 { return v * u.TextScale }

// RowH is the height of buttons and fields.
func (u *UI) RowH() float64 { return u.Px(34) }

// Gap is the usual distance between widgets.
func (u *UI) Gap() float64 { return u.Px(8) }

// Area is a region that wants raw events, such as the bench: the pointer that pressed in it belongs to it until lifted.
type Area struct {
	Hot     bool // the pointer is over it and nothing covers it
	Held    bool // a press that began in it goes on
	Pressed bool // it began in this pass
	Lifted  bool // it ended in this pass
	Focused bool // it has the keyboard
	X, Y    float64
	Device  Device
	Events  []Event // all events of this pass if the area is hot, held or focused; valid until the pass ends
}

// Area registers a raw region that can take the focus, and draws the focus ring around it if it has it by keyboard.
func (u *UI) Area(id string, r paint.Rect) Area {
	k := u.use(id)
	hot, held, _ := u.sense(k, r)
	focused := u.stop(k, r)
	a := Area{Hot: hot, Held: held, Focused: focused, X: u.x, Y: u.y, Device: u.device,
		Pressed: u.pressed && u.active == k, Lifted: u.released && u.active == k}
	if hot || held || focused || a.Lifted {
		a.Events = u.events
	}
	u.focusRing(focused, r)
	return a
}

// KeyTaken consumes the key event of this pass, for an Area that used it.
func (u *UI) KeyTaken() { u.key = nil }

// SetCursor asks for a pointer shape in this pass.
func (u *UI) SetCursor(c Cursor) { u.cursor = c }

func (u *UI) focusRing(focused bool, r paint.Rect) {
	if focused && u.ring {
		w := max(u.Px(2.5), 2)
		u.L.RoundFrame(r.Inset(-w), u.Px(4), w, u.Theme.Focus)
	}
}
