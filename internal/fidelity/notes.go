package fidelity

import (
	"fmt"
	"math"
	"math/cmplx"
	"strings"

	"foilwright/sim/field"
	"foilwright/sim/probe"
)

// What prototypes of this project computed before this program was written, as its physics notes give them. They share
// the program's formulas: agreement shows that nothing has changed. Where an independent source has since shown a figure
// of theirs to be worse, the row says so and is not bent to it.

// note starts a row for figures of a prototype.
func note(section, id, quantity, inputs string) Row {
	return Row{
		ID: id, Section: "Prototype figures: " + section, Quantity: quantity, Inputs: inputs, Unit: "um",
		Source: "prototype, noted with the physics", Origin: sourceByKey("prototype"),
	}
}

// several judges figures one by one, each within what allowed gives for it.
func (r *Row) several(want, got []float64, decimals int, allowed func(want float64) float64) {
	var wants, gots []string
	r.Error, r.Tolerance, r.ShareOfTolerance, r.Verdict = 0, 1, true, Pass
	for i, w := range want {
		wants = append(wants, shortest(w))
		gots = append(gots, fmt.Sprintf("%.*f", decimals, got[i]))
		share := math.Abs(got[i]-w) / allowed(w)
		r.Error = max(r.Error, share)
		if !(share <= 1) {
			r.Verdict = Fail
		}
	}
	r.ExpectedText, r.GotText = strings.Join(wants, " / "), strings.Join(gots, " / ")
}

// unadjusted is the tolerance of apparent thickness: that of section 8 for curvature, max(2 um, 6 %).
func unadjusted(want float64) float64 { return max(2, 0.06*math.Abs(want)) }

// residue is the tolerance after an adjustment: 1 um by section 8, and 6 % where the figure is no residue any more.
func residue(want float64) float64 { return max(1, 0.06*math.Abs(want)) }

// rounded is the tolerance of a printed figure: one unit of its last decimal.
func rounded(unit float64) func(float64) float64 { return func(float64) float64 { return unit } }

// instrument is one of the bench's probes with its gauge curve.
type instrument struct {
	design probe.Design
	sensor *field.Sensor
	std    *field.Over
}

func newInstrument(id string) (instrument, error) {
	d, found := probe.ByID(id)
	if !found {
		return instrument{}, fmt.Errorf("no probe %s", id)
	}
	s, err := d.Sensor()
	if err != nil {
		return instrument{}, err
	}
	std, err := s.Over(d.Standard)
	return instrument{d, s, std}, err
}

// apparent returns the thickness in micrometres that the gauge curve gives for a signal.
func (in instrument) apparent(signal float64) float64 {
	gap, ok := in.std.GapFor(signal)
	if !ok && gap > 0.05 {
		return math.NaN()
	}
	return gap * 1e6
}

// signalled is the signal of a part against the true thickness in micrometres.
type signalled func(um float64) float64

// errorsAt returns the errors of the reading at true thicknesses: as the curve gives it, after a zero, after a zero and
// one foil, after a zero and two foils (t = a u + b u^2), all on the same part.
func (in instrument) errorsAt(signal signalled, adjustment string, foils [2]float64, truth []float64) []float64 {
	s0, first := signal(0), in.std.Amplitude(field.Flat(0))
	zeroed := func(t float64) float64 { return in.apparent(signal(t) * first / s0) }
	u1, u2 := zeroed(foils[0]), zeroed(foils[1])
	determinant := u1*u2*u2 - u2*u1*u1
	a, b := (foils[0]*u2*u2-foils[1]*u1*u1)/determinant, (u1*foils[1]-u2*foils[0])/determinant
	var list []float64
	for _, t := range truth {
		u := zeroed(t)
		switch adjustment {
		case "unadjusted":
			u = in.apparent(signal(t))
		case "zero and one foil":
			u *= foils[0] / u1
		case "zero and two foils":
			u = a*u + b*u*u
		}
		list = append(list, u-t)
	}
	return list
}

var adjustments = []string{"unadjusted", "zero", "zero and one foil", "zero and two foils"}

// over is a flat part of one stack of metal.
func (in instrument) over(b field.Base) (signalled, error) {
	o, err := in.sensor.Over(b)
	if err != nil {
		return nil, err
	}
	return func(um float64) float64 { return o.Amplitude(field.Flat(um * 1e-6)) }, nil
}

// ball is the exact series; it is what the prototypes used as judge.
func (in instrument) ball(radius float64) signalled {
	done := map[float64]float64{} // the series is slow, and adjustments ask for the same thicknesses
	return func(um float64) float64 {
		if _, known := done[um]; !known {
			d, err := field.OverSphere(in.design.Head, in.design.Standard[0].Metal, radius, um*1e-6)
			if err != nil {
				return math.NaN()
			}
			done[um] = cmplx.Abs(d) / in.sensor.AirInductance()
		}
		return done[um]
	}
}

// edge is the reading path at a right-angle edge.
func (in instrument) edge(distance float64) signalled {
	return func(um float64) float64 {
		return in.std.Amplitude(field.Place{Gap: um * 1e-6, EdgeDistance: distance})
	}
}

