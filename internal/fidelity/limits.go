package fidelity

import (
	"fmt"
	"math"

	"foilwright/sim/field"
)

// ownParts compare the field core with what follows from elementary physics, with other methods altogether, and with the
// figures its prototypes left. Tolerances of limits are those of section 8 of the project's physics notes.
func ownParts() []piece {
	var parts []piece
	for _, p := range []struct {
		name string
		rows func() ([]Row, error)
	}{
		{"image coils", imageRows}, {"self-inductance", airRows}, {"adaptive integrator", integratorRows}, {"layers", layerRows},
		{"wedge limits", wedgeLimitRows}, {"sphere limits", sphereLimitRows},
		{"curvature, ferrite core", coredCurvatureRows}, {"reading path on balls", onReadingPathRows}, {"planar figures", planarNoteRows},
		{"edge figures", wedgeNoteRows}, {"curvature figures", curvatureNoteRows}, {"cylinder figures", cylinderThicknessRows},
		{"composition figures", compositionRows}, {"gauge curves", curveRows},
		{"apparent thickness, ferrous general", func() ([]Row, error) { return apparentRows(0) }},
		{"apparent thickness, ferrous fine", func() ([]Row, error) { return apparentRows(1) }},
		{"apparent thickness, non-ferrous", func() ([]Row, error) { return apparentRows(2) }},
		{"tilt figures", tiltRows}, {"air reference", airReferenceRows}, {"roughness", textureRows},
	} {
		parts = append(parts, piece{p.name, func() (Run, error) {
			rows, err := p.rows()
			if err != nil {
				return Run{}, fmt.Errorf("fidelity: %s: %w", p.name, err)
			}
			return Run{Rows: rows}, nil
		}})
	}
	return parts
}

// limit judges one row; its source is told by key.
func limit(id, quantity, inputs, source, key string, got, want complex128, tolerance float64) Row {
	r := Row{
		ID: id, Section: "Limits and other methods", Quantity: quantity, Inputs: inputs, Source: source, Origin: sourceByKey(key),
		Got: got, Expected: want, Unit: "1", Tolerance: tolerance, Relative: true,
	}
	r.judge()
	return r
}

// The coil of the magnetic reference tables.
func limitCoil(frequency float64) field.Head {
	return field.Head{Coil: field.Coil{InnerRadius: 1.5e-3, OuterRadius: 3.5e-3, Height: 4e-3, Recess: 0.3e-3, Turns: 500}, Frequency: frequency}
}

const imageSource = "image coil; mutual inductance of coaxial circles, J. C. Maxwell, Treatise, art. 701, integrated over both sections"

// imageRows: a permeable half-space at rest acts as the image coil times (mur-1)/(mur+1), a perfect conductor as minus
// the image coil.
func imageRows() ([]Row, error) {
	var rows []Row
	for _, lift := range []float64{0, 0.5e-3, 2e-3, 10e-3, 25e-3} {
		image := mutualInductance(limitCoil(1).Coil, 2*(lift+limitCoil(1).Coil.Recess)+limitCoil(1).Coil.Height)
		for _, c := range []struct {
			name      string
			metal     field.Metal
			frequency float64
			factor    float64
			tolerance float64
		}{
			{"mur 10, at rest", field.Metal{RelPermeability: 10}, 1, 9.0 / 11, 1e-6},
			{"mur 300, at rest", field.Metal{RelPermeability: 300}, 1, 299.0 / 301, 1e-6},
			{"perfect conductor (1e16 S/m at 1 GHz)", field.Metal{RelPermeability: 1, Conductivity: 1e16}, 1e9, -1, 2e-6},
		} {
			s, err := field.NewSensor(limitCoil(c.frequency))
			if err != nil {
				return nil, err
			}
			change, err := s.Flat(field.Thick(c.metal), lift)
			if err != nil {
				return nil, err
			}
			r := limit("IMAGE", "inductance change", fmt.Sprintf("%s, lift-off %g mm", c.name, lift*1e3), imageSource, "maxwell", change, complex(c.factor*image, 0), c.tolerance)
			r.Unit = "H"
			rows = append(rows, r)
		}
	}
	return rows, nil
}

