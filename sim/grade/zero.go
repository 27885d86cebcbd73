package grade

import (
	"fmt"
	"math"
	"slices"

	"foilwright/sim/bench"
)

// byHand are the influences a slip of the hand acts through.
const byHand = bench.Tilt | bench.Press | bench.Settling | bench.AirReference

var zeroes = []Check{
	{
		ID: "zero-missing", Name: "No zero", Group: Adjustment, Severity: Critical,
		Means: "the part was measured without a zero on the uncoated piece", Source: commonPractice,
		mask: bench.BaseMetal | bench.ThinBase | bench.Curvature | bench.Texture | bench.Wear,
		find: func(v *evidence) []Finding {
			for _, s := range v.states {
				if len(s.kept) > 0 && s.zero < 0 && !v.e.Job.OnCoated() {
					return []Finding{{
						Entries: v.entries(s.kept[:1]), Readings: len(s.kept), Of: len(v.kept),
						What: fmt.Sprintf("%s of the part taken without a zero: the instrument did not know the part's metal.", plural(len(s.kept), "reading")),
						Do:   fmt.Sprintf("Zero on %q before anything else.", v.twin()),
					}}
				}
			}
			return nil
		},
	},
	{
		ID: "zero-few", Name: "Too few zero readings", Group: Adjustment, Severity: Major,
		Means: "the zero rests on fewer readings than asked", Source: commonPractice, mask: bench.TooFew,
		find: func(v *evidence) []Finding { return few(v, bench.Zeroing, v.limits.ZeroReadings, "zero") },
	},
	{
		ID: "zero-piece-mismatch", Name: "Adjusted on the wrong piece", Group: Adjustment, Severity: Major,
		Means:  "zero or foil adjustment on an uncoated piece whose metal, condition, thickness, curvature or finish is not the part's; critical when the effect is above the tolerance",
		Source: "ISO 2178 and ISO 2360, calibration on metal with the properties of the part (from memory)", mask: bench.Piece,
		find: func(v *evidence) []Finding {
			var entries []int
			piece := ""
			for _, a := range append(v.used(bench.Zeroing), v.used(bench.Foiling)...) {
				for _, i := range a.Contacts {
					if p := v.contact(i).Piece; v.wrong(p) && !slices.Contains(entries, a.Entry) {
						entries, piece = append(entries, a.Entry), p
					}
				}
			}
			if len(entries) == 0 {
				return nil
			}
			f := Finding{
				Entries: entries,
				What:    fmt.Sprintf("The instrument was adjusted on %q, which is not like the part: its %s.", v.label(piece), v.differing(piece)),
				Do:      fmt.Sprintf("Adjust on %q: same metal, condition, thickness, curvature and finish as the part.", v.twin()),
			}
			if math.Abs(v.costUm(bench.Piece)) > v.limits.InstrumentUm(v.e.Job.NominalUm) {
				f.Severity = Critical
			}
			return []Finding{f}
		},
	},
	{
		ID: "zero-on-coating", Name: "Zero on a coating", Group: Adjustment, Severity: Critical,
		Means: "the zero was taken on coated metal, or with a foil in between", Source: commonPractice,
		mask: bench.Piece | bench.BaseMetal | bench.ThinBase | bench.Curvature | bench.Texture | bench.FoilTruth | bench.Wear,
		find: func(v *evidence) []Finding {
			for _, a := range v.used(bench.Zeroing) {
				for _, i := range a.Contacts {
					c := v.contact(i)
					switch {
					case v.coated(c.Piece):
						return found(fmt.Sprintf("The zero was taken on the coating of %q, so that much coating counts as nothing.", v.label(c.Piece)),
							v.insteadOfCoating(fmt.Sprintf("Zero on bare metal: %q.", v.twin())), a.Entry)
					case c.Foil != "":
						return found("The zero was taken with a foil on the metal, so that foil counts as nothing.",
							"Take the foil away before you zero.", a.Entry)
					}
				}
			}
			return nil
		},
	},
	{
		ID: "zero-scatter", Name: "Scattered zero accepted", Group: Adjustment, Severity: Major,
		Means: "the spread of the zero readings is too wide, and the zero was stored all the same", Source: commonPractice,
		mask: byHand | bench.Noise,
		find: func(v *evidence) []Finding {
			limit := v.w.ZeroScatterUm()
			for _, a := range v.used(bench.Zeroing) {
				if spread := v.spreadUm(a, &v.whole); spread > limit {
					return []Finding{{
						Entries: []int{a.Entry}, contacts: a.Contacts,
						What: fmt.Sprintf("The zero readings spread over %.1f µm, more than %.1f µm, and were stored.", spread, limit),
						Do:   "Look at the zero readings before storing them; when one stands out, zero again.",
					}}
				}
			}
			return nil
		},
	},
	{
		ID: "zero-edge", Name: "Adjusted near an edge", Group: Adjustment, Severity: Major,
		Means:  "zero or foil readings nearer an edge or a wall of the piece than the part was measured, and nearer than the probe allows",
		Source: "ISO 2178 and ISO 2360, edge effect (from memory)", mask: bench.Edge | bench.Feature,
		find: func(v *evidence) []Finding {
			clear := len(v.kept) == 0 // whether any reading of the part was
			for _, i := range v.kept {
				clear = clear || v.tightest(i).room() >= 1
			}
			var near []int
			worst := clearance{mm: math.Inf(1), needsMm: 1}
			var entries []int
			for _, a := range append(v.used(bench.Zeroing), v.used(bench.Foiling)...) {
				for _, i := range a.Contacts {
					if c := v.tightest(i); c.room() < 1 && clear {
						if near = append(near, i); c.room() < worst.room() {
							worst = c
						}
						if !slices.Contains(entries, a.Entry) {
							entries = append(entries, a.Entry)
						}
					}
				}
			}
			if len(near) == 0 {
				return nil
			}
			return found(fmt.Sprintf("%s for the adjustment taken %s.", plural(len(near), "reading"), worst),
				"Adjust in the middle of the reference piece.", entries...)
		},
	},
}

// spreadUm is the spread of the readings of an adjustment in a replay.
func (v *evidence) spreadUm(a *bench.Adjusting, out *bench.Rerun) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, i := range a.Contacts {
		low, high = math.Min(low, out.ReadingUm[i]), math.Max(high, out.ReadingUm[i])
	}
	return math.Max(0, high-low)
}

// few finds adjustments of too few readings.
func few(v *evidence, mode bench.Mode, least int, noun string) []Finding {
	var entries []int
	n := least
	for _, a := range v.used(mode) {
		if len(a.Contacts) < least {
			entries, n = append(entries, a.Entry), min(n, len(a.Contacts))
		}
	}
	if len(entries) == 0 {
		return nil
	}
	return found(fmt.Sprintf("The %s rests on %s instead of %d.", noun, plural(n, "reading"), least),
		fmt.Sprintf("Take at least %d %s readings: the mean of few is off by chance, and every later reading with it.", least, noun), entries...)
}
