// Package part describes what lies under the probe: pieces of metal with
// their outline, base and coating, and the foils laid on them.
//
// It is data and geometry only. What a probe makes of it is computed by
// sim/field; how the tip comes to rest on it by sim/probe. Lengths are metres
// unless the name ends in Um (micrometres).
package part

import "foilwright/sim/field"

// Piece is one piece of metal that can lie under the probe: the part to be
// inspected or a reference piece. The zero shape is a flat rectangle with four
// free edges. Places on a curved piece are measured along its surface.
type Piece struct {
	ID   string // key in the exercise
	Name string // what the label on the piece says

	Width, Height float64 // outline, metres
	Metal         Metal
	Thickness     float64 // base metal thickness, metres; +Inf is "thick"
	Layers        []Layer // metallic layers on the base, under the coating; from the probe downward
	Coating       Coating // zero value: uncoated

	// RadiusX and RadiusY are the principal radii along x and along y, metres:
	// above 0 bulging, below 0 hollow, 0 straight. A pipe along x has RadiusY
	// only, a ball both.
	RadiusX, RadiusY float64
	Sides            Sides
	Angles           Angles
	Features         []Feature

	TemperatureC float64 // when the attempt begins; 0: RoomC
	RemanenceT   float64 // residual flux density along the surface, tesla
	DustUm       float64 // coarsest grain lying on it, um
	Texture      Texture // of the metal under the coating; zero value: smooth
}

// Base returns the metal stack of the piece, under-layers first, as the field
// core takes it.
func (p *Piece) Base() field.Base {
	return append(p.LayerBase(), p.BareBase()...)
}

// Differences names the properties in which two pieces differ and which an
// adjustment depends on; none when an adjustment on one holds for the other.
func (p *Piece) Differences(q *Piece) []string {
	var list []string
	if p.Metal.Field != q.Metal.Field {
		list = append(list, "metal")
	}
	if !p.sameLayers(q) {
		list = append(list, "metallic under-layer")
	}
	if p.Thickness != q.Thickness {
		list = append(list, "thickness")
	}
	if p.Curvature() != q.Curvature() {
		list = append(list, "curvature")
	}
	if p.Texture.Grade != q.Texture.Grade {
		list = append(list, "finish")
	}
	return list
}

// Area is a rectangle on a piece, metres, in the frame of the piece.
type Area struct{ X, Y, Width, Height float64 }

// Contains reports whether the point lies in the area, its rim included.
func (a Area) Contains(x, y float64) bool {
	return x >= a.X && x <= a.X+a.Width && y >= a.Y && y <= a.Y+a.Height
}
