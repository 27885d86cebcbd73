package history

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"

	"foilwright/sim/grade"
)

// lineVersion is the version of the lines of a history.
const lineVersion = 1

// Attempt is what a history keeps of one graded attempt.
type Attempt struct {
	Version   int       `json:"version"`
	Trainee   string    `json:"trainee,omitempty"`
	Exercise  string    `json:"exercise"`
	Seed      uint64    `json:"seed,string"`
	Date      string    `json:"date,omitempty"` // as given
	Log       string    `json:"log,omitempty"`  // digest of the log; a log counts once
	Finished  bool      `json:"finished"`
	Reported  bool      `json:"reported"`
	Technique float64   `json:"technique"`
	Passed    bool      `json:"passed"`
	Within    bool      `json:"within"` // error within the expanded uncertainty
	Right     bool      `json:"right"`  // verdict
	OffBy     *float64  `json:"error_over_u,omitempty"`
	Groups    []Group   `json:"groups"`
	Findings  []Finding `json:"findings"`
}

// Group is the score of one part of the work.
type Group struct {
	Name   string  `json:"name"`
	Weight float64 `json:"weight"`
	Score  float64 `json:"score"`
}

// Finding is one thing found in an attempt.
type Finding struct {
	Check    string  `json:"check"`
	Name     string  `json:"name"`
	Group    string  `json:"group"`
	Severity string  `json:"severity"`
	Points   float64 `json:"points"`
	CostUm   float64 `json:"cost_um"` // by how much it moved the mean
}

// Given is what is known of an attempt apart from its marks.
type Given struct {
	Trainee string
	Seed    uint64
	Date    string
	Log     string // digest
}

// Of keeps of a graded attempt what a history needs.
func Of(g Given, s *grade.Sheet) Attempt {
	a := Attempt{
		Version: lineVersion, Trainee: g.Trainee, Exercise: s.Exercise, Seed: g.Seed, Date: g.Date, Log: g.Log,
		Finished: s.Finished, Reported: s.Result != nil, Technique: s.Technique, Passed: s.Passed,
		Groups: []Group{}, Findings: []Finding{},
	}
	if r := s.Result; r != nil {
		a.Within, a.Right = r.Within, r.Right
		if off := math.Abs(r.ErrorUm) / r.ExpandedUm; finite(off) {
			a.OffBy = &off
		}
	}
	for _, x := range s.Groups {
		a.Groups = append(a.Groups, Group{string(x.Group), x.Weight, x.Score})
	}
	for _, f := range s.Findings {
		cost := f.CostUm
		if !finite(cost) {
			cost = 0
		}
		a.Findings = append(a.Findings, Finding{f.Check, f.Name, string(f.Group), string(f.Severity), f.Points, cost})
	}
	return a
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// Counts tells whether an attempt counts for mastery: it was carried through
// and a result reported. Others count as practice only, because a part of the
// work that was never reached shows no fault.
func (a *Attempt) Counts() bool { return a.Finished && a.Reported }

// Failed tells whether the part of the work failed: a major or critical
// finding in it. For Result it is an error beyond its uncertainty or a wrong
// verdict.
func (a *Attempt) Failed(skill string) bool {
	if skill == Result {
		return !a.Within || !a.Right
	}
	for _, f := range a.Findings {
		if f.Group == skill && f.Severity != string(grade.Minor) {
			return true
		}
	}
	return false
}

// Line writes an attempt as a line of a history, its line feed included.
func (a Attempt) Line() ([]byte, error) {
	a.Version = lineVersion
	text, err := json.Marshal(a)
	if err != nil {
		return nil, fmt.Errorf("history: attempt at %s: %w", a.Exercise, err)
	}
	return append(text, '\n'), nil
}

// Read reads the lines of a history. name is used in errors. A last line that
// was cut off is left out: the attempt's own log still has it all.
func Read(name string, data []byte) ([]Attempt, error) {
	list := []Attempt{}
	for n := 1; len(data) > 0; n++ {
		end := bytes.IndexByte(data, '\n')
		if end < 0 {
			break
		}
		text := bytes.TrimSpace(data[:end])
		data = data[end+1:]
		if len(text) == 0 {
			continue
		}
		var a Attempt
		if err := json.Unmarshal(text, &a); err != nil {
			return nil, fmt.Errorf("%s:%d: not a line of a history: %w; delete the line, or make the history anew from the logs", name, n, err)
		}
		if a.Version != lineVersion {
			return nil, fmt.Errorf("%s:%d: version %d of a history line, expected %d; open it with the program that wrote it", name, n, a.Version, lineVersion)
		}
		list = append(list, a)
	}
	return list, nil
}

// OfTrainee picks the attempts of one trainee, in their order.
func OfTrainee(attempts []Attempt, name string) []Attempt {
	list := []Attempt{}
	for _, a := range attempts {
		if a.Trainee == name {
			list = append(list, a)
		}
	}
	return list
}

// Book keeps a history.
type Book struct {
	Name   string                  // for errors
	Load   func() ([]byte, error)  // all lines so far
	Append func(line []byte) error // adds one
}

// Attempts reads all attempts noted so far.
func (b Book) Attempts() ([]Attempt, error) {
	data, err := b.Load()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", b.Name, err)
	}
	return Read(b.Name, data)
}

// Note adds an attempt, unless its log has been noted before.
func (b Book) Note(a Attempt) error {
	before, err := b.Attempts()
	if err != nil {
		return err
	}
	for i := range before {
		if a.Log != "" && before[i].Log == a.Log {
			return nil
		}
	}
	line, err := a.Line()
	if err != nil {
		return err
	}
	if err := b.Append(line); err != nil {
		return fmt.Errorf("%s: %w", b.Name, err)
	}
	return nil
}
