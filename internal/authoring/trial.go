package authoring

import (
	"fmt"
	"slices"
	"strings"

	"foilwright/sim/bench"
	"foilwright/sim/grade"
	"foilwright/sim/trainee"
)

// Trial is how an exercise went for trainees who know the work and for
// trainees who make its typical mistakes.
type Trial struct {
	Exercise  string `json:"exercise"`
	Seeds     int    `json:"seeds"`
	Passed    int    `json:"competent_passed"`
	Clean     int    `json:"competent_without_findings"`
	Naive     int    `json:"naive_played"` // 0: no mistakes are named, or none can be made here
	NaivePass int    `json:"naive_passed"`
	Intended  int    `json:"naive_found_as_intended"` // naive attempts in which every mistake made was found
	Lost      []Lost `json:"competent_lost,omitempty"`
	// Least and greatest expanded uncertainty (95 %) of the mean that competent
	// attempts came to by their own readings and certificates, um; 0: no result.
	LeastUm float64 `json:"competent_expanded_um_least,omitempty"`
	MostUm  float64 `json:"competent_expanded_um_most,omitempty"`
	// EdgeMm is how near an edge of the part a reading may be taken without an
	// adjustment made there.
	EdgeMm float64 `json:"edge_mm"`
	Bounds string  `json:"-"` // where the verdict changes, in words
	// Why names, for people, what went otherwise than it should.
	Why []string `json:"why,omitempty"`
}

// Lost is one reason for which competent trainees did not pass.
type Lost struct {
	Reason  string `json:"reason"`
	N       int    `json:"n"`
	Seed    uint64 `json:"seed"`    // of the first
	Example string `json:"example"` // with its figures
}

// The reasons for which a trainee does not pass, by what the sheet says first of
// them; only, if set, keeps a reason to some results.
var reasons = []struct {
	start, reason, remedy string
	only                  func(*grade.Result) bool
}{
	{"not met: verdict", "the verdict is wrong", "move the film's bounds clear of %s", nil},
	{"not met: error of the mean", "the mean is too uncertain to rest a result on", "have less noise or waviness, more spots, or certificates of smaller uncertainty",
		func(r *grade.Result) bool { return r.ExpandedUm > r.AcceptedUm }},
	{"not met: error of the mean", "the mean is off by more than its uncertainty", "look at what disturbs the readings: a reference piece unlike the part, noise, drift, an edge", nil},
	{"not met: technique", "the technique falls short", "see what was found in the competent attempts", nil},
	{"not met: no critical finding", "there is a critical finding", "see what was found in the competent attempts", nil},
	{"not met:", "there is no result", "look at what the bench lacks for the job", nil},
}

// notPassed counts why a competent trainee did not pass.
func (t *Trial) notPassed(s *grade.Sheet, w *bench.World) {
	for _, r := range reasons {
		at := slices.IndexFunc(s.Why, func(why string) bool { return strings.HasPrefix(why, r.start) })
		if at < 0 || r.only != nil && !r.only(s.Result) {
			continue
		}
		k := slices.IndexFunc(t.Lost, func(l Lost) bool { return l.Reason == r.reason })
		if k < 0 {
			k = len(t.Lost)
			t.Lost = append(t.Lost, Lost{Reason: r.reason, Seed: w.Seed, Example: strings.TrimPrefix(s.Why[at], "not met: ")})
		}
		t.Lost[k].N++
		return
	}
}

// remedy is what puts right the most frequent reason.
func (t *Trial) remedy() string {
	most := Lost{}
	for _, l := range t.Lost {
		if l.N > most.N {
			most = l
		}
	}
	for _, r := range reasons {
		if r.reason == most.Reason {
			return strings.Replace(r.remedy, "%s", t.Bounds, 1)
		}
	}
	return "see where the attempts got stuck"
}

// Useless reports that nobody passes, or somebody who makes all the mistakes.
func (t *Trial) Useless() bool { return t.Passed == 0 || t.NaivePass > 0 }

// What an exercise must reach: nearly every competent trainee passes, nobody
// passes who makes all its typical mistakes.
const (
	leastPassed   = 0.98
	leastIntended = 0.95
)

// Try plays an exercise over seeds 1 .. seeds. progress, if not nil, is told
// how many seeds are done.
func Try(e *bench.Exercise, seeds int, progress func(done int)) (*Trial, error) {
	t := &Trial{Exercise: e.ID, Seeds: seeds, Bounds: bounds(e)}
	w, err := bench.NewWorld(e, 1)
	if err != nil {
		return nil, err
	}
	t.EdgeMm = w.EdgeLimitMm()
	planted, err := naive(e)
	if err != nil {
		return nil, err
	}
	why := map[string]int{}
	for seed := uint64(1); seed <= uint64(seeds); seed++ {
		w := w.Reseed(seed)
		t.competent(w, why)
		t.naive(w, planted, why)
		if progress != nil {
			progress(int(seed))
		}
	}
	for what, n := range why {
		t.Why = append(t.Why, fmt.Sprintf("%d of %d: %s", n, seeds, what))
	}
	for _, l := range t.Lost {
		t.Why = append(t.Why, fmt.Sprintf("%d of %d: a competent trainee does not pass, because %s; with seed %d: %s", l.N, seeds, l.Reason, l.Seed, l.Example))
	}
	slices.Sort(t.Why)
	return t, nil
}

