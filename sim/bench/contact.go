package bench

import (
	"foilwright/sim/num"
	"foilwright/sim/probe"
)

// Mode is what the instrument is set to do with the next reading.
type Mode string

// The modes, in the trade's terms.
const (
	Measuring Mode = "measure"
	Zeroing   Mode = "zero"
	Foiling   Mode = "foil"
	Verifying Mode = "verify"
)

// Outcome says what came of one contact.
type Outcome string

// The outcomes of a contact.
const (
	Read       Outcome = "read"
	TooBrief   Outcome = "too-brief"  // lifted before the instrument saw it
	NoMetal    Outcome = "no-metal"   // out of range: nothing the probe can measure
	Unfinished Outcome = "unfinished" // still in contact
)

// Contact is one touch of the probe, from touch-down to lift-off, with what a
// grader needs as evidence. Lengths are micrometres, times milliseconds since
// the attempt began.
type Contact struct {
	Index       int // from 0, in order of touch-down
	TouchEntry  int // log entry of the touch-down
	Entry       int // log entry at which the reading came
	Mode        Mode
	Piece, Foil string // Foil is empty when the tip touched the piece
	Probe       string // id of the design; of a dual probe the side it used

	XUm, YUm      int64
	TiltDeg       float64
	PressMN       int64
	LandingMmPerS float64
	TouchedAt     int64
	CapturedAt    int64
	HeldMs        int64 // from touch-down to the reading
	LiftedUm      int64 // greatest height since the contact before; 0: first contact
	SlideUm       int64 // farthest sideways from the point of touch-down

	Outcome Outcome
	Counts  int64 // displayed reading
	Spot    int   // spot of the series it went to
	Deleted bool
	Reason  string // given for the deletion

	Condition

	piece, foil, liftedOver int
	channel                 int // of the world

	asked, took int // readings asked for and taken for the adjustment it went into; 0: none
}

// metres returns where the tip stood, in metres.
func (c *Contact) metres() (x, y float64) {
	return float64(float64(c.XUm) * 1e-6), float64(float64(c.YUm) * 1e-6)
}

// hand follows the probe from pose to pose and turns them into contacts.
type hand struct {
	pose      Pose
	at        int64 // time of pose
	touching  bool
	captured  bool
	touchedAt int64
	landing   float64 // mm/s
	touchX    int64
	touchY    int64
	slideUm   int64
	topUm     int64 // greatest height since the last contact
	lifted    bool  // there was a contact before
	liftPiece int
}

// startPose is where the probe hangs when an attempt begins.
var startPose = Pose{HeightUm: 60_000}

// land begins a contact at the pose given.
func (h *hand) land(at int64, p Pose) {
	h.landing = 0
	if dt := at - h.at; dt > 0 {
		h.landing = float64(h.pose.HeightUm) / float64(dt)
	} else {
		h.landing = float64(h.pose.HeightUm)
	}
	h.touching, h.captured = true, false
	h.touchedAt, h.touchX, h.touchY, h.slideUm = at, p.XUm, p.YUm, 0
}

// slide takes note of sideways movement in contact.
func (h *hand) slide(p Pose) {
	d := num.Hypot(float64(p.XUm-h.touchX), float64(p.YUm-h.touchY))
	h.slideUm = max(h.slideUm, int64(d))
}

// contact describes the present contact as it is after heldMs.
func (h *hand) contact(heldMs int64) Contact {
	c := Contact{
		XUm: h.pose.XUm, YUm: h.pose.YUm,
		TiltDeg:       num.Hypot(float64(h.pose.TiltX), float64(h.pose.TiltY)) / 1000,
		PressMN:       h.pose.PressMN,
		LandingMmPerS: h.landing,
		TouchedAt:     h.touchedAt, CapturedAt: h.touchedAt + heldMs, HeldMs: heldMs,
		SlideUm: h.slideUm, Outcome: Unfinished, liftedOver: h.liftPiece,
	}
	if h.lifted {
		c.LiftedUm = h.topUm
	}
	return c
}

// due reports whether the reading of the present contact falls at or before
// the time given, and after how many milliseconds of contact.
func (h *hand) due(at int64) bool {
	return h.touching && !h.captured && at-h.touchedAt >= probe.CaptureAfterMs
}
