package grade

import (
	"fmt"
	"math"
	"slices"

	"foilwright/sim/bench"
	"foilwright/sim/part"
)

// wanted is how many foils, or coated pieces, the job's adjustment asks for.
func (v *evidence) wanted() int { return v.e.Job.Thicknesses() }

// thickness is what the job has its known thicknesses on: "foil" or "coated piece".
func (v *evidence) thickness() string {
	if v.e.Job.OnCoated() {
		return "coated piece"
	}
	return "foil"
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
						What: fmt.Sprintf("%s of the part taken with %s adjusted; the job asks for %d.", plural(len(s.kept), "reading"), plural(len(s.foils), v.thickness()), v.wanted()),
						Do:   v.howToAdjust(),
					}}
				}
			}
			return nil
		},
	},
	{
		ID: "foil-few", Name: "Too few foil readings", Group: Adjustment, Severity: Major,
		Means: "the foil adjustment rests on fewer readings than asked", Source: commonPractice, mask: bench.TooFew,
		find: func(v *evidence) []Finding { return few(v, bench.Foiling, v.limits.FoilReadings, v.thickness()) },
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
							v.insteadOfCoating(fmt.Sprintf("Lay the foil on bare metal: %q.", v.twin())), a.Entry)
					}
				}
			}
			return nil
		},
	},
	{
		ID: "fallback-unjustified", Name: "Adjusted on a coated piece", Group: Adjustment, Severity: Major,
		Means:  "adjusted on a coated piece though an uncoated one was there, or on one of no certified thickness; critical when that piece is the part itself",
		Source: commonPractice, mask: bench.Piece | bench.FoilValue | bench.BaseMetal,
		find: unjustified,
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

// unjustified finds adjustments on the film of a piece that the job did not call
// for, or that nobody has certified.
func unjustified(v *evidence) []Finding {
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
			if v.e.Job.OnCoated() {
				if v.certified(c.Piece) {
					continue
				}
				f.What = fmt.Sprintf("The instrument was set to %.1f µm on the coating of %q, whose thickness no certificate gives, though %q was there.", a.SetUm, v.label(c.Piece), v.twin())
				f.Do = "Adjust on a coated piece whose thickness is certified by another method, and set the value of its certificate."
			}
			if c.Piece == v.w.Part.ID {
				f.Severity = Critical
			}
			return []Finding{f}
		}
	}
	return nil
}

// howToAdjust says how the job is adjusted on its known thicknesses.
func (v *evidence) howToAdjust() string {
	if v.e.Job.OnCoated() {
		return fmt.Sprintf("Set the instrument on %s of certified thickness, such as %q.", plural(v.wanted(), "coated piece"), v.twin())
	}
	return fmt.Sprintf("After the zero, adjust on %s laid on %q.", plural(v.wanted(), "foil"), v.twin())
}

// insteadOfCoating is the advice to one who took a coating for bare metal: the
// usual one, or that of a job which has no bare metal.
func (v *evidence) insteadOfCoating(usual string) string {
	if !v.e.Job.OnCoated() {
		return usual
	}
	return fmt.Sprintf("There is no bare metal like the part's: take no zero and no foil, and set the certified value of %q on its own coating.", v.twin())
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
		f, known := v.e.Known(a.Piece, a.Foil)
		if !known || a.Foil != "" && v.certified(a.Piece) || math.Abs(a.SetUm-f.CertifiedUm) <= v.res/2+1e-9 {
			continue
		}
		on := "foil"
		if a.Foil == "" {
			on = "coated piece"
		}
		if isLabel := math.Abs(a.SetUm-f.LabelUm) <= v.res/2+1e-9; isLabel != label {
			continue
		}
		do := fmt.Sprintf("Set the value on the %s's certificate; the label is only its nominal thickness.", on)
		what := fmt.Sprintf("%.1f µm was set for the %s, as its label says; its certificate says %.1f µm.", a.SetUm, on, f.CertifiedUm)
		finding := Finding{Entries: []int{a.Entry}, What: what, Do: do}
		if !label {
			finding.What = fmt.Sprintf("%.1f µm was set for the %s labelled %g µm; its certificate says %.1f µm.", a.SetUm, on, f.LabelUm, f.CertifiedUm)
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
		if c.Foil == id || c.Foil == "" && c.Piece == id {
			return true
		}
		for k := range v.r.Adjustings {
			if a := &v.r.Adjustings[k]; a.Entry < c.Entry && (a.Foil == id || a.Foil == "" && a.Piece == id) {
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
	standards, noun := v.e.Standards(), v.thickness()
	var used []part.FoilSpec
	var entries []int
	for _, a := range v.used(bench.Foiling) {
		of := a.Foil
		if v.e.Job.OnCoated() {
			if of = a.Piece; a.Foil != "" {
				continue // laid on a coating, or on another metal: found elsewhere
			}
		}
		if i := slices.IndexFunc(standards, func(f part.FoilSpec) bool { return f.ID == of }); i >= 0 {
			used, entries = append(used, standards[i]), append(entries, a.Entry)
		}
	}
	if len(used) == 0 || len(used) < v.wanted() {
		return nil
	}
	if v.wanted() == 1 {
		middle := (expected.Low + expected.High) / 2
		bestOff := math.Inf(1)
		for _, f := range standards {
			if f.Fit() && !v.suspect(f.ID) {
				bestOff = math.Min(bestOff, math.Abs(f.CertifiedUm-middle))
			}
		}
		for i, f := range used {
			off := math.Abs(f.CertifiedUm - middle)
			if (f.CertifiedUm < expected.Low || f.CertifiedUm > expected.High) && off > bestOff {
				return found(fmt.Sprintf("The %s of %.1f µm is outside the expected %g to %g µm.", noun, f.CertifiedUm, expected.Low, expected.High),
					fmt.Sprintf("For one %s take the one nearest the expected thickness.", noun), entries[i])
			}
		}
		return nil
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, f := range used {
		low, high = math.Min(low, f.CertifiedUm), math.Max(high, f.CertifiedUm)
	}
	canLow, canHigh := false, false
	for _, f := range standards {
		if !f.Fit() || v.suspect(f.ID) {
			continue
		}
		canLow = canLow || f.CertifiedUm <= expected.Low
		canHigh = canHigh || f.CertifiedUm >= expected.High
	}
	if low > expected.Low && canLow || high < expected.High && canHigh {
		return found(fmt.Sprintf("The %ss of %.1f and %.1f µm do not bracket the expected %g to %g µm.", noun, low, high, expected.Low, expected.High),
			fmt.Sprintf("Take one %s below and one above the expected range.", noun), entries...)
	}
	return nil
}
