package grade

import (
	"fmt"
	"math"

	"foilwright/sim/bench"
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
			allowed := int(math.Floor(discardShare * float64(v.e.Job.Spots*v.e.Job.PerSpot)))
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
			return found(fmt.Sprintf("%.1f µm was reported where the instrument showed %.1f µm.", v.r.Result.MeanUm, v.r.Result.MeanUm-off),
				"Copy the mean from the instrument and read it back.", v.r.Result.Entry)
		},
	},
	{
		ID: "decision-wrong", Name: "Decision against the rule", Group: Recording, Severity: Critical,
		Means: "the decision does not follow from the trainee's own figures by the rule on the job sheet", Source: "the job sheet",
		find: func(v *evidence) []Finding {
			if v.r.Result == nil || v.decisionFollows() {
				return nil
			}
			rule := v.e.Job.Rule
			means := v.r.Result.SpotMeansUm(v.res)
			lowest := math.Inf(1)
			for _, m := range means {
				lowest = math.Min(lowest, m)
			}
			return found(fmt.Sprintf("The decision was %s, but the mean of the spots is %.1f µm and the lowest spot %.1f µm against limits of %g and %g µm.",
				v.r.Result.Verdict, mean(means), lowest, rule.MinimumUm, rule.SpotFraction*rule.MinimumUm),
				"Go through the rule on the job sheet point by point before you decide.", v.r.Result.Entry)
		},
	},
}

func mean(values []float64) float64 {
	sum := 0.0
	for _, x := range values {
		sum += x
	}
	return sum / float64(len(values))
}

// decisionFollows reports whether the decision follows by the rule from the
// mean of the spots or, where readings are unevenly spread, of all readings.
func (v *evidence) decisionFollows() bool {
	spots := v.r.Result.SpotMeansUm(v.res)
	if len(spots) == 0 {
		return true // no readings of this job: another check's matter
	}
	all := 0.0
	n := 0
	for _, s := range v.r.Result.Readings {
		if s.Entry > 0 {
			all += float64(float64(s.Counts) * v.res)
			n++
		}
	}
	rule := v.e.Job.Rule
	return v.r.Result.Verdict == rule.Verdict(mean(spots), spots) || v.r.Result.Verdict == rule.Verdict(all/float64(n), spots)
}

// decisionFollowsFrom reports whether the decision follows by the rule from
// another mean, with further spots taken along.
func (v *evidence) decisionFollowsFrom(meanUm float64, spotsUm ...float64) bool {
	spotsUm = append(spotsUm, v.r.Result.SpotMeansUm(v.res)...)
	return v.r.Result.Verdict == v.e.Job.Rule.Verdict(meanUm, spotsUm)
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
