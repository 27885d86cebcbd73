package explain

import "foilwright/sim/bench"

// rest is what to say of an influence that no check found a fault in: that
// what was asked was done, and what the rest is.
var rest = map[bench.Influence]string{
	bench.Edge:         "You kept the distance asked; this is what an edge still does that far away.",
	bench.Tilt:         "You held it as square as asked; this is what a steady hand still tilts.",
	bench.Settling:     "You waited as long as asked; this is what the sleeve had still to go.",
	bench.Press:        "You pressed as firmly as asked; this is what is left of the gap.",
	bench.AirReference: "You lifted as far as asked; this is what the metal still does at that height.",
	bench.Noise:        "You took as many readings as asked; more of them would scatter less.",
	bench.Drift:        "You verified as asked; this is what the instrument moved by since it was adjusted, within the tolerance.",
	bench.FoilTruth:    "You set the certified value; the foil itself may be off within its uncertainty, which nobody can see.",
	bench.BaseMetal:    "You adjusted on the right piece; what is left lies away from zero and foil, where the instrument goes by its own curve. A foil nearer to the film, where the job has one, leaves less.",
	bench.ThinBase:     "You adjusted on the right piece; what is left lies away from zero and foil. A foil nearer to the film, where the job has one, leaves less.",
	bench.Curvature:    "You adjusted on the right piece; what is left lies away from zero and foil. A foil nearer to the film, where the job has one, leaves less.",
	bench.Feature:      "You kept the distance asked; this is what is left of it there.",
	bench.Texture:      "You adjusted and deducted as asked; peaks and valleys differ from spot to spot, and more readings bring their mean nearer.",
	bench.Sampling:     "You spread the spots as asked; a few places are never quite the mean of the whole area. More spots would bring it nearer.",
	bench.Wear:         "The tip is worn, and you adjusted with it as it is; this is what that does not take up.",
	bench.Temperature:  "You let it settle as asked; this is what the last difference in temperature does.",
	bench.Softness:     "You pressed as lightly as asked on a soft film; this is how far the tip still sinks.",
}

// Absolve puts, beside each influence in which no fault was found, what is left
// of it instead of advice that was followed. blamed are the influences of the
// faults that were found.
func (e *Explanation) Absolve(blamed bench.Influence) {
	for i := range e.Mean.Shares {
		s := &e.Mean.Shares[i]
		if what, ok := rest[s.Influence]; ok && blamed&s.Influence == 0 {
			s.Advice, s.Rest = "", what
		}
	}
}
