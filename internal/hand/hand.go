package hand

import (
	"math"

	"foilwright/sim/bench"
	"foilwright/sim/num"
	"foilwright/sim/probe"
)

const stepMs = 10

const (
	HoverMm    = 35.0 // hover height at the start
	HoverLowMm = 3.0  // lowest and highest hover height
	HoverTopMm = 60.0
	BesideMm   = 3.0 // beside the piece the probe comes down no farther

	fastMmPerS   = 180.0 // lowering, until gentleFromMm above the piece
	gentleMmPerS = 25.0
	gentleFromMm = 2.0
	liftMmPerS   = 70.0

	followMs   = 35.0  // how closely the hand follows the pointer
	leanPer    = 0.045 // degrees of tilt for each mm/s sideways
	leanMost   = 14.0
	leanMs     = 120.0
	tipMost    = 30.0
	restMm     = 1.5 // a resting probe stays put until the pointer has gone this far
	pressMN    = 2000.0
	pressMs    = 45.0
	roundOffMm = 15.0 // how far beside the piece the hand may go
)

// Phase is what the hand is doing with the probe.
type Phase uint8

// The phases.
const (
	Hovering Phase = iota
	Lowering
	Pressing // in contact
	Lifting
)

// Held is how the probe is held, for drawing. Angles are degrees: TiltY leans
// the probe along x, TiltX along y.
type Held struct {
	X, Y, Height float64 // mm; the tip, in the frame of the piece
	TiltX, TiltY float64
	PressN       float64
	Phase        Phase
	Beside       bool // the tip is not over the piece
	Slid         bool // the probe has been pushed sideways in this contact
}

// Hand holds the probe. Use New; then hand over Events in the order of their
// times, Advance to the present and Take the actions.
type Hand struct {
	tick    int64 // time of the last step, ms
	events  []Event
	actions []bench.Action

	width, height float64 // of the piece, mm; 0: there is none

	targetX, targetY float64
	x, y             float64
	up               float64 // tip above the surface
	hover            float64
	leanX, leanY     float64
	tipX, tipY       float64
	press            float64
	phase            Phase
	steady           bool
	movedAt          int64
	tremor           tremor

	touchedAt        int64
	captureSent      bool
	anchorX, anchorY float64 // tip where it touched down
	grabX, grabY     float64 // pointer at touch-down
	sliding          bool

	sent   bench.Pose
	sentAt int64
}

// New returns a hand that takes up the probe at a pose and a time. The seed
// fixes its tremor.
func New(seed uint64, atMs int64, pose bench.Pose) *Hand {
	h := &Hand{
		tick:   atMs - atMs%stepMs,
		x:      float64(pose.XUm) / 1000,
		y:      float64(pose.YUm) / 1000,
		up:     float64(pose.HeightUm) / 1000,
		hover:  HoverMm,
		phase:  Lifting,
		sent:   pose,
		sentAt: atMs,
	}
	h.targetX, h.targetY = h.x, h.y
	h.tremor = tremor{stream: num.NewStream(seed, "hand", uint64(atMs)), scale: looseScale}
	return h
}

// Over tells the hand the outline of the piece under the probe, in mm; 0, 0
// for none. The hand goes to the middle of a new piece.
func (h *Hand) Over(width, height float64) {
	h.width, h.height = width, height
	h.targetX, h.targetY = width/2, height/2
	h.x, h.y = h.targetX, h.targetY
}

// Know tells the hand the outline without moving it, when an attempt is
// taken up again.
func (h *Hand) Know(width, height float64) { h.width, h.height = width, height }

// Do hands over an event. Events in the past count as of now.
func (h *Hand) Do(e Event) { h.events = append(h.events, e) }

// Advance lets time pass up to atMs. Events later than that wait.
func (h *Hand) Advance(atMs int64) {
	for h.tick+stepMs <= atMs {
		h.tick += stepMs
		n := 0
		for n < len(h.events) && h.events[n].AtMs <= h.tick {
			h.apply(h.events[n])
			n++
		}
		h.events = h.events[:copy(h.events, h.events[n:])]
		h.step()
	}
}

// Take returns the actions since the last Take, in order. The slice is valid
// until the next Advance.
func (h *Hand) Take() []bench.Action {
	a := h.actions
	h.actions = h.actions[:0]
	return a
}

// Held returns how the probe is held now.
func (h *Hand) Held() Held {
	p := h.pose()
	return Held{
		X: float64(p.XUm) / 1000, Y: float64(p.YUm) / 1000, Height: h.up,
		TiltX: float64(p.TiltX) / 1000, TiltY: float64(p.TiltY) / 1000,
		PressN: h.press / 1000, Phase: h.phase, Beside: h.beside(), Slid: h.sliding,
	}
}

// HoverHeight returns the height the hand lifts the probe to, in mm.
func (h *Hand) HoverHeight() float64 { return h.hover }

// Tipped returns how far the probe is tilted on purpose, degrees; what the hand leans by itself is not in it.
func (h *Hand) Tipped() float64 { return math.Hypot(h.tipX, h.tipY) }

// Target returns where the hand is heading, in mm.
func (h *Hand) Target() (x, y float64) { return h.targetX, h.targetY }

