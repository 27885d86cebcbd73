package bench

import (
	"errors"
	"fmt"
	"math"

	"foilwright/sim/gauge"
	"foilwright/sim/num"
)

// session is the instrument during one attempt: mode, adjustment and memory.
// It runs the same way in the attempt itself and in a counterfactual, where
// only the influences in on act.
type session struct {
	world *World
	on    Influence

	mode     Mode
	probe    int                // in hand, of the probes offered
	channel  int                // that read last
	adjusts  []gauge.Adjustment // by channel: each principle is adjusted by itself
	memory   gauge.Memory
	signals  []float64 // taken for the adjustment under way
	curve    []float64 // the same on the zeroed curve, um
	taken    []int64   // what was displayed for them
	takenUm  []float64
	filmUm   []float64 // film under readings taken on a coated piece in place of a foil: certified, or else the true one
	certs    int       // how many of those films are certified
	foil     int       // foil under the last contact of the adjustment under way; -1: none
	mixed    bool      // readings of the adjustment under way were taken with both principles of a dual probe
	contacts []int
	setUm    float64

	standing standing // of the contact under way

	recall *recall // for many replays of one attempt; nil in the attempt itself
}

func newSession(w *World, on Influence) *session {
	s := &session{world: w, adjusts: make([]gauge.Adjustment, len(w.channels))}
	s.restart(on)
	return s
}

// restart puts the instrument back to where it was when the attempt began,
// with only the influences in on acting from now on.
func (s *session) restart(on Influence) {
	s.on, s.setUm = on, 0
	if s.recall != nil {
		s.recall.act(on)
	}
	s.memory.Clear()
	s.hold(0)
	if !on.Has(OldReadings) {
		return
	}
	res := s.world.Exercise.Instrument.ResolutionUm
	for _, um := range s.world.Exercise.Instrument.EarlierReadingUm {
		counts := toCounts(um, res)
		s.memory.Readings = append(s.memory.Readings, gauge.Stored{Counts: counts, Um: float64(counts) * res})
	}
}

// toCounts rounds a thickness to whole steps of the resolution, halves away
// from zero.
func toCounts(um, resolutionUm float64) int64 {
	x := um / resolutionUm
	if x < 0 {
		return -int64(math.Floor(0.5 - x))
	}
	return int64(math.Floor(x + 0.5))
}

// adjust is the adjustment of the principle that read last.
func (s *session) adjust() *gauge.Adjustment { return &s.adjusts[s.channel] }

// rangeUm is the range of the principle that read last.
func (s *session) rangeUm() float64 { return s.world.channels[s.channel].design.RangeUm }

// hold takes a probe in hand.
func (s *session) hold(probe int) {
	s.probe, s.channel = probe, s.world.probes[probe].first
	s.reset()
}

// reset forgets every adjustment.
func (s *session) reset() {
	clear(s.adjusts)
	s.begin(Measuring)
}

// begin sets the mode; anything taken for an unfinished adjustment is dropped.
// The room it took is used again: who keeps it must have a copy.
func (s *session) begin(m Mode) {
	s.mode = m
	s.signals, s.curve, s.taken, s.takenUm, s.contacts, s.foil = s.signals[:0], s.curve[:0], s.taken[:0], s.takenUm[:0], s.contacts[:0], -1
	s.filmUm, s.certs, s.mixed = s.filmUm[:0], 0, false
	if m == Foiling {
		s.setUm = 0
	}
}

// reading is what the instrument makes of one contact.
type reading struct {
	signal  float64
	curveUm float64 // on the zeroed curve
	um      float64 // rounded to the display where the resolution acts
	counts  int64   // displayed
}

// read is the instrument's reading of a contact.
func (s *session) read(c *Contact) reading {
	r := reading{signal: s.signal(c)}
	adjust := &s.adjusts[c.channel]
	r.curveUm = s.curveUm(c, adjust.OnCurve(s.world.channels[c.channel].curve, r.signal))
	r.um = adjust.AtFoils(r.curveUm)
	res := s.world.Exercise.Instrument.ResolutionUm
	r.counts = toCounts(r.um, res)
	if s.on.Has(Resolution) {
		r.um = float64(r.counts) * res
	}
	return r
}

// inRange reports whether the instrument would show a thickness at all.
func (s *session) inRange(um float64) bool {
	r := s.rangeUm()
	return um <= 1.1*r && um >= -0.1*r
}

// capture takes the reading of a contact into the series at hand and notes on
// the contact what came of it.
func (s *session) capture(c *Contact, r reading) {
	s.take(c, r)
	c.Counts, c.Mode = r.counts, s.mode
	if s.mode == Measuring {
		c.Spot = s.memory.Spot
	}
}

// take takes the reading of a contact into the series at hand.
func (s *session) take(c *Contact, r reading) {
	s.mixed = s.mixed || len(s.contacts) > 0 && c.channel != s.channel
	s.channel = c.channel
	if s.mode == Measuring {
		s.memory.Add(r.counts, r.um, c.Entry)
		return
	}
	s.signals = append(s.signals, r.signal)
	s.curve = append(s.curve, r.curveUm)
	s.taken = append(s.taken, r.counts)
	s.takenUm = append(s.takenUm, r.um)
	s.contacts = append(s.contacts, c.Index)
	s.foil = c.foil
	if s.mode == Foiling && c.foil < 0 {
		film := s.world.filmUm(c)
		if s.world.certified(c) {
			film, s.certs = s.world.pieces[c.piece].knownUm+s.world.layersUm(c.piece), s.certs+1
		}
		s.filmUm = append(s.filmUm, film)
	}
}

// errMixed refuses an adjustment that belongs to neither principle.
var errMixed = errors.New("the readings were taken with both principles; take them all on one piece of metal")

// storeZero and storeFoil end an adjustment.
func (s *session) storeZero() error {
	if s.mixed {
		return errMixed
	}
	a, err := s.adjust().WithZero(s.signals)
	if err != nil {
		return err
	}
	*s.adjust() = a
	s.begin(Measuring)
	return nil
}

func (s *session) storeFoil() error {
	set := s.setUm
	switch {
	case s.mixed:
		return errMixed
	case s.on.Has(FoilValue):
	case s.foil >= 0:
		set = s.world.Foils[s.foil].CertifiedUm
	case len(s.filmUm) == len(s.contacts):
		// The fall-back at its best: the value of the certificate, or without one
		// the piece's thickness known exactly.
		set = num.Sum(s.filmUm) / float64(len(s.filmUm))
	}
	a, err := s.adjust().WithFoilAt(s.curve, set)
	if err != nil {
		return err
	}
	a.Foils[len(a.Foils)-1].Coated = s.certs > 0 && s.certs == len(s.contacts)
	*s.adjust() = a
	s.begin(Measuring)
	return nil
}

// meanUm is the mean of the memory in um, NaN when it is empty.
func (s *session) meanUm() float64 {
	sum := 0.0
	for _, r := range s.memory.Readings {
		sum += r.Um
	}
	return sum / float64(len(s.memory.Readings))
}

// describe names the adjustment in force for the trainee.
func (s *session) describe() string {
	text := s.adjust().Kind()
	if n := len(s.adjust().Foils); n > 0 {
		text += fmt.Sprintf(" (%.1f µm)", s.adjust().Foils[n-1].SetUm)
	}
	return text
}