// idealEdge is the same where the edge takes from the metal's signal what it takes from that of ideal metal.
func (in instrument) idealEdge(distance float64) (signalled, error) {
	ideal, err := in.sensor.Over(field.Thick(field.Metal{RelPermeability: 1e7}))
	if err != nil {
		return nil, err
	}
	return func(um float64) float64 {
		flat := field.Flat(um * 1e-6)
		near := flat
		near.EdgeDistance = distance
		return in.std.Amplitude(flat) * ideal.Amplitude(near) / ideal.Amplitude(flat)
	}, nil
}

// thicknessProbes are the probes of the table of apparent thickness with their true thicknesses and foils.
var thicknessProbes = []struct {
	id    string
	truth []float64
	foils [2]float64
}{
	{"ferrous-general", []float64{0, 100, 500, 1000}, [2]float64{250, 1000}},
	{"ferrous-fine", []float64{0, 50, 250, 500}, [2]float64{75, 250}},
	{"nonferrous-general", []float64{0, 100, 500, 1000}, [2]float64{125, 500}},
}

// apparentThickness is the table of section 4: for each case and probe the errors in um as they are, after a zero, after
// a zero and one foil, after a zero and two foils, separated by semicolons; empty where the notes have none.
var apparentThickness = []struct {
	kind    string // ball, edge, base, mur, sigma
	value   float64
	figures [3]string
}{
	{"ball", 5, [3]string{"158/266/544/853; 0/13/100/252; 0/-3/16/76; 0/-1.6/3.9/0", "22/40/91/151; 0/2.7/22/56; 0/-.3/6/24; 0/-.1/0/-7", "177/192/288/463; 0/13/80/196; 0/0/10/52; 0/0/0/1.6"}},
	{"ball", 10, [3]string{"52/96/212/339; 0/6/45/113; 0/-1/7/35; 0/-1/1.5/0", "9/16/38/63; 0/1/9/23; 0/0/2.5/10; 0/0/0/-2.6", "90/97/144/231; 0/7/42/103; 0/0/6/30; 0/0/0/1"}},
	{"ball", 20, [3]string{"20/39/89/142; 0/3/20/48; 0/-.5/3/14; 0/-.3/.6/0", "4/7.5/17/29; 0/.6/4/10; 0/0/1/4; 0/0/0/-1", "46/49/72/115; 0/3.5/21/52; 0/0/3/16; 0/0/0/.8"}},
	{"ball", 50, [3]string{"7/14/33/52; 0/1/7/17; 0/0/1/5; 0/0/.2/0", "1.5/3/7/11; 0/.2/1.7/4; 0/0/.4/1.6; 0/0/0/0", "18/20/29/46; 0/1.4/9/21; 0/0/1.3/7; 0/0/0/0"}},
	{"ball", 100, [3]string{"3.5/7/16/26; 0/.5/3.6/9", "0.8/1.5/3.4/5.7; 0/.1/.8/2", "9/10/14/23; 0/.7/4/11"}},
	{"edge", 1, [3]string{"8/19/58/100; 0/4.5/29/61", "1.6/2.9/7/14; 0/.1/2/6.5", "56/65/117/215; 0/8.5/54/135"}},
	{"edge", 2, [3]string{"4/7/18/34", "1/2/4/6", "5/7/20/54"}},
	{"edge", 3, [3]string{"3/5.5/11/18", ".7/1.3/3/5", ".8/1.2/4/15"}},
	{"edge", 5, [3]string{"2/4/8/12", ".3/.5/1.4/2.5", ".1/.1/.5/2"}},
	{"edge", 10, [3]string{".7/1.4/3.4/5.8", ".1/.1/.3/.5", "0/0/0/0"}},
	{"edge", 20, [3]string{".1/.3/.7/1.3", "0/0/0/0", "0/0/0/0"}},
	{"base", 0.1, [3]string{"71/108/192/273; 0/-7/-16/-9", "15/24/46/68", "-1.7/-1.7/-1.7/-1.7"}},
	{"base", 0.2, [3]string{"28/46/85/123", "6/10/20/30", "0/0/0/0"}},
	{"base", 0.3, [3]string{"15/25/47/68", "3/5/11/16", ""}},
	{"base", 0.5, [3]string{"5/8/16/23", "1/2/4/6", ""}},
	{"base", 0.75, [3]string{".7/1/2/3", ".2/.3/.6/.9", ""}},
	{"base", 1, [3]string{"-.6/-1/-2/-3.5", "0/0/0/0", ""}},
	{"base", 2, [3]string{"0/0/0/0", "", ""}},
	{"base", 3, [3]string{"0/0/0/0", "", ""}},
	{"base", 0.03, [3]string{"", "", "-15/-15/-15/-15"}},
	{"base", 0.05, [3]string{"", "", "-12/-12/-12/-12"}},
	{"base", 0.15, [3]string{"", "", ".4/.4/.4/.4"}},
	{"mur", 100, [3]string{"11/17/30/42; 0/-3/-8/-9", "4/5/9/12; 0/-1/-4/-5", ""}},
	{"mur", 1000, [3]string{"-5/-9/-17/-25; 0/1/3/2", "-1.5/-2/-4/-6; 0/.4/1/1", ""}},
	{"sigma", 20, [3]string{"", "", "9.7/9.7/9.7/9.7"}},
	{"sigma", 58, [3]string{"", "", "-6.7/-6.7/-6.7/-6.7"}},
}

