package history

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"foilwright/sim/grade"
	"foilwright/sim/inspect"
)

// done is an attempt that counts, with a major finding in each group given.
func done(log string, groups ...string) Attempt {
	a := Attempt{
		Version: lineVersion, Exercise: "painted-panel", Log: log, Finished: true, Reported: true, Technique: 100,
		Within: true, Right: true, Passed: len(groups) == 0, Groups: []Group{}, Findings: []Finding{},
	}
	for _, g := range groups {
		if g == Result {
			a.Within = false
			continue
		}
		a.Technique -= 10
		a.Findings = append(a.Findings, Finding{Check: "check-" + g, Name: "Fault in " + g, Group: g, Severity: "major", CostUm: -2.5})
	}
	return a
}

func repeat(n int, groups ...string) []Attempt {
	var list []Attempt
	for range n {
		list = append(list, done("", groups...))
	}
	return list
}

func evaluate(t *testing.T, attempts []Attempt) *Standing {
	t.Helper()
	s, err := Evaluate(attempts, offered)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

var offered = []Exercise{
	{"painted-panel", "Painted panel", []string{"zero", "one foil", "handling", "decision"}, nil},
	{"edge-strip", "Edge strip", []string{"placement near edges"}, nil},
	{"two-foils", "Two foils", []string{"two foils", "verification"}, nil},
}

func skill(s *Standing, name string) Skill {
	for _, k := range s.Skills {
		if k.Name == name {
			return k
		}
	}
	return Skill{}
}

// Figures of the chart for these rates: s 0.1452, h 2.7095, 19 straight
// successes (computed by hand from the formulas in doc.go).
func TestMasteryFollowsTheChart(t *testing.T) {
	const handling = string(grade.Handling)
	join := func(parts ...[]Attempt) []Attempt {
		var list []Attempt
		for _, p := range parts {
			list = append(list, p...)
		}
		return list
	}
	ok, bad := repeat(1), repeat(1, handling)
	for _, c := range []struct {
		name     string
		attempts []Attempt
		state    inspect.Competence
		since    int
		sum      float64
		toGo     int
	}{
		{"nothing yet", nil, inspect.Learning, 0, 0, 19},
		{"one success", ok, inspect.Learning, 0, -0.1452, 18},
		{"18 successes", repeat(18), inspect.Learning, 0, -18 * 0.1452, 1},
		{"19 successes", repeat(19), inspect.Competent, 19, 0, 19},
		{"one failure", bad, inspect.Learning, 0, 0.8548, 25},
		{"three failures", repeat(3, handling), inspect.Learning, 0, 3 * 0.8548, 37},
		{"four failures", repeat(4, handling), inspect.BelowStandard, 4, 0, 19},
		{"competent, then one failure", join(repeat(19), bad), inspect.Competent, 19, 0.8548, 25},
		{"competent, then four failures", join(repeat(19), repeat(4, handling)), inspect.BelowStandard, 23, 0, 19},
		{"below, then 19 successes", join(repeat(4, handling), repeat(19)), inspect.Competent, 23, 0, 19},
	} {
		k := skill(evaluate(t, c.attempts), handling)
		if k.State != c.state || k.Since != c.since || math.Abs(k.Sum-c.sum) > 1e-3 || k.ToGo != c.toGo {
			t.Errorf("%s: %s since %d, sum %.4f, %d to go; want %s since %d, %.4f, %d", c.name, k.State, k.Since, k.Sum, k.ToGo, c.state, c.since, c.sum, c.toGo)
		}
		if math.Abs(k.Pass+2.7095) > 1e-4 || math.Abs(k.Bad-2.7095) > 1e-4 || len(k.Sums) != len(c.attempts) {
			t.Errorf("%s: limits %.4f and %.4f, %d sums", c.name, k.Pass, k.Bad, len(k.Sums))
		}
	}
}

// As many successes in a row as are said to be needed do make competence, and
// one fewer does not.
func TestToGoIsEnoughAndNotTooMuch(t *testing.T) {
	const zero = string(grade.Adjustment)
	for pattern := range 32 {
		var list []Attempt
		for k := range 5 {
			if pattern>>k&1 == 1 {
				list = append(list, done("", zero))
			} else {
				list = append(list, done(""))
			}
		}
		k := skill(evaluate(t, list), zero)
		short := skill(evaluate(t, append(list, repeat(k.ToGo-1)...)), zero)
		enough := skill(evaluate(t, append(list, repeat(k.ToGo)...)), zero)
		if enough.State != inspect.Competent || enough.Since != 5+k.ToGo || short.State == inspect.Competent {
			t.Errorf("pattern %05b: %d to go, then %s; with one fewer %s", pattern, k.ToGo, enough.State, short.State)
		}
	}
}

func TestOnlyWholeAttemptsCount(t *testing.T) {
	abandoned, unreported := done("a"), done("b")
	abandoned.Finished, unreported.Reported = false, false
	s := evaluate(t, []Attempt{abandoned, unreported, done("c"), done("c"), done("d", Result)})
	if s.Attempts != 2 || s.Abandoned != 2 || s.Passed != 1 || len(s.Curve) != 2 {
		t.Errorf("%d count, %d abandoned, %d passed, %d on the curve", s.Attempts, s.Abandoned, s.Passed, len(s.Curve))
	}
	if k := skill(s, Result); k.Failed != 1 || k.Tried != 2 || !(k.Low > 0.05 && k.Low < 0.15 && k.High > 0.85 && k.High < 0.95) {
		t.Errorf("result: %+v", k) // Wilson, 1 of 2: 0.095 to 0.905
	}
	if k := skill(s, string(grade.Handling)); k.Failed != 0 {
		t.Errorf("handling: %+v", k)
	}
}

func TestMinorFindingsDoNotFailASkill(t *testing.T) {
	a := done("", string(grade.Handling))
	a.Findings[0].Severity = "minor"
	k := skill(evaluate(t, []Attempt{a}), string(grade.Handling))
	if k.Failed != 0 || k.Habit != nil {
		t.Errorf("%+v", k)
	}
}

func TestCurve(t *testing.T) {
	var list []Attempt
	for k := range 7 {
		a := done(fmt.Sprint(k))
		a.Technique = float64(10 * k)
		list = append(list, a)
	}
	c := evaluate(t, list).Curve
	for i, want := range []float64{0, 5, 10, 15, 20, 30, 40} {
		if c[i].N != i+1 || c[i].Technique != float64(10*i) || math.Abs(c[i].Mean-want) > 1e-9 {
			t.Errorf("point %d: %+v, want a mean of %g", i+1, c[i], want)
		}
	}
}

func TestNextSaysWhatAndWhy(t *testing.T) {
	const adjustment, placement, verification = string(grade.Adjustment), string(grade.Placement), string(grade.Verification)
	other := done("", adjustment)
	other.Exercise = "two-foils"
	for _, c := range []struct {
		name            string
		attempts        []Attempt
		skill, exercise string
		why             string
	}{
		{"nothing yet", nil, "", "painted-panel", "Do one exercise from beginning to end, report and finish included, so that there is something to go by; begin with “Painted panel”."},
		{"one failure", repeat(1, placement), placement, "edge-strip", "Practise placement and sampling: the last attempt failed there, most often by “Fault in placement and sampling” (once, moving the mean by up to 2.5 µm); a good exercise for it is “Edge strip”."},
		{"the more frequent one", append(repeat(2, adjustment), repeat(3, verification)...), verification, "two-foils", "Practise verification: 3 of the last 5 attempts failed there, most often by “Fault in verification” (3 times, moving the mean by up to 2.5 µm); a good exercise for it is “Two foils”."},
		{"below standard comes first", append(repeat(4, adjustment), repeat(3, placement)...), adjustment, "two-foils", "Practise adjustment: 2 of the last 5 attempts failed there, most often by “Fault in adjustment” (2 times, moving the mean by up to 2.5 µm); a good exercise for it is “Two foils”."},
		{"the exercise done least", []Attempt{other, other, done("", adjustment)}, adjustment, "painted-panel", "Practise adjustment: 3 of the last 3 attempts failed there, most often by “Fault in adjustment” (3 times, moving the mean by up to 2.5 µm); a good exercise for it is “Painted panel”."},
		{"the result alone", repeat(1, Result), Result, "edge-strip", "Practise the whole job with an eye on the result: the last attempt failed there, with a mean outside its uncertainty or a wrong verdict; a good exercise for it is “Edge strip”."},
		{"no failure yet", repeat(3), string(grade.Preparation), "edge-strip", "Practise preparation: nothing failed there of late, and it counts as mastered after 16 more successes in a row; a good exercise for it is “Edge strip”."},
		{"all competent", repeat(19), "", "edge-strip", "Every skill stands as competent and none failed of late: practise what you have done least, “Edge strip”."},
		{"once below, good of late", append(repeat(4, placement), repeat(6)...), placement, "edge-strip", "Practise placement and sampling: too many attempts failed there by attempt 4, and 13 more successes in a row would put that right; a good exercise for it is “Edge strip”."},
	} {
		n := evaluate(t, c.attempts).Next
		if n.Skill != c.skill || n.Exercise != c.exercise || n.Why != c.why {
			t.Errorf("%s: %q in %q\n%s\nwant %q in %q\n%s", c.name, n.Skill, n.Exercise, n.Why, c.skill, c.exercise, c.why)
		}
	}
	s, err := Evaluate(repeat(2, adjustment), nil)
	if err != nil || s.Next.Exercise != "" || strings.Contains(s.Next.Why, "exercise") {
		t.Errorf("with nothing offered: %+v, %v", s.Next, err)
	}
}

// What comes next has everything passed that stands before it.
func TestNextWaitsForWhatComesBefore(t *testing.T) {
	path := slices.Clone(offered)
	path[1].After = []string{"painted-panel"}
	path[2].After = []string{"of another list"}
	failed := done("", string(grade.Placement))
	for _, c := range []struct {
		attempts []Attempt
		want     string
	}{{[]Attempt{failed}, "two-foils"}, {[]Attempt{failed, done(""), failed}, "edge-strip"}} {
		s, err := Evaluate(c.attempts, path)
		if err != nil {
			t.Fatal(err)
		}
		if s.Next.Skill != string(grade.Placement) || s.Next.Exercise != c.want {
			t.Errorf("after %d attempts %+v is next, want %s", len(c.attempts), s.Next, c.want)
		}
	}
}

func TestEvaluateChangesNothingAndRepeats(t *testing.T) {
	list := append(repeat(3, string(grade.Handling)), repeat(4)...)
	copied := append([]Attempt(nil), list...)
	first := evaluate(t, list)
	if !reflect.DeepEqual(evaluate(t, list), first) || !reflect.DeepEqual(list, copied) {
		t.Error("a second evaluation differs, or the attempts were changed")
	}
}

func TestOfKeepsWhatCounts(t *testing.T) {
	s := &grade.Sheet{
		Exercise: "x", Finished: true, Technique: 62.5, Groups: []grade.GroupScore{{Group: grade.Handling, Weight: 15, Score: 7.5}},
		Findings: []grade.Finding{{Check: "tilt", Name: "Probe tilted", Group: grade.Handling, Severity: grade.Major, CostUm: math.NaN(), Points: 7.5}},
		Result:   &grade.Result{ErrorUm: -1.5, ExpandedUm: 3, Within: true, Right: true},
	}
	a := Of(Given{Trainee: "Runa", Seed: math.MaxUint64, Date: "2026-03-09", Log: "ab"}, s)
	if !a.Counts() || a.OffBy == nil || *a.OffBy != 0.5 || a.Findings[0].CostUm != 0 || !a.Failed(string(grade.Handling)) || a.Failed(Result) {
		t.Errorf("%+v", a)
	}
	line, err := a.Line()
	if err != nil {
		t.Fatal(err)
	}
	back, err := Read("h", line)
	if err != nil || len(back) != 1 || !reflect.DeepEqual(back[0], a) {
		t.Errorf("reads back %+v, %v", back, err)
	}
	s.Result.ExpandedUm = math.NaN()
	if a := Of(Given{}, s); a.OffBy != nil {
		t.Errorf("error over an unknown uncertainty is %v", *a.OffBy)
	}
	s.Result = nil
	if a := Of(Given{}, s); a.Counts() {
		t.Error("an attempt without a result counts")
	}
}

func TestReadSaysWhatIsWrongAndWhere(t *testing.T) {
	good, err := done("a").Line()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, text string
		n          int
		want       string
	}{
		{"empty", "", 0, ""},
		{"two", string(good) + "\n" + string(good), 2, ""},
		{"last line cut off", string(good) + string(good[:9]), 1, ""},
		{"not JSON", string(good) + "hello\n", 0, "h:2: "},
		{"wrong type", "[]\n", 0, "h:1: "},
		{"other version", `{"version":2}` + "\n", 0, "expected 1"},
	} {
		list, err := Read("h", []byte(c.text))
		if len(list) != c.n || (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %d attempts, %v", c.name, len(list), err)
		}
	}
}

