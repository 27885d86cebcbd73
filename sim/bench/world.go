package bench

import (
	"math"

	"foilwright/sim/field"
	"foilwright/sim/num"
	"foilwright/sim/part"
	"foilwright/sim/probe"
)

// piece is a piece on the bench.
type piece struct {
	part.Piece
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

	pieces   []piece   // the part first, then the references
	shaping  Influence // those of shaping that can make a difference here
	channels []channel
	probes   []offered // by probe on the bench
}

// NewWorld draws the hidden truth of an exercise from its seed and prepares
// the probe over every piece.
func NewWorld(e *Exercise, seed uint64) (*World, error) {
	if err := e.Validate(); err != nil {
		return nil, err
	}
	w := &World{Exercise: e}
	for _, spec := range append([]PieceSpec{e.Part}, e.References...) {
		w.pieces = append(w.pieces, piece{Piece: spec.Piece})
	}
	if err := w.prepare(); err != nil {
		return nil, err
	}
	w.shaping = w.shapes()
	w.draw(seed)
	return w, nil
}

// Reseed returns the world of the same exercise with another seed. It shares
// the prepared probe, which is nearly all the work.
func (w *World) Reseed(seed uint64) *World {
	other := &World{Exercise: w.Exercise, channels: w.channels, probes: w.probes, shaping: w.shaping}
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
	w.TrueMeanUm = w.Part.Coating.MeanOverUm(w.Exercise.Job.Area) + w.layersUm(0)
}

// layersUm is what the under-layers of a piece add to the coating asked for.
func (w *World) layersUm(piece int) float64 {
	if !w.Exercise.Job.WithLayers {
		return 0
	}
	return w.pieces[piece].LayersUm()
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
	return p != nil && p.ID != w.Part.ID && !p.Coating.Present() && w.alike(p)
}

// alike reports whether a bare piece is what the part is below the coating
// asked for, so that an adjustment on one holds for the other.
func (w *World) alike(p *part.Piece) bool {
	if w.Exercise.Job.WithLayers {
		return len(p.Layers) == 0 && p.Metal.Field == w.Part.Metal.Field && p.Thickness == w.Part.Thickness
	}
	return p.SameBase(w.Part)
}

// shaping are the influences that response can depend on.
const shaping = Edge | Tilt | Settling | Press | FoilTruth | BaseMetal | Piece | FoilLeft | Layers | Principle

// shapes leaves out of shaping what nothing on the bench brings in, so that
// replays need not tell it apart.
func (w *World) shapes() Influence {
	on := shaping &^ (Layers | Principle)
	for i := range w.pieces {
		if len(w.pieces[i].Layers) > 0 {
			on |= Layers | Principle
		}
	}
	return on
}

// signal returns what the probe gives at a contact with the influences in on
// acting and all others ideal.
func (w *World) signal(c *Contact, on Influence) float64 {
	return w.disturb(c, w.response(c, on), w.away(c), w.noise(c), on)
}

// response is the signal of a noiseless instrument with a true air reference.
func (w *World) response(c *Contact, on Influence) float64 {
	p := &w.pieces[c.piece]
	ch := &w.channels[c.channel]
	metal, stack := on.Has(BaseMetal), c.piece
	layers := w.layersAct(c, on)
	isPart := c.piece == 0
	adjusting := c.Mode != Measuring
	// "The right piece" is an uncoated one with the part's base.
	right := !isPart && !p.Coating.Present() && w.alike(&p.Piece)
	if adjusting && !right && !on.Has(Piece) {
		stack = 0
		layers = layers && !w.Exercise.Job.WithLayers
	} else if !isPart && !w.alike(&p.Piece) {
		metal = true
	}
	over := ch.bases[stack].over(metal, layers)
	gapUm := 0.0
	if !w.filmless(c, on) {
		gapUm = w.pieces[c.piece].Coating.LocalUm(c.metres())
		if !layers {
			gapUm += w.layersUm(stack)
		}
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
	return w.channels[c.channel].bases[c.liftedOver].own.Amplitude(place)
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

// filmUm is the true local thickness under a contact of what the job asks for.
func (w *World) filmUm(c *Contact) float64 {
	return w.pieces[c.piece].Coating.LocalUm(c.metres()) + w.layersUm(c.piece)
}

// layersAct reports whether under-layers take part in a signal. The wrong
// principle lets them in as well, so that they need both influences there.
func (w *World) layersAct(c *Contact, on Influence) bool {
	return on.Has(Layers) && (on.Has(Principle) || w.suits(c.channel))
}

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
