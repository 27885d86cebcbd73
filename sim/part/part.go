// Package part describes what lies under the probe: pieces of metal with
// their outline, base and coating, and the foils laid on them.
//
// It is data and geometry only. What a probe makes of it is computed by
// sim/field; how the tip comes to rest on it by sim/probe. Lengths are metres
// unless the name ends in Um (micrometres).
package part

import (
	"math"

	"foilwright/sim/field"
)

// Piece is one flat, rectangular piece of metal that can lie under the probe:
// the part to be inspected or a reference piece.
type Piece struct {
	ID   string // key in the exercise
	Name string // what the label on the piece says

	Width, Height float64 // outline, metres
	Metal         Metal
	Thickness     float64 // base metal thickness, metres; +Inf is "thick"
	Layers        []Layer // metallic layers on the base, under the coating; from the probe downward
	Coating       Coating // zero value: uncoated
}

// Base returns the metal stack of the piece, under-layers first, as the field
// core takes it.
func (p *Piece) Base() field.Base {
	return append(p.LayerBase(), p.BareBase()...)
}

// SameBase reports whether two pieces have the same metal, condition and
// thickness and the same kind of under-layers, so that an adjustment on one holds for the other.
func (p *Piece) SameBase(q *Piece) bool {
	return p.Metal.Field == q.Metal.Field && p.Thickness == q.Thickness && p.sameLayers(q)
}

// EdgeDistance returns the distance in metres from the point (x, y) to the
// nearest edge of the piece; it is negative outside the outline. The origin is
// the lower left corner, x to the right, y up.
func (p *Piece) EdgeDistance(x, y float64) float64 {
	return math.Min(math.Min(x, p.Width-x), math.Min(y, p.Height-y))
}

// Area is a rectangle on a piece, metres, in the frame of the piece.
type Area struct{ X, Y, Width, Height float64 }

// Contains reports whether the point lies in the area, its rim included.
func (a Area) Contains(x, y float64) bool {
	return x >= a.X && x <= a.X+a.Width && y >= a.Y && y <= a.Y+a.Height
}
