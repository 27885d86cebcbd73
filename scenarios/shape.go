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

// sides reads what becomes of the metal at the sides of a piece: a word, or the
// angle of the air about a free edge.
func (d *decoder) sides(n *yaml.Node, path string, s *part.Sides, a *part.Angles) {
	side := func(to *part.Ending, angle *float64) reader {
		return func(n *yaml.Node, path string) {
			if n.Kind == yaml.MappingNode {
				d.mapping(n, path, must("angle_deg", d.number(angle, 190, 350, math.Pi/180)))
				return
			}
			var word string
			if d.choice(&word, "edge", string(part.GoesOn), string(part.Wall))(n, path); word != "edge" {
				*to = part.Ending(word)
			}
		}
	}
	d.mapping(n, path, may("left", side(&s.Left, &a.Left)), may("right", side(&s.Right, &a.Right)),
		may("bottom", side(&s.Bottom, &a.Bottom)), may("top", side(&s.Top, &a.Top)))
}

// rolled checks that a curved piece does not go round more than once.
func (d *decoder) rolled(n *yaml.Node, at string, p *part.Piece) {
	for _, c := range []struct {
		name, other                         string
		length, radius, across, otherRadius float64
	}{
		{"width_mm", "radius_y_mm", p.Width, p.RadiusX, p.Height, p.RadiusY},
		{"height_mm", "radius_x_mm", p.Height, p.RadiusY, p.Width, p.RadiusX},
	} {
		turn := 2 * math.Pi * math.Abs(c.radius)
		within := turn * (1 + 1e-9)
		if c.radius == 0 || c.length <= within {
			continue
		}
		remedy := fmt.Sprintf("give at most %.1f mm, or a larger radius", math.Floor(turn*1e4)/10)
		if c.otherRadius == 0 && c.across <= within {
			remedy += fmt.Sprintf("; if this is the length of a pipe, its radius belongs to %s", c.other)
		}
		d.faultAt(n, join(at, c.name), fmt.Sprintf("piece %q goes more than once round: %g mm along a radius of %g mm", p.ID, c.length*1e3, c.radius*1e3), remedy)
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

// feature reads one hole, step, weld or bend.
func (d *decoder) feature(n *yaml.Node, path string) part.Feature {
	var f part.Feature
	kind := func(k part.FeatureKind, read func(n *yaml.Node, path string)) key {
		return may(string(k), func(n *yaml.Node, path string) {
			if f.Kind != "" {
				d.fault(n, path, "one item holds two features", "write each feature as an item of its own")
				return
			}
			f.Kind = k
			read(n, path)
		})
	}
	metre := func(to *float64, low, high float64) reader { return d.number(to, low, high, 1e-3) }
	d.mapping(n, path,
		kind(part.Hole, func(n *yaml.Node, path string) {
			d.mapping(n, path, must("x_mm", metre(&f.X, 0, 10000)), must("y_mm", metre(&f.Y, 0, 10000)), must("radius_mm", metre(&f.Radius, 0.5, 5000)))
		}),
		kind(part.Step, func(n *yaml.Node, path string) {
			var upper string
			d.line(n, path, &f, must("height_mm", metre(&f.Height, 0.05, 100)), must("upper", d.choice(&upper, "left", "right", "bottom", "top")))
			if along := upper == "bottom" || upper == "top"; upper != "" && along != f.AlongX {
				d.fault(n, path+".upper", fmt.Sprintf("%q is not a side of this step", upper), "a step at_x_mm has left and right, one at_y_mm bottom and top")
			}
			f.FarUp = upper == "right" || upper == "top"
		}),
		kind(part.Weld, func(n *yaml.Node, path string) {
			d.line(n, path, &f, must("width_mm", metre(&f.Width, 1, 200)), must("height_mm", metre(&f.Height, 0.05, 50)))
		}),
		kind(part.Bend, func(n *yaml.Node, path string) {
			d.line(n, path, &f, must("width_mm", metre(&f.Width, 1, 1000)), must("radius_mm", d.radius(&f.Radius)))
			if f.Radius == 0 && f.Width > 0 {
				d.fault(n, path+".radius_mm", "a bend needs a radius", "above 0 where it bulges towards the probe, below 0 where it is hollow")
			}
		}),
	)
	if n.Kind == yaml.MappingNode && len(n.Content) == 0 {
		d.fault(n, path, "no feature is named", "write hole, step, weld or bend")
	}
	return f
}

// line reads a feature that runs straight across the piece, at x or at y.
func (d *decoder) line(n *yaml.Node, path string, f *part.Feature, keys ...key) {
	given := 0
	at := func(alongX bool) reader {
		return func(n *yaml.Node, path string) {
			given++
			f.AlongX = alongX
			d.number(&f.At, 0, 10000, 1e-3)(n, path)
		}
	}
	d.mapping(n, path, append([]key{may("at_x_mm", at(false)), may("at_y_mm", at(true))}, keys...)...)
	if given != 1 {
		d.fault(n, path, "it is not said where it runs", "give at_x_mm, or at_y_mm, not both")
	}
}

// patch reads a place where the film is thinner or thicker than elsewhere.
func (d *decoder) patch(n *yaml.Node, path string) part.PatchSpec {
	p := part.PatchSpec{FadeM: 0.01}
	d.mapping(n, path,
		must("x_mm", d.number(&p.Area.X, 0, 10000, 1e-3)),
		must("y_mm", d.number(&p.Area.Y, 0, 10000, 1e-3)),
		must("width_mm", d.number(&p.Area.Width, 1, 10000, 1e-3)),
		must("height_mm", d.number(&p.Area.Height, 1, 10000, 1e-3)),
		must("by_um", d.span(&p.ByUm, -20000, 20000, 1)),
		may("fade_mm", d.number(&p.FadeM, 1, 1000, 1e-3)))
	return p
}
