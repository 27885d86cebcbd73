package part

import (
	"math"

	"foilwright/sim/num"
)

// FeatureKind says what a feature is.
type FeatureKind string

// The kinds of feature.
const (
	Hole FeatureKind = "hole" // round, through the piece
	Step FeatureKind = "step" // the surface changes its level along a line
	Weld FeatureKind = "weld" // a bead along a line
	Bend FeatureKind = "bend" // the piece is bent along a line
)

// Feature is something that breaks the even surface of a piece. Metres.
type Feature struct {
	Kind FeatureKind

	// X, Y and Radius of a hole. Radius of a bend, above 0 where it bulges
	// towards the probe.
	X, Y, Radius float64

	// A step, a weld and a bend run along a straight line: at x = At, or at
	// y = At when AlongX is set.
	At     float64
	AlongX bool

	Width  float64 // of a weld bead, or of the bent band
	Height float64 // of a step or a weld bead
	// FarUp tells that the upper level of a step lies on the side of greater x
	// (or y); otherwise on the other.
	FarUp bool
}

// across is the distance of a place from the line of a feature, above 0 on the
// side of greater x or y.
func (f *Feature) across(x, y float64) float64 {
	if f.AlongX {
		return y - f.At
	}
	return x - f.At
}

// Distance returns the distance in metres from a place to the rim of a hole, the
// line of a step or the flank of a weld or a bend; 0 and less on it.
func (f *Feature) Distance(x, y float64) float64 {
	switch f.Kind {
	case Hole:
		return num.Hypot(x-f.X, y-f.Y) - f.Radius
	case Step:
		return math.Abs(f.across(x, y))
	}
	return math.Abs(f.across(x, y)) - f.Width/2
}

// Above reports whether a place is on the upper level of a step.
func (f *Feature) Above(x, y float64) bool { return (f.across(x, y) >= 0) == f.FarUp }

// Flanks returns the distances from a place on a weld bead to its two flanks.
func (f *Feature) Flanks(x, y float64) (near, far float64) {
	d := math.Abs(f.across(x, y))
	return f.Width/2 - d, f.Width/2 + d
}

// Is reports whether the feature is an obstacle of a kind to some place.
func (f *Feature) Is(o Obstacle) bool {
	switch f.Kind {
	case Hole:
		return o == AtHole
	case Step:
		return o == AtStep || o == AtFoot
	case Weld:
		return o == AtWeld
	}
	return o == AtBend
}

// Has reports whether there is an obstacle of a kind on the piece.
func (p *Piece) Has(o Obstacle) bool {
	for i := range p.Features {
		if p.Features[i].Is(o) {
			return true
		}
	}
	return o == AtWall && !math.IsInf(p.WallDistance(0, 0), 1) || o == AtEdge && !math.IsInf(p.EdgeDistance(0, 0), 1)
}

// to is the kind of obstacle the feature is to a place.
func (f *Feature) to(x, y float64) Obstacle {
	switch f.Kind {
	case Hole:
		return AtHole
	case Step:
		if f.Above(x, y) {
			return AtStep
		}
		return AtFoot
	case Weld:
		return AtWeld
	}
	return AtBend
}
