package grade

import (
	"fmt"
	"math"

	"foilwright/sim/bench"
	"foilwright/sim/probe"
)

// probeUnfit finds readings by a probe whose data sheet leaves out the film or
// the part. What a shape does to it an adjustment on a piece like the part takes
// away, so that this counts only where a probe lies on the bench that fits.
func probeUnfit(v *evidence) []Finding {
	best, within := v.e.Best()
	for at, d := range v.e.Offered() {
		var by []int
		for _, i := range v.kept {
			if c := v.contact(i); c.Probe == v.e.Side(at).ID && v.w.Suits(c) {
				by = append(by, i)
			}
		}
		ofRange, ofShape := v.e.Beyond(at)
		if len(by) == 0 || ofRange == "" && (ofShape == "" || !within) {
			continue
		}
		f := Finding{Entries: v.entries(by[:1]), Readings: len(by), Of: len(v.kept), contacts: by,
			Do: "Ask for a probe whose range and limits hold for this job."}
		if within {
			f.Do = fmt.Sprintf("Compare range, radius and base thickness of the probes with the job, and take the one that fits: %s.", v.e.Offered()[best].Name)
		}
		why := ofRange
		if why == "" {
			why = ofShape
			if v.adjustedAlike() && math.Abs(v.costUm(bench.Curvature|bench.ThinBase)) <= v.limits.InstrumentUm(v.e.Job.NominalUm) {
				f.Severity = Minor
			}
		}
		f.What = fmt.Sprintf("%s of the part taken with the probe %q: %s.", plural(len(by), "reading"), d.Name, why)
		return []Finding{f}
	}
	return nil
}

// beyondRange reports whether the film may be beyond the range of the probe used
// at a contact.
func (v *evidence) beyondRange(contact int) bool {
	d, _ := probe.ByID(v.contact(contact).Probe)
	return v.e.Job.ExpectedUm.High > d.RangeUm
}

// adjustedAlike reports whether every reading of the adjustment was taken on a
// piece like the part.
func (v *evidence) adjustedAlike() bool {
	any := false
	for _, a := range append(v.used(bench.Zeroing), v.used(bench.Foiling)...) {
		for _, i := range a.Contacts {
			if any = true; !v.w.Matches(v.contact(i).Piece) {
				return false
			}
		}
	}
	return any
}
