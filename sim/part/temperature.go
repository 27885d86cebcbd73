package part

import (
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

// Handbook values from memory: temperature coefficient of resistivity 0.0043
// per kelvin for pure aluminium, 0.00393 for copper, about 0.005 for plain
// steel, 0.0037 for zinc, 0.0035 for titanium, 0.0015 for brass and some 0.001
// for austenitic stainless steel and nickel aluminium bronze, 0.002 for grey
// cast iron; density times heat capacity. An alloy of aluminium has the slope
// of pure aluminium in ohm metres, 1.15e-10 per kelvin, on top of a higher
// resistivity (Matthiessen's rule). The rise of the low-field permeability of
// steel, 0.001 per kelvin, is a training assumption: measured values run from
// nothing to some thousandths.
var thermals = map[string]thermal{
	"zinc":             {perK: 0.0037, heat: 7140 * 390},
	"copper":           {perK: 0.00393, heat: 8940 * 385},
	"stainless-304":    {perK: 0.001, heat: 7900 * 500},
	"cast-iron":        {perK: 0.002, muPerK: 0.001, heat: 7200 * 460},
	"brass":            {perK: 0.0015, heat: 8530 * 375},
	"bronze-propeller": {perK: 0.001, heat: 7600 * 420},
	"titanium":         {perK: 0.0035, heat: 4510 * 520},
}

const aluminiumSlope = 1.15e-10 // ohm metres for each kelvin

func (m Metal) thermal() thermal {
	if t, ok := thermals[m.ID]; ok {
		return t
	}
	if m.Field.RelPermeability > 1 {
		return thermal{perK: 0.005, muPerK: 0.001, heat: 7850 * 480}
	}
	return thermal{perK: float64(aluminiumSlope * m.Field.Conductivity), heat: 2700 * 900}
}

// At returns the metal at a temperature in degrees Celsius. The law is linear
// in resistivity and permeability and good for -40 to 100 degrees.
func (m Metal) At(celsius float64) field.Metal {
	t, over := m.thermal(), celsius-RoomC
	at := m.Field
	at.Conductivity /= 1 + float64(t.perK*over)
	if at.RelPermeability > 1 {
		at.RelPermeability = max(1, float64(at.RelPermeability*(1+float64(t.muPerK*over))))
	}
	return at
}

// Warmth is the share of its first difference from the room that a piece with
// the time constant SettleS still has after a time in seconds: a plate cooling
// from both faces, warm through and through, with the time constant
// density * heat capacity * thickness / 2h.
// Small Biot number (h * thickness / 2k below 0.01 for any sheet or plate of
// the bench) makes that exact enough.
func Warmth(seconds, settleS float64) float64 {
	return num.Exp(-seconds / settleS)
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
