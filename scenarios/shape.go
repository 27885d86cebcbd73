package scenarios

import (
	"fmt"
	"math"
	"strings"

	"go.yaml.in/yaml/v3"

	"foilwright/sim/part"
)

// leastRadiusMm is the smallest radius a piece may have.
const leastRadiusMm = 2

// radius reads a radius in mm: 0, or a length of either sign.
func (d *decoder) radius(to *float64) reader {
	return func(n *yaml.Node, path string) {
		before := len(d.faults)
		var mm float64
		d.number(&mm, -100000, 100000, 1)(n, path)
		if len(d.faults) == before && mm != 0 && math.Abs(mm) < leastRadiusMm {
			d.fault(n, path, fmt.Sprintf("a radius of %g mm is too small", mm), fmt.Sprintf("give 0 for straight, or %d mm and more; below 0 for hollow", leastRadiusMm))
			return
		}
		*to = mm * 1e-3
	}
}

// sides reads what becomes of the metal at the sides of a piece.
func (d *decoder) sides(n *yaml.Node, path string, s *part.Sides) {
	side := func(to *part.Ending) reader {
		return func(n *yaml.Node, path string) {
			var word string
			if d.choice(&word, "edge", string(part.GoesOn), string(part.Wall))(n, path); word != "edge" {
				*to = part.Ending(word)
			}
		}
	}
	d.mapping(n, path, may("left", side(&s.Left)), may("right", side(&s.Right)), may("bottom", side(&s.Bottom)), may("top", side(&s.Top)))
}

// rolled checks that a curved piece does not go round more than once.
func (d *decoder) rolled(n *yaml.Node, at string, p *part.Piece) {
	for _, c := range []struct {
		name           string
		length, radius float64
	}{{"width_mm", p.Width, p.RadiusX}, {"height_mm", p.Height, p.RadiusY}} {
		if turn := 2 * math.Pi * math.Abs(c.radius); c.radius != 0 && c.length > turn*(1+1e-9) {
			d.faultAt(n, join(at, c.name), fmt.Sprintf("piece %q goes more than once round: %g mm along a radius of %g mm", p.ID, c.length*1e3, c.radius*1e3),
				fmt.Sprintf("give at most %.0f mm, or a larger radius", math.Floor(turn*1e3)))
		}
	}
}

// texture reads the finish of the metal.
func (d *decoder) texture(n *yaml.Node, path string, t *part.Texture) {
	var grade string
	var rz float64
	grades := []string{"smooth"}
	for _, known := range part.Textures {
		grades = append(grades, string(known.Grade))
	}
	d.mapping(n, path, must("grade", d.choice(&grade, grades...)), may("rz_um", d.number(&rz, 1, 200, 1)))
	if grade == "smooth" {
		if rz > 0 {
			d.fault(n, path, "a smooth surface has no rz_um", "leave it out, or name a grade: "+strings.Join(grades[1:], ", "))
		}
		return
	}
	*t, _ = part.TextureOf(part.Grade(grade))
	if rz > 0 {
		t.RzUm = rz
	}
}
