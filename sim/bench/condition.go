package bench

import (
	"fmt"
	"math"
	"strings"

	"foilwright/sim/field"
	"foilwright/sim/num"
	"foilwright/sim/part"
)

// Condition is the state of the things that took part in a contact, as far as
// looking after them changes it.
type Condition struct {
	TipDirtUm             float64 // dirt on the tip
	Below                 string  // foil under the foil: two were stacked
	Smoothed              bool    // the foil was smoothed down
	PieceDusty, FoilDusty bool
	Magnetised            bool
	LeftUm                float64 // dent that earlier contacts left in the film here

	below int // index+1 of the foil under the foil; 0: none
}

// things is what actions change about tip, pieces and foils.
type things struct {
	tipDirtUm              float64
	smooth                 bool   // the foil on the piece lies flat
	pieceDusty, magnetised []bool // by piece
	foilDusty              []bool // by foil

	// What the trainee has seen, for drawing it.
	tip    TipSeen
	foils  []FoilSeen
	pieces []PieceSeen
}

// PieceSeen is what looking a piece over showed: the eye, a steel pin and the
// contact thermometer.
type PieceSeen struct {
	Looked, Dusty, Magnetic bool
	PieceC, InstrumentC     int64 // whole degrees Celsius
}

// TipSeen is what the last look at the tip showed.
type TipSeen struct{ Dirty, Worn bool }

// FoilSeen is what a look at a foil showed.
type FoilSeen struct {
	Looked, Dusty bool
	Condition     part.FoilCondition
	Curled        bool
	// Where the crease runs: its distance from the middle along its normal, m.
	OffsetM, Cos, Sin float64
}

const (
	// leastDirtUm is the dirt below which a tip counts as clean.
	leastDirtUm = 1.0
	// instrumentPerK is the relative change of the instrument's signal for each
	// kelvin, and instrumentSettleS the time constant with which it takes on the
	// temperature of the room: training assumptions (common practice, no source).
	instrumentPerK    = 5e-4
	instrumentSettleS = 900.0
	// trappedUm is the most air between two foils laid on each other, a training
	// assumption.
	trappedUm = 3.0
	// dustCellM is the side of the patch on which the tip meets the same grain.
	dustCellM = 0.5e-3
	// sameDentM is how near an earlier contact must be to have left its dent here.
	sameDentM = 1e-3
)

func newThings(w *World) things {
	t := things{tipDirtUm: w.TipDirtUm, foils: make([]FoilSeen, len(w.Foils)), pieces: make([]PieceSeen, len(w.pieces))}
	for i := range w.pieces {
		t.pieceDusty = append(t.pieceDusty, w.pieces[i].DustUm > 0)
		t.magnetised = append(t.magnetised, w.pieces[i].magnetic())
	}
	for i := range w.Foils {
		t.foilDusty = append(t.foilDusty, w.Foils[i].DustUm > 0)
	}
	return t
}

// drawTipDirt draws how dirty the tip is.
func (w *World) drawTipDirt() float64 {
	r := w.Exercise.Instrument.TipDirtUm
	um := r.Low + float64((r.High-r.Low)*num.NewStream(w.Seed, "tip dirt").Float64())
	if um < leastDirtUm {
		return 0
	}
	return um
}

// condition is the state of things at a touch-down.
func (b *Bench) condition(c *Contact) Condition {
	t, w := &b.things, b.record.World
	now := Condition{
		TipDirtUm: t.tipDirtUm, Magnetised: t.magnetised[b.placed],
		PieceDusty: t.pieceDusty[b.placed], LeftUm: b.leftUm(c),
	}
	if b.foil >= 0 {
		now.Smoothed, now.FoilDusty = t.smooth, t.foilDusty[b.foil]
	}
	if b.below >= 0 {
		now.below, now.Below = b.below+1, w.Foils[b.below].ID
	}
	return now
}