func TestBookNotesALogOnce(t *testing.T) {
	var kept bytes.Buffer
	b := Book{Name: "h", Load: func() ([]byte, error) { return kept.Bytes(), nil }, Append: func(line []byte) error { kept.Write(line); return nil }}
	for _, a := range []Attempt{done("a"), done("b"), done("a"), done(""), done("")} {
		if err := b.Note(a); err != nil {
			t.Fatal(err)
		}
	}
	if list, err := b.Attempts(); err != nil || len(list) != 4 {
		t.Errorf("%d attempts, %v", len(list), err)
	}
	if n := len(OfTrainee([]Attempt{{Trainee: "a"}, {Trainee: "b"}, {Trainee: "a"}}, "a")); n != 2 {
		t.Errorf("%d attempts of the trainee", n)
	}
	full := errors.New("full")
	b.Append = func([]byte) error { return full }
	if err := b.Note(done("c")); !errors.Is(err, full) {
		t.Errorf("got %v", err)
	}
	b.Load = func() ([]byte, error) { return nil, full }
	if err := b.Note(done("c")); !errors.Is(err, full) {
		t.Errorf("got %v", err)
	}
}

func FuzzRead(f *testing.F) {
	line, _ := done("a", string(grade.Handling), Result).Line()
	f.Add(line)
	f.Add([]byte("{}\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		list, err := Read("h", data)
		if err != nil {
			return
		}
		if _, err := Evaluate(list, offered); err != nil {
			t.Error(err)
		}
		for _, a := range list {
			line, err := a.Line()
			if err != nil {
				t.Fatal(err)
			}
			back, err := Read("h", line)
			if err != nil || len(back) != 1 {
				t.Fatalf("written again it does not read: %v", err)
			}
		}
	})
}

func BenchmarkEvaluate(b *testing.B) {
	list := append(repeat(500, string(grade.Handling), Result), repeat(500)...)
	for b.Loop() {
		if _, err := Evaluate(list, offered); err != nil {
			b.Fatal(err)
		}
	}
}
