package bench

import (
	"math"

	"foilwright/sim/field"
)

// standing is what the place of a contact makes of its signal. It is worked out
// when the probe lands and holds as long as the probe stands still, however long,
// however hard it is pressed and whatever acts; film, dust, damage and texture
// under the tip are found once, and so is what surrounds it.
type standing struct {
	known    bool
	index    int // of the contact it was worked out for, and how that stood
	xUm, yUm int64
	tiltDeg  float64

	filmUm      float64 // local film
	pieceDustUm float64 // grains under the tip, where there is dust
	foilDustUm  float64
	foilFaultUm float64      // faults of foils but for their curl
	departureUm float64      // of the rise on the texture of the contact's own piece
	place       field.Place  // with all its surroundings acting; its gap is not used
	stance      field.Stance // there, over the piece as it is
	away, noise float64
}

// stand works out the standing of a contact. What may still change before the
// reading comes (force, time, mode) must not go into it.
func (w *World) stand(c *Contact, st *standing) {
	st.known = true
	st.index, st.xUm, st.yUm, st.tiltDeg = c.Index, c.XUm, c.YUm, c.TiltDeg
	p := &w.pieces[c.piece]
	x, y := c.metres()
	st.filmUm = p.Coating.LocalUm(x, y)
	st.pieceDustUm, st.foilDustUm, st.departureUm = 0, 0, 0
	if c.PieceDusty {
		st.pieceDustUm = float64(p.DustUm * c.grain(w.stems.pieceDust[c.piece]))
	}
	if c.FoilDusty {
		st.foilDustUm = float64(w.Foils[c.foil].DustUm * c.grain(w.stems.foilDust[c.foil]))
	}
	st.foilFaultUm = w.foilFaultUm(c)
	if rest := w.rests[c.channel][c.piece]; rest != nil {
		st.departureUm = rest.DepartureUm(x, y)
	}
	st.place = w.place(c, p, surroundings)
	over := w.channels[c.channel].bases[c.piece].over(true, w.layersAct(c, All), true)
	st.stance.Stand(over, &st.place)
	st.away, st.noise = w.away(c), w.noise(c)
}

// holds reports whether a contact stands as it did.
func (st *standing) holds(c *Contact) bool {
	return st.known && st.index == c.Index && st.xUm == c.XUm && st.yUm == c.YUm && st.tiltDeg == c.TiltDeg
}

// surroundings are the influences that the surroundings of the tip have.
const surroundings = Edge | Curvature | Feature | Tilt

// place is what of a contact's surroundings is felt with the influences in on
// acting; body is whose curvature is felt.
func (w *World) place(c *Contact, body *piece, on Influence) field.Place {
	p, ch := &w.pieces[c.piece], &w.channels[c.channel]
	place := field.Place{EdgeDistance: field.NoEdge}
	x, y := c.metres()
	if on.Has(Edge) {
		SetEdges(&place, ch.design.Head.Coil.OuterRadius, &p.Piece, x, y)
	}
	if bent := body.Curvature(); on.Has(Curvature) || bent != w.pieces[0].Curvature() {
		place.Curvature = bent
	}
	if on.Has(Feature) {
		ch.surround(&place, &p.Piece, x, y)
	}
	if on.Has(Tilt) {
		place.Tilt = c.TiltDeg * math.Pi / 180
	}
	return place
}

// stood is a probe standing at a gap over one of several stacks.
type stood struct {
	place    field.Place
	stance   *field.Stance
	response field.Response
}

// amplitude is the signal over a stack.
func (s *stood) amplitude(over *field.Over) float64 {
	if s.stance.Serves(over) {
		return over.Under(&s.response)
	}
	return over.Amplitude(s.place)
}