func (h *Hand) apply(e Event) {
	switch e.Kind {
	case Point:
		h.aim(e.X, e.Y)
	case Nudge:
		h.aim(h.targetX+e.X, h.targetY+e.Y)
	case NudgeOn:
		h.aim(stopAt(h.targetX, h.targetX+e.X, h.width), stopAt(h.targetY, h.targetY+e.Y, h.height))
	case Lower:
		if h.phase != Pressing && h.phase != Lowering {
			h.emit(false) // the top of the lift
			h.phase = Lowering
		}
	case Lift:
		if h.phase == Pressing || h.phase == Lowering {
			h.phase = Lifting
		}
	case Hover:
		h.hover = max(HoverLowMm, min(HoverTopMm, h.hover+e.Y))
		if h.phase == Hovering {
			h.phase = Lifting
		}
	case Tip:
		h.tipX = max(-tipMost, min(tipMost, h.tipX+e.X))
		h.tipY = max(-tipMost, min(tipMost, h.tipY+e.Y))
	case Upright:
		h.tipX, h.tipY = 0, 0
	case Steady, Unsteady:
		h.steady = e.Kind == Steady
	}
}

func (h *Hand) aim(x, y float64) {
	x = max(-roundOffMm, min(h.width+roundOffMm, x))
	y = max(-roundOffMm, min(h.height+roundOffMm, y))
	if math.Hypot(x-h.targetX, y-h.targetY) > 0.2 {
		h.movedAt = h.tick
	}
	h.targetX, h.targetY = x, y
}

// stopAt is where a way along one axis ends: at a side of the piece, unless it
// began beside it.
func stopAt(from, to, size float64) float64 {
	if from < 0 || from > size {
		return to
	}
	return max(0, min(size, to))
}

// beside reports whether there is nothing under the tip to come down on.
func (h *Hand) beside() bool {
	return h.x < 0 || h.y < 0 || h.x > h.width || h.y > h.height || h.width == 0
}

// step moves the hand on by one tick.
func (h *Hand) step() {
	h.tremor.step(h.calm())
	h.follow()
	switch h.phase {
	case Lowering:
		h.lower()
	case Pressing:
		h.press += (pressMN - h.press) * stepMs / pressMs
	case Lifting:
		h.lift()
	}
	h.report()
}

// calm is the scale of tremor that fits what the hand is doing.
func (h *Hand) calm() float64 {
	s := looseScale
	if h.tick-h.movedAt >= stillMs {
		s = stillScale
	}
	if h.phase == Pressing {
		s = pressScale
	}
	if h.steady {
		s = min(s, steadyScale)
	}
	return s
}

// follow moves the tip sideways and leans the probe with its speed.
func (h *Hand) follow() {
	goalX, goalY := h.targetX, h.targetY
	if h.phase == Pressing {
		dx, dy := h.targetX-h.grabX, h.targetY-h.grabY
		if math.Hypot(dx, dy) > restMm {
			h.sliding = true
		}
		goalX, goalY = h.anchorX, h.anchorY
		if h.sliding {
			goalX, goalY = h.anchorX+dx, h.anchorY+dy
		}
		// A tip in contact cannot leave the piece.
		goalX, goalY = max(0, min(h.width, goalX)), max(0, min(h.height, goalY))
	}
	stepX, stepY := (goalX-h.x)*stepMs/followMs, (goalY-h.y)*stepMs/followMs
	h.x += stepX
	h.y += stepY
	h.leanX += (lean(stepY) - h.leanX) * stepMs / leanMs
	h.leanY += (lean(stepX) - h.leanY) * stepMs / leanMs
}

// lean is the tilt that goes with a step sideways.
func lean(step float64) float64 {
	return max(-leanMost, min(leanMost, leanPer*step*1000/stepMs))
}

// lower brings the tip down: fast, then gently. The gentle part goes by whole
// steps, so that the last pose above the piece gives the true landing speed.
func (h *Hand) lower() {
	const gentleStep = gentleMmPerS * stepMs / 1000
	if h.up > gentleFromMm {
		h.up = max(gentleFromMm, h.up-fastMmPerS*stepMs/1000)
	} else {
		h.up = gentleStep * math.Floor(h.up/gentleStep-1e-6)
	}
	if h.beside() {
		h.up = max(h.up, BesideMm)
		return
	}
	if h.up <= 0 {
		h.touchDown()
	}
}

func (h *Hand) touchDown() {
	// The tip comes to rest where the trembling hand has it.
	h.x = max(0, min(h.width, h.x+h.tremor.of(alongX)))
	h.y = max(0, min(h.height, h.y+h.tremor.of(alongY)))
	h.up, h.phase = 0, Pressing
	h.press = 0.3 * pressMN
	h.touchedAt, h.captureSent, h.sliding = h.tick, false, false
	h.anchorX, h.anchorY = h.x, h.y
	h.grabX, h.grabY = h.targetX, h.targetY
}

func (h *Hand) lift() {
	h.press = 0
	step := liftMmPerS * stepMs / 1000
	switch {
	case h.up < h.hover-step:
		h.up += step
	case h.up > h.hover+step:
		h.up -= step
	default:
		h.up, h.phase = h.hover, Hovering
	}
}

// pose is how the probe is held, in the whole numbers of the bench.
func (h *Hand) pose() bench.Pose {
	dx, dy := h.tremor.of(alongX), h.tremor.of(alongY)
	if h.phase == Pressing {
		dx, dy = 0, 0 // friction holds the tip
	}
	p := bench.Pose{
		XUm: um(h.x + dx), YUm: um(h.y + dy), HeightUm: max(0, um(h.up)),
		TiltX:   um(h.leanX + h.tipX + h.tremor.of(tiltX)),
		TiltY:   um(h.leanY + h.tipY + h.tremor.of(tiltY)),
		PressMN: int64(math.Round(h.press)),
	}
	if h.phase == Pressing {
		p.HeightUm = 0
	} else {
		p.HeightUm = max(1, p.HeightUm)
	}
	return p
}

// um turns mm into micrometres, or degrees into millidegrees.
func um(x float64) int64 { return int64(math.Round(x * 1000)) }

// afterCapture is how long after touch-down the reading is due.
const afterCapture = probe.CaptureAfterMs