// apparentRows compares the table of apparent thickness for one probe.
func apparentRows(column int) ([]Row, error) {
	p := thicknessProbes[column]
	in, err := newInstrument(p.id)
	if err != nil {
		return nil, err
	}
	metal := in.design.Standard[0].Metal
	var rows []Row
	for _, c := range apparentThickness {
		if c.figures[column] == "" {
			continue
		}
		var signal signalled
		remark, name := "", ""
		var err error
		switch c.kind {
		case "ball":
			signal, name = in.ball(c.value*1e-3), fmt.Sprintf("ball of radius %g mm", c.value)
		case "edge":
			signal, name = in.edge(c.value*1e-3), fmt.Sprintf("%g mm from an edge", c.value)
			reads := in.errorsAt(signal, "unadjusted", p.foils, p.truth)
			was, tables, shown := "", "", ""
			if metal.RelPermeability > 1 {
				if signal, err = in.idealEdge(c.value * 1e-3); err != nil {
					return nil, err
				}
				was, tables, shown = "of ideal metal", "magnetic_air_edge_3d, magnetic_air_sheet_edge_6_3d", "that iron lacks more there"
			} else if c.value < 5 {
				signal = in.edge(c.value*1e-3 + metal.SkinDepth(in.design.Head.Frequency))
				was, tables, shown = "half a skin depth farther", "eddy_air_edge_3d", "the edge nearer"
			}
			if was != "" {
				remark = fmt.Sprintf("prototype's figure worse than ours: computed here with the edge %s, as it did. 3-D finite elements (%s) show %s; so the bench reads unadjusted %.1f / %.1f / %.1f / %.1f",
					was, tables, shown, reads[0], reads[1], reads[2], reads[3])
			}
		case "base":
			signal, err = in.over(field.Plate(metal, c.value*1e-3))
			name = fmt.Sprintf("base %g mm thick", c.value)
		case "mur":
			signal, err = in.over(field.Thick(field.Metal{RelPermeability: c.value, Conductivity: metal.Conductivity}))
			name = fmt.Sprintf("base of mur %g, adjusted curve of mur %g", c.value, metal.RelPermeability)
		case "sigma":
			signal, err = in.over(field.Thick(conductor(c.value)))
			name = fmt.Sprintf("base of %g MS/m, curve of %g", c.value, metal.Conductivity/1e6)
		}
		if err != nil {
			return nil, err
		}
		for k, figures := range strings.Split(c.figures[column], ";") {
			r := note("apparent thickness, "+p.id, fmt.Sprintf("APPARENT-%s%g-%d", strings.ToUpper(c.kind), c.value, k), "error of the reading, "+adjustments[k],
				fmt.Sprintf("%s, true %g / %g / %g / %g um", name, p.truth[0], p.truth[1], p.truth[2], p.truth[3]))
			allowed := residue
			if k == 0 {
				allowed = unadjusted
			}
			r.several(numbers(figures), in.errorsAt(signal, adjustments[k], p.foils, p.truth), 1, allowed)
			r.Reason = remark
			rows = append(rows, r)
		}
	}
	return rows, nil
}

// curveRows compares the shape of the gauge curves: signal against the signal in contact, and slopes.
func curveRows() ([]Row, error) {
	var rows []Row
	for i, c := range []struct {
		gaps, ratios   []float64
		slopeGaps      []float64
		slopes         []float64
		zeroOverInduct float64
	}{
		{[]float64{250, 500, 1000, 2000}, []float64{.57, .41, .26, .128}, []float64{0, 500, 2000}, []float64{.41, .11, .06}, .59},
		{[]float64{100, 250, 500}, []float64{.61, .40, .24}, []float64{0, 100, 500}, []float64{.81, .35, .17}, .57},
		{[]float64{100, 500, 1000}, []float64{.83, .41, .196}, []float64{0, 250, 1000}, []float64{.18, .18, .14}, .32},
	} {
		in, err := newInstrument(thicknessProbes[i].id)
		if err != nil {
			return nil, err
		}
		at := func(um float64) float64 { return in.std.Amplitude(field.Flat(um * 1e-6)) }
		var got []float64
		for _, g := range c.gaps {
			got = append(got, at(g)/at(0))
		}
		r := note("gauge curves", "CURVE", "signal over signal in contact", fmt.Sprintf("%s at %v um", in.design.ID, c.gaps))
		r.Unit = "1"
		r.several(c.ratios, got, 3, func(w float64) float64 { return max(0.01, 0.02*w) })
		rows = append(rows, r)
		got = nil
		for _, g := range c.slopeGaps {
			got = append(got, 100*math.Log(at(max(g-1, 0))/at(g+1))/(g+1-max(g-1, 0)))
		}
		r = note("gauge curves", "SLOPE", "fall of the signal", fmt.Sprintf("%s at %v um", in.design.ID, c.slopeGaps))
		r.Unit = "%/um"
		r.several(c.slopes, got, 3, func(w float64) float64 { return max(0.01, 0.06*w) })
		rows = append(rows, r)
		r = note("gauge curves", "CONTACT", "signal in contact over the probe's inductance", in.design.ID)
		r.Unit = "1"
		r.several([]float64{c.zeroOverInduct}, []float64{at(0)}, 3, rounded(0.01))
		rows = append(rows, r)
	}
	return rows, nil
}

