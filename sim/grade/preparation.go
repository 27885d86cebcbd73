package grade

import (
	"fmt"
	"slices"

	"foilwright/sim/bench"
)

var preparation = []Check{
	{
		ID: "tip-unchecked", Name: "Tip not looked at", Group: Preparation, Severity: Minor,
		Means: "the first contact came before the tip was looked at or wiped", Source: commonPractice,
		find: func(v *evidence) []Finding {
			if len(v.r.Contacts) == 0 {
				return nil
			}
			first := v.r.Contacts[0].TouchEntry
			for _, l := range v.r.Looked {
				if (l.Verb == bench.LookAtTip || l.Verb == bench.WipeTip) && l.Entry < first {
					return nil
				}
			}
			return found("The probe touched metal before its tip had been looked at or wiped.",
				"Look at the tip and wipe it before the first contact: dirt under it adds to every reading.", first)
		},
	},
	{
		ID: "foil-unchecked", Name: "Certificate not read", Group: Preparation, Severity: Minor,
		Means:  "a foil was used without reading its certificate; major when its label differs from the certified value or the certificate has run out",
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
		return nil
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
