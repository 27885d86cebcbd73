package grade

import (
	"fmt"
	"math"
	"slices"

	"foilwright/sim/bench"
	"foilwright/sim/num"
)

var placement = []Check{
	{
		ID: "edge-near", Name: "Too near an edge", Group: Placement, Severity: Major,
		Means:  "measured nearer an edge or a wall than the probe allows, without an adjustment made there; critical when it changes the verdict",
		Source: "ISO 2178 and ISO 2360, edge effect (from memory)", mask: bench.Edge | bench.Feature,
		find: func(v *evidence) []Finding {
			near, worst := v.tooNear()
			if len(near) == 0 {
				return nil
			}
			f := Finding{
				Entries: v.entries(near), Readings: len(near), Of: len(v.kept), contacts: near,
				What: fmt.Sprintf("%s taken %s.", plural(len(near), "reading"), worst),
				Do:   fmt.Sprintf("Keep away from every %s unless the job asks for it and the adjustment was made at the same distance.", worst.from),
			}
			if v.changesVerdict(bench.Edge | bench.Feature) {
				f.Severity = Critical
			}
			return []Finding{f}
		},
	},
	{
		ID: "area-outside", Name: "Outside the area", Group: Placement, Severity: Major,
		Means: "measured outside the area the job asks for", Source: commonPractice, mask: bench.Sampling,
		find: func(v *evidence) []Finding {
			near, _ := v.tooNear()
			a := v.e.Job.Area
			grace := float64(v.limits.AreaGraceMm * 1e-3)
			a.X, a.Y = a.X-grace, a.Y-grace
			a.Width, a.Height = a.Width+float64(2*grace), a.Height+float64(2*grace)
			var outside []int
			for _, i := range v.kept {
				c := v.contact(i)
				// One by the edge is out of the area because it is by the edge.
				if !a.Contains(float64(c.XUm)*1e-6, float64(c.YUm)*1e-6) && !slices.Contains(near, i) {
					outside = append(outside, i)
				}
			}
			if len(outside) == 0 {
				return nil
			}
			return []Finding{{
				Entries: v.entries(outside), Readings: len(outside), Of: len(v.kept),
				What: fmt.Sprintf("%s taken outside the area on the job sheet.", plural(len(outside), "reading")),
				Do:   "Measure inside the marked area only.",
			}}
		},
	},
	{
		ID: "spots-few", Name: "Too few spots", Group: Placement, Severity: Critical,
		Means: "fewer spots measured than the plan asks for", Source: "the job sheet", mask: bench.Sampling,
		find: func(v *evidence) []Finding {
			if v.r.Result == nil || len(v.spots()) >= v.e.Job.Spots {
				return nil
			}
			what := fmt.Sprintf("%s reported; the job asks for %d.", plural(len(v.spots()), "spot"), v.e.Job.Spots)
			do := "Measure every spot the plan asks for before you report."
			if len(v.kept) >= v.e.Job.Spots*v.e.Job.PerSpot && len(v.wide()) > 0 {
				do = "Tell the instrument when you begin a new spot."
			}
			return found(what, do, v.r.Result.Entry)
		},
	},
	{
		ID: "readings-few", Name: "Too few readings in a spot", Group: Placement, Severity: Major,
		Means: "fewer readings in a spot than the plan asks for", Source: "the job sheet", mask: bench.Noise,
		find: func(v *evidence) []Finding {
			if v.r.Result == nil {
				return nil
			}
			var short []string
			var contacts []int
			for _, s := range v.spots() {
				if len(s.contacts) < v.e.Job.PerSpot {
					short = append(short, fmt.Sprintf("%d", s.number))
					contacts = append(contacts, s.contacts...)
				}
			}
			if len(short) == 0 {
				return nil
			}
			return []Finding{{
				Entries: v.entries(contacts),
				What:    fmt.Sprintf("Fewer than %s in spot %s.", plural(v.e.Job.PerSpot, "reading"), list(short)),
				Do:      "Take as many readings in every spot as the plan asks for.",
			}}
		},
	},
	{
		ID: "spots-clustered", Name: "Spots close together", Group: Placement, Severity: Major,
		Means: "the spots do not reach across the area", Source: commonPractice, mask: bench.Sampling,
		find: func(v *evidence) []Finding {
			spots := v.spots()
			if v.r.Result == nil || v.e.Job.Spots < 3 || len(spots) < 2 {
				return nil
			}
			low, high := point{math.Inf(1), math.Inf(1)}, point{math.Inf(-1), math.Inf(-1)}
			for _, s := range spots {
				low.x, low.y = math.Min(low.x, s.middle.x), math.Min(low.y, s.middle.y)
				high.x, high.y = math.Max(high.x, s.middle.x), math.Max(high.y, s.middle.y)
			}
			reach := num.Hypot(high.x-low.x, high.y-low.y)
			whole := num.Hypot(v.e.Job.Area.Width*1e3, v.e.Job.Area.Height*1e3)
			share := v.limits.ClusteredPercent / 100
			if len(spots) < v.e.Job.Spots {
				share = v.limits.ClusteredFewPercent / 100
			}
			if reach >= share*whole {
				return nil
			}
			return found(fmt.Sprintf("The spots reach across %.0f mm of an area of %.0f mm from corner to corner.", reach, whole),
				"Spread the spots over the whole area.", v.r.Result.Entry)
		},
	},
	{
		ID: "spot-wide", Name: "Spot too wide", Group: Placement, Severity: Minor,
		Means: "readings of one spot farther apart than a spot may be", Source: "SSPC-PA 2:2012: 3 readings in a 4 cm circle (read in summary)",
		find: func(v *evidence) []Finding {
			wide := v.wide()
			if len(wide) == 0 {
				return nil
			}
			var contacts []int
			most := 0.0
			var names []string
			for _, s := range wide {
				contacts, most = append(contacts, s.contacts...), math.Max(most, s.widthMm)
				names = append(names, fmt.Sprintf("%d", s.number))
			}
			return []Finding{{
				Entries: v.entries(contacts),
				What:    fmt.Sprintf("The readings of spot %s lie up to %.0f mm apart; a spot is at most %g mm wide.", list(names), most, v.limits.SpotMm),
				Do:      "Keep the readings of one spot together.",
			}}
		},
	},
	{
		ID: "spots-picked", Name: "Places picked by what they read", Group: Placement, Severity: Minor,
		Means:  "readings were dropped and taken again at other places, so that what a place read decided whether it counts",
		Source: "ISO 19840: a reading is repeated within 10 mm (from memory)", mask: bench.Sampling,
		find: func(v *evidence) []Finding {
			var moved []int
			for _, d := range v.discards() {
				if c := v.contact(d.contact); c.Deleted && v.retakenMm(c) > repeatWithinMm {
					moved = append(moved, d.contact)
				}
			}
			if len(moved) < pickedFrom {
				return nil
			}
			return found(fmt.Sprintf("%s dropped and taken again more than %d mm away.", plural(len(moved), "reading"), repeatWithinMm),
				"Repeat a doubtful reading at its own place; when the place itself is not fit to measure on, write down why.", v.entries(moved)...)
		},
	},
}

