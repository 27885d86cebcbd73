package bench

// recall keeps what does not change from one replay of a contact to the next.
type recall struct {
	known       bool
	away, noise float64

	responses map[Influence]float64 // by the shaping influences that act
	shape     Influence             // of the newest response
	response  float64

	onCurve, curveUm float64 // newest signal looked up on the built-in curve
}

// signal is World.signal for the session's influences.
func (s *session) signal(c *Contact) float64 {
	if s.recalls == nil {
		return s.world.signal(c, s.on)
	}
	m := &s.recalls[c.Index]
	shape := s.on & shaping
	if !m.known {
		m.known, m.away, m.noise = true, s.world.away(c), s.world.noise(c)
		m.responses, m.shape = make(map[Influence]float64, 8), ^shape
	}
	if m.shape != shape {
		v, seen := m.responses[shape]
		if !seen {
			v = s.world.response(c, s.on)
			m.responses[shape] = v
		}
		m.shape, m.response = shape, v
	}
	return s.world.disturb(c, m.response, m.away, m.noise, s.on)
}

// curveUm looks a signal up on the built-in curve.
func (s *session) curveUm(c *Contact, onCurve float64) float64 {
	if s.recalls == nil {
		return s.world.curve.ThicknessUm(onCurve)
	}
	m := &s.recalls[c.Index]
	if m.onCurve != onCurve || m.curveUm == 0 {
		m.onCurve, m.curveUm = onCurve, s.world.curve.ThicknessUm(onCurve)
	}
	return m.curveUm
}
