package history

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"foilwright/sim/grade"
	"foilwright/sim/inspect"
)

// Exercise is an exercise that can be practised.
type Exercise struct {
	ID, Title string
	Skills    []string // what it trains, as the exercise says
	After     []string // ids of exercises to have passed before
}

// Next is what to practise next.
type Next struct {
	Skill    string `json:"skill"`    // empty: no one skill stands out
	Exercise string `json:"exercise"` // id; empty when none is offered
	Why      string `json:"why"`      // one sentence
}

// words that exercises use for a skill.
var words = map[string][]string{
	string(grade.Preparation):  {"preparation", "principle", "probe", "temperature", "memory"},
	string(grade.Adjustment):   {"adjustment", "zero", "foil"},
	string(grade.Verification): {"verification"},
	string(grade.Handling):     {"handling"},
	string(grade.Placement):    {"placement", "sampling", "edge"},
	string(grade.Recording):    {"decision", "record", "rule", "uncertainty"},
}

// Trains tells whether an exercise says that it trains a skill.
func (e *Exercise) Trains(skill string) bool {
	for _, own := range e.Skills {
		for _, word := range words[skill] {
			if strings.Contains(strings.ToLower(own), word) {
				return true
			}
		}
	}
	return false
}

// next chooses what to practise: a skill found below standard first, then the
// one that failed most of late, then the one farthest from competence; the
// order of the work decides between equals.
func next(s *Standing, counted []*Attempt, offered []Exercise) Next {
	if s.Attempts == 0 {
		n := choose("", counted, offered)
		n.Why = "Do one exercise from beginning to end, report and finish included, so that there is something to go by" + n.with(offered, "; begin with ") + "."
		return n
	}
	worst := slices.MinFunc(s.Skills, func(a, b Skill) int {
		if c := need(b) - need(a); c != 0 {
			return c
		}
		return b.ToGo - a.ToGo
	})
	if need(worst) == 0 {
		n := choose("", counted, offered)
		n.Why = "Every skill stands as competent and none failed of late: practise what you have done least" + n.with(offered, ", ") + "."
		return n
	}
	n := choose(worst.Name, counted, offered)
	n.Why = fmt.Sprintf("Practise %s: %s%s.", subject(worst.Name), reason(worst), n.with(offered, "; a good exercise for it is "))
	return n
}

// need orders skills by how badly they need practice; 0: not at all.
func need(k Skill) int {
	n := 2 * k.Late
	if k.State == inspect.BelowStandard {
		n += 2*recent + 1
	}
	if k.State != inspect.Competent {
		n++
	}
	return n
}

// reason says why a skill needs practice.
func reason(k Skill) string {
	of := min(k.Tried, recent)
	late := fmt.Sprintf("%d of the last %d attempts failed there", k.Late, of)
	if of == 1 {
		late = "the last attempt failed there"
	}
	switch {
	case k.Late == 0 && k.State == inspect.BelowStandard:
		return "too many attempts failed there by attempt " + fmt.Sprint(k.Since) + ", and " + more(k.ToGo) + " would put that right"
	case k.Late == 0:
		return "nothing failed there of late, and it counts as mastered after " + more(k.ToGo)
	case k.Name == Result:
		return late + ", with a mean outside its uncertainty or a wrong verdict"
	case k.Habit != nil:
		text := fmt.Sprintf("%s, most often by “%s” (%s", late, k.Habit.Name, times(k.Habit.Times))
		if math.Abs(k.Habit.CostUm) >= 0.05 {
			text += fmt.Sprintf(", moving the mean by up to %.1f µm", math.Abs(k.Habit.CostUm))
		}
		return text + ")"
	}
	return late
}

func more(n int) string {
	if n == 1 {
		return "1 more success"
	}
	return fmt.Sprintf("%d more successes in a row", n)
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

func subject(skill string) string {
	if skill == Result {
		return "the whole job with an eye on the result"
	}
	return skill
}

// choose picks the exercise that trains a skill and was done least, of those
// that all was passed for that comes before them; of equals the first offered.
// Where none is, any that comes next will do.
func choose(skill string, counted []*Attempt, offered []Exercise) Next {
	n := Next{Skill: skill}
	done, passed, known := map[string]int{}, map[string]bool{}, map[string]bool{}
	for _, a := range counted {
		done[a.Exercise]++
		passed[a.Exercise] = passed[a.Exercise] || a.Passed
	}
	for i := range offered {
		known[offered[i].ID] = true
	}
	ready := func(e *Exercise) bool {
		return !slices.ContainsFunc(e.After, func(id string) bool { return known[id] && !passed[id] })
	}
	pick := func(fits func(*Exercise) bool) bool {
		best := -1
		for i := range offered {
			if fits(&offered[i]) && (best < 0 || done[offered[i].ID] < done[offered[best].ID]) {
				best = i
			}
		}
		if best < 0 {
			return false
		}
		n.Exercise = offered[best].ID
		return true
	}
	if !pick(func(e *Exercise) bool { return ready(e) && e.Trains(skill) }) && !pick(ready) {
		pick(func(*Exercise) bool { return true })
	}
	return n
}

// with names the exercise, where there is one.
func (n *Next) with(offered []Exercise, lead string) string {
	for i := range offered {
		if offered[i].ID == n.Exercise {
			return lead + "“" + offered[i].Title + "”"
		}
	}
	return ""
}
