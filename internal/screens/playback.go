package screens

import (
	"fmt"
	"math"
	"sort"

	"foilwright/internal/attempt"
	"foilwright/internal/hand"
	"foilwright/internal/say"
	"foilwright/sim/bench"
)

// playback shows an attempt as it was at any moment. It needs the log alone:
// the bench is carried out again up to that moment, so that what is shown then
// is what was seen then.
type playback struct {
	record *bench.Record
	scene  *sitting
	desk   benchState
	units  units

	atMs, endMs float64
	playing     bool
	ranAt       int64 // input time up to which it has played
	moments     []moment
	spans       []span
}

// moment is an entry of the log at which something happened.
type moment struct {
	entry int // from 1
	atMs  float64
	text  string
	read  bool // a reading was taken
	lost  bool // a contact gave none, or the reading was deleted
}

// span is a stretch of an attempt in which the instrument did one thing.
type span struct {
	fromMs, toMs float64
	mode         bench.Mode
}

// newPlayback prepares an attempt to be looked back on, from its beginning.
func newPlayback(r *bench.Record, un units) *playback {
	p := &playback{record: r, units: un}
	p.rewind()
	modes := newLedger(r.World.Exercise)
	open := span{mode: modes.mode}
	for _, e := range r.Entries {
		at := float64(e.Action.At)
		p.endMs = at
		modes.take(e)
		if modes.mode != open.mode {
			open.toMs = at
			p.spans = append(p.spans, open)
			open = span{fromMs: at, mode: modes.mode}
		}
		if m, ok := p.momentOf(e, modes); ok {
			p.moments = append(p.moments, m)
		}
	}
	open.toMs = p.endMs
	p.spans = append(p.spans, open)
	for i := range p.moments {
		if c := r.ContactAt(p.moments[i].entry); c != nil && c.Deleted {
			p.moments[i].lost = true
		}
	}
	return p
}

// rewind puts the bench back to where it was when the attempt began.
func (p *playback) rewind() {
	w := p.record.World
	p.scene = &sitting{
		Attempt: &attempt.Attempt{World: w, Bench: bench.New(w)}, exercise: w.Exercise, ledger: newLedger(w.Exercise), past: true,
	}
	p.scene.refresh()
	p.desk.textAt = -1
}

// seek goes to a time on the attempt's clock.
func (p *playback) seek(ms float64) {
	p.atMs = math.Max(0, math.Min(ms, p.endMs))
	entries := p.record.Entries
	n := sort.Search(len(entries), func(i int) bool { return float64(entries[i].Action.At) > p.atMs })
	s := p.scene
	if n < s.view.Entries {
		p.rewind()
		s = p.scene
	}
	if from := s.view.Entries; n > from {
		for _, e := range entries[from:n] {
			if _, err := s.Bench.Do(e.Action); err != nil {
				break // a log that has been replayed once cannot fail here
			}
			s.ledger.take(e)
		}
		s.refresh()
	}
	p.pose(n)
}

// glideMs is how long before a pose was noted the probe is shown on its way.
const glideMs = 400

// pose shows the probe between the last pose noted and the next.
func (p *playback) pose(next int) {
	s := p.scene
	q := s.view.Pose
	x, y, h := float64(q.XUm), float64(q.YUm), float64(q.HeightUm)
	tx, ty, force := float64(q.TiltX), float64(q.TiltY), float64(q.PressMN)
	if e := p.record.Entries; next < len(e) && e[next].Action.Pose != nil {
		to, until := e[next].Action.Pose, float64(e[next].Action.At)
		from := math.Max(float64(s.view.NowMs), until-glideMs)
		if f := (p.atMs - from) / math.Max(until-from, 1); f > 0 {
			mix := func(a float64, b int64) float64 { return a + (float64(b)-a)*f }
			x, y, h = mix(x, to.XUm), mix(y, to.YUm), mix(h, to.HeightUm)
			tx, ty, force = mix(tx, to.TiltX), mix(ty, to.TiltY), mix(force, to.PressMN)
		}
	}
	k := hand.Held{X: x / 1e3, Y: y / 1e3, Height: h / 1e3, TiltX: tx / 1e3, TiltY: ty / 1e3, PressN: force / 1e3, Phase: hand.Hovering}
	if s.view.Touching {
		k.Height, k.Phase = 0, hand.Pressing
	}
	w, d := s.outline()
	k.Beside = k.X < 0 || k.Y < 0 || k.X > w || k.Y > d || w == 0
	s.posed = k
}