// airReferenceRows compares the signal far away and what a zero signal stored too near does to readings.
func airReferenceRows() ([]Row, error) {
	var rows []Row
	for i, c := range []struct {
		heights    []float64
		ratios     []float64
		truth      []float64
		stored     []float64
		offsets    [][]float64
		thousandth float64
	}{
		{[]float64{10, 15, 20, 25, 30, 50}, []float64{.0082, .0032, .0015, .0008, .0005, .0001},
			[]float64{100, 500, 1000}, []float64{5, 10, 25, 50}, [][]float64{{21, 76, 173}, {5, 18, 40}, {.5, 1.8, 3.9}, {.1, .2, .5}}, 23},
		{[]float64{10, 15}, []float64{.0014, 5e-4}, []float64{100, 500, 1000}, []float64{5, 10}, [][]float64{{3.5, 18, 54}, {.7, 3.4, 10}}, 11},
		{[]float64{10, 15}, []float64{.0014, 4e-4}, []float64{100, 500, 1000}, []float64{5, 10}, [][]float64{{5.5, 12, 32}, {.9, 2, 5}}, 11},
	} {
		in, err := newInstrument(thicknessProbes[i].id)
		if err != nil {
			return nil, err
		}
		at := func(um float64) float64 { return in.std.Amplitude(field.Flat(um * 1e-6)) }
		var got []float64
		for _, h := range c.heights {
			got = append(got, at(h*1e3)/at(0))
		}
		r := note("air reference", "AIR", "signal over signal in contact", fmt.Sprintf("%s at %v mm", in.design.ID, c.heights))
		r.Unit = "1"
		r.several(c.ratios, got, 5, func(w float64) float64 { return max(1e-4, 0.02*w) })
		rows = append(rows, r)
		low, high := 1.0, 60.0
		for range 60 {
			if middle := (low + high) / 2; at(middle*1e3) > 1e-3*at(0) {
				low = middle
			} else {
				high = middle
			}
		}
		r = note("air reference", "AIR-0.1%", "height at which 0.1 % of the contact signal is left", in.design.ID)
		r.Unit = "mm"
		r.several([]float64{c.thousandth}, []float64{low}, 1, rounded(1))
		rows = append(rows, r)
		for k, h := range c.stored {
			got = nil
			for _, t := range c.truth {
				got = append(got, in.apparent(at(t)-at(h*1e3))-t)
			}
			r := note("air reference", "AIR-NEAR", "error of the reading, air value stored too near", fmt.Sprintf("%s, stored at %g mm, true %v um", in.design.ID, h, c.truth))
			r.several(c.offsets[k], got, 1, residue)
			rows = append(rows, r)
		}
	}
	return rows, nil
}

// tiltRows compare tilt before the rim touches. The prototypes had two radii of the tip, between which the bench's lies;
// the effect is linear in that radius, so the expected figure is interpolated.
func tiltRows() ([]Row, error) {
	var rows []Row
	for _, c := range []struct {
		id          string
		lift        float64
		small, wide float64 // radii of the tip, mm
		angles      []float64
		atSmall     []float64
		atWide      []float64
	}{
		{"ferrous-general", 0, 1.3, 2.5, []float64{5, 10, 15}, []float64{2.8, 10, 20}, []float64{7.5, 27, 57}},
		{"ferrous-general", 0.5, 1.3, 2.5, []float64{5, 10, 15}, []float64{.2, .7, 1.1}, []float64{4.8, 19, 42}},
		{"ferrous-fine", 0, .53, 1.0, []float64{5, 10, 15}, []float64{1, 3.6, 7}, []float64{2.9, 10, 21}},
		{"nonferrous-general", 0, .65, 1.2, []float64{5}, []float64{-2}, []float64{0}},
	} {
		in, err := newInstrument(c.id)
		if err != nil {
			return nil, err
		}
		share := (in.design.Head.TipRadius*1e3 - c.small) / (c.wide - c.small)
		var want, got []float64
		for i, a := range c.angles {
			want = append(want, math.Round(10*(c.atSmall[i]+share*(c.atWide[i]-c.atSmall[i])))/10)
			p := field.Flat(c.lift * 1e-3)
			p.Tilt = a * math.Pi / 180
			got = append(got, in.apparent(in.std.Amplitude(p))-1e3*c.lift)
		}
		r := note("tilt", "TILT", "error of a tilted reading", fmt.Sprintf("%s, tip of %g mm between the prototypes' %g and %g, lift-off %g mm, at %v degrees",
			c.id, in.design.Head.TipRadius*1e3, c.small, c.wide, c.lift, c.angles))
		r.several(want, got, 1, residue)
		r.Reason = "expected figures interpolated between two radii of the tip"
		rows = append(rows, r)
	}
	return rows, nil
}

