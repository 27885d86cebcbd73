package screens

import (
	"math"

	"foilwright/internal/say"
	"foilwright/sim/field"
	"foilwright/sim/part"
)

// leastWhyUm is the difference from which on there is something to explain: below
// it a held probe's own tremor decides.
const leastWhyUm = 0.25

// whyField says in a sentence what the place here does to a reading, against the
// place of the adjustment, and why: by the one difference that does most of it.
func whyField(there, here *standing, un units, touching bool) string {
	total := apparentUm(there, here)
	least := math.Max(un.resolutionUm/2, leastWhyUm)
	if math.Abs(total) < least {
		return say.T("Nothing here changes the field against the place of the adjustment: the same film reads the same.")
	}
	// Each difference by itself, on the place of the adjustment.
	alone := func(change func(s *standing)) float64 {
		s := *there
		change(&s)
		return apparentUm(there, &s)
	}
	type cause struct {
		um  float64
		say string
	}
	causes := []cause{
		{alone(func(s *standing) { s.over = here.over }), ""},
		{alone(func(s *standing) {
			s.place.EdgeDistance, s.place.AirAngle = here.place.EdgeDistance, here.place.AirAngle
		}), sayEdge(there, here)},
		{alone(func(s *standing) { s.place.WallNearness = here.place.WallNearness }), say.T("the wall beside the probe adds metal")},
		{alone(func(s *standing) { s.place.Curvature = here.place.Curvature }), sayCurvature(there, here)},
		{alone(func(s *standing) { s.place.Tilt = here.place.Tilt }), say.T("leaning by %.0f°, the probe stands otherwise to the metal", here.place.Tilt/degree)},
	}
	for i, b := range here.place.Beside {
		if f := here.spot.of[i]; f != nil {
			causes = append(causes, cause{alone(func(s *standing) { s.place.Beside[i] = b }), sayFeature(f, &b)})
		}
	}
	if f := there.spot.of[0]; f != nil {
		causes = append(causes, cause{alone(func(s *standing) { s.place.Beside = [field.MostBeside]field.Feature{} }),
			say.T("it was adjusted beside a %s", f.Kind)})
	}
	causes[0].say = sayMetal(there, here, causes[0].um)
	most := &causes[0]
	for i := range causes {
		if math.Abs(causes[i].um) > math.Abs(most.um) {
			most = &causes[i]
		}
	}
	sees, reads := say.T("less"), say.T("high")
	if total < 0 {
		sees, reads = say.T("more"), say.T("low")
	}
	lead := say.T("Set down here, the probe sees ")
	if touching {
		lead = say.T("The probe sees ")
	}
	text := say.T("%s%s and reads %s %s %s", lead, sees, un.um(math.Abs(total)), un.name(), reads)
	if most.um*total <= 0 {
		return text + "."
	}
	text += ": " + most.say + "."
	if rest := total - most.um; math.Abs(rest) > math.Max(0.25*math.Abs(total), least) {
		text += say.T(" That alone makes %s %s.", un.signed(most.um), un.name())
	}
	return text
}

// sayFeature tells what a hole, a step or a weld does.
func sayFeature(f *part.Feature, b *field.Feature) string {
	mm := b.Distance * 1e3
	switch {
	case f.Kind == part.Hole && mm < 0:
		return say.T("it stands over the hole, where there is no metal")
	case f.Kind == part.Hole:
		return say.T("the hole %.1f mm away takes metal from under it", mm)
	case b.Kind == field.StepUp(1, 1).Kind && f.Kind == part.Step:
		return say.T("the foot of the step %.1f mm away adds metal beside it", mm)
	case f.Kind == part.Step:
		return say.T("%.1f mm away the step goes down, and metal is missing there", mm)
	case b.Kind == field.StepUp(1, 1).Kind:
		return say.T("the weld %.1f mm away adds metal beside it", mm)
	}
	return say.T("it stands on the weld, whose flank %.1f mm away goes down to the plate", mm)
}

func sayEdge(there, here *standing) string {
	d, was := here.place.EdgeDistance, there.place.EdgeDistance
	if d < was {
		return say.T("the edge %.1f mm away takes metal from under it", d*1e3)
	}
	return say.T("it was adjusted %.1f mm from an edge, and here it has metal all round", was*1e3)
}

func sayCurvature(there, here *standing) string {
	mean := func(s *standing) float64 { return (s.place.Curvature[0] + s.place.Curvature[1]) / 2 }
	switch now, was := mean(here), mean(there); {
	case here.spot.bent && now > was:
		return say.T("on the bend the surface falls away from the tip")
	case here.spot.bent && now < was:
		return say.T("in the bend the surface comes up round the tip")
	case now > was && now > 0:
		return say.T("the surface falls away on all sides of the tip")
	case now < was && now < 0:
		return say.T("the hollow surface comes up round the tip")
	case now > was:
		return say.T("it was adjusted in a deeper hollow than this")
	}
	return say.T("it was adjusted on a rounder surface than this")
}

// sayMetal tells what other metal does: the stack here is another than there.
func sayMetal(there, here *standing, um float64) string {
	a, b := there.base, here.base
	if len(a) != len(b) {
		return say.T("there are other layers of metal here than where it was adjusted")
	}
	for i := range a {
		if a[i].Metal != b[i].Metal {
			return say.T("it is another metal than the one it was adjusted on")
		}
	}
	now, was := 0.0, 0.0
	for i := range a {
		now, was = now+b[i].Thickness, was+a[i].Thickness
	}
	thin := say.T("the metal is only %.2g mm thick", now*1e3)
	switch {
	case now < was && um > 0:
		return say.T("%s, and part of the field comes out behind it", thin)
	case now < was:
		// Near one skin depth a sheet throws back more than a block does.
		return say.T("%s, and currents in so thin a sheet throw the field back more strongly", thin)
	case math.IsInf(now, 1):
		return say.T("it was adjusted on thinner metal")
	}
	return say.T("it was adjusted on metal only %.2g mm thick", was*1e3)
}
