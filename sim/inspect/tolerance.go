package inspect

import "math"

// ToleranceRule is a statement of how far a reading may be from the true thickness.
type ToleranceRule struct {
	ID         string
	Percent    float64 // of the thickness
	FloorUm    float64 // the least tolerance; 0 when the rule has none
	Standard   string
	Confidence Confidence
}

// ToleranceRules lists the accuracy statements of the standards, which differ; the job sheet names one.
func ToleranceRules() []ToleranceRule {
	return []ToleranceRule{
		{"iso2178-1982", 10, 1.5, "ISO 2178:1982 cl. 8: 10 % or 1.5 µm, the greater", FromMemory},
		{"astm-e376", 10, 2.5, "ASTM E376 note 2: 10 % or 2.5 µm, the greater", Read},
		{"iso2360-2003", 10, 0, "ISO 2360:2003 cl. 8: 10 %", Read},
	}
}

// ToleranceByID returns the named accuracy statement.
func ToleranceByID(id string) (ToleranceRule, bool) {
	for _, r := range ToleranceRules() {
		if r.ID == id {
			return r, true
		}
	}
	return ToleranceRule{}, false
}

// At returns the tolerance, plus or minus, at a thickness; both in um.
func (r ToleranceRule) At(thicknessUm float64) float64 {
	tolerance := thicknessUm * r.Percent / 100
	if tolerance < r.FloorUm {
		return r.FloorUm
	}
	return tolerance
}

// CombinedTolerance returns the square root of the sum of squares: the tolerance of an instrument checked on a foil
// that has a tolerance of its own. 5 % and 5 % give 7.07 %. Source: note in SSPC-PA 2 (from memory).
func CombinedTolerance(parts ...float64) float64 {
	squares := 0.0
	for _, p := range parts {
		squares += float64(p * p)
	}
	return math.Sqrt(squares)
}