// playRate is how much faster than life an attempt is played.
const playRate = 4

// play goes on when it plays; nowMs is input time.
func (p *playback) play(nowMs int64) {
	if p.playing {
		p.seek(p.atMs + float64(nowMs-p.ranAt)*playRate)
		p.playing = p.atMs < p.endMs
	}
	p.ranAt = nowMs
}

// toggle starts or stops playing; at the end it starts from the beginning.
func (p *playback) toggle() {
	p.playing = !p.playing
	if p.playing && p.atMs >= p.endMs {
		p.seek(0)
	}
}

// toEntry goes to the moment an entry was made.
func (p *playback) toEntry(n int) {
	if n >= 1 && n <= len(p.record.Entries) {
		p.playing = false
		p.seek(float64(p.record.Entries[n-1].Action.At))
	}
}

// step goes to the next moment, or with -1 to the one before.
func (p *playback) step(by int) {
	i := sort.Search(len(p.moments), func(i int) bool { return p.moments[i].atMs > p.atMs })
	if by < 0 {
		i = sort.Search(len(p.moments), func(i int) bool { return p.moments[i].atMs >= p.atMs }) - 1
	}
	p.playing = false
	switch {
	case i < 0:
		p.seek(0)
	case i >= len(p.moments):
		p.seek(p.endMs)
	default:
		p.seek(p.moments[i].atMs)
	}
}

// now is the newest moment that has come, nil before the first.
func (p *playback) now() *moment { return p.upTo(p.atMs) }

func (p *playback) upTo(ms float64) *moment {
	i := sort.Search(len(p.moments), func(i int) bool { return p.moments[i].atMs > ms })
	if i == 0 {
		return nil
	}
	return &p.moments[i-1]
}

// momentOf tells an entry in words; false for one at which nothing happened
// that is worth a stop. l is the ledger after it.
func (p *playback) momentOf(e bench.Entry, l *ledger) (moment, bool) {
	m := moment{entry: e.N, atMs: float64(e.Action.At)}
	for _, ev := range e.Events {
		switch ev.Kind {
		case bench.ReadingNew:
			m.text, m.read = say.T("Reading %s %s", p.units.counts(ev.Counts), p.units.name()), true
			if l.mode == bench.Measuring {
				m.text += say.T(", spot %d", l.spot)
			} else {
				m.text += ", " + modeName(l.mode)
			}
			return m, true
		case bench.NoReading:
			m.text, m.lost = say.T("No reading: %s", ev.Text), true
			return m, true
		case bench.Refused:
			m.text = say.T("Refused: %s", ev.Text)
			return m, true
		}
	}
	a := e.Action
	if a.Do == bench.MoveProbe || a.Do == bench.Wait {
		return m, false
	}
	m.text = verbName(a.Do)
	switch {
	case l.names[a.Item] != "":
		m.text += ": " + l.names[a.Item]
	case a.Item != "":
		m.text += ": " + a.Item
	case a.Text != "":
		m.text += ": " + a.Text
	}
	if a.Counts != 0 {
		m.text += ", " + p.units.counts(a.Counts) + " " + p.units.name()
	}
	return m, true
}

// clockText writes a time on the clock of an attempt.
func clockText(ms float64) string {
	sec := int(ms / 1000)
	return fmt.Sprintf("%d:%02d", sec/60, sec%60)
}