// leftUm is the dent that earlier contacts left where a contact begins.
func (b *Bench) leftUm(c *Contact) float64 {
	film := &b.record.World.pieces[c.piece].Coating
	if film.SoftUmPerN <= 0 || c.foil >= 0 {
		return 0
	}
	most := 0.0
	for i := range b.record.Contacts {
		e := &b.record.Contacts[i]
		if e.piece != c.piece || e.foil >= 0 || num.Hypot(float64(e.XUm-c.XUm), float64(e.YUm-c.YUm)) > sameDentM*1e6 {
			continue
		}
		dent := b.record.World.dentUm(e, b.record.World.filmUm(e))
		most = max(most, film.LeftUm(dent, float64(c.TouchedAt-e.CapturedAt)/1000))
	}
	return most
}

// care carries out what looks after tip, piece and foils, and tells what it
// showed.
func (b *Bench) care(a Action) {
	t, w := &b.things, b.record.World
	foil := -1
	switch a.Do {
	case LookAtPiece, WipePiece, Demagnetise, SmoothFoil:
		if b.placed < 0 {
			b.refuse("place the piece first")
			return
		}
	case LookAtFoil, WipeFoil:
		if foil = w.foilIndex(a.Item); foil < 0 {
			b.refuse(fmt.Sprintf("there is no foil %q on the bench", a.Item))
			return
		}
	}
	switch {
	case b.hand.touching:
		b.refuse("lift the probe first")
		return
	case a.Do == Demagnetise && !w.Exercise.Demagnetiser:
		b.refuse("there is no demagnetiser on the bench")
		return
	case a.Do == SmoothFoil && b.foil < 0:
		b.refuse("lay a foil on the piece first")
		return
	}
	item := a.Item
	if a.Do == LookAtPiece || a.Do == WipePiece || a.Do == Demagnetise {
		item = w.pieces[b.placed].ID
	}
	b.look(a.Do, item)
	switch a.Do {
	case LookAtTip:
		t.tip = TipSeen{Dirty: t.tipDirtUm > 0, Worn: w.Exercise.Instrument.TipWearUm >= leastDirtUm}
		b.notice(t.tip.words())
	case WipeTip:
		b.notice(wiped(t.tipDirtUm > 0))
		t.tipDirtUm, t.tip.Dirty = 0, false
	case LookAtPiece:
		t.pieces[b.placed] = b.lookOver(a.At)
		b.notice(t.pieces[b.placed].words())
	case WipePiece:
		b.notice(wiped(t.pieceDusty[b.placed]))
		t.pieceDusty[b.placed], t.pieces[b.placed].Dusty = false, false
	case Demagnetise:
		t.magnetised[b.placed], t.pieces[b.placed].Magnetic = false, false
		b.notice("moved over the whole piece and drawn away slowly: a steel pin no longer clings")
	case LookAtFoil:
		t.foils[foil] = seenFoil(&w.Foils[foil], t.foilDusty[foil])
		b.notice(t.foils[foil].words())
	case WipeFoil:
		b.notice(wiped(t.foilDusty[foil]))
		t.foilDusty[foil], t.foils[foil].Dusty = false, false
	case SmoothFoil:
		t.smooth = true
	}
}

func (b *Bench) notice(text string) { b.see(Event{Kind: Noticed, Text: text}) }

func wiped(dirty bool) string {
	if dirty {
		return "wiped: the cloth came away dirty"
	}
	return "wiped: the cloth stayed clean"
}

func (s TipSeen) words() string {
	switch {
	case s.Dirty && s.Worn:
		return "dirt clings to the tip, and a flat is worn on it"
	case s.Dirty:
		return "dirt clings to the tip"
	case s.Worn:
		return "clean, but a flat is worn on the tip"
	}
	return "round and bright, no nick, no dirt"
}

func (s FoilSeen) words() string {
	var list []string
	switch s.Condition {
	case part.FoilCreased:
		list = append(list, "a crease runs across it")
	case part.FoilBurred:
		list = append(list, "a burr stands up along one edge")
	case part.FoilWorn:
		list = append(list, "worn dull in the middle, where probes have stood")
	}
	if s.Curled {
		list = append(list, "it curls and does not lie flat by itself")
	}
	if s.Dusty {
		list = append(list, "dust lies on it")
	}
	if len(list) == 0 {
		return "flat and clean, no crease, no burr, not worn"
	}
	return strings.Join(list, "; ")
}