// The coils of the reference tables.
func magneticCoil() field.Head { return limitCoil(300) }

func eddyCoil(frequency float64) field.Head {
	return field.Head{Coil: field.Coil{InnerRadius: 0.8e-3, OuterRadius: 1.6e-3, Height: 1e-3, Recess: 0.2e-3, Turns: 40}, Frequency: frequency}
}

func magneticCored() field.Head {
	h := limitCoil(300)
	h.Core = &field.Core{Radius: 1.25e-3, Length: 8e-3, Recess: 50e-6, RelPermeability: 1000}
	return h
}

func steel(mu float64) field.Metal { return field.Metal{RelPermeability: mu, Conductivity: 5e6} }

// atEdge is the ratio to flat over ideal metal at an edge; angles in half turns, lengths in mm.
func atEdge(h field.Head, kind field.Ideal, halfTurns, gap, distance float64) (float64, error) {
	edge, flat, err := field.IdealAtEdge(h, kind, halfTurns*math.Pi, gap*1e-3, distance*1e-3)
	return edge / flat, err
}

// wedgeNoteRows are the edge factors of section 3.2, coil M at 0.5 mm.
func wedgeNoteRows() ([]Row, error) {
	var rows []Row
	for _, c := range []struct {
		name      string
		kind      field.Ideal
		halfTurns float64
		distance  []float64
		want      []float64
		unit      float64
	}{
		{"right-angle edge, attracting", field.Attracting, 1.5, []float64{1, 2, 3, 5}, []float64{.9181, .9745, .9852, .9911}, 1e-4},
		{"edge of a half plane, attracting", field.Attracting, 2, []float64{1, 3, 10}, []float64{.908, .983, .9975}, 6e-4},
		{"obtuse edge (5/4 pi of air), attracting", field.Attracting, 1.25, []float64{1, 3, 10}, []float64{.936, .989, .9986}, 6e-4},
		{"right-angle edge, repelling", field.Repelling, 1.5, []float64{1, 3, 10}, []float64{.611, .918, .9993}, 6e-4},
		{"edge of a half plane, repelling", field.Repelling, 2, []float64{1, 3, 10}, []float64{.489, .888, .9991}, 6e-4},
		{"inner corner, attracting", field.Attracting, .5, []float64{4, 6, 10}, []float64{1.236, 1.092, 1.025}, 6e-4},
		{"inner corner, repelling", field.Repelling, .5, []float64{4, 6, 10}, []float64{1.248, 1.047, 1.0045}, 6e-4},
	} {
		var got []float64
		for _, d := range c.distance {
			v, err := atEdge(magneticCoil(), c.kind, c.halfTurns, 0.5, d)
			if err != nil {
				return nil, err
			}
			got = append(got, v)
		}
		r := note("edges", "WEDGE", "signal at an edge, ratio to flat", fmt.Sprintf("coil M, lift-off 0.5 mm, %s, at %v mm", c.name, c.distance))
		r.Unit = "1"
		r.several(c.want, got, 5, rounded(c.unit))
		rows = append(rows, r)
	}
	return rows, nil
}

// bent is the ratio to flat over ideal metal on a ball or cylinder; lengths in mm.
func bent(h field.Head, kind field.Ideal, cylinder bool, radius, gap float64) (float64, error) {
	of := field.IdealOverSphere
	if cylinder {
		of = field.IdealOverCylinder
	}
	v, err := of(h, kind, radius*1e-3, gap*1e-3)
	if err != nil {
		return 0, err
	}
	_, flat, err := field.IdealAtEdge(h, kind, math.Pi, gap*1e-3, 1)
	return v / flat, err
}

// curvatureNoteRows are the losses of section 3.4: a cylinder against the ball of twice its radius.
func curvatureNoteRows() ([]Row, error) {
	var rows []Row
	for _, c := range []struct {
		name           string
		head           field.Head
		kind           field.Ideal
		radius         float64
		cylinder, ball float64
		unit           float64
	}{
		{"coil E", eddyCoil(1e6), field.Repelling, 5, .194, .199, 1e-3},
		{"coil E", eddyCoil(1e6), field.Repelling, 10, .105, .106, 1e-3},
		{"coil M", magneticCoil(), field.Attracting, 25, .036, .039, 1e-3},
		{"coil M", magneticCoil(), field.Attracting, 10, .078, .095, 1e-3},
		{"coil M", magneticCoil(), field.Attracting, 5, .129, .189, 1e-3},
	} {
		pipe, err := bent(c.head, c.kind, true, c.radius, 0.1)
		if err != nil {
			return nil, err
		}
		ball, err := bent(c.head, c.kind, false, 2*c.radius, 0.1)
		if err != nil {
			return nil, err
		}
		r := note("curvature", "CYLINDER", "loss of signal on a cylinder, on the ball of twice its radius", fmt.Sprintf("%s, ideal metal, lift-off 0.1 mm, cylinder of %g mm", c.name, c.radius))
		r.Unit = "1"
		r.several([]float64{c.cylinder, c.ball}, []float64{1 - pipe, 1 - ball}, 4, rounded(c.unit))
		rows = append(rows, r)
	}
	small := note("curvature", "CYLINDER", "loss of signal on a cylinder, on the ball of twice its radius", "a small coil F, lift-off 0.1 mm, cylinders of 5 / 10 / 25 mm")
	small.ExpectedText, small.Unit = ".062, .073 / .034, .037 / .0147, .0151", "1"
	small.skip("the notes do not give this coil's dimensions; the winding of the fine ferrous probe loses .069, .092 on the first")
	rows = append(rows, small)
	pipe, err := bent(magneticCoil(), field.Attracting, true, 100, 0.5)
	if err != nil {
		return nil, err
	}
	ball, err := bent(magneticCoil(), field.Attracting, false, 100, 0.5)
	if err != nil {
		return nil, err
	}
	rows = append(rows, limit("SPHERE-CYLINDER", "loss on a ball over loss on a cylinder of the same large radius", "coil M, attracting metal, radius 100 mm, lift-off 0.5 mm",
		"physics: a ball has twice a cylinder's mean curvature", "physics", complex((1-ball)/(1-pipe), 0), 2, 2e-2))
	return rows, nil
}