// mutualInductance returns the mutual inductance of two equal coaxial coils whose centres are a distance apart,
// M = mu0 sqrt(r r') [(2/k - k) K - (2/k) E] per pair of circles; 12 x 12 Gauss points in each section.
func mutualInductance(c field.Coil, distance float64) float64 {
	nodes, weights := gauss12()
	density := c.Turns / ((c.OuterRadius - c.InnerRadius) * c.Height)
	width := c.OuterRadius - c.InnerRadius
	sum := 0.0
	for i, x := range nodes {
		for j, y := range nodes {
			r, s := c.InnerRadius+width*x, c.InnerRadius+width*y
			for k, u := range nodes {
				for l, v := range nodes {
					d := distance + c.Height*(u-v)
					far := (r+s)*(r+s) + d*d
					m := 4 * r * s / far
					bigK, bigE := ellipticKE(m)
					mutual := field.Mu0 * math.Sqrt(far) * ((1-m/2)*bigK - bigE)
					sum += weights[i] * weights[j] * weights[k] * weights[l] * mutual
				}
			}
		}
	}
	return sum * width * width * c.Height * c.Height * density * density
}

// ellipticKE returns the complete elliptic integrals by the arithmetic-geometric mean, which doubles its digits each
// round; Abramowitz and Stegun 17.6.
func ellipticKE(m float64) (bigK, bigE float64) {
	a, b, factor, sum := 1.0, math.Sqrt(1-m), 0.5, m/2
	for range 8 {
		c := (a - b) / 2
		a, b = (a+b)/2, math.Sqrt(a*b)
		factor *= 2
		sum += factor * c * c
	}
	bigK = math.Pi / (2 * a)
	return bigK, bigK * (1 - sum)
}

// gauss12 returns the 12-point Gauss-Legendre rule on (0, 1); Abramowitz and Stegun, table 25.4.
func gauss12() (nodes, weights []float64) {
	x := [...]float64{0.125233408511469, 0.367831498998180, 0.587317954286617, 0.769902674194305, 0.904117256370475, 0.981560634246719}
	w := [...]float64{0.249147045813403, 0.233492536538355, 0.203167426723066, 0.160078328543346, 0.106939325995318, 0.047175336386512}
	for i := range x {
		nodes = append(nodes, (1-x[i])/2, (1+x[i])/2)
		weights = append(weights, w[i]/2, w[i]/2)
	}
	return nodes, weights
}

// airRows: self-inductance of the Brooks coil.
func airRows() ([]Row, error) {
	const side = 2e-3
	s, err := field.NewSensor(field.Head{Coil: field.Coil{InnerRadius: side, OuterRadius: 2 * side, Height: side, Turns: 300}, Frequency: 1})
	if err != nil {
		return nil, err
	}
	want := 1.6994e-6 * 1.5 * side * 300 * 300
	r := limit("BROOKS", "self-inductance", "square section, inner diameter twice the side", "F. W. Grover, Inductance Calculations, 1946: 1.6994e-6 a N^2 (from memory)", "grover",
		complex(s.AirInductance(), 0), complex(want, 0), 1e-4)
	r.Unit = "H"
	return []Row{r}, nil
}

// integratorRows: the fast path against the adaptive integrator.
func integratorRows() ([]Row, error) {
	var rows []Row
	for _, c := range []struct {
		name string
		base field.Base
		freq float64
	}{
		{"steel mur 300, 5 MS/m, 300 Hz", field.Thick(field.Metal{RelPermeability: 300, Conductivity: 5e6}), 300},
		{"aluminium 35 MS/m, 0.1 mm, 100 kHz", field.Plate(conductor(35), 0.1e-3), 1e5},
		{"zinc 80 um on steel, 300 Hz", field.Base{{Metal: conductor(16.6), Thickness: 80e-6}, {Metal: field.Metal{RelPermeability: 300, Conductivity: 5e6}, Thickness: math.Inf(1)}}, 300},
	} {
		s, err := field.NewSensor(limitCoil(c.freq))
		if err != nil {
			return nil, err
		}
		for _, lift := range []float64{0, 0.2e-3, 2e-3, 20e-3} {
			got, err := s.Flat(c.base, lift)
			if err != nil {
				return nil, err
			}
			want, err := field.ReferenceDeltaL(limitCoil(c.freq), c.base, lift, 1e-9)
			if err != nil {
				return nil, err
			}
			r := limit("INTEGRATOR", "inductance change", fmt.Sprintf("%s, lift-off %g mm", c.name, lift*1e3), "adaptive Gauss-Kronrod integration of the Dodd-Deeds 1968 integral", "integrator", got, want, 1e-6)
			r.Unit = "H"
			rows = append(rows, r)
		}
	}
	return rows, nil
}

