package bench

import (
	"fmt"
	"math"

	"foilwright/sim/field"
	"foilwright/sim/gauge"
	"foilwright/sim/num"
	"foilwright/sim/part"
	"foilwright/sim/probe"
)

// piece is a piece on the bench with its probe response prepared.
type piece struct {
	part.Piece
	over *field.Over
}

// World is the hidden truth of one attempt: what the seed drew, and the
// response of the probe over every piece. It does not change during an
// attempt, so several replays may share it.
type World struct {
	Exercise *Exercise
	Seed     uint64

	Part       *part.Piece
	References []*part.Piece
	Foils      []part.Foil
	TrueMeanUm float64 // true mean thickness over the area the job asks for

	sensor   *field.Sensor
	standard *field.Over
	curve    gauge.Curve
	pieces   []piece // the part first, then the references
}

// NewWorld draws the hidden truth of an exercise from its seed and prepares
// the probe over every piece.
func NewWorld(e *Exercise, seed uint64) (*World, error) {
	if err := e.Validate(); err != nil {
		return nil, err
	}
	w := &World{Exercise: e}
	var err error
	if w.sensor, err = e.Probe.Sensor(); err != nil {
		return nil, fmt.Errorf("exercise %s: %w", e.ID, err)
	}
	if w.standard, err = w.sensor.Over(e.Probe.Standard); err != nil {
		return nil, fmt.Errorf("exercise %s: standard base: %w", e.ID, err)
	}
	w.curve = gauge.NewCurve(w.standard)
	for _, spec := range append([]PieceSpec{e.Part}, e.References...) {
		p := piece{Piece: spec.Piece}
		if p.over, err = w.over(&p.Piece); err != nil {
			return nil, fmt.Errorf("exercise %s: piece %s: %w", e.ID, p.ID, err)
		}
		w.pieces = append(w.pieces, p)
	}
	w.draw(seed)
	return w, nil
}

// Reseed returns the world of the same exercise with another seed. It shares
// the prepared probe, which is nearly all the work.
func (w *World) Reseed(seed uint64) *World {
	other := &World{Exercise: w.Exercise, sensor: w.sensor, standard: w.standard, curve: w.curve}
	other.pieces = append(other.pieces, w.pieces...)
	other.draw(seed)
	return other
}

// draw draws films and foils from the seed.
func (w *World) draw(seed uint64) {
	w.Seed = seed
	for i, spec := range append([]PieceSpec{w.Exercise.Part}, w.Exercise.References...) {
		p := &w.pieces[i]
		p.Coating = spec.Coating.Realise(num.NewStream(seed, "coating", uint64(i)))
		if i == 0 {
			w.Part = &p.Piece
			continue
		}
		w.References = append(w.References, &p.Piece)
	}
	for i, spec := range w.Exercise.Foils {
		w.Foils = append(w.Foils, spec.Realise(num.NewStream(seed, "foil", uint64(i))))
	}
	w.TrueMeanUm = w.Part.Coating.MeanOverUm(w.Exercise.Job.Area)
}

// over prepares the probe over a piece, sharing the work between pieces of the
// same base.
func (w *World) over(p *part.Piece) (*field.Over, error) {
	for i := range w.pieces {
		if w.pieces[i].SameBase(p) {
			return w.pieces[i].over, nil
		}
	}
	return w.sensor.Over(p.Base())
}

// pieceIndex returns the index of a piece by id, -1 when there is none.
func (w *World) pieceIndex(id string) int {
	for i := range w.pieces {
		if w.pieces[i].ID == id {
			return i
		}
	}
	return -1
}

// foilIndex returns the index of a foil by id, -1 when there is none.
func (w *World) foilIndex(id string) int {
	for i := range w.Foils {
		if w.Foils[i].ID == id {
			return i
		}
	}
	return -1
}

// Piece returns a piece by id, nil when there is none.
func (w *World) Piece(id string) *part.Piece {
	if i := w.pieceIndex(id); i >= 0 {
		return &w.pieces[i].Piece
	}
	return nil
}

// Matches reports whether a piece is an uncoated piece with the part's base.
func (w *World) Matches(id string) bool {
	p := w.Piece(id)
	return p != nil && p.ID != w.Part.ID && !p.Coating.Present() && p.SameBase(w.Part)
}

// shaping are the influences that response depends on.
const shaping = Edge | Tilt | Settling | Press | FoilTruth | BaseMetal | Piece | FoilLeft

