package grade

import (
	"fmt"
	"slices"

	"foilwright/sim/bench"
)

var preparation = []Check{
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

// uncheckedFoils finds foils used before their certificate was read.
func uncheckedFoils(v *evidence) []Finding {
	var seen, names []string
	var entries []int
	severity := Minor
	for i := range v.r.Contacts {
		c := &v.r.Contacts[i]
		if c.Foil == "" || c.Mode == bench.Measuring || slices.Contains(seen, c.Foil) {
			continue
		}
		seen = append(seen, c.Foil)
		checked := false
		for _, l := range v.r.Looked {
			checked = checked || l.Verb == bench.ReadCertificate && l.Item == c.Foil && l.Entry < c.TouchEntry
		}
		if checked {
			continue
		}
		f := v.foil(c.Foil)
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
		What: fmt.Sprintf("%s used without reading the certificate: labelled %s.", plural(len(names), "foil"), list(names)),
		Do:   "Read each foil's certificate before use: value, uncertainty and whether it is in date.",
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
