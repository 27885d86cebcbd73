package hand

// Kind says what an Event does.
type Kind uint8

// The kinds of event.
const (
	Point    Kind = iota // the hand goes to (X, Y) mm on the piece
	Nudge                // the hand goes on by (X, Y) mm
	NudgeOn              // the same, but no farther than the rim of the piece
	Lower                // begin to lower the probe and keep it pressed
	Lift                 // lift it back to the hover height
	Hover                // change the hover height by Y mm
	Tip                  // tilt the probe on purpose by (X, Y) degrees more
	Upright              // undo what Tip did
	Steady               // rest the hand: less tremor
	Unsteady             // stop resting it
)

// Event is one thing the trainee did with pointer or keys. AtMs is attempt
// time in milliseconds and does not run backwards.
type Event struct {
	AtMs int64
	Kind Kind
	X, Y float64
}
