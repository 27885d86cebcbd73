package history

import (
	"math"

	"foilwright/sim/grade"
	"foilwright/sim/inspect"
)

// Result is the skill of coming to a right result, apart from technique.
const Result = "result"

// Chart are the parameters of the charts of mastery.
var Chart = inspect.CUSUM{Acceptable: 0.10, Unacceptable: 0.20, Alpha: 0.1, Beta: 0.1}

// Skills lists the skills that are followed, in the order of the work.
func Skills() []string {
	return []string{
		string(grade.Preparation), string(grade.Adjustment), string(grade.Verification), string(grade.Handling),
		string(grade.Placement), string(grade.Recording), Result,
	}
}

// recent is how many attempts "of late" are.
const recent = 5

// Standing is where a trainee stands.
type Standing struct {
	Attempts  int     `json:"attempts"`  // that count
	Abandoned int     `json:"abandoned"` // not finished, or without a result
	Passed    int     `json:"passed"`
	Skills    []Skill `json:"skills"`
	Curve     []Point `json:"curve"`
	Next      Next    `json:"next"`
}

// Skill is the chart of one skill.
type Skill struct {
	Name   string             `json:"name"`
	Tried  int                `json:"tried"`
	Failed int                `json:"failed"`
	Late   int                `json:"failed_of_late"` // of the last five
	State  inspect.Competence `json:"state"`          // the last decision of the chart; learning before the first
	Since  int                `json:"since"`          // attempt of that decision, from 1; 0: none
	Sum    float64            `json:"sum"`            // of the test under way
	ToGo   int                `json:"to_go"`          // successes in a row until it finds competence
	Pass   float64            `json:"pass_at"`        // the sum must fall to this
	Bad    float64            `json:"concern_at"`
	Sums   []float64          `json:"sums"` // after each attempt, before any restart
	// Low and High bound the failure rate at 95 % (Wilson).
	Low   float64 `json:"failure_rate_low"`
	High  float64 `json:"failure_rate_high"`
	Habit *Habit  `json:"habit,omitempty"` // the finding that came most often of late
}

// Habit is a finding that comes back.
type Habit struct {
	Check  string  `json:"check"`
	Name   string  `json:"name"`
	Times  int     `json:"times"`
	CostUm float64 `json:"cost_um"` // the largest, with its sign
}

// Point is one attempt on the learning curve.
type Point struct {
	N         int      `json:"n"` // from 1
	Date      string   `json:"date"`
	Exercise  string   `json:"exercise"`
	Technique float64  `json:"technique"`
	Mean      float64  `json:"mean_of_late"` // technique over this and up to four attempts before
	OffBy     *float64 `json:"error_over_u"`
	Failures  int      `json:"failures"` // skills that failed
	Passed    bool     `json:"passed"`
}

// Evaluate makes the standing of one trainee from the attempts in the order
// they were made. offered are the exercises that can be practised, in the
// order in which they are learned. A log that comes twice counts once.
func Evaluate(attempts []Attempt, offered []Exercise) (*Standing, error) {
	limits, err := Chart.Limits()
	if err != nil {
		return nil, err
	}
	s := &Standing{Skills: []Skill{}, Curve: []Point{}}
	counted := s.count(attempts)
	for _, name := range Skills() {
		skill, err := chart(name, counted, limits)
		if err != nil {
			return nil, err
		}
		s.Skills = append(s.Skills, skill)
	}
	s.Curve = curve(counted)
	s.Next = next(s, counted, offered)
	return s, nil
}

// count picks the attempts that count.
func (s *Standing) count(attempts []Attempt) []*Attempt {
	seen := map[string]bool{}
	var counted []*Attempt
	for i := range attempts {
		a := &attempts[i]
		if a.Log != "" && seen[a.Log] {
			continue
		}
		seen[a.Log] = true
		if !a.Counts() {
			s.Abandoned++
			continue
		}
		counted = append(counted, a)
		if a.Passed {
			s.Passed++
		}
	}
	s.Attempts = len(counted)
	return counted
}

// chart follows one skill through the attempts.
func chart(name string, counted []*Attempt, limits inspect.CUSUMLimits) (Skill, error) {
	k := Skill{Name: name, Tried: len(counted), State: inspect.Learning, Pass: -limits.Pass, Bad: limits.Concern, Sums: []float64{}}
	successes := make([]bool, len(counted))
	for i, a := range counted {
		successes[i] = !a.Failed(name)
		if successes[i] {
			continue
		}
		k.Failed++
		if i >= len(counted)-recent {
			k.Late++
		}
	}
	for i, p := range limits.Follow(successes) {
		k.Sums = append(k.Sums, p.Sum)
		k.Sum = p.Sum
		if p.State != inspect.Learning {
			k.State, k.Since, k.Sum = p.State, i+1, 0
		}
	}
	k.ToGo = int(math.Ceil((k.Sum+limits.Pass)/limits.Success - 1e-9))
	var err error
	if k.Low, k.High, err = inspect.Wilson(k.Failed, k.Tried, 0.95); err != nil {
		return k, err
	}
	k.Habit = habit(name, counted)
	return k, nil
}

// habit finds the major or critical finding that came most often in the last
// attempts; of several the one that came first.
func habit(name string, counted []*Attempt) *Habit {
	var list []*Habit
	for _, a := range counted[max(0, len(counted)-recent):] {
		for _, f := range a.Findings {
			if f.Group != name || f.Severity == string(grade.Minor) {
				continue
			}
			var h *Habit
			for _, x := range list {
				if x.Check == f.Check {
					h = x
				}
			}
			if h == nil {
				h = &Habit{Check: f.Check, Name: f.Name}
				list = append(list, h)
			}
			h.Times++
			if math.Abs(f.CostUm) > math.Abs(h.CostUm) {
				h.CostUm = f.CostUm
			}
		}
	}
	var worst *Habit
	for _, h := range list {
		if worst == nil || h.Times > worst.Times {
			worst = h
		}
	}
	return worst
}

// curve lists the attempts with what a learning curve shows.
func curve(counted []*Attempt) []Point {
	list := []Point{}
	for i, a := range counted {
		p := Point{N: i + 1, Date: a.Date, Exercise: a.Exercise, Technique: a.Technique, OffBy: a.OffBy, Passed: a.Passed}
		from := max(0, i+1-recent)
		for _, b := range counted[from : i+1] {
			p.Mean += b.Technique
		}
		p.Mean /= float64(i + 1 - from)
		for _, name := range Skills() {
			if a.Failed(name) {
				p.Failures++
			}
		}
		list = append(list, p)
	}
	return list
}
