package fidelity

import (
	"fmt"
	"math"

	"foilwright/sim/num"
	"foilwright/sim/part"
	"foilwright/sim/probe"
)

// textureRows compare roughness, section 5. The grades and the saturation were fitted to these figures: agreement shows a
// calibration that holds, not a prediction.
func textureRows() ([]Row, error) {
	var rows []Row
	d, found := probe.ByID("ferrous-general")
	if !found {
		return nil, fmt.Errorf("no probe ferrous-general")
	}
	for _, grade := range []part.Grade{part.Fine, part.Medium, part.Coarse} {
		x, known := part.TextureOf(grade)
		if !known {
			return nil, fmt.Errorf("no texture %s", grade)
		}
		const reliefs = 12
		rise := 0.0
		for seed := range uint64(reliefs) {
			rise += d.RestOn(x.Realise(num.NewStream(seed, "fidelity relief"))).MeanUm / reliefs
		}
		r := note("roughness", "ROUGH", "reading on bare blasted steel, zeroed on smooth, against the correction of ISO 19840 (from memory)", fmt.Sprintf("%s, %s, mean of %d reliefs", d.ID, grade, reliefs))
		r.Expected, r.Got, r.Tolerance, r.Reason = complex(grade.DeductUm(), 0), complex(rise, 0), 6, "a calibration: the grades were fitted to it"
		r.judge()
		rows = append(rows, r)
	}
	// Over z = A cos kx the perturbation is k A^2/2 and Sq is A over root 2: the same as a texture of correlation sqrt(pi)/k.
	slopes, want := []float64{.1, .25, .5, .75, 1, 1.5, 2}, []float64{.050, .123, .236, .333, .413, .530, .610}
	var got []float64
	for _, s := range slopes {
		x := part.Texture{Grade: part.Fine, RzUm: 1, Correlation: 90e-6}
		amplitude := s * x.Correlation * 1e6 / math.Sqrt(math.Pi)
		x.RzUm = amplitude / math.Sqrt2 / x.SqUm()
		got = append(got, probe.ShiftUm(x)/amplitude)
	}
	r := note("roughness", "RIDGES", "height of the field's plane over the mean, over the amplitude", fmt.Sprintf("ridges A cos kx, kA of %v", slopes))
	r.Unit, r.Source, r.Reason = "1", "two-dimensional finite elements, noted with the physics", "a calibration: the saturation was fitted to it"
	r.several(want, got, 4, func(w float64) float64 { return 0.02 * w })
	return append(rows, r), nil
}
