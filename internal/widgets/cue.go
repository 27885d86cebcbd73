package widgets

// Cue is a small sound that goes with what happened.
type Cue uint8

// The cues, by how much they matter: of several in one frame the last of these is given.
const (
	CueNone    Cue = iota
	CueTouch       // something came down on metal
	CueMissed      // nothing came of it
	CueReading     // a figure is there
	CueStored      // something was settled
	CueRefused     // it cannot be done
	CueCount
)
