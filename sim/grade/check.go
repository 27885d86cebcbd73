package grade

import (
	"fmt"

	"foilwright/sim/bench"
)

// Severity says how bad a finding is.
type Severity string

// The severities.
const (
	Minor    Severity = "minor"
	Major    Severity = "major"
	Critical Severity = "critical"
)

// Group is a part of the work that is scored by itself.
type Group string

// The groups, in the order of the work.
const (
	Preparation  Group = "preparation"
	Adjustment   Group = "adjustment"
	Verification Group = "verification"
	Handling     Group = "handling"
	Placement    Group = "placement and sampling"
	Recording    Group = "record and decision"
)

// Check is one thing that is looked at.
type Check struct {
	ID       string   `json:"id"` // stable: exercises, reports and histories refer to it
	Name     string   `json:"name"`
	Group    Group    `json:"group"`
	Severity Severity `json:"severity"` // the usual one; a finding may differ
	Means    string   `json:"means"`    // what a finding means
	Source   string   `json:"source"`

	// mask are the influences through which a finding of this check makes an
	// error, for its cost and for what follows from it.
	mask bench.Influence
	find func(*evidence) []Finding
}

// Finding is one thing found.
type Finding struct {
	Check    string   `json:"check"`
	Name     string   `json:"name"`
	Group    Group    `json:"group"`
	Severity Severity `json:"severity"`
	Source   string   `json:"source"`
	Entries  []int    `json:"entries"`            // log entries it rests on
	Readings int      `json:"readings,omitempty"` // how many readings it touches, of how many
	Of       int      `json:"of,omitempty"`
	What     string   `json:"what"` // one sentence
	Do       string   `json:"do"`   // one sentence
	// CostUm is by how much it moved the reported mean.
	CostUm float64 `json:"cost_um"`
	Points float64 `json:"points"` // taken off the technique score
	// Followed are findings this one fully explains; they cost nothing more.
	Followed []Followed `json:"followed,omitempty"`

	contacts []int
}

// Followed is a finding explained by another.
type Followed struct {
	Check   string `json:"check"`
	What    string `json:"what"`
	Entries []int  `json:"entries"`
}

const commonPractice = "common practice, no source"

// Checks lists every check in the order of the work.
func Checks() []Check {
	var list []Check
	for _, group := range [][]Check{preparation, zeroes, foils, faultyFoils, verifications, handling, placement, recording} {
		list = append(list, group...)
	}
	return list
}

// CheckByID returns the check with that id.
func CheckByID(id string) (Check, bool) {
	for _, c := range Checks() {
		if c.ID == id {
			return c, true
		}
	}
	return Check{}, false
}

// plural writes a count with its noun.
func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// found is a finding about the whole job.
func found(what, do string, entries ...int) []Finding {
	return []Finding{{What: what, Do: do, Entries: entries}}
}
