package bench

import (
	"fmt"
	"math"

	"foilwright/sim/probe"
)

// magnetic tells magnetic metals from others by their permeability.
func (s *PieceSpec) magnetic() bool { return s.Piece.Metal.Field.RelPermeability > 2 }

// Serves reports whether a principle gives readings on a piece at all: magnetic
// induction on magnetic metal; eddy current on other metal, and on a conducting
// layer over magnetic metal.
func (s *PieceSpec) Serves(p probe.Principle) bool {
	if p == probe.MagneticInduction {
		return s.magnetic()
	}
	return !s.magnetic() || len(s.Piece.Layers) > 0
}

// Suits reports whether a principle measures what the job asks on the part.
// Magnetic induction counts every non-magnetic layer on magnetic metal as
// coating; eddy current ends at the first good conductor.
func (e *Exercise) Suits(p probe.Principle) bool {
	if e.Part.magnetic() && len(e.Part.Piece.Layers) > 0 {
		return (p == probe.MagneticInduction) == e.Job.WithLayers
	}
	return e.Part.Serves(p)
}

// Uses is the principle that a probe on the bench uses on the part: a dual
// probe takes magnetic induction where it senses magnetic metal.
func (e *Exercise) Uses(at int) probe.Principle {
	return e.Side(at).Principle
}

// Side is the design, of a dual probe the side, that a probe on the bench uses on the part.
func (e *Exercise) Side(at int) probe.Design {
	d := e.Offered()[at]
	if other, dual := d.Other(); dual && !e.Part.Serves(d.Principle) {
		return other
	}
	return d
}

// Beyond says in words what of the job is outside the data sheet of a probe on
// the bench: its range, and the radius and the thickness of base metal down to
// which it may be used with an adjustment on flat, thick metal.
func (e *Exercise) Beyond(at int) (ofRange, ofShape string) {
	d, p := e.Side(at), &e.Part.Piece
	sheet := d.Sheet()
	if high := e.Job.ExpectedUm.High; high > d.RangeUm {
		ofRange = fmt.Sprintf("the film may be up to %g µm thick, and the probe measures up to %g µm", high, d.RangeUm)
	}
	// Two curvatures act by their sum, as that of a pipe so narrow.
	bent := p.Curvature()
	radiusMm := 1e3 / math.Abs(bent[0]+bent[1])
	least, shape := sheet.ConvexRadiusMm, "radius"
	if bent[0]+bent[1] < 0 {
		least, shape = sheet.ConcaveRadiusMm, "hollow radius"
	}
	switch {
	case radiusMm < least:
		ofShape = fmt.Sprintf("the part's %s of %.3g mm is below the %.3g mm of its data sheet", shape, radiusMm, least)
	case p.Thickness*1e3 < sheet.BaseThicknessMm:
		ofShape = fmt.Sprintf("the part's metal of %.2g mm is thinner than the %.2g mm of its data sheet", p.Thickness*1e3, sheet.BaseThicknessMm)
	}
	return ofRange, ofShape
}

// Best is the probe on the bench to do the job with: the first that measures
// what is asked and has range and shape of the part within its data sheet, or
// else the first that measures what is asked; -1 where none does. Within tells
// which of the two it is.
func (e *Exercise) Best() (at int, within bool) {
	at = -1
	for i := range e.Offered() {
		if !e.Suits(e.Uses(i)) {
			continue
		}
		if ofRange, ofShape := e.Beyond(i); ofRange == "" && ofShape == "" {
			return i, true
		}
		if at < 0 {
			at = i
		}
	}
	return at, false
}