// cylinderThicknessRows are the apparent thicknesses of true cylinders and inner corners, coils without core, section 4.
// Ideal ratio times real flat metal: steel at its own gap, aluminium with the apparent face half a skin depth in.
func cylinderThicknessRows() ([]Row, error) {
	var rows []Row
	truth := []float64{0, 1000}
	for _, c := range []struct {
		name  string
		head  field.Head
		metal field.Metal
		kind  field.Ideal
		cases []struct{ radius, first, last float64 } // radius below 0: a bore
	}{
		{"coil M", magneticCoil(), steel(300), field.Attracting, []struct{ radius, first, last float64 }{
			{5, 142, 175}, {10, 83, 104}, {25, 37, 48}, {50, 19, 25}, {-25, -48, -64}, {-50, -23, -29}}},
		{"coil E", eddyCoil(1e6), conductor(35), field.Repelling, []struct{ radius, first, last float64 }{
			{5, 98, 216}, {10, 49, 110}, {25, 20, 44}, {50, 10, 22}, {-10, -51, -113}, {-25, -20, -45}}},
	} {
		recess := 0.0
		if c.kind == field.Repelling {
			recess = 1e3 * c.metal.SkinDepth(c.head.Frequency) / 2
		}
		s, err := field.NewSensor(c.head)
		if err != nil {
			return nil, err
		}
		o, err := s.Over(field.Thick(c.metal))
		if err != nil {
			return nil, err
		}
		for _, k := range c.cases {
			var got []float64
			for _, t := range truth {
				radius := k.radius - recess
				ratio, err := bent(c.head, c.kind, true, radius, t*1e-3+recess)
				if err != nil {
					return nil, err
				}
				gap, _ := o.GapFor(o.Amplitude(field.Flat(t*1e-6)) * ratio)
				got = append(got, gap*1e6-t)
			}
			r := note("curvature", "CYLINDER-UM", "error of the reading on a true cylinder, unadjusted", fmt.Sprintf("%s, radius %g mm (bores below 0), true %v um", c.name, k.radius, truth))
			r.several([]float64{k.first, k.last}, got, 1, unadjusted)
			rows = append(rows, r)
		}
	}
	s, err := field.NewSensor(magneticCoil())
	if err != nil {
		return nil, err
	}
	o, err := s.Over(field.Thick(steel(300)))
	if err != nil {
		return nil, err
	}
	for _, k := range []struct {
		distance float64
		want     []float64
	}{{6, []float64{-68, -98, -146}}, {10, []float64{-18, -28, -44}}, {20, []float64{-3, -4, -7}}} {
		var got []float64
		for _, t := range []float64{100, 500, 1000} { // at 0 the reading would lie below the end of the curve
			ratio, err := atEdge(magneticCoil(), field.Attracting, .5, t*1e-3, k.distance)
			if err != nil {
				return nil, err
			}
			gap, _ := o.GapFor(o.Amplitude(field.Flat(t*1e-6)) * ratio)
			got = append(got, gap*1e6-t)
		}
		r := note("edges", "CORNER-UM", "error of the reading in an inner corner, unadjusted", fmt.Sprintf("coil M, %g mm from the wall, true 100 / 500 / 1000 um", k.distance))
		r.several(k.want, got, 1, unadjusted)
		rows = append(rows, r)
	}
	return rows, nil
}