// signal returns what the probe gives at a contact with the influences in on
// acting and all others ideal.
func (w *World) signal(c *Contact, on Influence) float64 {
	return w.disturb(c, w.response(c, on), w.away(c), w.noise(c), on)
}

// response is the signal of a noiseless instrument with a true air reference.
func (w *World) response(c *Contact, on Influence) float64 {
	p := &w.pieces[c.piece]
	over := p.over
	isPart := c.piece == 0
	adjusting := c.Mode != Measuring
	// "The right piece" is an uncoated one with the part's base.
	right := !isPart && !p.Coating.Present() && p.SameBase(w.Part)
	if adjusting && !right && !on.Has(Piece) {
		over = w.pieces[0].over
		if !on.Has(BaseMetal) {
			over = w.standard
		}
	} else if !on.Has(BaseMetal) && p.SameBase(w.Part) {
		over = w.standard
	}
	gapUm := 0.0
	if !w.filmless(c, on) {
		gapUm = w.filmUm(c)
	}
	if c.foil >= 0 && (adjusting || on.Has(FoilLeft)) {
		gapUm += w.foilUm(c.foil, on)
	}
	landing := probe.Landing{SpeedMmPerS: c.LandingMmPerS, HeldMs: float64(c.HeldMs), PressN: float64(c.PressMN) * 1e-3}
	if on.Has(Settling) {
		gapUm += landing.SettlingUm()
	}
	if on.Has(Press) {
		gapUm += landing.PressUm()
	}
	place := field.Place{Gap: gapUm * 1e-6, EdgeDistance: field.NoEdge}
	if on.Has(Edge) {
		place.EdgeDistance = p.EdgeDistance(c.metres())
	}
	if on.Has(Tilt) {
		place.Tilt = c.TiltDeg * math.Pi / 180
	}
	return over.Amplitude(place)
}

// away is the signal at the top of the lift before a contact, which the
// instrument took for that of free air; 0 where it never saw metal before.
func (w *World) away(c *Contact) float64 {
	if c.LiftedUm <= 0 {
		return 0
	}
	place := field.Place{Gap: float64(c.LiftedUm) * 1e-6, EdgeDistance: field.NoEdge}
	return w.pieces[c.liftedOver].over.Amplitude(place)
}

// noise is the standard normal draw that belongs to a contact.
func (w *World) noise(c *Contact) float64 {
	return num.NewStream(w.Seed, "noise", uint64(c.Index)).Normal()
}

// disturb adds to a response what the instrument adds.
func (w *World) disturb(c *Contact, s, away, noise float64, on Influence) float64 {
	if on.Has(AirReference) {
		s -= away
	}
	if on.Has(Drift) {
		hours := float64(c.CapturedAt) / 3.6e6
		s = float64(s * (1 + float64(w.Exercise.Instrument.DriftPerHour*hours)))
	}
	if on.Has(Noise) {
		s = float64(s * (1 + float64(w.Exercise.Instrument.NoiseRelative*noise)))
	}
	return s
}

// filmless reports whether the film under a contact counts as absent because
// "the right piece" has none. Where a coated piece was measured for its film,
// without a foil, the film is what was meant.
func (w *World) filmless(c *Contact, on Influence) bool {
	return c.Mode != Measuring && !on.Has(Piece) && (c.foil >= 0 || c.Mode == Zeroing)
}

// filmUm is the true local film under a contact.
func (w *World) filmUm(c *Contact) float64 { return w.pieces[c.piece].Coating.LocalUm(c.metres()) }

// foilUm is the thickness of a foil with the influences in on acting: its true
// value, or what its certificate says.
func (w *World) foilUm(foil int, on Influence) float64 {
	if on.Has(FoilTruth) {
		return w.Foils[foil].TrueUm
	}
	return w.Foils[foil].CertifiedUm
}

// trueUm is what a perfect reading at the contact would be: the local film on
// a coated piece, plus the foil laid on it on purpose.
func (w *World) trueUm(c *Contact, on Influence) float64 {
	return w.trueOver(c, w.filmUm(c), on)
}

// trueOver is trueUm where the film is known already.
func (w *World) trueOver(c *Contact, filmUm float64, on Influence) float64 {
	t := filmUm
	if w.filmless(c, on) {
		t = 0
	}
	if c.foil >= 0 && c.Mode != Measuring {
		t += w.foilUm(c.foil, on)
	}
	return t
}
