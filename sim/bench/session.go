package bench

import (
	"fmt"
	"math"

	"foilwright/sim/gauge"
)

// session is the instrument during one attempt: mode, adjustment and memory.
// It runs the same way in the attempt itself and in a counterfactual, where
// only the influences in on act.
type session struct {
	world *World
	on    Influence

	mode     Mode
	adjust   gauge.Adjustment
	memory   gauge.Memory
	signals  []float64 // taken for the adjustment under way
	taken    []int64   // what was displayed for them
	takenUm  []float64
	foil     int // foil under the last contact of the adjustment under way; -1: none
	contacts []int
	setUm    float64
}

func newSession(w *World, on Influence) *session {
	s := &session{world: w, on: on, mode: Measuring, foil: -1}
	s.memory.Spot = 1
	res := w.Exercise.Instrument.ResolutionUm
	if on.Has(OldReadings) {
		for _, um := range w.Exercise.Instrument.EarlierReadingUm {
			counts := toCounts(um, res)
			s.memory.Readings = append(s.memory.Readings, gauge.Stored{Counts: counts, Um: float64(counts) * res})
		}
	}
	return s
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

// begin sets the mode; anything taken for an unfinished adjustment is dropped.
func (s *session) begin(m Mode) {
	s.mode = m
	s.signals, s.taken, s.takenUm, s.contacts, s.foil = nil, nil, nil, nil, -1
	if m == Foiling {
		s.setUm = 0
	}
}

// thicknessUm is the instrument's reading of a contact in um: rounded to the
// display where the resolution acts.
func (s *session) thicknessUm(c *Contact) (um float64, counts int64, signal float64) {
	signal = s.world.signal(c, s.on)
	um = s.adjust.ThicknessUm(s.world.curve, signal)
	res := s.world.Exercise.Instrument.ResolutionUm
	counts = toCounts(um, res)
	if s.on.Has(Resolution) {
		um = float64(counts) * res
	}
	return um, counts, signal
}

// inRange reports whether the instrument would show a thickness at all.
func (s *session) inRange(um float64) bool {
	r := s.world.Exercise.Probe.RangeUm
	return um <= 1.1*r && um >= -0.1*r
}

// capture takes the reading of a contact into the series at hand.
func (s *session) capture(c *Contact) float64 {
	um, counts, signal := s.thicknessUm(c)
	c.Counts, c.Mode = counts, s.mode
	if s.mode == Measuring {
		c.Spot = s.memory.Spot
		s.memory.Add(counts, um, c.Entry)
		return um
	}
	s.signals = append(s.signals, signal)
	s.taken = append(s.taken, counts)
	s.takenUm = append(s.takenUm, um)
	s.contacts = append(s.contacts, c.Index)
	s.foil = c.foil
	return um
}

// storeZero and storeFoil end an adjustment.
func (s *session) storeZero() error {
	a, err := s.adjust.WithZero(s.signals)
	if err != nil {
		return err
	}
	s.adjust = a
	s.begin(Measuring)
	return nil
}

func (s *session) storeFoil() error {
	set := s.setUm
	if !s.on.Has(FoilValue) && s.foil >= 0 {
		set = s.world.Foils[s.foil].CertifiedUm
	}
	a, err := s.adjust.WithFoil(s.world.curve, s.signals, set)
	if err != nil {
		return err
	}
	s.adjust = a
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
	text := s.adjust.Kind()
	if n := len(s.adjust.Foils); n > 0 {
		text += fmt.Sprintf(" (%.1f µm)", s.adjust.Foils[n-1].SetUm)
	}
	return text
}
