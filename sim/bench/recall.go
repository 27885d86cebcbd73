package bench

import "math"

// recall keeps what does not change from one replay of a contact to the next.
type recall struct {
	known       bool
	away, noise float64
	responses   []float64 // by shapeNumber; NaN: not yet worked out

	onCurve, curveUm float64 // newest signal looked up on the built-in curve
}

// shapeNumber numbers the sets of the shaping influences given, from 0.
func shapeNumber(on, shaping Influence) int {
	number, at := 0, 0
	for i := Influence(1); i < influenceEnd; i <<= 1 {
		if shaping&i == 0 {
			continue
		}
		if on&i != 0 {
			number |= 1 << at
		}
		at++
	}
	return number
}

// signal is World.signal for the session's influences.
func (s *session) signal(c *Contact) float64 {
	if s.recalls == nil {
		return s.world.signal(c, s.on)
	}
	m := &s.recalls[c.Index]
	if !m.known {
		m.known, m.away, m.noise = true, s.world.away(c), s.world.noise(c)
		m.responses = make([]float64, shapeNumber(All, s.world.shaping)+1)
		for i := range m.responses {
			m.responses[i] = math.NaN()
		}
	}
	response := m.responses[s.shape]
	if response != response {
		response = s.world.response(c, s.on)
		m.responses[s.shape] = response
	}
	return s.world.disturb(c, response, m.away, m.noise, s.on)
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
