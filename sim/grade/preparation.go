package grade

import (
	"fmt"
	"math"
	"slices"

	"foilwright/sim/bench"
	"foilwright/sim/part"
	"foilwright/sim/probe"
)

var preparation = []Check{
	{
		ID: "principle-fit", Name: "Wrong principle", Group: Preparation, Severity: Critical,
		Means:  "the principle of the probe does not measure what the job asks on this metal; major when the mean did not suffer, minor when it was tried and given up",
		Source: "ISO 2178 and ISO 2360, scopes: magnetic induction for non-magnetic coatings on magnetic metal, eddy current for non-conducting coatings on non-magnetic metal (read)",
		mask:   bench.Principle | bench.Layers,
		find:   wrongPrinciple,
	},
	{
		ID: "probe-fit", Name: "Probe does not fit", Group: Preparation, Severity: Major,
		Means:  "the film is beyond the probe's range, or the part's radius or base metal is below its limits while a probe that fits lies by; minor when only the shape is, and the adjustment was made on a piece like the part",
		Source: "ISO 2178 and ISO 2360, influence of curvature and base thickness, and the range of the probe (from memory)",
		mask:   bench.Curvature | bench.ThinBase,
		find:   probeUnfit,
	},
	{
		ID: "tip-unchecked", Name: "Tip not looked at", Group: Preparation, Severity: Minor,
		Means:  "the first contact came before the tip was looked at or wiped; major when it was dirty, also when it was looked at and not wiped",
		Source: commonPractice, mask: bench.Dirt, find: uncheckedTip,
	},
	{
		ID: "foil-unchecked", Name: "Certificate not read", Group: Preparation, Severity: Minor,
		Means:  "a foil was used without reading its certificate; major when its label differs from the certified value or the certificate has run out; major too when it was read, had run out, and another was in date",
		Source: commonPractice,
		find:   uncheckedFoils,
	},
	{
		ID: "memory-uncleared", Name: "Old readings in the series", Group: Preparation, Severity: Critical,
		Means: "readings of an earlier job, or readings not taken on the part, are in the reported series", Source: commonPractice,
		mask: bench.OldReadings,
		find: func(v *evidence) []Finding {
			if v.r.Result == nil {
				return nil
			}
			old := 0
			for _, s := range v.r.Result.Readings {
				if s.Entry == 0 {
					old++
				}
			}
			entries := append([]int{v.r.Result.Entry}, v.entries(v.foreign)...)
			switch {
			case old > 0:
				return found(fmt.Sprintf("The mean was taken over %s of an earlier job as well.", plural(old, "reading")),
					"Clear the memory before the first reading of a job.", entries...)
			case len(v.foreign) > 0:
				return found(fmt.Sprintf("%s of the series were not taken on the part.", plural(len(v.foreign), "reading")),
					"Clear the memory after trial readings, before the first reading of the part.", entries...)
			}
			return nil
		},
	},
	{
		ID: "surface-dirty", Name: "Piece or foil not wiped", Group: Preparation, Severity: Major,
		Means: "readings that count were taken with dust on the piece or the foil", Source: commonPractice, mask: bench.Dirt,
		find: dirtySurfaces,
	},
	{
		ID: "temperature-unsettled", Name: "Not at one temperature", Group: Preparation, Severity: Minor,
		Means:  "the instrument or the piece had another temperature while adjusting than while measuring; major when that moved the mean by more than half the instrument's tolerance",
		Source: commonPractice, mask: bench.Temperature, find: unsettled,
	},
	{
		ID: "magnetism-left", Name: "Residual magnetism left in", Group: Preparation, Severity: Major,
		Means:  "readings that count were taken on a magnetised piece though a demagnetiser was there",
		Source: "ISO 2178, residual magnetism of the base metal (from memory)", mask: bench.Remanence, find: magnetised,
	},
}

