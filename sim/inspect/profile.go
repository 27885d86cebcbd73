package inspect

import "fmt"

// Comparator is the kind of surface profile comparator: for grit or for shot. Mixed abrasive takes grit.
type Comparator string

// The two comparators of ISO 8503-1.
const (
	Grit Comparator = "grit"
	Shot Comparator = "shot"
)

// ProfileGrade is the grade of a blast-cleaned profile.
type ProfileGrade string

// The grades of ISO 8503-2, from smooth to rough.
const (
	FinerThanFine     ProfileGrade = "finer than fine"
	Fine              ProfileGrade = "fine"
	Medium            ProfileGrade = "medium"
	Coarse            ProfileGrade = "coarse"
	CoarserThanCoarse ProfileGrade = "coarser than coarse"
)

// Segment is one of the four fields of a comparator; um.
type Segment struct{ NominalUm, ToleranceUm float64 }

// Segments returns the four fields of a comparator, smooth to rough. Source: ISO 8503-1; nominal values common
// practice, tolerances from memory.
func (c Comparator) Segments() ([4]Segment, error) {
	switch c {
	case Grit:
		return [4]Segment{{25, 3}, {60, 10}, {100, 15}, {150, 20}}, nil
	case Shot:
		return [4]Segment{{25, 3}, {40, 5}, {70, 10}, {100, 15}}, nil
	}
	return [4]Segment{}, fmt.Errorf("inspect: comparator %q is not known, expected %q or %q", c, Grit, Shot)
}

// Grade returns the grade of a profile of the given height: each grade runs from its segment up to, but not including,
// the next. Source: ISO 8503-2 grading (read in summary).
func (c Comparator) Grade(heightUm float64) (ProfileGrade, error) {
	segments, err := c.Segments()
	if err != nil {
		return "", err
	}
	if !(heightUm >= 0) {
		return "", fmt.Errorf("inspect: profile height is %v µm, expected 0 or above", heightUm)
	}
	grades := [5]ProfileGrade{FinerThanFine, Fine, Medium, Coarse, CoarserThanCoarse}
	i := 0
	for i < 4 && heightUm >= segments[i].NominalUm {
		i++
	}
	return grades[i], nil
}

// RoughnessCorrection returns what ISO 19840 subtracts from a reading taken with an adjustment on smooth steel, um, by
// grade ("fine", "medium", "coarse") or "unknown". Source: ISO 19840, table of correction values (from memory).
func RoughnessCorrection(grade string) (float64, error) {
	switch grade {
	case string(Fine):
		return 10, nil
	case string(Medium), "unknown":
		return 25, nil
	case string(Coarse):
		return 40, nil
	}
	return 0, fmt.Errorf("inspect: no roughness correction for profile %q, expected fine, medium, coarse or unknown", grade)
}
