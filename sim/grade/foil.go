package grade

import (
	"fmt"
	"math"

	"foilwright/sim/bench"
	"foilwright/sim/part"
)

// wanted is how many foils the job's adjustment asks for.
func (v *evidence) wanted() int {
	switch v.e.Job.Adjustment {
	case "one-foil":
		return 1
	case "two-foil":
		return 2
	}
	return 0
}

var foils = []Check{
	{
		ID: "foil-missing", Name: "Foil adjustment missing", Group: Adjustment, Severity: Critical,
		Means: "the job asks for a foil adjustment and the part was measured without it", Source: commonPractice,
		mask: bench.BaseMetal | bench.Piece | bench.Wear,
		find: func(v *evidence) []Finding {
			for _, s := range v.states {
				if len(s.kept) > 0 && len(s.foils) < v.wanted() {
					return []Finding{{
						Entries: v.entries(s.kept[:1]), Readings: len(s.kept), Of: len(v.kept),
						What: fmt.Sprintf("%s of the part taken with %s adjusted; the job asks for %d.", plural(len(s.kept), "reading"), plural(len(s.foils), "foil"), v.wanted()),
						Do:   fmt.Sprintf("After the zero, adjust on %s laid on %q.", plural(v.wanted(), "foil"), v.twin()),
					}}
				}
			}
			return nil
		},
	},
	{
		ID: "foil-few", Name: "Too few foil readings", Group: Adjustment, Severity: Major,
		Means: "the foil adjustment rests on fewer readings than asked", Source: commonPractice, mask: bench.TooFew,
		find: func(v *evidence) []Finding { return few(v, bench.Foiling, v.limits.FoilReadings, "foil") },
	},
	{
		ID: "foil-label", Name: "Label set, not the certified value", Group: Adjustment, Severity: Major,
		Means: "the value set for the foil is the nominal value printed on it", Source: commonPractice, mask: bench.FoilValue,
		find: func(v *evidence) []Finding { return v.setValues(true) },
	},
	{
		ID: "foil-value", Name: "Wrong value set for the foil", Group: Adjustment, Severity: Major,
		Means:  "the value set for the foil is neither its certified value nor its label; critical when the effect is above the tolerance",
		Source: commonPractice, mask: bench.FoilValue,
		find: func(v *evidence) []Finding { return v.setValues(false) },
	},
	{
		ID: "foil-choice", Name: "Foil does not fit the job", Group: Adjustment, Severity: Major,
		Means:  "one foil: not near the expected thickness; two foils: they do not bracket it",
		Source: "MIL-HDBK-1110: foil close to the expected thickness; bracketing is common practice, no source",
		mask:   bench.BaseMetal | bench.FoilTruth | bench.Wear, find: foilChoice,
	},
	{
		ID: "foil-on-coating", Name: "Foil laid on a coating", Group: Adjustment, Severity: Critical,
		Means: "the foil was laid on coated metal, so its coating was adjusted away with it", Source: commonPractice, mask: bench.Piece,
		find: func(v *evidence) []Finding {
			for _, a := range v.used(bench.Foiling) {
				for _, i := range a.Contacts {
					if c := v.contact(i); c.Foil != "" && v.coated(c.Piece) {
						return found(fmt.Sprintf("The foil lay on the coating of %q during the adjustment.", v.label(c.Piece)),
							fmt.Sprintf("Lay the foil on bare metal: %q.", v.twin()), a.Entry)
					}
				}
			}
			return nil
		},
	},
	{
		ID: "fallback-unjustified", Name: "Adjusted on a coated piece", Group: Adjustment, Severity: Major,
		Means:  "adjusted on a coated piece though an uncoated one was there; critical when that piece is the part itself",
		Source: commonPractice, mask: bench.Piece | bench.FoilValue | bench.BaseMetal,
		find: func(v *evidence) []Finding {
			for _, a := range v.used(bench.Foiling) {
				for _, i := range a.Contacts {
					c := v.contact(i)
					if c.Foil != "" || !v.coated(c.Piece) || !v.hasTwin() {
						continue
					}
					f := Finding{
						Entries: []int{a.Entry},
						What:    fmt.Sprintf("The instrument was set to %.1f µm on the coating of %q though %q was there.", a.SetUm, v.label(c.Piece), v.twin()),
						Do:      "Adjust on a foil on the uncoated piece; a coated piece is for when no uncoated one can be had.",
					}
					if c.Piece == v.w.Part.ID {
						f.Severity = Critical
					}
					return []Finding{f}
				}
			}
			return nil
		},
	},
	{
		ID: "foil-left", Name: "Foil left on the part", Group: Adjustment, Severity: Critical,
		Means: "a foil lay on the part while it was measured", Source: commonPractice, mask: bench.FoilLeft,
		find: func(v *evidence) []Finding {
			var on []int
			for _, i := range v.kept {
				if v.contact(i).Foil != "" {
					on = append(on, i)
				}
			}
			if len(on) == 0 {
				return nil
			}
			return []Finding{{
				Entries: v.entries(on[:1]), Readings: len(on), Of: len(v.kept),
				What: fmt.Sprintf("%s of the part taken with the foil still on it.", plural(len(on), "reading")),
				Do:   "Take the foil away before you measure the part.",
			}}
		},
	},
	{
		ID: "order", Name: "Steps out of order", Group: Adjustment, Severity: Major,
		Means: "a foil adjustment made before the zero, which wiped it", Source: commonPractice, mask: bench.BaseMetal | bench.Piece | bench.Wear,
		find: func(v *evidence) []Finding {
			for _, s := range v.states {
				if len(s.lost) > 0 && len(s.foils) < v.wanted() {
					return found("The foil adjustment was made before the zero, and the zero wiped it.",
						"Zero first, then adjust on the foil.", v.r.Adjustings[s.lost[0]].Entry, v.r.Adjustings[s.zero].Entry)
				}
			}
			return nil
		},
	},
}