// naive chooses the faults that stand for the exercise's typical mistakes, as
// many as one trainee can make in one attempt.
func naive(e *bench.Exercise) ([]trainee.Fault, error) {
	var planted []trainee.Fault
	for _, m := range e.Mistakes {
		at := slices.IndexFunc(trainee.Faults(), func(f trainee.Fault) bool {
			return f.Check == m.Check && f.Applies(e) && trainee.Together(planted, f)
		})
		if at >= 0 {
			planted = append(planted, trainee.Faults()[at])
			continue
		}
		if !canBeMade(e, m.Check) {
			return nil, fmt.Errorf("exercise %s: its typical mistake %q cannot be made on it, so it was not played; name one that can, or give the bench what it takes", e.ID, m.Check)
		}
	}
	return planted, nil
}

// canBeMade reports whether an exercise gives room for a mistake.
func canBeMade(e *bench.Exercise, check string) bool {
	return slices.ContainsFunc(trainee.Faults(), func(f trainee.Fault) bool { return f.Check == check && f.Applies(e) })
}

func (t *Trial) competent(w *bench.World, why map[string]int) {
	b, err := trainee.Play(w, w.Seed)
	if err != nil {
		why["a competent trainee gets stuck: "+err.Error()]++
		return
	}
	s := grade.Grade(b.Record())
	if s.Passed {
		t.Passed++
	} else {
		t.notPassed(s, w)
	}
	if len(s.Findings) == 0 {
		t.Clean++
	}
	t.uncertainty(s)
	for _, f := range s.Findings {
		why["found in a competent attempt: "+f.Check]++
	}
}

// uncertainty widens the span of the uncertainties that were reached.
func (t *Trial) uncertainty(s *grade.Sheet) {
	if s.Result == nil || !(s.Result.ExpandedUm > 0) { // NaN where there is no scatter to estimate
		return
	}
	u := s.Result.ExpandedUm
	if t.LeastUm == 0 || u < t.LeastUm {
		t.LeastUm = u
	}
	t.MostUm = max(t.MostUm, u)
}

func (t *Trial) naive(w *bench.World, planted []trainee.Fault, why map[string]int) {
	if len(planted) == 0 {
		return
	}
	var ids []string
	for _, f := range planted {
		ids = append(ids, f.ID)
	}
	b, err := trainee.Play(w, w.Seed, ids...)
	t.Naive++
	if err != nil {
		why["a naive trainee gets stuck: "+err.Error()]++
		return
	}
	s := grade.Grade(b.Record())
	if s.Passed {
		t.NaivePass++
		why["passes with all typical mistakes made"]++
	}
	all := true
	for _, f := range planted {
		if !seen(s, f.Check) {
			all = false
			why["a typical mistake is not found: "+f.Check]++
		}
	}
	if all {
		t.Intended++
	}
}

// seen reports whether a check has a finding, or one that another explains.
func seen(s *grade.Sheet, check string) bool {
	return s.Found(check) || slices.ContainsFunc(s.Findings, func(f grade.Finding) bool {
		return slices.ContainsFunc(f.Followed, func(x grade.Followed) bool { return x.Check == check })
	})
}

// Warnings says what an author should look at; none for a good exercise.
func (t *Trial) Warnings() []string {
	var list []string
	switch {
	case t.Passed == 0:
		list = append(list, "nobody can pass: a competent trainee passed with no seed; "+t.remedy())
	case float64(t.Passed) < leastPassed*float64(t.Seeds):
		list = append(list, fmt.Sprintf("a competent trainee passes with %d of %d seeds, less than %.0f %%; %s", t.Passed, t.Seeds, 100*leastPassed, t.remedy()))
	}
	switch {
	case t.Naive == 0:
		list = append(list, "no typical mistakes are named, so nobody knows whether everybody passes; name them under typical_mistakes")
	case t.NaivePass > 0:
		list = append(list, fmt.Sprintf("everybody passes: a trainee who makes all the typical mistakes passed with %d of %d seeds; name mistakes that matter more, or raise pass_technique", t.NaivePass, t.Naive))
	case float64(t.Intended) < leastIntended*float64(t.Naive):
		list = append(list, fmt.Sprintf("with %d of %d seeds every typical mistake is found when it is made; the rest are hidden by others, or have no effect here", t.Intended, t.Naive))
	}
	return list
}
