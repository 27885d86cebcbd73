package grade

import (
	"fmt"
	"math"
	"slices"

	"foilwright/sim/bench"
	"foilwright/sim/part"
)

// counting lists the contacts that the result rests on: those of the
// adjustments and verifications that stand for it, and the kept readings.
func (v *evidence) counting() []int {
	list := v.onFoils()
	for _, a := range v.used(bench.Zeroing) {
		list = append(list, a.Contacts...)
	}
	list = append(list, v.kept...)
	slices.Sort(list)
	return slices.Compact(list)
}

// onFoils lists the contacts of the foil adjustments and verifications that
// stand for the result.
func (v *evidence) onFoils() []int {
	var list []int
	for _, a := range v.used(bench.Foiling) {
		list = append(list, a.Contacts...)
	}
	for i := range v.r.Verifications {
		if c := &v.r.Verifications[i]; v.decides(c) {
			list = append(list, c.Contacts...)
		}
	}
	return list
}

// those picks contacts.
func (v *evidence) those(contacts []int, are func(*bench.Contact) bool) []int {
	var list []int
	for _, i := range contacts {
		if are(v.contact(i)) {
			list = append(list, i)
		}
	}
	return list
}

// touched is a finding about some of the contacts that count.
func (v *evidence) touched(list, of []int, what, do string) []Finding {
	if len(list) == 0 {
		return nil
	}
	return []Finding{{Entries: v.entries(list), Readings: len(list), Of: len(of), contacts: list, What: what, Do: do}}
}

func uncheckedTip(v *evidence) []Finding {
	if len(v.r.Contacts) == 0 {
		return nil
	}
	first := &v.r.Contacts[0]
	looked := slices.ContainsFunc(v.r.Looked, func(l bench.Looked) bool {
		return (l.Verb == bench.LookAtTip || l.Verb == bench.WipeTip) && l.Entry < first.TouchEntry
	})
	if !looked {
		f := Finding{
			Entries: []int{first.TouchEntry},
			What:    "The probe touched metal before its tip had been looked at or wiped.",
			Do:      "Look at the tip and wipe it before the first contact: dirt under it adds to every reading.",
		}
		if first.TipDirtUm > 0 {
			f.What += " It was dirty."
			f.Severity = Major
		}
		return []Finding{f}
	}
	counting := v.counting()
	dirty := v.those(counting, func(c *bench.Contact) bool { return c.TipDirtUm > 0 })
	list := v.touched(dirty, counting, fmt.Sprintf("%s taken with dirt on the tip, which had been looked at and not wiped.", plural(len(dirty), "reading")),
		"Wipe the tip when a look at it shows dirt.")
	for i := range list {
		list[i].Severity = Major
	}
	return list
}

// expiredFoils finds foils used though their certificate had run out and
// another was in date.
func (v *evidence) expiredFoils() []Finding {
	inDate := slices.ContainsFunc(v.e.Standards(), func(f part.FoilSpec) bool { return f.Valid })
	used := v.those(v.onFoils(), func(c *bench.Contact) bool {
		id := v.knownUsed(c)
		return id != "" && !v.standard(id).Valid
	})
	if len(used) == 0 || !inDate {
		return nil
	}
	f := v.standard(v.knownUsed(v.contact(used[0])))
	return []Finding{{
		Severity: Major, Entries: v.entries(used[:1]), contacts: used,
		What: fmt.Sprintf("The %s labelled %g µm was used though its certificate %s has run out.", v.thickness(), f.LabelUm, f.Certificate),
		Do:   fmt.Sprintf("Use a %s whose certificate is in date.", v.thickness()),
	}}
}

func dirtySurfaces(v *evidence) []Finding {
	counting := v.counting()
	dirty := v.those(counting, func(c *bench.Contact) bool { return c.PieceDusty || c.FoilDusty })
	if len(dirty) == 0 {
		return nil
	}
	c := v.contact(dirty[0])
	on := fmt.Sprintf("%q", v.label(c.Piece))
	if !c.PieceDusty {
		on = fmt.Sprintf("the foil labelled %g µm", v.foil(c.Foil).LabelUm)
	}
	return v.touched(dirty, counting, fmt.Sprintf("%s taken with dust on %s.", plural(len(dirty), "reading"), on),
		"Look pieces and foils over and wipe them before the first reading.")
}

