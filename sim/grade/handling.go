package grade

import (
	"fmt"

	"foilwright/sim/bench"
)

var handling = []Check{
	{
		ID: "tilt", Name: "Probe tilted", Group: Handling, Severity: Major,
		Means: "the probe leaned more than allowed when the reading was taken; minor when it happened once", Source: commonPractice, mask: bench.Tilt,
		find: func(v *evidence) []Finding {
			most := 0.0
			return v.slips(func(c *bench.Contact) bool {
				if c.TiltDeg > most && c.TiltDeg > v.limits.TiltDeg {
					most = c.TiltDeg
				}
				return c.TiltDeg > v.limits.TiltDeg
			}, func(n string) string {
				return fmt.Sprintf("%s taken with the probe leaning up to %.0f°; %g° are allowed.", n, most, v.limits.TiltDeg)
			}, "Hold the probe square to the surface, and steady it with a finger on the part.", true)
		},
	},
	{
		ID: "dwell-short", Name: "Lifted too soon", Group: Handling, Severity: Major,
		Means: "the probe was lifted before it had settled", Source: commonPractice, mask: bench.Settling,
		find: func(v *evidence) []Finding {
			least := v.limits.DwellMs
			return v.slips(func(c *bench.Contact) bool {
				least = min(least, c.HeldMs)
				return c.HeldMs < v.limits.DwellMs
			}, func(n string) string {
				return fmt.Sprintf("%s taken after as little as %d ms of contact; the probe needs %d ms to settle.", n, least, v.limits.DwellMs)
			}, "Hold the probe still until the reading shows.", false)
		},
	},
	{
		ID: "lift-short", Name: "Lifted too little", Group: Handling, Severity: Major,
		Means: "the probe was not lifted clear before the next contact", Source: commonPractice, mask: bench.AirReference,
		find: func(v *evidence) []Finding {
			least := int64(1) << 40
			return v.slips(func(c *bench.Contact) bool {
				short := c.LiftedUm > 0 && float64(c.LiftedUm) < v.limits.LiftMm*1e3
				if short {
					least = min(least, c.LiftedUm)
				}
				return short
			}, func(n string) string {
				return fmt.Sprintf("%s taken after lifting as little as %.0f mm; %g mm are asked for.", n, float64(least)*1e-3, v.limits.LiftMm)
			}, "Lift the probe well clear of all metal between readings, so that the instrument sees air.", false)
		},
	},
	{
		ID: "slide", Name: "Probe dragged", Group: Handling, Severity: Major,
		Means: "the probe moved sideways in contact, which wears tip and coating", Source: commonPractice,
		find: func(v *evidence) []Finding {
			most := int64(0)
			return v.slips(func(c *bench.Contact) bool {
				most = max(most, c.SlideUm)
				return float64(c.SlideUm) > v.limits.SlideMm*1e3
			}, func(n string) string {
				return fmt.Sprintf("%s taken while the probe was dragged up to %.1f mm over the surface.", n, float64(most)*1e-3)
			}, "Set the probe down where you want to read and lift it again; never drag it.", false)
		},
	},
	{
		ID: "press", Name: "Wrong pressure", Group: Handling, Severity: Minor,
		Means:  "the probe was not pressed home, or pressed so hard that it marks the coating; major when a soft coating was pressed too hard",
		Source: commonPractice, mask: bench.Press | bench.Softness,
		find: func(v *evidence) []Finding {
			high, soft := v.limits.PressHighN, false
			list := v.slips(func(c *bench.Contact) bool {
				n, most := float64(c.PressMN)*1e-3, v.limits.PressHighN
				if v.soft(c) {
					most = v.limits.PressSoftN
				}
				if n > most && most < high {
					high, soft = most, true
				}
				return n < v.limits.PressLowN || n > most
			}, func(n string) string {
				return fmt.Sprintf("%s taken with a pressure outside %g to %g N.", n, v.limits.PressLowN, high)
			}, "Press firmly and evenly until the sleeve is home, no harder; on a soft coating no more than that takes.", false)
			for i := range list {
				if soft {
					list[i].Severity = Major
				}
			}
			return list
		},
	},
	{
		ID: "jerk", Name: "Rough landing", Group: Handling, Severity: Minor,
		Means: "the probe was dropped or knocked onto the surface", Source: commonPractice,
		find: func(v *evidence) []Finding {
			return v.slips(func(c *bench.Contact) bool { return c.LandingMmPerS > v.limits.LandMmPerS },
				func(n string) string {
					return fmt.Sprintf("%s began with a landing faster than %g mm/s.", n, v.limits.LandMmPerS)
				}, "Bring the probe down gently: a hard landing wears the tip and takes longer to settle.", false)
		},
	},
}

// soft reports whether a contact was on a film that is not yet hard.
func (v *evidence) soft(c *bench.Contact) bool {
	p := v.w.Piece(c.Piece)
	return c.Foil == "" && p != nil && p.Coating.SoftUmPerN > 0
}

// slips gathers readings, in the adjustment, in verifications and on the part,
// that were handled badly. Deleted readings are not held against anyone.
func (v *evidence) slips(bad func(*bench.Contact) bool, what func(readings string) string, do string, habit bool) []Finding {
	var list []int
	for _, i := range v.read {
		if bad(v.contact(i)) {
			list = append(list, i)
		}
	}
	if len(list) == 0 {
		return nil
	}
	f := Finding{
		Entries: v.entries(list), Readings: len(list), Of: len(v.read), contacts: list,
		What: what(plural(len(list), "reading")), Do: do,
	}
	if habit && len(list) < v.limits.Habit {
		f.Severity = Minor
	}
	return []Finding{f}
}