// wrongPrinciple finds readings by a principle that does not measure what the
// job asks: those kept, or else those of the part that showed nothing.
func wrongPrinciple(v *evidence) []Finding {
	fitting := v.w.Fitting()
	do := fmt.Sprintf("Look at the base metal and what lies on it, and take the probe for it: %s (%s).", fitting.Name, fitting.Principle.Words())
	var wrong []int
	for _, i := range v.kept {
		if !v.w.Suits(v.contact(i)) {
			wrong = append(wrong, i)
		}
	}
	if len(wrong) > 0 {
		f := Finding{
			Entries: v.entries(wrong[:1]), Readings: len(wrong), Of: len(v.kept), Do: do,
			What: fmt.Sprintf("%s of the part taken by %s, which does not measure what the job asks here.", plural(len(wrong), "reading"), v.principle(wrong[0])),
		}
		if math.Abs(v.costUm(bench.Principle|bench.Layers)) <= v.limits.InstrumentUm(v.e.Job.NominalUm) {
			f.Severity = Major
		}
		return []Finding{f}
	}
	var tried []int
	for i := range v.r.Contacts {
		if c := &v.r.Contacts[i]; c.Outcome == bench.NoMetal && !v.w.Suits(c) {
			tried = append(tried, i)
		}
	}
	if len(tried) == 0 {
		return nil
	}
	f := Finding{
		Entries: v.entries(tried), Do: do,
		What: fmt.Sprintf("%s tried by %s, which senses nothing it can measure here.", plural(len(tried), "reading"), v.principle(tried[0])),
	}
	if len(v.kept) > 0 || v.r.Result == nil && !v.r.Finished {
		f.Severity = Minor
	}
	return []Finding{f}
}

// principle is the principle used at a contact, in words.
func (v *evidence) principle(i int) string {
	d, _ := probe.ByID(v.contact(i).Probe)
	return d.Principle.Words()
}

// knownUsed is the id of the known thickness that a contact of an adjustment or
// a verification stood on: of the foil, or of the certified piece.
func (v *evidence) knownUsed(c *bench.Contact) string {
	switch {
	case c.Mode == bench.Measuring:
		return ""
	case c.Foil == "" && c.Mode != bench.Zeroing && v.certified(c.Piece):
		return c.Piece
	}
	return c.Foil
}

// standard is the certificate of a foil or a coated piece, by its id.
func (v *evidence) standard(id string) part.FoilSpec {
	if f, ok := v.e.Known(id, ""); ok {
		return f
	}
	f, _ := v.e.Known("", id)
	return f
}

// uncheckedFoils finds foils and coated pieces used before their certificate was
// read.
func uncheckedFoils(v *evidence) []Finding {
	var seen, names []string
	var entries []int
	severity, noun := Minor, v.thickness()
	for i := range v.r.Contacts {
		c := &v.r.Contacts[i]
		id := v.knownUsed(c)
		if id == "" || slices.Contains(seen, id) {
			continue
		}
		seen = append(seen, id)
		checked := false
		for _, l := range v.r.Looked {
			checked = checked || l.Verb == bench.ReadCertificate && l.Item == id && l.Entry < c.TouchEntry
		}
		if checked {
			continue
		}
		f := v.standard(id)
		names, entries = append(names, fmt.Sprintf("%g µm", f.LabelUm)), append(entries, c.TouchEntry)
		if f.LabelUm != f.CertifiedUm || !f.Valid {
			severity = Major
		}
	}
	if len(names) == 0 {
		return v.expiredFoils()
	}
	return []Finding{{
		Severity: severity, Entries: entries,
		What: fmt.Sprintf("%s used without reading the certificate: labelled %s.", plural(len(names), noun), list(names)),
		Do:   fmt.Sprintf("Read each %s's certificate before use: value, uncertainty and whether it is in date.", noun),
	}}
}

// list writes names one after the other.
func list(names []string) string {
	text := ""
	for i, n := range names {
		switch {
		case i == 0:
		case i == len(names)-1:
			text += " and "
		default:
			text += ", "
		}
		text += n
	}
	return text
}
