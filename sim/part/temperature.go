package part

import (
	"math"

	"foilwright/sim/field"
	"foilwright/sim/num"
)

// RoomC is the temperature of the room, to which everything on the bench
// settles and for which the properties in Metals hold.
const RoomC = 20

// airWPerM2K is the heat transfer from one face of a plate to still air,
// convection and radiation together: 5 to 10 W/(m2 K) in handbooks of heat
// transfer (from memory).
const airWPerM2K = 10

// thermal are the properties of a metal that temperature acts through.
type thermal struct {
	perK   float64 // temperature coefficient of resistivity, 1/K at 20 degrees
	muPerK float64 // of the permeability
	heat   float64 // volumetric heat capacity, J/(m3 K)
}

// Handbook values from memory: resistivity of aluminium 0.0039 to 0.0043, of
// copper 0.00393, of iron and plain steel about 0.005, of austenitic stainless
// steel about 0.001 per kelvin; heat capacity times density. The rise of the
// low-field permeability of steel is a training assumption: measured values
// run from nothing to some thousandths per kelvin.
func (m Metal) thermal() thermal {
	switch {
	case m.Field.RelPermeability > 1:
		return thermal{perK: 0.005, muPerK: 0.001, heat: 7850 * 480}
	case m.ID == "copper":
		return thermal{perK: 0.00393, heat: 8940 * 385}
	case m.ID == "stainless-304":
		return thermal{perK: 0.001, heat: 7900 * 500}
	case m.ID == "aluminium-6061":
		return thermal{perK: 0.0039, heat: 2700 * 900}
	}
	return thermal{perK: 0.0043, heat: 2700 * 900}
}

// At returns the metal at a temperature in degrees Celsius. The law is linear
// in resistivity and permeability and good for -40 to 100 degrees.
func (m Metal) At(celsius float64) field.Metal {
	t, over := m.thermal(), celsius-RoomC
	at := m.Field
	at.Conductivity /= 1 + float64(t.perK*over)
	if at.RelPermeability > 1 {
		at.RelPermeability = math.Max(1, float64(at.RelPermeability*(1+float64(t.muPerK*over))))
	}
	return at
}

// Warmth is the share of its first difference from the room that a piece still
// has after a time in seconds: a plate cooling from both faces, warm through
// and through, with the time constant density * heat capacity * thickness / 2h.
// Small Biot number (h * thickness / 2k below 0.01 for any sheet or plate of
// the bench) makes that exact enough.
func (p *Piece) Warmth(seconds float64) float64 {
	return num.Exp(-seconds / p.SettleS())
}

// SettleS is the time constant in seconds with which a piece takes on the
// temperature of the room.
func (p *Piece) SettleS() float64 {
	return p.Metal.thermal().heat * p.Thickness / (2 * airWPerM2K)
}

// OffRoomK is how much warmer than the room the piece is when the attempt begins.
func (p *Piece) OffRoomK() float64 {
	if p.TemperatureC == 0 {
		return 0
	}
	return p.TemperatureC - RoomC
}

// BaseOf returns the metal stack of the piece with its base metal in another
// state.
func (p *Piece) BaseOf(state field.Metal) field.Base {
	b := append(field.Base(nil), p.Base()...)
	for i := range b {
		if b[i].Metal == p.Metal.Field {
			b[i].Metal = state
		}
	}
	return b
}
