package field

// Ideal is a kind of ideal metal, one of the two limits between which real metal lies.
type Ideal int

const (
	// Attracting metal has infinite permeability and no eddy currents.
	Attracting Ideal = iota
	// Repelling metal is a conductor with vanishing skin depth.
	Repelling
	idealKinds
)

var kindNames = [idealKinds]string{"attract", "repel"}

// IdealAtEdge returns the change of inductance in henry over ideal metal with a straight edge, and over the endless
// plane: gap in metres; distance in metres of the axis from the edge, negative beyond it; angle of the air about the edge
// in radians, above 0 and up to 2 pi (three half-pi for a right-angle edge, half-pi for an inner corner). Slow (0.1 s,
// with a core 0.5 s): for checks.
//
// Error: 1e-5 of the flat value for an air core at distances above its recess, 5e-4 at the edge itself.
func IdealAtEdge(h Head, kind Ideal, airAngle, gap, distance float64) (edge, flat float64, err error) {
	if err := h.Validate(); err != nil {
		return 0, 0, err
	}
	c := newCloud(h, checkFineness)
	a, r := c.atEdge(newWedge(airAngle, 25), gap, distance)
	flatA, flatR := c.spectrum.overIdeal(gap, nil, nil)
	if kind == Attracting {
		return a, flatA, nil
	}
	return r, flatR, nil
}