func (v *evidence) hasTwin() bool {
	for _, p := range v.w.References {
		if v.w.Matches(p.ID) {
			return true
		}
	}
	return false
}

// setValues finds foils set to another value than certified: to their label,
// or to something else.
func (v *evidence) setValues(label bool) []Finding {
	for _, a := range v.used(bench.Foiling) {
		f := v.foil(a.Foil)
		if f == nil || math.Abs(a.SetUm-f.CertifiedUm) <= v.res/2+1e-9 {
			continue
		}
		if isLabel := math.Abs(a.SetUm-f.LabelUm) <= v.res/2+1e-9; isLabel != label {
			continue
		}
		do := "Set the value on the foil's certificate; the label is only its nominal thickness."
		what := fmt.Sprintf("%.1f µm was set for the foil, as its label says; its certificate says %.1f µm.", a.SetUm, f.CertifiedUm)
		finding := Finding{Entries: []int{a.Entry}, What: what, Do: do}
		if !label {
			finding.What = fmt.Sprintf("%.1f µm was set for the foil labelled %g µm; its certificate says %.1f µm.", a.SetUm, f.LabelUm, f.CertifiedUm)
			finding.Do = "Read the set value back against the certificate before you store it."
			if math.Abs(v.costUm(bench.FoilValue)) > v.limits.InstrumentUm(v.e.Job.NominalUm) {
				finding.Severity = Critical
			}
		}
		return []Finding{finding}
	}
	return nil
}

// suspect reports whether a verification judged bad spoke against a foil: it
// was used in that verification or in the adjustment before it.
func (v *evidence) suspect(id string) bool {
	for i := range v.r.Verifications {
		c := &v.r.Verifications[i]
		if c.Judged != "bad" {
			continue
		}
		if c.Foil == id {
			return true
		}
		for k := range v.r.Adjustings {
			if a := &v.r.Adjustings[k]; a.Entry < c.Entry && a.Foil == id {
				return true
			}
		}
	}
	return false
}

// foilChoice compares the foils used with the expected range and with the
// foils there were.
func foilChoice(v *evidence) []Finding {
	expected := v.e.Job.ExpectedUm
	var used []*part.Foil
	var entries []int
	for _, a := range v.used(bench.Foiling) {
		if f := v.foil(a.Foil); f != nil {
			used, entries = append(used, f), append(entries, a.Entry)
		}
	}
	if len(used) == 0 || len(used) < v.wanted() {
		return nil
	}
	if v.wanted() == 1 {
		middle := (expected.Low + expected.High) / 2
		bestOff := math.Inf(1)
		for i := range v.w.Foils {
			if !v.w.Foils[i].Fit() || v.suspect(v.w.Foils[i].ID) {
				continue
			}
			bestOff = math.Min(bestOff, math.Abs(v.w.Foils[i].CertifiedUm-middle))
		}
		for i, f := range used {
			off := math.Abs(f.CertifiedUm - middle)
			if (f.CertifiedUm < expected.Low || f.CertifiedUm > expected.High) && off > bestOff {
				return found(fmt.Sprintf("The foil of %.1f µm is outside the expected %g to %g µm.", f.CertifiedUm, expected.Low, expected.High),
					"For one foil take the one nearest the expected thickness.", entries[i])
			}
		}
		return nil
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, f := range used {
		low, high = math.Min(low, f.CertifiedUm), math.Max(high, f.CertifiedUm)
	}
	canLow, canHigh := false, false
	for i := range v.w.Foils {
		if !v.w.Foils[i].Fit() || v.suspect(v.w.Foils[i].ID) {
			continue
		}
		canLow = canLow || v.w.Foils[i].CertifiedUm <= expected.Low
		canHigh = canHigh || v.w.Foils[i].CertifiedUm >= expected.High
	}
	if low > expected.Low && canLow || high < expected.High && canHigh {
		return found(fmt.Sprintf("The foils of %.1f and %.1f µm do not bracket the expected %g to %g µm.", low, high, expected.Low, expected.High),
			"Take one foil below and one above the expected range.", entries...)
	}
	return nil
}
