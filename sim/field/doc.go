// Package field computes what a probe senses: the change of its coil's inductance over a metal part.
//
// Start with [NewSensor] for a probe head, [Sensor.Over] for one stack of metal, then ask [Over.Amplitude] at each
// [Place]. The same bits come out on every machine. It knows nothing of coatings, parts, instruments or trainees: a
// non-conducting, non-magnetic coating is simply gap.
//
// Sources: C. V. Dodd and W. E. Deeds, J. Appl. Phys. 39 (1968) 2829 for layered metal; image charges and their Green's
// functions for shapes (H. M. Macdonald 1915 for the wedge). README.md gives the formulas, the limits of validity and
// the errors measured against independent tables.
//
// SI units throughout: metres, hertz, siemens per metre, henry, radians. Time factor exp(+jwt).
package field
