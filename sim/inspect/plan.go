package inspect

import (
	"fmt"
	"math"
)

// Plan is what a sampling plan asks for at the least.
type Plan struct {
	ID         string
	Areas      int // measuring areas of about 10 m2; 0 when the plan has none
	Spots      int
	PerSpot    int     // readings per spot
	Readings   int     // in all
	Repeats    int     // readings that may be repeated near by when out of limits; 0 when the plan says nothing
	SpotMm     float64 // the circle the readings of a spot lie in; 0 when the plan says nothing
	Standard   string
	Confidence Confidence
}

// PlanIDs lists the sampling plans PlanFor knows, in the order they are offered.
func PlanIDs() []string {
	return []string{"pa2", "iso19840", "imo-flat", "imo-complex", "mil-hdbk-1110"}
}

// PlanFor returns what the named sampling plan asks for on a coated area in square metres.
//
// Errors: an unknown plan, an area that is not positive.
func PlanFor(id string, areaM2 float64) (Plan, error) {
	if !(areaM2 > 0) || areaM2 > 1e8 {
		return Plan{}, fmt.Errorf("inspect: sampling plan %s: area is %v m², expected a number above 0 and at most 1e8", id, areaM2)
	}
	switch id {
	case "pa2":
		return pa2Plan(areaM2 / 10), nil
	case "iso19840":
		n := iso19840Readings(areaM2)
		return Plan{ID: id, Spots: n, PerSpot: 1, Readings: n, Repeats: MaxRepeats(n), Standard: "ISO 19840 sampling table", Confidence: Read}, nil
	case "imo-flat":
		n := units(areaM2 / 5)
		return Plan{ID: id, Spots: n, PerSpot: 1, Readings: n, Standard: "IMO MSC.215(82) annex 3: 1 reading per 5 m² of flat area", Confidence: Read}, nil
	case "imo-complex":
		n := max(units(areaM2*5), 3)
		return Plan{ID: id, Spots: n, PerSpot: 1, Readings: n, Standard: "IMO MSC.215(82) annex 3: 5 readings per m² of complex area, at least 3", Confidence: Read}, nil
	case "mil-hdbk-1110":
		n := 5 * units(areaM2/10)
		return Plan{ID: id, Spots: n, PerSpot: 3, Readings: 3 * n, Standard: "MIL-HDBK-1110: about 5 measurements per 100 ft², each the mean of 3 readings", Confidence: Read}, nil
	}
	return Plan{}, fmt.Errorf("inspect: sampling plan %q is not known, expected one of %v", id, PlanIDs())
}

// PA2PlanSquareFeet is the plan "pa2" for an area given in square feet; the standard counts 100 ft2 as 10 m2.
func PA2PlanSquareFeet(areaFt2 float64) (Plan, error) { return PlanFor("pa2", areaFt2/10) }

// pa2Plan returns the plan of SSPC-PA 2 for a number of units of 10 m2 (100 ft2): every unit below 3, three in 3 to 10,
// one more for each further 10 or part. Source: SSPC-PA 2:2012 section 3.2 and sampling clause (read in summary).
func pa2Plan(tens float64) Plan {
	areas := 3
	switch {
	case tens < 3:
		areas = units(tens)
	case tens > 10:
		areas = 3 + units((tens-10)/10)
	}
	return Plan{
		ID: "pa2", Areas: areas, Spots: 5 * areas, PerSpot: 3, Readings: 15 * areas, SpotMm: 40,
		Standard: "SSPC-PA 2:2012: 5 spots per area, 3 readings in a 4 cm circle per spot", Confidence: Read,
	}
}

// iso19840Readings returns the least number of readings for an area in square metres. Source: ISO 19840 sampling table;
// rows from 1 m2 to 100 m2 and the step read in a journal's comparison, the first row from memory.
func iso19840Readings(areaM2 float64) int {
	steps := []struct {
		upToM2   float64
		readings int
	}{{1, 5}, {3, 10}, {10, 15}, {30, 20}, {100, 30}}
	for _, s := range steps {
		if areaM2 <= s.upToM2 {
			return s.readings
		}
	}
	return 30 + 10*units((areaM2-100)/100)
}

// MaxRepeats returns how many of n readings may be repeated within 10 mm when a value is out of limits: a fifth.
// Source: ISO 19840 (from memory).
func MaxRepeats(n int) int { return n / 5 }

// IMOBoundaryReadings returns the least number of readings along a tank boundary: one every 2 to 3 m, so one for each
// 3 m or part. Source: IMO MSC.215(82) annex 3.
func IMOBoundaryReadings(lengthM float64) int { return units(lengthM / 3) }

// units counts whole units or parts of one, at least 1.
func units(quantity float64) int {
	n := math.Ceil(float64(quantity) - 1e-9)
	return max(int(n), 1)
}

// Shortfall is something a plan asks for that was not done.
type Shortfall struct {
	What        string // "areas", "spots", "readings per spot" or "readings"
	Spot        int    // index of the spot for "readings per spot", otherwise -1
	Asked, Done int
	Text        string
}

// Shortfalls lists what is missing from the spots against the plan, in the order areas, spots, readings of each spot,
// readings in all. Empty when the plan is fulfilled.
func (p Plan) Shortfalls(spots []Spot) []Shortfall {
	var list []Shortfall
	short := func(what string, spot, asked, done int) {
		if done < asked {
			text := fmt.Sprintf("%d %s instead of %d", done, what, asked)
			if spot >= 0 {
				text = fmt.Sprintf("spot %d has %d readings instead of %d", spot+1, done, asked)
			}
			list = append(list, Shortfall{What: what, Spot: spot, Asked: asked, Done: done, Text: text})
		}
	}
	readings := 0
	for _, s := range spots {
		readings += len(s.ReadingsUm)
	}
	short("areas", -1, p.Areas, len(areaMeans(spots, 0)))
	short("spots", -1, p.Spots, len(spots))
	for i, s := range spots {
		short("readings per spot", i, p.PerSpot, len(s.ReadingsUm))
	}
	short("readings", -1, p.Readings, readings)
	return list
}

// NonconformingSearch is the way SSPC-PA 2 bounds an area that does not conform: spots at every step in each direction
// until so many in a row conform. Source: SSPC-PA 2 (from memory).
type NonconformingSearch struct {
	StepM      float64
	Directions int
	Conforming int
}

// PA2Search is the search of SSPC-PA 2: every 1.5 m (5 ft) in 8 directions until two consecutive spots conform.
var PA2Search = NonconformingSearch{StepM: 1.5, Directions: 8, Conforming: 2}

// Finished tells whether the search in one direction may stop, given which spots conformed so far, nearest first.
func (s NonconformingSearch) Finished(conformed []bool) bool {
	if len(conformed) < s.Conforming {
		return false
	}
	for _, ok := range conformed[len(conformed)-s.Conforming:] {
		if !ok {
			return false
		}
	}
	return true
}
