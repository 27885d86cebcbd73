package bench

import (
	"fmt"
	"math"
	"slices"

	"foilwright/sim/field"
	"foilwright/sim/gauge"
	"foilwright/sim/part"
	"foilwright/sim/probe"
)

// channel is one principle of one probe, prepared over every piece.
type channel struct {
	design   probe.Design
	sensor   *field.Sensor
	standard *field.Over
	curve    gauge.Curve
	bases    []bases // by piece
	stacks   []stack // prepared so far
	serves   []bool  // by piece: its metal is what the principle senses
}

// bases are the responses over one piece: on its own metal or on the standard
// metal, with its metallic under-layers or without, of its own thickness or
// thick.
type bases struct {
	by     [2][2][2]*field.Over // by metal, layers and thickness; 0: its own; nil: never asked for
	thin   bool                 // the probe tells its thickness from thick metal; false where that is never asked
	states states               // of its own metal
}

// own is the response over the piece as it is.
func (b *bases) own() *field.Over { return b.by[0][0][0] }

// over picks the response for what acts: the piece's own metal, its
// under-layers, its own thickness.
func (b *bases) over(metal, layers, thickness bool) *field.Over {
	return b.by[ideal(metal)][ideal(layers)][ideal(thickness)]
}

// ideal is 1 for what does not act.
func ideal(acts bool) int {
	if acts {
		return 0
	}
	return 1
}

// stack is the response over one stack of metal.
type stack struct {
	base field.Base
	over *field.Over
}

// newChannel prepares a design over the pieces.
func newChannel(d probe.Design, pieces []piece) (channel, error) {
	ch := channel{design: d}
	var err error
	if ch.sensor, err = d.Sensor(); err != nil {
		return ch, err
	}
	if ch.standard, err = ch.sensor.Over(d.Standard); err != nil {
		return ch, fmt.Errorf("standard base: %w", err)
	}
	ch.stacks = []stack{{d.Standard, ch.standard}}
	ch.curve = gauge.NewCurve(ch.standard)
	for i := range pieces {
		p := &pieces[i].Piece
		b, err := ch.over(p, &pieces[0].Piece)
		if err == nil {
			b.states, err = ch.statesOf(p)
		}
		if err != nil {
			return ch, fmt.Errorf("piece %s: %w", p.ID, err)
		}
		if len(p.Features) > 0 {
			place := field.Flat(0)
			if ch.surround(&place, p, p.Features[0].X, p.Features[0].At); b.own().Amplitude(place) != b.own().Amplitude(place) {
				return ch, fmt.Errorf("piece %s: the probe %s has no tables for holes and steps; build them with go generate ./sim/probe", p.ID, d.ID)
			}
		}
		ch.bases = append(ch.bases, b)
		ch.serves = append(ch.serves, senses(d.Principle, b.own()))
	}
	return ch, nil
}

// thinUm is the apparent thickness from which on a base counts as thin.
const thinUm = 0.02

// over prepares the probe over a piece as it is and over what it becomes when
// its metal, its under-layers or its thickness are ideal, beside the part.
func (ch *channel) over(p, part *part.Piece) (bases, error) {
	var b bases
	own, err := ch.stack(p.BareBase())
	if err != nil {
		return b, err
	}
	// What is ideal of metal and thickness is so only of pieces that share them
	// with the part (see World.response); nothing else is prepared.
	likeMetal, likeThickness := p.Metal.Field == part.Metal.Field, p.Thickness == part.Thickness
	ownMetal, standard := [2]field.Base{p.BareBase(), p.BareBase()}, [2]field.Base{ch.design.Standard, ch.design.Standard}
	if likeMetal || likeThickness {
		thick, err := ch.stack(field.Thick(p.Metal.Field))
		if err != nil {
			return b, err
		}
		flat := field.Flat(0)
		lost := (thick.Amplitude(flat) - own.Amplitude(flat)) / thick.Amplitude(flat)
		b.thin = math.Abs(ch.curve.ThicknessUm(ch.curve.SignalAtZero()*(1-lost))) > thinUm
		// A base that counts as thick is left as it is.
		if b.thin {
			ownMetal[1], standard[0] = field.Thick(p.Metal.Field), field.Plate(ch.design.Standard[0].Metal, p.Thickness)
		}
	}
	for metal, base := range [2][2]field.Base{ownMetal, standard} {
		for thickness := range base {
			if metal == 1 && !likeMetal || thickness == 1 && !likeThickness {
				continue
			}
			if b.by[metal][1][thickness], err = ch.stack(base[thickness]); err != nil {
				return b, err
			}
			if b.by[metal][0][thickness], err = ch.stack(append(p.LayerBase(), base[thickness]...)); err != nil {
				return b, err
			}
		}
	}
	return b, nil
}

