package bench

import (
	"errors"
	"fmt"

	"foilwright/sim/probe"
)

// Bench is one attempt under way.
type Bench struct {
	record  Record
	session *session
	hand    hand
	placed  int // piece under the probe; -1: none
	foil    int // foil on it, the upper one of two; -1: none
	below   int // foil under that one; -1: none
	things  things
	events  []Event
}

// New begins an attempt in a world.
func New(w *World) *Bench {
	return &Bench{
		record:  Record{World: w},
		session: newSession(w, All),
		hand:    hand{pose: startPose},
		placed:  -1, foil: -1, below: -1,
		things: newThings(w),
	}
}

// ErrBackwards is returned for an action older than the one before it.
var ErrBackwards = errors.New("action is older than the one before it")

// Do carries out one action and returns what the trainee sees of it. An action
// the bench cannot carry out is answered by a Refused event, not an error; an
// error means the action is not one a bench can be given at all, and nothing
// has changed.
func (b *Bench) Do(a Action) ([]Event, error) {
	n := len(b.record.Entries) + 1
	if a.At < b.hand.at {
		return nil, fmt.Errorf("entry %d: at %d ms, after %d ms: %w", n, a.At, b.hand.at, ErrBackwards)
	}
	if !known(a.Do) {
		return nil, fmt.Errorf("entry %d: unknown verb %q", n, a.Do)
	}
	if a.Do == MoveProbe {
		if err := checkPose(a.Pose); err != nil {
			return nil, fmt.Errorf("entry %d: %w", n, err)
		}
	}
	b.events = nil
	if b.record.Finished {
		b.refuse("the attempt is finished")
	} else {
		b.advance(a.At)
		b.act(a)
	}
	b.hand.at = a.At
	b.record.Entries = append(b.record.Entries, Entry{N: n, Action: a, Events: b.events})
	return b.events, nil
}

func known(v Verb) bool {
	for _, k := range verbs {
		if k == v {
			return true
		}
	}
	return false
}

// checkPose bounds a pose to what a hand can do over a bench.
func checkPose(p *Pose) error {
	const metre = 1_000_000
	switch {
	case p == nil:
		return errors.New("the verb \"probe\" needs a pose")
	case p.HeightUm < 0 || p.HeightUm > metre:
		return fmt.Errorf("height %d µm is outside 0 to 1000000", p.HeightUm)
	case p.XUm < -metre || p.XUm > 10*metre || p.YUm < -metre || p.YUm > 10*metre:
		return fmt.Errorf("position (%d, %d) µm is off the bench", p.XUm, p.YUm)
	case p.TiltX < -90_000 || p.TiltX > 90_000 || p.TiltY < -90_000 || p.TiltY > 90_000:
		return fmt.Errorf("tilt (%d, %d) millidegrees is outside ±90000", p.TiltX, p.TiltY)
	case p.PressMN < 0 || p.PressMN > 100_000:
		return fmt.Errorf("press %d mN is outside 0 to 100000", p.PressMN)
	}
	return nil
}

func (b *Bench) see(e Event)        { b.events = append(b.events, e) }
func (b *Bench) refuse(text string) { b.see(Event{Kind: Refused, Text: text}) }
func (b *Bench) entry() int         { return len(b.record.Entries) + 1 }
func (b *Bench) did(v Verb)         { b.tape(step{contact: -1, verb: v}) }
func (b *Bench) tape(s step) {
	s.entry = b.entry()
	b.record.tape = append(b.record.tape, s)
}
func (b *Bench) look(v Verb, item string) {
	b.record.Looked = append(b.record.Looked, Looked{Entry: b.entry(), Verb: v, Item: item})
}

// advance lets time pass up to at: a probe held long enough gives its reading.
func (b *Bench) advance(at int64) {
	if b.hand.due(at) {
		b.capture(probe.CaptureAfterMs)
	}
}

// capture ends the contact's settling and takes the reading.
func (b *Bench) capture(heldMs int64) {
	b.hand.captured = true
	c := b.current(heldMs)
	ch := &b.record.World.channels[c.channel]
	if !ch.serves[c.piece] {
		c.Outcome = NoMetal
		b.see(Event{Kind: NoReading, Text: ch.refusal()})
		return
	}
	b.session.channel = c.channel
	r := b.session.read(c)
	if !b.session.inRange(r.um) {
		c.Outcome = NoMetal
		b.see(Event{Kind: NoReading, Text: "out of range: nothing here that this probe can measure"})
		return
	}
	c.Outcome = Read
	b.session.capture(c, r)
	b.tape(step{contact: c.Index})
	n := len(b.session.taken)
	if b.session.mode == Measuring {
		n = len(b.session.memory.Readings)
	}
	text := ""
	if b.record.World.probes[b.session.probe].second >= 0 {
		text = ch.design.Principle.Words()
	}
	b.see(Event{Kind: ReadingNew, Counts: r.counts, N: n, Text: text})
}

// current brings the record of the present contact up to date.
func (b *Bench) current(heldMs int64) *Contact {
	c := &b.record.Contacts[len(b.record.Contacts)-1]
	now := b.hand.contact(heldMs)
	now.Index, now.TouchEntry, now.Entry = c.Index, c.TouchEntry, b.entry()
	now.Mode, now.Piece, now.Foil, now.piece, now.foil = b.session.mode, c.Piece, c.Foil, c.piece, c.foil
	now.Probe, now.channel = c.Probe, c.channel
	now.Condition = c.Condition
	*c = now
	return c
}

// move takes the probe to a new pose.
func (b *Bench) move(at int64, p Pose) {
	h := &b.hand
	switch {
	case !h.touching && p.HeightUm == 0:
		if b.placed < 0 {
			b.refuse("there is nothing under the probe; place a piece first")
			return
		}
		h.land(at, p)
		h.pose = p
		c := h.contact(0)
		c.Index, c.TouchEntry, c.Mode = len(b.record.Contacts), b.entry(), b.session.mode
		c.piece, c.foil, c.Piece = b.placed, b.foil, b.record.World.pieces[b.placed].ID
		c.channel = b.record.World.sensed(b.session.probe, b.placed)
		c.Probe = b.record.World.channels[c.channel].design.ID
		if b.foil >= 0 {
			c.Foil = b.record.World.Foils[b.foil].ID
		}
		c.Condition = b.condition(&c)
		b.record.Contacts = append(b.record.Contacts, c)
		b.session.stand(&c)
		b.see(Event{Kind: Touched})
	case h.touching && p.HeightUm == 0:
		h.slide(p)
		if c := &b.record.Contacts[len(b.record.Contacts)-1]; c.SlideUm < h.slideUm {
			c.SlideUm = h.slideUm
		}
		h.pose = p
	case h.touching:
		b.leave(at)
		h.pose, h.topUm = p, p.HeightUm
	default:
		h.pose = p
		h.topUm = max(h.topUm, p.HeightUm)
	}
}

// leave ends a contact.
func (b *Bench) leave(at int64) {
	h := &b.hand
	if held := at - h.touchedAt; !h.captured {
		if held >= probe.ReadableAfterMs {
			b.capture(held)
		} else {
			b.current(held).Outcome = TooBrief
			b.see(Event{Kind: NoReading, Text: "lifted too soon: hold the probe still until the reading shows"})
		}
	}
	h.touching, h.lifted, h.liftPiece, h.topUm = false, true, b.placed, 0
	b.see(Event{Kind: Lifted})
}
