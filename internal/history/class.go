package history

import (
	"cmp"
	"fmt"
	"slices"

	"foilwright/sim/grade"
	"foilwright/sim/inspect"
)

// Member is one of a class.
type Member struct {
	Name     string
	Attempts []Attempt // in the order they were made
}

// ClassStanding is where a class stands.
type ClassStanding struct {
	Trainees int // with an attempt that counts
	Skills   []ClassSkill
	Next     []Next // what to teach, the most needed first; at most three
}

// ClassSkill is one skill over a class. The trainees are what is counted, each
// by their newest attempt that counts: attempts of one trainee are alike, so
// that to count them would make the class look surer than it is.
type ClassSkill struct {
	Name                       string
	Trainees                   int
	Failing                    []string // whose newest attempt failed there
	Competent, Learning, Below int      // what their charts say
	Low, High                  float64  // share of such trainees that fail, at 95 % (Wilson)
	Habit                      string   // the major or critical finding that most of them had; empty: none
	HabitOf                    int      // by how many
	HabitDo                    string   // what to do about it, where known
}

// EvaluateClass makes the standing of a class. advice says what to do about a
// check; offered is as for Evaluate.
func EvaluateClass(members []Member, offered []Exercise, advice func(check string) string) (*ClassStanding, error) {
	s := &ClassStanding{Skills: []ClassSkill{}, Next: []Next{}}
	for _, name := range Skills() {
		s.Skills = append(s.Skills, ClassSkill{Name: name, Failing: []string{}})
	}
	var counted []*Attempt
	passed := map[string]int{} // by how many of the trainees
	newest := map[string]*Attempt{}
	for i := range members {
		m := &members[i]
		st, err := Evaluate(m.Attempts, offered)
		if err != nil {
			return nil, err
		}
		own := (&Standing{}).count(m.Attempts)
		if len(own) == 0 {
			continue
		}
		s.Trainees++
		counted = append(counted, own...)
		mine := map[string]bool{}
		for _, a := range own {
			if a.Passed && !mine[a.Exercise] {
				mine[a.Exercise] = true
				passed[a.Exercise]++
			}
		}
		last := own[len(own)-1]
		newest[m.Name] = last
		for k := range s.Skills {
			s.Skills[k].add(m.Name, last, st.Skills[k].State)
		}
	}
	for k := range s.Skills {
		x := &s.Skills[k]
		var err error
		if x.Low, x.High, err = inspect.Wilson(len(x.Failing), x.Trainees, 0.95); err != nil {
			return nil, err
		}
		x.findHabit(newest, advice)
	}
	s.Next = teach(s.Skills, together(counted, passed, s.Trainees), offered)
	return s, nil
}

// Quarter is how many of the trainees may fail before it is the class's matter.
func (k ClassSkill) Quarter() float64 { return float64(k.Trainees) / 4 }

func (k *ClassSkill) add(name string, last *Attempt, state inspect.Competence) {
	k.Trainees++
	if last.Failed(k.Name) {
		k.Failing = append(k.Failing, name)
	}
	switch state {
	case inspect.Competent:
		k.Competent++
	case inspect.BelowStandard:
		k.Below++
	default:
		k.Learning++
	}
}

// findHabit finds what most of those who fail did wrong; of several the first
// by name.
func (k *ClassSkill) findHabit(newest map[string]*Attempt, advice func(string) string) {
	of := map[string]int{}
	for _, name := range k.Failing {
		seen := map[string]bool{}
		for _, f := range newest[name].Findings {
			if f.Group == k.Name && f.Severity != string(grade.Minor) && !seen[f.Check] {
				seen[f.Check] = true
				of[f.Check]++
				if n := of[f.Check]; n > k.HabitOf || n == k.HabitOf && f.Name < k.Habit {
					k.Habit, k.HabitOf, k.HabitDo = f.Name, n, advice(f.Check)
				}
			}
		}
	}
}

// together are the attempts of a class as if they were one trainee's, who has
// passed an exercise when all have: the class goes on together.
func together(counted []*Attempt, passed map[string]int, trainees int) []*Attempt {
	list := make([]*Attempt, len(counted))
	for i, a := range counted {
		c := *a
		c.Passed = passed[a.Exercise] == trainees
		list[i] = &c
	}
	return list
}

// teach chooses what is worth the whole class's time: skills that more than a
// quarter of the trainees failed in their newest attempt, the commonest first;
// of equals the one that more are below standard in, then the earlier in the
// work.
func teach(skills []ClassSkill, counted []*Attempt, offered []Exercise) []Next {
	var weak []ClassSkill
	for _, k := range skills {
		// A wrong result comes of what was done wrong before it; by itself it is no lesson.
		if k.Name != Result && float64(len(k.Failing)) > k.Quarter() {
			weak = append(weak, k)
		}
	}
	slices.SortStableFunc(weak, func(a, b ClassSkill) int {
		return cmp.Or(cmp.Compare(len(b.Failing), len(a.Failing)), cmp.Compare(b.Below, a.Below))
	})
	list := []Next{}
	for _, k := range weak[:min(3, len(weak))] {
		n := choose(k.Name, counted, offered)
		n.Why = fmt.Sprintf("%d of %d failed there in their newest attempt", len(k.Failing), k.Trainees)
		if k.Habit != "" {
			n.Why += fmt.Sprintf(", most often by “%s” (%d)", k.Habit, k.HabitOf)
		}
		n.Why += "."
		if k.HabitDo != "" {
			n.Why += " " + k.HabitDo
		}
		if with := n.with(offered, " An exercise for it: "); with != "" {
			n.Why += with + "."
		}
		list = append(list, n)
	}
	return list
}
