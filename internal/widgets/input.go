package widgets

// EventKind says what happened.
type EventKind uint8

// Kinds of event.
const (
	PointerMove EventKind = iota
	PointerDown
	PointerUp
	PointerCancel // the system took the pointer away
	Wheel
	KeyDown // Repeat is set for a held key
	KeyUp
	Text // characters to insert, also from pasting
	Blur // the window lost the keyboard
)

// Device is what a pointer event came from.
type Device uint8

// Devices.
const (
	Mouse Device = iota
	Touch
	Pen
)

// Event is one happening with its own time, in the order of happening.
type Event struct {
	Kind   EventKind
	AtMs   float64 // milliseconds on the clock of Input.NowMs
	X, Y   float64 // logical pixels; pointer and wheel events
	ID     int     // which pointer; the mouse is 0
	Device Device
	Button int // 0 main, 1 middle, 2 secondary

	WheelX, WheelY float64 // lines, positive right and down

	Key                    string // "a", "5", "Enter", "Tab", "Escape", "Space", "Backspace", "Delete", "ArrowLeft", "PageUp", "Home", "F1"...
	Repeat                 bool
	Shift, Ctrl, Alt, Meta bool

	Text string
}

// Input is everything that came in since the last frame.
type Input struct {
	W, H   float64 // logical pixels of the surface
	Scale  float64 // device pixels to the logical pixel
	NowMs  float64 // a steady clock
	Events []Event

	Dropped []DroppedFile // files let go over the window
}

// DroppedFile is a file that was let go over the window.
type DroppedFile struct {
	Name string
	Data []byte
}

// Cursor is a pointer shape.
type Cursor uint8

// Cursor shapes.
const (
	CursorArrow Cursor = iota
	CursorHand
	CursorText
	CursorCross
	CursorMove
	CursorNone
)

// Reply is what a frame asks of the window.
type Reply struct {
	Cursor  Cursor
	Editing bool // a text field has the focus: show a soft keyboard if there is one
	Quit    bool
	Cue     Cue  // a sound to be given; whoever has no sound leaves it
	Calm    bool // what changes may be painted a few times a second only
}