// A repeat farther from its place than repeatWithinMm is at another place; from
// pickedFrom of them on they count as picked (common practice, no source).
const (
	repeatWithinMm = 10
	pickedFrom     = 2
)

// retakenMm is how far from a dropped reading the next one of its spot was
// taken; 0 where there is none.
func (v *evidence) retakenMm(dropped *bench.Contact) float64 {
	for _, i := range v.kept {
		if c := v.contact(i); c.Spot == dropped.Spot && c.Entry > dropped.Entry {
			return 1e-3 * num.Hypot(float64(c.XUm-dropped.XUm), float64(c.YUm-dropped.YUm))
		}
	}
	return 0
}

// point is a place on the part in mm.
type point struct{ x, y float64 }

// spot is a spot of the series.
type spot struct {
	number   int
	contacts []int
	middle   point
	widthMm  float64 // farthest two readings
}

// spots gathers the kept readings by spot, in order.
func (v *evidence) spots() []spot {
	var list []spot
	for k, i := range v.kept {
		at := -1
		for j := range list {
			if list[j].number == v.spotOf[k] {
				at = j
			}
		}
		if at < 0 {
			list = append(list, spot{number: v.spotOf[k]})
			at = len(list) - 1
		}
		list[at].contacts = append(list[at].contacts, i)
	}
	for j := range list {
		s := &list[j]
		for n, i := range s.contacts {
			c := v.contact(i)
			s.middle.x += float64(float64(c.XUm) * 1e-3)
			s.middle.y += float64(float64(c.YUm) * 1e-3)
			for _, k := range s.contacts[:n] {
				d := v.contact(k)
				s.widthMm = math.Max(s.widthMm, 1e-3*num.Hypot(float64(c.XUm-d.XUm), float64(c.YUm-d.YUm)))
			}
		}
		s.middle.x /= float64(len(s.contacts))
		s.middle.y /= float64(len(s.contacts))
	}
	return list
}

func (v *evidence) wide() []spot {
	var list []spot
	for _, s := range v.spots() {
		if s.widthMm > v.limits.SpotMm {
			list = append(list, s)
		}
	}
	return list
}

// tooNear lists kept readings nearer an obstacle than allowed, unless the whole
// adjustment was made as near to one, and the clearance of the worst.
func (v *evidence) tooNear() (near []int, worst clearance) {
	worst.mm, worst.needsMm = math.Inf(1), 1
	for _, i := range v.kept {
		if c := v.tightest(i); c.room() < 1 && !v.adjustedBeside(c) {
			near = append(near, i)
			if c.room() < worst.room() {
				worst = c
			}
		}
	}
	return near, worst
}

// adjustedBeside reports whether every reading of the adjustment was taken as
// near to the same kind of obstacle.
func (v *evidence) adjustedBeside(c clearance) bool {
	const same = 1 // mm
	any := false
	for _, a := range append(v.used(bench.Zeroing), v.used(bench.Foiling)...) {
		for _, i := range a.Contacts {
			if any = true; v.distanceMm(i, c.from) > c.mm+same {
				return false
			}
		}
	}
	return any
}
