package hand

import (
	"math"

	"foilwright/sim/num"
)

// tremor is the small unwanted motion of a hand: for each axis a slow wander
// and a quick shake, both first-order noise, scaled by how steady the hand is.
type tremor struct {
	stream *num.Stream
	slow   [4]float64
	quick  [4]float64
	scale  float64 // follows the wanted scale without jumps
}

// The axes of a tremor.
const (
	alongX = iota
	alongY
	tiltX
	tiltY
)

const (
	wanderMs = 700.0
	shakeMs  = 60.0
	shake    = 0.3 // of the wander's size
	// Standard deviations of a hand that moves about freely.
	tremorMm  = 0.18
	tremorDeg = 0.8
	// Most that a tremor does, in standard deviations.
	tremorMost = 3.0

	looseScale  = 1.0
	stillScale  = 0.6  // after the hand has been still for stillMs
	pressScale  = 0.55 // the sleeve of a pressed probe stands by itself
	steadyScale = 0.3  // two-point support
	stillMs     = 400
	settleMs    = 150.0
)

func (t *tremor) step(wanted float64) {
	t.scale += (wanted - t.scale) * stepMs / settleMs
	for i := range t.slow {
		t.slow[i] = wander(t.slow[i], wanderMs, t.stream.Normal())
		t.quick[i] = wander(t.quick[i], shakeMs, t.stream.Normal())
	}
}

// wander takes one step of first-order noise with standard deviation 1.
func wander(x, memoryMs, normal float64) float64 {
	keep := 1 - stepMs/memoryMs
	return x*keep + normal*math.Sqrt(1-keep*keep)
}

// of returns the tremor along an axis, in mm or degrees.
func (t *tremor) of(axis int) float64 {
	size := tremorMm
	if axis >= tiltX {
		size = tremorDeg
	}
	return size * t.scale * max(-tremorMost, min(tremorMost, t.slow[axis]+shake*t.quick[axis]))
}
