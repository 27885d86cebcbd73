package field

import (
	"math"

	"foilwright/sim/num"
)

// Over is a sensor above one stack of metal. It does not change, and may be shared.
type Over struct {
	head       Head
	scale      gapScale
	shapeScale gapScale
	air        float64
	size       spline  // log |DeltaL/AirInductance| against the gap coordinate
	angle      spline  // radians
	falls      bool    // size falls everywhere, so that GapFor is defined
	back       inverse // of size
	silent     bool    // nothing to sense: neither magnetic nor conducting
	depth      float64
	eddy       bool
	thickness  float64 // of all layers, metres; +Inf for a half-space
	sheetShare [len(sheetCoordinate)]float64
	sheet      grid // of the edge of a stack of this thickness, if finite, but for the share of the thinnest sheet
	// What the signal lacks against ideal metal and lacks more of near an edge, over the gap; of metal that attracts.
	flowing, crowding spline
	shapes            *Shapes
}

// DeltaL returns the change of inductance in henry against no metal: real part positive over steel at rest, negative
// over a good conductor; the imaginary part is minus the loss resistance divided by the angular frequency. It is NaN
// for a tilt, an edge, a wall or a curved surface when the sensor has no shape tables.
func (o *Over) DeltaL(p Place) complex128 {
	if o.silent {
		return 0
	}
	r := o.response(&p)
	size, angle := o.Under(&r), o.angle.at(r.x)
	return complex(size*o.air*num.Cos(angle), size*o.air*num.Sin(angle))
}

// Amplitude returns |DeltaL| / AirInductance, the signal of the instrument. It falls towards 0 with the gap, is held
// below the least gap (a tip worn half through its wear cap) and is NaN like DeltaL. It does not allocate.
func (o *Over) Amplitude(p Place) float64 {
	if o.silent || p.plain() {
		return o.Square(p.Gap)
	}
	r := o.response(&p)
	return o.Under(&r)
}

// Square is Amplitude(Flat(gap)): of a square head on a wide flat part.
func (o *Over) Square(gap float64) float64 {
	if o.silent {
		return 0
	}
	return num.Exp(o.size.at(o.scale.coordinate(gap)))
}

func (o *Over) response(p *Place) Response {
	var s Stance
	s.Stand(o, p)
	return s.At(p.Gap)
}

// GapFor returns the gap in metres at which a square head on the flat stack has the given amplitude, to a few units in
// the last place of (gap + 0.1 mm): the inverse of Amplitude(Flat(gap)). The second result is false outside 0 .. 60 mm;
// the gap is then the nearest the curve has, from slightly negative (worn tip) to 60 mm. A stack over which the
// amplitude does not fall steadily (some magnetic metals at high frequency) has no inverse: NaN and false.
func (o *Over) GapFor(amplitude float64) (gap float64, ok bool) {
	if o.silent || !o.falls || amplitude != amplitude {
		return math.NaN(), false
	}
	value := num.Log(max(amplitude, 0))
	switch {
	case value >= o.back.first:
		return o.scale.least, false
	case value < o.back.last:
		return FarGap, false
	}
	gap = o.scale.gap(o.back.find(value))
	// A trillionth of a metre of grace, so that rounding does not refuse the signal of the bare metal itself.
	return gap, gap >= -1e-12 && gap <= FarGap
}
