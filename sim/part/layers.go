package part

import "foilwright/sim/field"

// Layer is a metallic layer between the coating and the base metal of a piece,
// such as zinc on steel. Thickness in metres.
type Layer struct {
	Metal     Metal
	Thickness float64
}

// LayerBase is the stack of the under-layers alone, from the probe downward.
func (p *Piece) LayerBase() field.Base {
	var b field.Base
	for _, l := range p.Layers {
		b = append(b, field.Layer{Metal: l.Metal.Field, Thickness: l.Thickness})
	}
	return b
}

// BareBase is the base metal without under-layers.
func (p *Piece) BareBase() field.Base {
	return field.Base{{Metal: p.Metal.Field, Thickness: p.Thickness}}
}

// LayersUm is the thickness of all under-layers together, um.
func (p *Piece) LayersUm() float64 {
	um := 0.0
	for _, l := range p.Layers {
		um += float64(l.Thickness * 1e6)
	}
	return um
}

// sameLayers reports whether two pieces have under-layers of the same metals
// in the same order. Their thickness is not compared: no two galvanised pieces
// are exactly alike.
func (p *Piece) sameLayers(q *Piece) bool {
	if len(p.Layers) != len(q.Layers) {
		return false
	}
	for i := range p.Layers {
		if p.Layers[i].Metal.Field != q.Layers[i].Metal.Field {
			return false
		}
	}
	return true
}
