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
	right bool // what the job is to be adjusted on
	// knownUm is the film by the certificate of a coated reference piece; 0: none.
	knownUm float64
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
	TipDirtUm  float64 // dirt on the tip when the attempt begins

	stems    stems
	pieces   []piece         // the part first, then the references
	rests    [][]*probe.Rest // by channel and piece; nil where smooth
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
	for i, spec := range append([]PieceSpec{e.Part}, e.References...) {
		w.pieces = append(w.pieces, piece{Piece: spec.Piece, right: i > 0 && e.Fits(&spec), knownUm: spec.Coating.Known.CertifiedUm})
	}
	if err := w.prepare(); err != nil {
		return nil, err
	}
	w.draw(seed)
	return w, nil
}

// Reseed returns the world of the same exercise with another seed. It shares
// the prepared probe, which is nearly all the work.
func (w *World) Reseed(seed uint64) *World {
	other := &World{Exercise: w.Exercise, channels: w.channels, probes: w.probes}
	other.pieces = append(other.pieces, w.pieces...)
	other.draw(seed)
	return other
}

// stems are those of the random streams of which each contact draws from one of its own.
type stems struct {
	noise, trappedAir   num.Stem
	pieceDust, foilDust []num.Stem // by piece, by foil
}

// draw draws films and foils from the seed.
func (w *World) draw(seed uint64) {
	w.Seed = seed
	w.stems = stems{noise: num.NewStem(seed, "noise"), trappedAir: num.NewStem(seed, "trapped air")}
	for i := range w.pieces {
		w.stems.pieceDust = append(w.stems.pieceDust, num.NewStem(seed, "piece dust", uint64(i)))
	}
	for i := range w.Exercise.Foils {
		w.stems.foilDust = append(w.stems.foilDust, num.NewStem(seed, "foil dust", uint64(i)))
	}
	for i, spec := range append([]PieceSpec{w.Exercise.Part}, w.Exercise.References...) {
		p := &w.pieces[i]
		p.Coating = spec.Coating.Realise(num.NewStream(seed, "coating", uint64(i)))
		if i == 0 {
			w.Part = &p.Piece
			continue
		}
		w.References = append(w.References, &p.Piece)
	}
	w.rests = make([][]*probe.Rest, len(w.channels))
	for i := range w.pieces {
		relief := w.pieces[i].Texture.Realise(num.NewStream(seed, "relief", uint64(i)))
		for k := range w.channels {
			w.rests[k] = append(w.rests[k], w.channels[k].design.RestOn(relief))
		}
	}
	for i, spec := range w.Exercise.Foils {
		w.Foils = append(w.Foils, spec.Realise(num.NewStream(seed, "foil", uint64(i))))
	}
	w.TipDirtUm = w.drawTipDirt()
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

// Matches reports whether a piece is one that the job is to be adjusted on: bare
// and like the part, or certified where the job has no bare metal.
func (w *World) Matches(id string) bool {
	i := w.pieceIndex(id)
	return i >= 0 && w.pieces[i].right
}

// shaping are the influences that response can depend on at any contact; further
// names those that act at some contacts only.
const shaping = Edge | Tilt | Settling | Press | FoilTruth | BaseMetal | Piece | FoilLeft | Layers | Principle | Curvature | Feature | ThinBase | Texture

// bearing leaves out of shaping what cannot make a difference at a contact, so
// that replays need not tell it apart.
func (w *World) bearing(c *Contact) Influence {
	on := shaping
	if c.foil < 0 {
		on &^= FoilLeft
		if !w.certified(c) {
			on &^= FoilTruth
		}
	}
	if c.TiltDeg == 0 {
		on &^= Tilt
	}
	p, asked := &w.pieces[c.piece], &w.pieces[0]
	thin := w.channels[c.channel].bases[c.piece].thin
	if c.Mode == Measuring {
		on &^= Piece
		asked = p
	} else {
		thin = thin || w.channels[c.channel].bases[0].thin
	}
	if len(p.Layers) == 0 && len(asked.Layers) == 0 {
		on &^= Layers | Principle
	}
	if p.Curvature() == [2]float64{} && asked.Curvature() == [2]float64{} {
		on &^= Curvature
	}
	if !thin {
		on &^= ThinBase
	}
	if !p.Texture.Rough() && !asked.Texture.Rough() {
		on &^= Texture
	}
	if !w.featured(c) {
		on &^= Feature
	}
	if math.IsInf(p.EdgeDistance(c.metres()), 1) {
		on &^= Edge
	}
	return on | w.further(c)
}

// signal returns what the probe gives at a contact, as it stands, with the
// influences in on acting and all others ideal.
func (w *World) signal(c *Contact, st *standing, on Influence) float64 {
	return w.disturb(c, st, w.response(c, st, on), on)
}

// response is the signal of a noiseless instrument with a true air reference.
func (w *World) response(c *Contact, st *standing, on Influence) float64 {
	p, asked := &w.pieces[c.piece], &w.pieces[0]
	ch := &w.channels[c.channel]
	layers := w.layersAct(c, on)
	adjusting := c.Mode != Measuring
	body, stack := p, c.piece                          // whose metal, thickness, curvature and texture are felt
	instead := adjusting && !p.right && !on.Has(Piece) // a right piece, in good order
	if instead {
		body, stack = asked, 0
		layers = layers && !w.Exercise.Job.WithLayers
	}
	// A piece that differs from the part differs by the choice of the piece:
	// what is ideal of the part's metal, thickness and curvature is so of pieces
	// that share them.
	over := ch.bases[stack].over(on.Has(BaseMetal) || body.Metal.Field != asked.Metal.Field,
		layers, on.Has(ThinBase) || body.Thickness != asked.Thickness)
	gapUm := 0.0
	if !w.filmless(c, on) {
		gapUm = w.localUm(c, st, on)
		if on.Has(Softness) {
			gapUm -= w.dentUm(c, gapUm)
		}
		if !layers {
			gapUm += w.layersUm(stack)
		}
	}
	laid := c.foil >= 0 && (adjusting || on.Has(FoilLeft))
	if laid {
		gapUm += w.foilUm(c.foil, on)
	}
	// With an allowance the right piece is smooth.
	if rest := w.rest(c, stack, on); rest != nil && !(instead && w.Exercise.Job.AllowanceUm > 0) {
		departureUm := st.departureUm
		if instead {
			departureUm = rest.DepartureUm(c.metres())
		}
		gapUm += rest.RiseOverUm(departureUm, gapUm)
	}
	if laid && on.Has(FoilFault) {
		gapUm += st.foilFaultUm + w.curlsUm(c)
	}
	if on.Has(Dirt) {
		gapUm += c.TipDirtUm + st.foilDustUm
		if !instead { // the right piece is in good order
			gapUm += st.pieceDustUm
		}
	}
	if on.Has(Wear) {
		gapUm -= w.Exercise.Instrument.TipWearUm
	}
	landing := probe.Landing{SpeedMmPerS: c.LandingMmPerS, HeldMs: float64(c.HeldMs), PressN: float64(c.PressMN) * 1e-3}
	if on.Has(Settling) {
		gapUm += landing.SettlingUm()
	}
	if on.Has(Press) {
		gapUm += landing.PressUm()
	}
	at := stood{place: st.place, stance: &st.stance}
	here := body == p && on.Has(surroundings)
	if !here {
		at.place = w.place(c, body, on)
	}
	if !here || !st.stance.Serves(over) {
		var other field.Stance
		other.Stand(over, &at.place)
		at.stance = &other
	}
	at.place.Gap = gapUm * 1e-6
	at.response = at.stance.At(at.place.Gap)
	s := at.amplitude(over)
	if instead {
		return s
	}
	return w.inState(c, &at, over, s, on)
}

// rest is how the tip rests on the texture felt at a contact, on the piece
// given; nil on a smooth surface.
func (w *World) rest(c *Contact, piece int, on Influence) *probe.Rest {
	if !on.Has(Texture) && w.pieces[piece].Texture.Grade == w.pieces[0].Texture.Grade {
		return nil
	}
	return w.rests[c.channel][piece]
}

// away is the signal at the top of the lift before a contact, which the
// instrument took for that of free air; 0 where it never saw metal before.
func (w *World) away(c *Contact) float64 {
	if c.LiftedUm <= 0 {
		return 0
	}
	return w.channels[c.channel].bases[c.liftedOver].own().Square(float64(c.LiftedUm) * 1e-6)
}

// closest is how near to a wall the probe can be taken to stand, metres.
const closest = 1e-5

// nearness is what the field core takes for the distance from a wall.
func nearness(distance float64) float64 {
	if math.IsInf(distance, 1) {
		return 0
	}
	return 1 / max(distance, closest)
}

// noise is the standard normal draw that belongs to a contact.
func (w *World) noise(c *Contact) float64 {
	return w.stems.noise.Stream(uint64(c.Index)).Normal()
}

// disturb adds to a response what the instrument adds.
func (w *World) disturb(c *Contact, st *standing, s float64, on Influence) float64 {
	if on.Has(AirReference) {
		s -= st.away
	}
	if on.Has(Drift) {
		hours := float64(c.CapturedAt) / 3.6e6
		s = float64(s * (1 + float64(w.Exercise.Instrument.DriftPerHour*hours)))
	}
	if on.Has(Temperature) {
		s = float64(s * (1 + float64(instrumentPerK*w.InstrumentOffRoomK(c.CapturedAt))))
	}
	if on.Has(Noise) {
		noise := st.noise
		if c.took > 0 && c.took < c.asked && !on.Has(TooFew) {
			// As many readings as asked would have averaged it down to this.
			noise = float64(noise * math.Sqrt(float64(c.took)/float64(c.asked)))
		}
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

// certified reports whether a contact for an adjustment or a verification was on
// a film that has a certificate.
func (w *World) certified(c *Contact) bool {
	return c.Mode != Measuring && w.pieces[c.piece].knownUm > 0
}

// localUm is the film under a contact with the influences in on acting: its true
// value there, or what its certificate says.
func (w *World) localUm(c *Contact, st *standing, on Influence) float64 {
	if !on.Has(FoilTruth) && w.certified(c) {
		return w.pieces[c.piece].knownUm
	}
	return st.filmUm
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
	switch {
	case w.filmless(c, on):
		t = 0
	case !on.Has(FoilTruth) && w.certified(c):
		t = w.pieces[c.piece].knownUm + w.layersUm(c.piece)
	}
	if c.foil >= 0 && c.Mode != Measuring {
		t += w.foilUm(c.foil, on)
	}
	return t
}