// lookOver is what looking the placed piece over shows now.
func (b *Bench) lookOver(at int64) PieceSeen {
	w, t := b.record.World, &b.things
	return PieceSeen{
		Looked: true, Dusty: t.pieceDusty[b.placed], Magnetic: t.magnetised[b.placed],
		PieceC:      degrees(w.PieceOffRoomK(w.pieces[b.placed].ID, at)),
		InstrumentC: degrees(w.InstrumentOffRoomK(at)),
	}
}

// degrees is a difference from the room as a thermometer shows it.
func degrees(offK float64) int64 { return int64(math.Floor(offK+0.5)) + part.RoomC }

func (s PieceSeen) words() string {
	text := "clean"
	if s.Dusty {
		text = "dust lies on it"
	}
	if s.Magnetic {
		text += "; a steel pin clings to it"
	}
	return fmt.Sprintf("%s; it is at %d °C, the instrument at %d °C, the room at %d °C", text, s.PieceC, s.InstrumentC, part.RoomC)
}

// PieceOffRoomK is how much warmer than the room a piece is at a time of the
// attempt.
func (w *World) PieceOffRoomK(id string, atMs int64) float64 {
	p := w.Piece(id)
	if p == nil {
		return 0
	}
	return float64(p.OffRoomK() * part.Warmth(float64(atMs)/1000, p.SettleS()))
}

// FoilDamageUm is what crease, burr or wear of the foil brought to a contact, um.
func (w *World) FoilDamageUm(c *Contact) float64 {
	if c.foil < 0 {
		return 0
	}
	x, y := w.onFoil(c)
	return w.Foils[c.foil].DamageUm(x, y)
}

// CurlGapUm is the air under the foil of a contact that was not smoothed down.
func (w *World) CurlGapUm(c *Contact) float64 {
	if c.foil < 0 || c.Smoothed {
		return 0
	}
	return w.Foils[c.foil].CurlGapUm(float64(c.PressMN) * 1e-3)
}

// onFoil is where a contact stood, metres from the middle of the foil.
func (w *World) onFoil(c *Contact) (x, y float64) {
	p := &w.pieces[c.piece]
	x, y = c.metres()
	return x - p.Width/2, y - p.Height/2
}

// seenFoil is what a look at a foil shows.
func seenFoil(f *part.Foil, dusty bool) FoilSeen {
	return FoilSeen{
		Looked: true, Dusty: dusty, Condition: f.Condition, Curled: f.CurlUm > 0,
		OffsetM: f.Fault.OffsetM, Cos: f.Fault.Cos, Sin: f.Fault.Sin,
	}
}

// further are the influences besides shaping that response depends on at a
// contact.
func (w *World) further(c *Contact) Influence {
	var on Influence
	if c.TipDirtUm > 0 || c.PieceDusty || c.FoilDusty {
		on |= Dirt
	}
	if w.Exercise.Instrument.TipWearUm > 0 {
		on |= Wear
	}
	if c.foil >= 0 {
		if f := &w.Foils[c.foil]; f.Damaged() || f.CurlUm > 0 || f.ActualUm > 0 || c.below > 0 {
			on |= FoilFault
		}
	}
	p := &w.pieces[c.piece]
	if p.Coating.SoftUmPerN > 0 {
		on |= Softness
	}
	if p.TemperatureC != 0 {
		on |= Temperature
	}
	if c.Magnetised {
		on |= Remanence
	}
	return on
}

// grain is the size of the grain under the tip as a share of the coarsest,
// evenly distributed, the same whenever the tip comes to the same place. Dust is
// the stem of a piece's or a foil's grains.
func (c *Contact) grain(dust num.Stem) float64 {
	x, y := c.metres()
	return dust.Stream(cell(x), cell(y)).Float64()
}

func cell(metres float64) uint64 { return uint64(int64(metres/dustCellM) + 1<<40) }

// foilFaultUm is what the faults of the foils at a contact add to the gap, but
// for their curl.
func (w *World) foilFaultUm(c *Contact) float64 {
	if c.foil < 0 {
		return 0
	}
	x, y := w.onFoil(c)
	um := w.Foils[c.foil].DamageUm(x, y) + w.Foils[c.foil].WrongUm()
	if c.below > 0 {
		lower := &w.Foils[c.below-1]
		um += lower.TrueUm + lower.DamageUm(x, y) + lower.WrongUm()
		um += float64(trappedUm * w.stems.trappedAir.Stream(uint64(c.Index)).Float64())
	}
	return um
}