// layerRows: limits of layers for the air-cored and a cored head.
func layerRows() ([]Row, error) {
	cored := limitCoil(300)
	cored.Core = &field.Core{Radius: 1.25e-3, Length: 8e-3, Recess: 50e-6, RelPermeability: 1000}
	steel := field.Metal{RelPermeability: 300, Conductivity: 5e6}
	var rows []Row
	for _, h := range []struct {
		name string
		head field.Head
	}{{"air core", limitCoil(300)}, {"ferrite core", cored}} {
		s, err := field.NewSensor(h.head)
		if err != nil {
			return nil, err
		}
		var fault error
		flat := func(b field.Base, lift float64) complex128 {
			d, err := s.Flat(b, lift)
			if err != nil {
				fault = err
			}
			return d
		}
		const lift = 0.2e-3
		thick := flat(field.Thick(steel), lift)
		rows = append(rows,
			limit("LAYER-THICK", "plate of 30 mm against half-space", h.name, "physics: metal beyond the skin depth is not seen", "physics", flat(field.Plate(steel, 30e-3), lift), thick, 1e-6),
			limit("LAYER-SPLIT", "half-space cut into three sheets", h.name, "physics: a cut without a gap changes nothing", "physics",
				flat(field.Base{{Metal: steel, Thickness: 0.1e-3}, {Metal: steel, Thickness: 0.4e-3}, {Metal: steel, Thickness: math.Inf(1)}}, lift), thick, 1e-10),
			limit("LAYER-AIR", "air layer of 0.3 mm against lift-off of 0.3 mm", h.name, "physics: a non-conducting layer is lift-off", "physics",
				flat(field.Base{{Metal: field.Metal{RelPermeability: 1}, Thickness: 0.3e-3}, {Metal: steel, Thickness: math.Inf(1)}}, lift), flat(field.Thick(steel), lift+0.3e-3), 1e-9),
		)
		sheet := flat(field.Plate(field.Metal{RelPermeability: 1, Conductivity: 1e4}, 20e-6), lift)
		half := flat(field.Plate(field.Metal{RelPermeability: 1, Conductivity: 2e4}, 10e-6), lift)
		rows = append(rows, limit("LAYER-SHEET", "sheets of equal conductance, 20 um against 10 um", h.name, "thin-sheet limit: only conductivity times thickness counts", "physics", half, sheet, 1e-2))
		if fault != nil {
			return nil, fault
		}
	}
	return rows, nil
}

// wedgeLimitRows: a wedge of air of angle pi is a plane; of pi/2, three mirror images.
func wedgeLimitRows() ([]Row, error) {
	var rows []Row
	for kind, name := range []string{"attracting", "repelling"} {
		edge, flat, err := field.IdealAtEdge(limitCoil(1), field.Ideal(kind), math.Pi, 0.5e-3, 2e-3)
		if err != nil {
			return nil, err
		}
		rows = append(rows, limit("WEDGE-PLANE", "wedge of air angle pi against plane", name+" metal", "physics", "physics", complex(edge/flat, 0), 1, 1e-10))
		corner, flat, err := field.IdealAtEdge(limitCoil(1), field.Ideal(kind), math.Pi/2, 0.5e-3, 6e-3)
		if err != nil {
			return nil, err
		}
		want := 1 + cornerImages(limitCoil(1).Coil, field.Ideal(kind), 0.5e-3, 6e-3)/flat
		rows = append(rows, limit("WEDGE-CORNER", "inner corner, ratio to flat", name+" metal, 6 mm from the wall, lift-off 0.5 mm",
			"three image coils, each pair of current elements integrated (Neumann's formula)", "neumann", complex(corner/flat, 0), complex(want, 0), 2e-4))
	}
	return rows, nil
}