// coredCurvatureRows are the curvature effects of section 3.5: finite elements of the prototypes' time, of which one radius
// is in no table. They were linearised with the slope between neighbouring lift-offs of the tables (found by comparing);
// an instrument follows the curve.
func coredCurvatureRows() ([]Row, error) {
	head := magneticCored()
	s, err := field.NewSensor(head)
	if err != nil {
		return nil, err
	}
	o, err := s.Over(field.Thick(steel(300)))
	if err != nil {
		return nil, err
	}
	var rows []Row
	for _, c := range []struct {
		radius float64
		want   []float64
	}{{5, []float64{99, 166, 363, 963}}, {10, []float64{42, 71, 156, 422}}, {25, []float64{15, 26, 55, 144}}, {50, []float64{8, 13, 27, 69}}} {
		var bySlope []float64
		var byCurve []string
		lifts := []float64{0, .1, .5, 2}
		neighbours := [][2]float64{{0, .025}, {.05, .2}, {.3, .75}, {1.5, 2}}
		for i, h := range lifts {
			d, err := field.OverSphere(head, steel(300), c.radius*1e-3, h*1e-3)
			if err != nil {
				return nil, err
			}
			signal, flat := cmplx.Abs(d)/s.AirInductance(), func(um float64) float64 { return o.Amplitude(field.Flat(um * 1e-6)) }
			below, above := neighbours[i][0]*1e3, neighbours[i][1]*1e3
			slope := math.Log(flat(below)/flat(above)) / (above - below)
			if below < h*1e3 && h*1e3 < above { // second order between unequal steps
				down, up := math.Log(flat(below)/flat(h*1e3))/(h*1e3-below), math.Log(flat(h*1e3)/flat(above))/(above-h*1e3)
				slope = (down*(above-h*1e3) + up*(h*1e3-below)) / (above - below)
			}
			bySlope = append(bySlope, math.Log(flat(h*1e3)/signal)/slope)
			gap, _ := o.GapFor(signal)
			byCurve = append(byCurve, fmt.Sprintf("%.0f", gap*1e6-h*1e3))
		}
		r := note("curvature", "CORED-BALL", "effect of curvature on the reading", fmt.Sprintf("coil M with core, steel mur 300, ball of %g mm, lift-off %v mm", c.radius, lifts))
		r.Section, r.Source, r.Origin = "Curvature, ferrite core", "axisymmetric finite elements, differences noted with the physics", sourceByKey("fe-axisymmetric")
		r.several(c.want, bySlope, 1, unadjusted)
		r.Reason = "by the slope between neighbouring lift-offs, as the figures were made; along the curve " + strings.Join(byCurve, " / ") + " um"
		rows = append(rows, r)
	}
	return rows, nil
}

// compositionRows judge the rule by which ideal shapes are joined to real metal against the exact series of a ball,
// section 3.6: the largest error of the signal over lift-offs of 0.02 to 1 mm.
func compositionRows() ([]Row, error) {
	eddyCored := eddyCoil(2e6)
	eddyCored.Core = &field.Core{Radius: .6e-3, Length: 2.5e-3, Recess: 50e-6, RelPermeability: 1000}
	static := field.Metal{RelPermeability: 30}
	var rows []Row
	for _, c := range []struct {
		name          string
		head          field.Head
		metal         field.Metal
		radius        float64
		figure, limit float64 // limit 0: 1.5 times the figure, the smallest ratio that section 8 allows itself
	}{
		{"coil E, copper 58 MS/m", eddyCoil(1e6), conductor(58), 5, 5e-4, 2e-3},
		{"coil E, aluminium 35 MS/m", eddyCoil(1e6), conductor(35), 5, 5e-4, 2e-3},
		{"coil E, aluminium 20 MS/m", eddyCoil(1e6), conductor(20), 5, 5e-4, 2e-3},
		{"coil E, 1 MS/m", eddyCoil(1e6), conductor(1), 5, 3e-3, 0},
		{"coil E with core, 2 MHz, 35 MS/m", eddyCored, conductor(35), 5, 2e-4, 2e-3},
		{"coil E with core, 2 MHz, 35 MS/m", eddyCored, conductor(35), 10, 9e-5, 2e-3},
		{"coil E with core, 2 MHz, 35 MS/m", eddyCored, conductor(35), 25, 4e-5, 2e-3},
		{"coil M, steel mur 1000", magneticCoil(), steel(1000), 10, 2e-3, 1e-2},
		{"coil M, steel mur 300", magneticCoil(), steel(300), 10, 3e-3, 1e-2},
		{"coil M, steel mur 100", magneticCoil(), steel(100), 10, 5e-3, 1e-2},
		{"coil M, steel mur 1000", magneticCoil(), steel(1000), 5, 6e-3, 0},
		{"coil M, steel mur 300", magneticCoil(), steel(300), 5, 1.0e-2, 0},
		{"coil M, steel mur 100", magneticCoil(), steel(100), 5, 1.6e-2, 0},
		{"coil M with core, steel mur 300", magneticCored(), steel(300), 5, 1.4e-2, 0},
		{"coil M with core, steel mur 300", magneticCored(), steel(300), 10, 6e-3, 1e-2},
		{"coil M with core, steel mur 300", magneticCored(), steel(300), 25, 3e-4, 1e-2},
		{"coil M with core, steel mur 100", magneticCored(), steel(100), 5, 2.2e-2, 0},
		{"coil M with core, steel mur 100", magneticCored(), steel(100), 10, 9e-3, 1e-2},
		{"coil M with core, steel mur 100", magneticCored(), steel(100), 25, 4e-4, 1e-2},
		{"coil M, mur 30 at rest", magneticCoil(), static, 5, 2.1e-2, 0},
		{"coil M, mur 30 at rest", magneticCoil(), static, 25, 5e-3, 1e-2},
	} {
		kind, recess := field.Attracting, 0.0
		if c.metal.RelPermeability == 1 {
			kind, recess = field.Repelling, c.metal.SkinDepth(c.head.Frequency)/2
		}
		s, err := field.NewSensor(c.head)
		if err != nil {
			return nil, err
		}
		o, err := s.Over(field.Thick(c.metal))
		if err != nil {
			return nil, err
		}
		ideal, err := s.Over(field.Thick(field.Metal{RelPermeability: 1e9}))
		if kind == field.Repelling {
			ideal, err = s.Over(field.Thick(conductor(1e12)))
		}
		if err != nil {
			return nil, err
		}
		worst := 0.0
		for _, gap := range []float64{.02e-3, .2e-3, 1e-3} {
			exact, err := field.OverSphere(c.head, c.metal, c.radius*1e-3, gap)
			if err != nil {
				return nil, err
			}
			ball, err := field.IdealOverSphere(c.head, kind, c.radius*1e-3-recess, gap+recess)
			if err != nil {
				return nil, err
			}
			flat := ideal.Amplitude(field.Flat(gap+recess)) * s.AirInductance()
			composed := o.Amplitude(field.Flat(gap)) * s.AirInductance() * math.Abs(ball) / flat
			worst = max(worst, math.Abs(composed/cmplx.Abs(exact)-1))
		}
		limit := c.limit
		if limit == 0 {
			limit = 1.5 * c.figure
		}
		r := atMost("COMPOSED", "largest error of composing a ball from ideal shape and real flat metal, against the exact series",
			fmt.Sprintf("%s, radius %g mm, lift-off 0.02 to 1 mm", c.name, c.radius), worst, c.figure, limit)
		r.Section = "Prototype figures: composition"
		rows = append(rows, r)
	}
	return rows, nil
}