// curlsUm is the air under foils that were not smoothed down.
func (w *World) curlsUm(c *Contact) float64 {
	um := w.CurlGapUm(c)
	if c.below > 0 && !c.Smoothed {
		um += w.Foils[c.below-1].CurlGapUm(float64(c.PressMN) * 1e-3)
	}
	return um
}

// dentUm is how far the tip has sunk into the film of a contact, its own dent
// or what earlier ones left, whichever is deeper. A foil spreads the force.
func (w *World) dentUm(c *Contact, filmUm float64) float64 {
	if c.foil >= 0 {
		return 0
	}
	own := w.pieces[c.piece].Coating.DentUm(float64(c.PressMN)*1e-3, float64(c.HeldMs)/1000, filmUm)
	return max(own, c.LeftUm)
}

// InstrumentOffRoomK is how much warmer than the room the instrument is at a time.
func (w *World) InstrumentOffRoomK(atMs int64) float64 {
	c := w.Exercise.Instrument.TemperatureC
	if c == 0 {
		return 0
	}
	return float64((c - part.RoomC) * num.Exp(-float64(atMs)/1000/instrumentSettleS))
}

// states are the responses of the probe over a piece in other states than at
// room temperature and demagnetised; nil where the piece is never in that state.
type states struct {
	magnetic *field.Over
	settleS  float64 // time constant with which the piece takes on the room's temperature
	// As far from room temperature as when the attempt begins and half as far,
	// demagnetised and not.
	warm [2]warmth
}

type warmth struct{ half, whole *field.Over }

// statesOf prepares the probe over the states a piece may be in.
func (ch *channel) statesOf(p *part.Piece) (states, error) {
	var s states
	var err error
	prepare := func(state field.Metal) (o *field.Over) {
		if err == nil {
			o, err = ch.sensor.Over(p.BaseOf(state))
		}
		return o
	}
	magnetic := (&piece{Piece: *p}).magnetic()
	if magnetic {
		s.magnetic = prepare(part.Magnetised(p.Metal.Field, p.RemanenceT))
	}
	if p.TemperatureC != 0 {
		half, whole := p.Metal.At(part.RoomC+p.OffRoomK()/2), p.Metal.At(p.TemperatureC)
		s.settleS = p.SettleS()
		s.warm[0] = warmth{prepare(half), prepare(whole)}
		if magnetic {
			s.warm[1] = warmth{prepare(part.Magnetised(half, p.RemanenceT)), prepare(part.Magnetised(whole, p.RemanenceT))}
		}
	}
	return s, err
}

// magnetic reports whether the piece keeps a field.
func (p *piece) magnetic() bool { return p.RemanenceT != 0 && p.Metal.Field.RelPermeability > 1 }

// inState is what temperature and residual magnetism make of a signal s that an
// over gives where the probe stands: they change it as they change that over the
// piece's own metal. Between room temperature and the first one the signal is
// taken as a parabola through three temperatures (tested).
func (w *World) inState(c *Contact, at *stood, given *field.Over, s float64, on Influence) float64 {
	b := &w.channels[c.channel].bases[c.piece]
	over, warm := b.own(), b.states.warm[0]
	if c.Magnetised && on.Has(Remanence) {
		over, warm = b.states.magnetic, b.states.warm[1]
	}
	heated := warm.whole != nil && on.Has(Temperature)
	if over == b.own() && !heated {
		return s
	}
	own := s
	if given != b.own() {
		own = at.amplitude(b.own())
	}
	there := own
	if over != b.own() {
		there = at.amplitude(over)
	}
	if heated {
		u := part.Warmth(float64(c.CapturedAt)/1000, b.states.settleS)
		half, whole := at.amplitude(warm.half)-there, at.amplitude(warm.whole)-there
		there += float64(u*(float64(4*half)-whole)) + float64(u*u*(float64(2*whole)-float64(4*half)))
	}
	return s * (there / own)
}