// stack prepares the probe over a stack of metal, once for each.
func (ch *channel) stack(base field.Base) (*field.Over, error) {
	for i := range ch.stacks {
		if slices.Equal(ch.stacks[i].base, base) {
			return ch.stacks[i].over, nil
		}
	}
	over, err := ch.sensor.Over(base)
	if err == nil {
		ch.stacks = append(ch.stacks, stack{base, over})
	}
	return over, err
}

// senses tells whether the metal is what a principle measures on. The
// instrument tells by the phase of its signal on the bare metal: inductance
// rises over magnetic metal at rest, and falls with little loss over a good
// conductor; steel under an eddy-current probe does neither.
func senses(principle probe.Principle, over *field.Over) bool {
	change := over.DeltaL(field.Flat(0))
	if principle == probe.MagneticInduction {
		return real(change) > 0
	}
	return real(change) < 0 && math.Abs(imag(change)) < -0.5*real(change)
}

// offered is a probe on the bench: its channel, and the other principle of a
// dual probe or -1.
type offered struct{ first, second int }

// prepare makes the channels of every probe on the bench.
func (w *World) prepare() error {
	index := map[string]int{}
	add := func(d probe.Design) (int, error) {
		if at, ok := index[d.ID]; ok {
			return at, nil
		}
		ch, err := newChannel(d, w.pieces)
		if err != nil {
			return 0, fmt.Errorf("exercise %s: %w", w.Exercise.ID, err)
		}
		index[d.ID] = len(w.channels)
		w.channels = append(w.channels, ch)
		return index[d.ID], nil
	}
	for _, d := range w.Exercise.Offered() {
		o := offered{second: -1}
		var err error
		if o.first, err = add(d); err != nil {
			return err
		}
		if other, ok := d.Other(); ok {
			if o.second, err = add(other); err != nil {
				return err
			}
		}
		w.probes = append(w.probes, o)
	}
	return nil
}

// sensed is the channel that a probe on the bench uses over a piece: a dual
// probe takes magnetic induction where it senses magnetic metal, eddy current
// elsewhere.
func (w *World) sensed(probe, piece int) int {
	o := w.probes[probe]
	if o.second >= 0 && !w.channels[o.first].serves[piece] {
		return o.second
	}
	return o.first
}

// fitting is the channel that the part is best measured with: that of
// Exercise.Best, or of the first probe on the bench that serves what is asked.
func (w *World) fitting() *channel {
	if i, _ := w.Exercise.Best(); i >= 0 {
		if ch := w.sensed(i, 0); w.suits(ch) {
			return &w.channels[ch]
		}
	}
	for i := range w.probes {
		if ch := w.sensed(i, 0); w.suits(ch) {
			return &w.channels[ch]
		}
	}
	return &w.channels[0]
}

// suits reports whether a channel senses the part's metal and measures what
// the job asks.
func (w *World) suits(channel int) bool {
	ch := &w.channels[channel]
	return ch.serves[0] && w.Exercise.Suits(ch.design.Principle)
}

// channelOf is the channel of a design, the fitting one for an unknown id.
func (w *World) channelOf(design string) *channel {
	for i := range w.channels {
		if w.channels[i].design.ID == design {
			return &w.channels[i]
		}
	}
	return w.fitting()
}

// Suits reports whether the principle used at a contact measures what the job
// asks on the part.
func (w *World) Suits(c *Contact) bool { return w.suits(c.channel) }

// Fitting is the design that the part is best measured with.
func (w *World) Fitting() probe.Design { return w.fitting().design }

// choose takes another probe in hand. What the instrument had learned belongs
// to the probe it was taken with, so its adjustment is gone.
func (b *Bench) choose(id string) {
	s := b.session
	at := -1
	for i, d := range b.record.World.Exercise.Offered() {
		if d.ID == id {
			at = i
		}
	}
	switch {
	case at < 0:
		b.refuse(fmt.Sprintf("there is no probe %q on the bench", id))
	case b.hand.touching:
		b.refuse("lift the probe before you take another")
	case at == s.probe:
		b.refuse("this probe is in hand already")
	default:
		s.hold(at)
		b.tape(step{contact: -1, verb: ChooseProbe, probe: at})
		b.hand.lifted = false
		b.see(Event{Kind: ProbeChosen, Text: b.record.World.Exercise.Offered()[at].Name})
	}
}

// refusal says why the instrument shows no value where it does not sense the
// metal it is made for.
func (ch *channel) refusal() string {
	if ch.design.Principle == probe.MagneticInduction {
		return "the probe senses no magnetic metal here: magnetic induction needs steel or iron below the film"
	}
	return "the probe does not sense a good non-magnetic conductor here: eddy current needs non-ferrous metal below the film"
}
