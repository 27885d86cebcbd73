package grade

import (
	"fmt"
	"math"

	"foilwright/sim/bench"
	"foilwright/sim/inspect"
)

var recording = []Check{
	{
		ID: "report-missing", Name: "Nothing reported", Group: Recording, Severity: Critical,
		Means: "the job was left without a result", Source: "the job sheet",
		find: func(v *evidence) []Finding {
			if v.r.Result != nil {
				return nil
			}
			return found("No result was reported.", "Report the mean and the decision before you finish.")
		},
	},
	{
		ID: "discard-unexplained", Name: "Reading dropped without a reason", Group: Recording, Severity: Major,
		Means: "a reading of the part was deleted, or cleared with the memory, and no reason was given", Source: commonPractice,
		find: func(v *evidence) []Finding {
			var silent []int
			for _, d := range v.discards() {
				if d.reason == "" {
					silent = append(silent, d.contact)
				}
			}
			if len(silent) == 0 {
				return nil
			}
			return found(fmt.Sprintf("%s of the part dropped without a reason.", plural(len(silent), "reading")),
				"Drop a reading only for a fault of technique, say which, and take it again.", v.entries(silent)...)
		},
	},
	{
		ID: "discard-excess", Name: "Too many readings dropped", Group: Recording, Severity: Major,
		Means: "more readings were dropped and taken again than may be", Source: "ISO 19840: repeat at most a fifth (from memory)",
		find: func(v *evidence) []Finding {
			dropped := v.discards()
			allowed := int(math.Floor(v.limits.DiscardPercent * float64(v.e.Job.Spots*v.e.Job.PerSpot) / 100))
			if len(dropped) <= max(1, allowed) {
				return nil
			}
			var contacts []int
			for _, d := range dropped {
				contacts = append(contacts, d.contact)
			}
			return found(fmt.Sprintf("%s of the part dropped; at most %d may be.", plural(len(dropped), "reading"), max(1, allowed)),
				"When many readings look wrong, look for the cause: handling, adjustment or the coating itself.", v.entries(contacts)...)
		},
	},
	{
		ID: "record-wrong", Name: "Wrong figure recorded", Group: Recording, Severity: Critical,
		Means: "the mean reported is not the one the instrument showed", Source: commonPractice, mask: bench.Recording,
		find: func(v *evidence) []Finding {
			off := v.r.RecordedOffUm()
			if math.Abs(off) <= v.res*(1+1e-9) {
				return nil
			}
			return found(fmt.Sprintf("%.1f µm was reported where the instrument showed %.1f µm.", v.r.Result.RecordedUm, v.r.Result.RecordedUm-off),
				"Copy the mean from the instrument and read it back.", v.r.Result.Entry)
		},
	},
	{
		ID: "allowance-missed", Name: "No allowance for roughness", Group: Recording, Severity: Major,
		Means:  "the job sheet has an allowance for roughness deducted, and nothing was deducted",
		Source: "ISO 19840, deduction for roughness after adjustment on smooth steel (from memory)", mask: bench.Allowance,
		find: func(v *evidence) []Finding {
			asked := v.e.Job.AllowanceUm
			if v.r.Result == nil || asked == 0 || v.r.Result.AllowanceUm > 0 {
				return nil
			}
			return found(fmt.Sprintf("The readings hold about %g µm of the blasted profile, and nothing was deducted.", asked),
				fmt.Sprintf("Deduct the %g µm the job sheet gives from the mean and from every spot before you decide.", asked), v.r.Result.Entry)
		},
	},
	{
		ID: "allowance-wrong", Name: "Wrong allowance for roughness", Group: Recording, Severity: Major,
		Means:  "another allowance for roughness was deducted than the job sheet gives",
		Source: "the job sheet", mask: bench.Allowance,
		find: func(v *evidence) []Finding {
			if v.r.Result == nil || v.r.Result.AllowanceUm == 0 || math.Abs(v.r.Result.AllowanceUm-v.e.Job.AllowanceUm) <= v.res*(0.5+1e-9) {
				return nil
			}
			if v.e.Job.AllowanceUm == 0 {
				return found(fmt.Sprintf("%.1f µm was deducted for roughness; the job sheet gives nothing to deduct.", v.r.Result.AllowanceUm),
					"Deduct an allowance only where the job sheet says so: an adjustment on metal of the part's own finish has taken the profile out already.", v.r.Result.Entry)
			}
			return found(fmt.Sprintf("%.1f µm was deducted for roughness; the job sheet gives %g µm.", v.r.Result.AllowanceUm, v.e.Job.AllowanceUm),
				"Take the allowance from the job sheet: it belongs to the grade of the blasted surface.", v.r.Result.Entry)
		},
	},
	{
		ID: "uncertainty-missing", Name: "No uncertainty stated", Group: Recording, Severity: Minor,
		Means: "the job asks for the uncertainty of the mean, and none was stated", Source: "the job sheet; ISO/IEC 17025, 7.8 (from memory)",
		find: func(v *evidence) []Finding {
			if r := v.r.Result; r == nil || !v.e.Job.StateUncertainty || r.ExpandedUm > 0 {
				return nil
			}
			return found("The mean was reported without its uncertainty, which the job asks for.",
				"Work out the expanded uncertainty from the spots, the adjustment, the certificates and the display, and state it.", v.r.Result.Entry)
		},
	},
	{
		ID: "uncertainty-wrong", Name: "Uncertainty not borne out", Group: Recording, Severity: Minor,
		Means: "the stated uncertainty is many times larger or smaller than the readings and certificates give", Source: "GUM (JCGM 100:2008), 4 and 5",
		find: func(v *evidence) []Finding {
			if v.r.Result == nil || !v.e.Job.StateUncertainty || v.r.Result.ExpandedUm == 0 {
				return nil
			}
			u, err := v.budget().Evaluate(0.95)
			stated := v.r.Result.ExpandedUm
			if err != nil || v.e.BorneOut(stated, u.Expanded) {
				return nil
			}
			return found(fmt.Sprintf("An expanded uncertainty of %.1f µm was stated; the readings and certificates give %.1f µm.", stated, u.Expanded),
				"Combine the spread of the spots, the adjustment, the certificates and the display, and take the factor for 95 %.", v.r.Result.Entry)
		},
	},
	{
		ID: "decision-wrong", Name: "Decision against the rule", Group: Recording, Severity: Critical,
		Means: "the decision does not follow from the trainee's own figures by the rule on the job sheet", Source: "the job sheet",
		find: func(v *evidence) []Finding {
			if v.r.Result == nil || v.decisionFollows() {
				return nil
			}
			rule := &v.e.Job.Rule
			spots := v.r.Result.Spots(rule, v.res)
			stated := v.r.Result.Stated()
			stated.MeanUm = 0
			what := fmt.Sprintf("The decision was %s; by the rule the figures reported lead to %s", v.r.Result.Verdict, rule.Verdict(spots, stated))
			if judged, err := rule.Judge(spots, stated); err == nil && len(judged.Reasons) > 0 {
				what += ": " + judged.Reasons[0].Text
			}
			return found(what+".", "Go through the rule on the job sheet point by point before you decide.", v.r.Result.Entry)
		},
	},
}

