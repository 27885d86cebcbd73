package bench

import "math/bits"

// recall keeps what does not change from one replay of a contact to the next.
type recall struct {
	known       bool
	away, noise float64

	// Responses by the influences that bear on this contact; those with few
	// enough of them by number, the newest at hand.
	bearing   Influence
	responses []response
	newest    response

	onCurve, curveUm float64 // newest signal looked up on the built-in curve
}

// response is World.response with some influences acting.
type response struct {
	known  bool
	on     Influence
	signal float64
}

// mostRecalled is the number of bearing influences up to which every set of
// them is remembered.
const mostRecalled = 12

// signal is World.signal for the session's influences.
func (s *session) signal(c *Contact) float64 {
	if s.recalls == nil {
		return s.world.signal(c, s.on)
	}
	m := &s.recalls[c.Index]
	if !m.known {
		m.known, m.away, m.noise = true, s.world.away(c), s.world.noise(c)
		if m.bearing = s.world.bearing(c); bits.OnesCount64(uint64(m.bearing)) <= mostRecalled {
			m.responses = make([]response, 1<<bits.OnesCount64(uint64(m.bearing)))
		}
	}
	return s.world.disturb(c, s.response(m, c), m.away, m.noise, s.on)
}

// response looks up World.response, or works it out.
func (s *session) response(m *recall, c *Contact) float64 {
	on := s.on & m.bearing
	if m.newest.known && m.newest.on == on {
		return m.newest.signal
	}
	m.newest = response{true, on, 0}
	if m.responses == nil {
		m.newest.signal = s.world.response(c, s.on)
		return m.newest.signal
	}
	kept := &m.responses[rank(on, m.bearing)]
	if !kept.known {
		*kept = response{true, on, s.world.response(c, s.on)}
	}
	m.newest = *kept
	return kept.signal
}

// rank numbers the subsets of a set.
func rank(subset, set Influence) int {
	number, at := 0, 0
	for left := set; left != 0; left &= left - 1 {
		if subset&left&-left != 0 {
			number |= 1 << at
		}
		at++
	}
	return number
}

// curveUm looks a signal up on the built-in curve.
func (s *session) curveUm(c *Contact, onCurve float64) float64 {
	if s.recalls == nil {
		return s.world.channels[c.channel].curve.ThicknessUm(onCurve)
	}
	m := &s.recalls[c.Index]
	if m.onCurve != onCurve || m.curveUm == 0 {
		m.onCurve, m.curveUm = onCurve, s.world.channels[c.channel].curve.ThicknessUm(onCurve)
	}
	return m.curveUm
}