// unsettled compares the temperatures while adjusting with those while
// measuring.
func unsettled(v *evidence) []Finding {
	worst, of, at := 0.0, "", 0
	for _, s := range v.states {
		var adjusting []int
		for _, k := range append(slices.Clone(s.foils), s.zero) {
			if k >= 0 {
				adjusting = append(adjusting, v.r.Adjustings[k].Contacts...)
			}
		}
		for _, i := range adjusting {
			for _, k := range s.kept {
				a, c := v.contact(i), v.contact(k)
				instrument := math.Abs(v.w.InstrumentOffRoomK(a.CapturedAt) - v.w.InstrumentOffRoomK(c.CapturedAt))
				piece := math.Abs(v.w.PieceOffRoomK(a.Piece, a.CapturedAt) - v.w.PieceOffRoomK(c.Piece, c.CapturedAt))
				if instrument > worst {
					worst, of, at = instrument, "The instrument", c.Entry
				}
				if piece > worst {
					worst, of, at = piece, "The part", c.Entry
				}
			}
		}
	}
	if worst <= v.limits.SettledK {
		return nil
	}
	f := Finding{
		Entries: []int{at},
		What:    fmt.Sprintf("%s was up to %.0f K away from its temperature in the adjustment, or that of the reference piece; %g K are allowed.", of, worst, v.limits.SettledK),
		Do:      "Wait until instrument, reference pieces and part have one temperature, then adjust.",
	}
	if math.Abs(v.costUm(bench.Temperature)) > v.limits.InstrumentUm(v.e.Job.NominalUm)/2 {
		f.Severity = Major
	}
	return []Finding{f}
}

func magnetised(v *evidence) []Finding {
	if !v.e.Demagnetiser {
		return nil
	}
	counting := v.counting()
	on := v.those(counting, func(c *bench.Contact) bool { return c.Magnetised })
	if len(on) == 0 {
		return nil
	}
	return v.touched(on, counting, fmt.Sprintf("%s taken on %q, which was magnetised.", plural(len(on), "reading"), v.label(v.contact(on[0]).Piece)),
		"Hold a steel pin to each piece: where it clings, demagnetise the piece before you adjust or measure on it.")
}

// faultyFoils are the checks of how foils were used.
var faultyFoils = []Check{
	{
		ID: "foil-stacked", Name: "Foils stacked", Group: Adjustment, Severity: Major,
		Means: "an adjustment or verification was made on two foils, one on the other", Source: commonPractice, mask: bench.FoilFault,
		find: func(v *evidence) []Finding {
			on := v.onFoils()
			two := v.those(on, func(c *bench.Contact) bool { return c.Below != "" })
			if len(two) == 0 {
				return nil
			}
			c := v.contact(two[0])
			return v.touched(two, on, fmt.Sprintf("%s taken with the foil labelled %g µm lying on the one labelled %g µm.", plural(len(two), "reading"), v.foil(c.Foil).LabelUm, v.foil(c.Below).LabelUm),
				"Take one foil away before you lay another.")
		},
	},
	{
		ID: "foil-damaged", Name: "Damaged foil used", Group: Adjustment, Severity: Major,
		Means: "an adjustment or verification was made where a crease, a burr or wear of the foil changes its thickness", Source: commonPractice,
		mask: bench.FoilFault,
		find: func(v *evidence) []Finding {
			on := v.onFoils()
			bad := v.those(on, func(c *bench.Contact) bool { return math.Abs(v.w.FoilDamageUm(c)) > v.limits.FoilFaultUm })
			if len(bad) == 0 {
				return nil
			}
			f := v.foil(v.contact(bad[0]).Foil)
			return v.touched(bad, on, fmt.Sprintf("%s taken where the foil labelled %g µm is %s.", plural(len(bad), "reading"), f.LabelUm, f.Condition),
				"Look at each foil before use; lay a damaged one aside, or stand well clear of the fault.")
		},
	},
	{
		ID: "foil-airgap", Name: "Air under the foil", Group: Adjustment, Severity: Major,
		Means: "an adjustment or verification was made on a foil that did not lie flat", Source: commonPractice, mask: bench.FoilFault,
		find: func(v *evidence) []Finding {
			on := v.onFoils()
			bad := v.those(on, func(c *bench.Contact) bool { return v.w.CurlGapUm(c) > v.limits.FoilFaultUm })
			if len(bad) == 0 {
				return nil
			}
			return v.touched(bad, on, fmt.Sprintf("%s taken on the foil labelled %g µm, which curled and stood off the metal.", plural(len(bad), "reading"), v.foil(v.contact(bad[0]).Foil).LabelUm),
				"Smooth a curled foil down and hold it flat, clear of the probe.")
		},
	},
}
