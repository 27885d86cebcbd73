package field

import (
	"errors"
	"math"

	"foilwright/sim/num"
)

// Sensor is a head prepared for computing. It does not change after NewSensor.
type Sensor struct {
	head     Head
	spectrum *spectrum
	air      float64
	scale    gapScale
	shapes   *Shapes
}

// Nodes of the curve of what a sheet lacks, over the shape tables' gaps.
const (
	lackNodes  = 13
	lackPerRow = float64(curveCells) / (lackNodes - 1)
)

// NewSensor prepares a head for flat metal; add its shape tables with [Sensor.WithShapes] before asking for edges or
// tilt. It fails for a head that Validate refuses. About 10 ms.
func NewSensor(h Head) (*Sensor, error) {
	if err := h.Validate(); err != nil {
		return nil, err
	}
	s := &Sensor{head: h, spectrum: newSpectrum(h), air: h.Coil.airInductance(), scale: newGapScale(h)}
	if s.spectrum.core != nil {
		s.air += s.spectrum.core.inductance()
	}
	return s, nil
}

// Head returns the head the sensor was made for.
func (s *Sensor) Head() Head { return s.head }

// AirInductance returns the inductance in henry with no metal near.
func (s *Sensor) AirInductance() float64 { return s.air }

// Flat returns the change of inductance in henry over a wide flat stack at one gap in metres, straight from the
// spectral sum: the computation from which [Sensor.Over] builds its curve. About 0.1 ms for a cored head.
func (s *Sensor) Flat(b Base, gap float64) (complex128, error) {
	if err := b.Validate(); err != nil {
		return 0, err
	}
	if !(gap >= s.scale.least) {
		return 0, errors.New("field: gap below the head's least gap; a tip cannot be worn through its wear cap")
	}
	return s.spectrum.over(s.spectrum.reflections(b), gap, nil, newSolver()), nil
}

// Over prepares the sensor for one stack of metal. Callers keep the result as long as the stack stays the same.
func (s *Sensor) Over(b Base) (*Over, error) {
	if err := b.Validate(); err != nil {
		return nil, err
	}
	o := &Over{head: s.head, scale: s.scale, shapeScale: newShapeScale(s.head), shapes: s.shapes}
	o.depth, o.eddy = s.depth(b)
	reflections := s.spectrum.reflections(b)
	work := newSolver()
	size, angle := make([]float64, curveCells+1), make([]float64, curveCells+1)
	for i := range size {
		response := num.Scale(1/s.air, s.spectrum.over(reflections, s.scale.gap(float64(i)), nil, work))
		if response == 0 {
			return &Over{silent: true}, nil
		}
		size[i] = num.Log(num.Abs(response))
		angle[i] = num.Atan2(imag(response), real(response))
		if i > 0 {
			// Keep the angle continuous.
			angle[i] -= float64(2 * math.Pi * math.Floor((angle[i]-angle[i-1])/(2*math.Pi)+0.5))
		}
	}
	o.air, o.size, o.angle = s.air, newSpline(size), newSpline(angle)
	if o.falls = o.size.falls(); o.falls {
		o.back = newInverse(o.size)
	}
	o.thickness = b.thickness()
	o.sheetShare = sheetShares(o.thickness / s.head.Coil.OuterRadius)
	if s.shapes != nil && !math.IsInf(o.thickness, 1) {
		kind := 0
		if o.eddy {
			kind = int(Repelling)
		}
		// Lagrange's polynomial through the thicknesses of sheetCoordinate; the last is thick, where the quotient is 1.
		o.sheet = mixed(o.sheetShare[1:1+len(sheetThickness)], func(i int) *grid { return &s.shapes.grids[sheetBlock+2*i+kind] })
	}
	if !o.eddy {
		o.flowing, o.crowding = s.lack(b, reflections, work)
	}
	return o, nil
}

// What thick iron's own lack has at an edge more than far from it, against what a sheet's has: the flux that flows away to one
// side only, and the flux that crowds into the corner, for each unit of the signal that the ideal edge takes away. Own rule;
// the two numbers were set by finite elements with an air core (testdata/fem, sheets of 2 to 6 mm), those with a ferrite core
// and the thinner sheets check them.
const (
	thickShare  = 0.35
	cornerShare = 4
)

// lack returns what a stack lacks of the signal it would give if its last layer were ideal thick metal, as fractions over the
// gap: flowing, what of it grows near an edge as a thin sheet's does, and crowding, what grows as the edge takes signal away.
// What thick iron lacks at rest grows less than what a sheet lacks. What the skin depth adds to that hardly grows: flux that
// keeps to the surface goes round the corner, and what an edge adds is then, in absolute terms, what it adds at rest, within
// 40 % (finite elements of a block with a skin of 0.5 mm; README.md has bars at 300 Hz). All becomes a sheet's as the stack grows
// thinner than the winding is wide.
func (s *Sensor) lack(b Base, reflections []complex128, work *solver) (flowing, crowding spline) {
	deep := append(Base(nil), b...)
	last := &deep[len(deep)-1]
	last.Thickness = math.Inf(1)
	thick := s.spectrum.reflections(deep)
	last.Metal.Conductivity = 0
	atRest := s.spectrum.reflections(deep)
	last.Metal.RelPermeability = 1e6
	ideal := s.spectrum.reflections(deep)
	thin := sheetness(b.thickness() / s.head.Coil.OuterRadius)
	flows, crowds := make([]float64, lackNodes), make([]float64, lackNodes)
	for i := range flows {
		gap := newShapeScale(s.head).gap(float64(i) * lackPerRow)
		over := func(reflections []complex128) float64 { return num.Abs(s.spectrum.over(reflections, gap, nil, work)) }
		full, rest, most := over(thick), over(atRest), over(ideal)
		flows[i] = (full - over(reflections) + float64(thin*(most-full)) + float64(thickShare*(1-thin)*(most-rest))) / most
		crowds[i] = cornerShare * (most - rest) / most
	}
	return newSpline(flows), newSpline(crowds)
}

// depth returns how far below its surface the stack seems to lie to an eddy-current head: half the skin depth of a
// thick non-magnetic conductor. The second result tells whether the stack repels the field, as eddy currents do; for
// one that attracts it the depth is zero.
//
// From |Gamma| = e^(-2 a depth) at the head's own spatial frequency a.
func (s *Sensor) depth(b Base) (metres float64, eddy bool) {
	a := 2 / (s.head.Coil.InnerRadius + s.head.Coil.OuterRadius)
	gamma := b.reflection(s.head.Frequency, a)
	if real(gamma) >= 0 {
		return 0, false
	}
	return -num.Log(num.Abs(gamma)) / (2 * a), true
}