// onReadingPathRows judge the tables of the bench's own probes against the exact series of a ball.
func onReadingPathRows() ([]Row, error) {
	var rows []Row
	for _, d := range probe.Designs() {
		in, err := newInstrument(d.ID)
		if err != nil {
			return nil, err
		}
		magnetic := d.Principle == probe.MagneticInduction
		tolerance := 2e-3
		if magnetic {
			tolerance = 1e-2
		}
		for _, times := range []float64{4, 10} {
			radius := times * d.Head.Coil.OuterRadius
			for _, share := range []float64{0, 0.1, 0.5} {
				um := share * d.RangeUm
				p := field.Flat(um * 1e-6)
				p.Curvature = [2]float64{1 / radius, 1 / radius}
				exact := in.ball(radius)(um)
				got := in.std.Amplitude(p)
				rows = append(rows, Row{
					ID: "PATH-BALL", Section: "Reading path against the exact series", Quantity: "signal on a ball by tables and composition",
					Inputs: fmt.Sprintf("%s, radius %.3g mm, lift-off %g um", d.ID, radius*1e3, um), Source: "multipole series, W. R. Smythe, ch. 10",
					Origin: sourceByKey("series"), Expected: complex(exact, 0), Got: complex(got, 0), Unit: "1", Tolerance: tolerance, Relative: true,
					Reason: fmt.Sprintf("%.2g um in the reading", in.apparent(got)-in.apparent(exact)),
				})
				rows[len(rows)-1].judge()
			}
		}
	}
	return rows, nil
}

// planarNoteRows are the figures of section 1 that no table or limit holds.
func planarNoteRows() ([]Row, error) {
	head := field.Head{Coil: field.Coil{InnerRadius: 6.15e-3, OuterRadius: 12.4e-3, Height: 6.15e-3, Recess: 0.88e-3, Turns: 3790}, Frequency: 900}
	s, err := field.NewSensor(head)
	if err != nil {
		return nil, err
	}
	change, err := s.Flat(field.Plate(conductor(30.6), 12.22e-3), 0)
	if err != nil {
		return nil, err
	}
	r := note("planar", "T15-PROTOTYPE", "inductance; resistance; reactance over the plate of TEAM problem 15", "900 Hz")
	r.Unit = "mH; ohm; ohm"
	z := change * complex(0, 2*math.Pi*head.Frequency)
	r.several([]float64{225.99, 120.6505, -267.6580}, []float64{s.AirInductance() * 1e3, real(z), imag(z)}, 4, func(w float64) float64 { return 5e-5 * math.Abs(w) })
	rows := []Row{r}
	for _, c := range []struct {
		name string
		kind field.Ideal
		want float64
	}{{"attracting", field.Attracting, 1.005}, {"repelling", field.Repelling, 1.012}} {
		got, err := bent(magneticCoil(), c.kind, false, -400, 0)
		if err != nil {
			return nil, err
		}
		r := note("curvature", "HOLLOW", "signal in a hollow of 400 mm, ratio to flat", "coil M, "+c.name+" metal, in contact")
		r.Unit = "1"
		r.several([]float64{c.want}, []float64{got}, 4, rounded(1e-3))
		rows = append(rows, r)
	}
	return rows, nil
}
