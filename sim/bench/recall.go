package bench

import (
	"math"
	"math/bits"
	"slices"
)

// recall keeps what does not change from one replay of an attempt to the next.
type recall struct {
	contacts []recalled // by contact
	alike    []alike
}

// recalled is what is kept of one contact.
type recalled struct {
	standing  standing
	alike, at int // which of alike it is of, and its place there

	onCurve, curveUm float64 // newest signal looked up on the built-in curve
}

// alike are the contacts whose response the same influences bear on. Their
// responses are kept set of influences after set, those of one replay together.
type alike struct {
	bearing Influence
	n       int // contacts
	acting  Influence
	now     []float64 // responses with acting, by contact; NaN: not worked out yet
	kept    []float64 // by number of the set, then contact; nil: too many sets to keep
}

// mostRecalled is the number of bearing influences up to which every set of
// them is remembered.
const mostRecalled = 12

// newRecall prepares for replays of the contacts that gave a reading.
func newRecall(w *World, contacts []Contact) *recall {
	r := &recall{contacts: make([]recalled, len(contacts))}
	for i := range contacts {
		c := &contacts[i]
		if c.Outcome != Read {
			continue
		}
		bearing := w.bearing(c)
		k := slices.IndexFunc(r.alike, func(a alike) bool { return a.bearing == bearing })
		if k < 0 {
			k = len(r.alike)
			r.alike = append(r.alike, alike{bearing: bearing})
		}
		m := &r.contacts[i]
		w.stand(c, &m.standing)
		m.alike, m.at = k, r.alike[k].n
		r.alike[k].n++
	}
	for k := range r.alike {
		a := &r.alike[k]
		if few := bits.OnesCount64(uint64(a.bearing)); few <= mostRecalled {
			a.kept = unknown(a.n << few)
		} else {
			a.now = unknown(a.n)
		}
	}
	return r
}

func unknown(n int) []float64 {
	list := make([]float64, n)
	for i := range list {
		list[i] = math.NaN()
	}
	return list
}

// act turns to the responses with the influences in on acting.
func (r *recall) act(on Influence) {
	for k := range r.alike {
		a := &r.alike[k]
		switch acting := on & a.bearing; {
		case a.kept != nil:
			at := rank(acting, a.bearing) * a.n
			a.now = a.kept[at : at+a.n]
		case acting != a.acting:
			a.acting, a.now = acting, unknown(a.n)
		}
	}
}

// signal is World.signal for the session's influences.
func (s *session) signal(c *Contact) float64 {
	if s.recall == nil {
		s.stand(c)
		return s.world.signal(c, &s.standing, s.on)
	}
	m := &s.recall.contacts[c.Index]
	group := &s.recall.alike[m.alike]
	response := &group.now[m.at]
	if *response != *response {
		// Surroundings that do not bear on it may count as acting.
		*response = s.world.response(c, &m.standing, s.on|surroundings&^group.bearing)
	}
	return s.world.disturb(c, &m.standing, *response, s.on)
}

// stand works out how a contact stands, unless it stands as before.
func (s *session) stand(c *Contact) {
	if !s.standing.holds(c) {
		s.world.stand(c, &s.standing)
	}
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
	if s.recall == nil {
		return s.world.channels[c.channel].curve.ThicknessUm(onCurve)
	}
	m := &s.recall.contacts[c.Index]
	if m.onCurve != onCurve || m.curveUm == 0 {
		m.onCurve, m.curveUm = onCurve, s.world.channels[c.channel].curve.ThicknessUm(onCurve)
	}
	return m.curveUm
}
