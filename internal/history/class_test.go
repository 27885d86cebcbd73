package history

import (
	"math"
	"slices"
	"strings"
	"testing"
)

func TestAClassIsCountedByItsTrainees(t *testing.T) {
	verification, handling := "verification", "handling"
	members := []Member{
		// What went wrong once and was put right does not count against her.
		{"Ana", []Attempt{done("a1", verification), done("a2")}},
		{"Ben", []Attempt{done("b1"), done("b2", verification, handling)}},
		{"Cem", repeat(12, verification)},
		{"Dora", []Attempt{done("d1", verification)}},
		{"Emil", []Attempt{{Exercise: "painted-panel", Finished: true}}}, // reported nothing
	}
	s, err := EvaluateClass(members, offered, func(check string) string { return "Do it, as to " + check + "." })
	if err != nil {
		t.Fatal(err)
	}
	if s.Trainees != 4 {
		t.Errorf("%d trainees count, want 4", s.Trainees)
	}
	of := func(name string) ClassSkill {
		return s.Skills[slices.IndexFunc(s.Skills, func(k ClassSkill) bool { return k.Name == name })]
	}
	v := of(verification)
	if !slices.Equal(v.Failing, []string{"Ben", "Cem", "Dora"}) || v.Below != 1 || v.Learning != 3 || v.Habit != "Fault in verification" || v.HabitOf != 3 {
		t.Errorf("verification: %+v", v)
	}
	// Wilson's interval for 3 of 4 at 95 %: 0.3006 to 0.9544 (Wilson 1927; worked by hand from its formula).
	if math.Abs(v.Low-0.3006) > 5e-4 || math.Abs(v.High-0.9544) > 5e-4 {
		t.Errorf("interval %.4f to %.4f", v.Low, v.High)
	}
	if h := of(handling); !slices.Equal(h.Failing, []string{"Ben"}) {
		t.Errorf("handling: %+v", h)
	}
	// One of four is a matter between Ben and his instructor.
	if len(s.Next) != 1 || s.Next[0].Skill != verification || s.Next[0].Exercise != "two-foils" {
		t.Fatalf("next: %+v", s.Next)
	}
	for _, part := range []string{"3 of 4 failed", "“Fault in verification” (3)", "as to check-verification", "“Two foils”"} {
		if !strings.Contains(s.Next[0].Why, part) {
			t.Errorf("%q lacks %q", s.Next[0].Why, part)
		}
	}
}

// One who has passed what comes before does not take the class with her.
func TestAClassGoesOnTogether(t *testing.T) {
	path := []Exercise{{"painted-panel", "Panel", []string{"zero"}, nil}, {"later", "Later", []string{"verification"}, []string{"painted-panel"}}, {"early", "Early", []string{"verification"}, nil}}
	passed := []Attempt{done("a1")}
	failed := []Attempt{done("b1", "verification")}
	for _, row := range []struct {
		members []Member
		want    string
	}{
		{[]Member{{"Ana", passed}, {"Ben", failed}}, "early"},
		{[]Member{{"Ana", passed}, {"Ben", append(slices.Clone(passed), failed...)}}, "later"},
	} {
		s, err := EvaluateClass(row.members, path, func(string) string { return "" })
		if err != nil || len(s.Next) != 1 || s.Next[0].Exercise != row.want {
			t.Errorf("next %+v, %v, want %s", s.Next, err, row.want)
		}
	}
}

func TestNothingToTeachWithoutAttempts(t *testing.T) {
	s, err := EvaluateClass(nil, offered, func(string) string { return "" })
	if err != nil || s.Trainees != 0 || len(s.Next) != 0 || len(s.Skills) != len(Skills()) {
		t.Errorf("%+v, %v", s, err)
	}
}