// cornerImages returns what the two images that a right-angled wall adds to the floor's image contribute to the
// inductance of a coil: Neumann's double integral mu0/(4 pi) int int dl.dl'/R over filaments of both coils.
//
// In the wall x = 0 a coil at x = d has its image at -d with currents mirrored; over attracting metal currents keep
// their sense along the wall and turn against it, over repelling metal the other way about.
func cornerImages(c field.Coil, kind field.Ideal, lift, distance float64) float64 {
	// Four by four filaments per section, placed at the Gauss points of order 4, 32 straight azimuth steps.
	g4 := [4]float64{0.0694318442029737, 0.330009478207572, 0.669990521792428, 0.930568155797026}
	w4 := [4]float64{0.173927422568727, 0.326072577431273, 0.326072577431273, 0.173927422568727}
	const steps = 32
	type filament struct{ r, z, turns float64 }
	var filaments []filament
	for i, x := range g4 {
		for j, y := range g4 {
			filaments = append(filaments, filament{c.InnerRadius + x*(c.OuterRadius-c.InnerRadius), lift + c.Recess + y*c.Height, w4[i] * w4[j] * c.Turns})
		}
	}
	total := 0.0
	for _, a := range filaments {
		for _, b := range filaments {
			for p := range steps {
				t := 2 * math.Pi * float64(p) / steps
				ax, ay := a.r*math.Cos(t), a.r*math.Sin(t)
				for q := range steps {
					u := 2 * math.Pi * (float64(q) + 0.5) / steps
					bx, by := b.r*math.Cos(u), b.r*math.Sin(u)
					// Mirror in the wall: the image of the current element (tx, ty) at x is at -2d-x with the component
					// along the wall kept and the one across turned (attracting), or the reverse (repelling).
					dot := (-math.Sin(t))*math.Sin(u) + math.Cos(t)*math.Cos(u)
					sign := 1.0
					if kind == field.Repelling {
						sign = -1
					}
					dx := ax + bx + 2*distance
					dy := ay - by
					element := a.r * b.r * (2 * math.Pi / steps) * (2 * math.Pi / steps) * dot * a.turns * b.turns * field.Mu0 / (4 * math.Pi)
					wall := element / math.Sqrt(dx*dx+dy*dy+(a.z-b.z)*(a.z-b.z))
					both := element / math.Sqrt(dx*dx+dy*dy+(a.z+b.z)*(a.z+b.z))
					total += sign*wall + both
				}
			}
		}
	}
	return total
}

// sphereLimitRows: a large sphere is a plane, and a sphere of another sign bends the other way.
func sphereLimitRows() ([]Row, error) {
	var rows []Row
	head := limitCoil(300)
	s, err := field.NewSensor(head)
	if err != nil {
		return nil, err
	}
	steel := field.Metal{RelPermeability: 300, Conductivity: 5e6}
	flat, err := s.Flat(field.Thick(steel), 0.5e-3)
	if err != nil {
		return nil, err
	}
	for _, radius := range []float64{4, -4} {
		d, err := field.OverSphere(head, steel, radius, 0.5e-3)
		if err != nil {
			return nil, err
		}
		rows = append(rows, limit("SPHERE-PLANE", "sphere of radius 4 m against plane", fmt.Sprintf("radius %+g m", radius), "physics", "physics", d, flat, 2e-3))
	}
	up, err := field.OverSphere(head, steel, 1, 0.5e-3)
	if err != nil {
		return nil, err
	}
	down, err := field.OverSphere(head, steel, -1, 0.5e-3)
	if err != nil {
		return nil, err
	}
	rows = append(rows, limit("SPHERE-ODD", "mean of ball and cavity of radius 1 m against plane", "", "physics: the first effect of curvature changes sign with it", "physics", (up+down)/2, flat, 1e-4))
	return rows, nil
}
