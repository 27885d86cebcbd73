package field

import (
	"errors"
	"math"
)

// Sensor is a head prepared for computing.
type Sensor struct {
	head Head
}

// NewSensor prepares a head. It fails for a head that Validate refuses.
func NewSensor(h Head) (*Sensor, error) {
	if err := h.Validate(); err != nil {
		return nil, err
	}
	return nil, errors.New("field: sensors are not computed yet")
}

// Head returns the head the sensor was made for.
func (s *Sensor) Head() Head { return s.head }

// AirInductance returns the inductance in henry with no metal near.
func (s *Sensor) AirInductance() float64 { return math.NaN() }

// Over prepares the sensor for one stack of metal. Callers keep the result as long as the stack stays the same.
func (s *Sensor) Over(b Base) (*Over, error) {
	if err := b.Validate(); err != nil {
		return nil, err
	}
	return nil, errors.New("field: stacks are not computed yet")
}

// Over is a sensor above one stack of metal.
type Over struct{}

// DeltaL returns the change of inductance in henry against no metal.
func (o *Over) DeltaL(p Place) complex128 { return complex(math.NaN(), math.NaN()) }

// Amplitude returns |DeltaL| / AirInductance, the signal of the instrument. It does not allocate.
func (o *Over) Amplitude(p Place) float64 { return math.NaN() }

// GapFor returns the gap in metres at which a square head on the flat stack has the given amplitude. The second result
// is false outside 0 .. 60 mm.
func (o *Over) GapFor(amplitude float64) (float64, bool) { return math.NaN(), false }
