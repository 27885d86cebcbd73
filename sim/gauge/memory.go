package gauge

import "foilwright/sim/inspect"

// Stored is one reading in the instrument's memory, in counts of the display's
// resolution.
type Stored struct {
	Counts int64
	Um     float64 // the same in um; not rounded where the resolution is switched off
	Spot   int     // spot of the series it belongs to, from 1; 0: left from an earlier job
	Entry  int     // log entry that stored it; 0: it was there before the attempt
}

// Memory is the instrument's series of readings, oldest first.
type Memory struct {
	Readings []Stored
	Spot     int // spot now open, from 1
}

// Add stores a reading in the open spot.
func (m *Memory) Add(counts int64, um float64, entry int) {
	m.Readings = append(m.Readings, Stored{Counts: counts, Um: um, Spot: m.Spot, Entry: entry})
}

// DeleteLast removes and returns the newest reading; false when there is none.
func (m *Memory) DeleteLast() (Stored, bool) {
	if len(m.Readings) == 0 {
		return Stored{}, false
	}
	last := m.Readings[len(m.Readings)-1]
	m.Readings = m.Readings[:len(m.Readings)-1]
	return last, true
}

// Clear empties the memory and opens the first spot.
func (m *Memory) Clear() { m.Readings, m.Spot = m.Readings[:0], 1 }

// Statistics evaluates all readings in memory, whoever took them, in counts of
// the display's resolution.
func (m *Memory) Statistics() inspect.Statistics {
	counts := make([]float64, len(m.Readings))
	for i, r := range m.Readings {
		counts[i] = float64(r.Counts)
	}
	return inspect.Describe(counts)
}
