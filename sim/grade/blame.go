package grade

import "foilwright/sim/bench"

// Blamed are the influences through which the faults that were found make an
// error, those that others explain included.
func (s *Sheet) Blamed() bench.Influence {
	var blamed bench.Influence
	for i := range s.Findings {
		f := &s.Findings[i]
		blamed |= maskOf(f.Check)
		for _, x := range f.Followed {
			blamed |= maskOf(x.Check)
		}
	}
	return blamed
}

func maskOf(id string) bench.Influence {
	c, _ := CheckByID(id)
	return c.mask
}
