package bench

import "foilwright/sim/probe"

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
	d := e.Offered()[at]
	if other, dual := d.Other(); dual && !e.Part.Serves(d.Principle) {
		return other.Principle
	}
	return d.Principle
}