// decisionFollows reports whether the decision follows by the rule from the
// mean of the spots or, where readings are unevenly spread, of all readings.
func (v *evidence) decisionFollows() bool {
	spots := v.r.Result.Spots(&v.e.Job.Rule, v.res)
	if len(spots) == 0 {
		return true // no readings of this job: another check's matter
	}
	var all []float64
	for _, s := range spots {
		all = append(all, s.ReadingsUm...)
	}
	return v.decisionFollowsFrom(0) || v.decisionFollowsFrom(inspect.Describe(all).Mean)
}

// decisionFollowsFrom reports whether the decision follows by the rule from
// another mean, with further spots taken along; a mean of 0 is that of the
// spots.
func (v *evidence) decisionFollowsFrom(meanUm float64, spotsUm ...float64) bool {
	spots := v.r.Result.Spots(&v.e.Job.Rule, v.res)
	for _, um := range spotsUm {
		spots = append(spots, inspect.Spot{ReadingsUm: []float64{um}})
	}
	stated := v.r.Result.Stated()
	stated.MeanUm = meanUm
	return v.r.Result.Verdict == v.e.Job.Rule.Verdict(spots, stated)
}

// discard is a reading of the part that is not in the result.
type discard struct {
	contact int
	reason  string
}

// discards lists readings of the part that were dropped. Readings cleared
// because the instrument was adjusted again after them count as explained.
func (v *evidence) discards() []discard {
	kept := make(map[int]bool, len(v.kept))
	for _, i := range v.kept {
		kept[i] = true
	}
	last := math.MaxInt
	if v.r.Result != nil {
		last = v.r.Result.Entry
	}
	var list []discard
	for i := range v.r.Contacts {
		c := &v.r.Contacts[i]
		if c.Outcome != bench.Read || c.Mode != bench.Measuring || c.Piece != v.w.Part.ID || kept[i] || c.Entry > last {
			continue
		}
		reason := c.Reason
		if !c.Deleted {
			for k := range v.r.Adjustings {
				if v.r.Adjustings[k].Entry > c.Entry {
					reason = "adjusted again"
				}
			}
		}
		list = append(list, discard{i, reason})
	}
	return list
}
