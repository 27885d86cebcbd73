package grade

import (
	"fmt"
	"math"
	"slices"

	"foilwright/sim/bench"
)

// Sheet is the marking of one attempt.
type Sheet struct {
	Exercise string `json:"exercise"`
	Finished bool   `json:"finished"`

	Technique float64      `json:"technique"` // 0 to 100
	Groups    []GroupScore `json:"groups"`
	Capped    bool         `json:"capped"` // a critical finding holds the score down
	Findings  []Finding    `json:"findings"`

	Result       *Result       `json:"result,omitempty"` // nil when nothing was reported
	Consequences []Consequence `json:"consequences,omitempty"`

	PassMark float64  `json:"pass_mark"`
	Passed   bool     `json:"passed"`
	Why      []string `json:"why"` // what passing needs and whether it was met, one line each

	Limits []LimitUsed `json:"limits"` // thresholds used, those the exercise set first
}

// GroupScore is the score of one part of the work.
type GroupScore struct {
	Group  Group   `json:"group"`
	Weight float64 `json:"weight"`
	Score  float64 `json:"score"`
	// Reached is how much of this part was done before the attempt ended without
	// a report, 0 to 1; what was never reached shows no faults and earns nothing.
	Reached float64 `json:"reached"`
	Lost    []Lost  `json:"lost,omitempty"`
}

// Lost says which rule took points.
type Lost struct {
	Check  string  `json:"check"`
	Points float64 `json:"points"`
	Rule   string  `json:"rule"`
}

// Consequence is what came of findings, and is not charged: a result outside
// its uncertainty, a wrong verdict, a right one by luck.
type Consequence struct {
	ID   string `json:"id"`
	What string `json:"what"`
}

// weights of the groups, in the order of the work; they add up to 100.
var weights = []struct {
	group  Group
	weight float64
}{
	{Preparation, 15}, {Adjustment, 30}, {Verification, 15}, {Handling, 15}, {Placement, 15}, {Recording, 10},
}

// NotReached stands for the id of a check where points are missing because
// the attempt ended before that part of the work.
const NotReached = "not-reached"

// reached is how much of a part of the work was done, 0 to 1. With a report
// handed in it is all: what is missing then is found by the checks.
func (v *evidence) reached(g Group) float64 {
	if v.r.Result != nil {
		return 1
	}
	share := func(done, asked int) float64 {
		if done >= asked {
			return 1
		}
		return float64(done) / float64(asked)
	}
	readings, foils := v.e.Job.Spots*v.e.Job.PerSpot, v.wanted()
	switch g {
	case Preparation:
		return share(len(v.r.Contacts), 1)
	case Adjustment:
		now, done := v.final(), 0
		if now.zero >= 0 {
			done++
		}
		return share(done+min(len(now.foils), foils), 1+foils)
	case Verification:
		done := 0
		for i := range v.r.Verifications {
			switch entry := v.r.Verifications[i].Entry; {
			case len(v.kept) > 0 && entry > v.contact(v.kept[len(v.kept)-1]).Entry:
				done |= 2 // after the readings
			default:
				done |= 1
			}
		}
		return share(done&1+done>>1, 2)
	case Handling:
		return share(len(v.read), v.limits.ZeroReadings+foils*v.limits.FoilReadings+readings)
	case Placement:
		return share(len(v.kept), readings)
	}
	return 0
}

// share of its group's weight that a finding costs.
func (s Severity) share() float64 {
	switch s {
	case Critical:
		return 1
	case Major:
		return 0.5
	}
	return 0.2
}

// cap is the highest technique score with a critical finding.
const criticalCap = 49

// Grade judges an attempt.
func Grade(r *bench.Record) *Sheet {
	v := gather(r)
	s := &Sheet{
		Exercise: v.e.ID, Finished: r.Finished, PassMark: v.limits.PassTechnique,
		Findings: v.absorb(v.findings()),
		Limits:   LimitsUsed(v.e),
	}
	s.score(v)
	s.Result = v.result()
	s.consequences(v)
	s.pass()
	return s
}

// findings runs every check.
func (v *evidence) findings() []Finding {
	var list []Finding
	for _, c := range Checks() {
		for _, f := range c.find(v) {
			f.Check, f.Name, f.Group, f.Source = c.ID, c.Name, c.Group, c.Source
			if f.Severity == "" {
				f.Severity = c.Severity
			}
			f.CostUm = v.costUm(c.mask)
			list = append(list, f)
		}
	}
	return list
}

// score takes the points off.
func (s *Sheet) score(v *evidence) {
	for _, w := range weights {
		g := GroupScore{Group: w.group, Weight: w.weight, Reached: v.reached(w.group)}
		g.Score = float64(w.weight * g.Reached)
		if g.Reached < 1 {
			g.Lost = append(g.Lost, Lost{NotReached, w.weight - g.Score,
				fmt.Sprintf("%.0f %% of this part was reached before the attempt ended without a report, and earns as much of its %g points", 100*g.Reached, w.weight)})
		}
		for i := range s.Findings {
			f := &s.Findings[i]
			if f.Group != w.group {
				continue
			}
			cost := w.weight * f.Severity.share()
			rule := fmt.Sprintf("a %s finding costs %.0f %% of the %g points for %s", f.Severity, 100*f.Severity.share(), w.weight, w.group)
			if f.Group == Handling && f.Of > 0 {
				touched := float64(f.Readings) / float64(f.Of)
				cost *= 0.4 + float64(0.6*touched)
				rule += fmt.Sprintf(", 40 %% of that at once and 60 %% by the share of readings touched (%d of %d)", f.Readings, f.Of)
			}
			f.Points = math.Min(cost, g.Score)
			g.Score -= f.Points
			g.Lost = append(g.Lost, Lost{f.Check, f.Points, rule})
			s.Capped = s.Capped || f.Severity == Critical
		}
		s.Groups = append(s.Groups, g)
		s.Technique += g.Score
	}
	if s.Capped {
		s.Technique = math.Min(s.Technique, criticalCap)
	}
}

// pass says whether the attempt passes, and why.
func (s *Sheet) pass() {
	line := func(ok bool, text string) {
		mark := "met: "
		if !ok {
			mark = "not met: "
		}
		s.Why = append(s.Why, mark+text)
		s.Passed = s.Passed && ok
	}
	s.Passed = true
	line(s.Technique >= s.PassMark, fmt.Sprintf("technique %.0f of at least %.0f", s.Technique, s.PassMark))
	line(!s.Capped, "no critical finding")
	if s.Result == nil {
		line(false, "a result was reported")
		return
	}
	line(s.Result.Within, fmt.Sprintf("error of the mean %+.1f µm within its expanded uncertainty ±%.1f µm, which may be ±%.1f µm at most", s.Result.ErrorUm, s.Result.ExpandedUm, s.Result.AcceptedUm))
	verdict := fmt.Sprintf("verdict %s, true verdict %s", s.Result.Given, s.Result.True)
	if !s.Result.Right && s.Result.TrueGrounds != "" {
		verdict += ": " + s.Result.TrueGrounds
	}
	line(s.Result.Right, verdict)
}

// Found reports whether a check has a finding.
func (s *Sheet) Found(check string) bool {
	return slices.ContainsFunc(s.Findings, func(f Finding) bool { return f.Check == check })
}

// consequences tells what came of it all.
func (s *Sheet) consequences(v *evidence) {
	add := func(id, what string) { s.Consequences = append(s.Consequences, Consequence{id, what}) }
	for _, f := range s.Findings {
		for _, x := range f.Followed {
			if x.Check == "verify-failed-ignored" || x.Check == "unsafe-readings-kept" {
				add("verification-showed-it", "A verification showed that something was wrong, and it was passed over: "+x.What)
			}
		}
	}
	r := s.Result
	if r == nil {
		return
	}
	switch {
	case r.ExpandedUm > r.AcceptedUm:
		add("too-uncertain", fmt.Sprintf("The readings scatter so much that the mean is known only to ±%.1f µm; more than ±%.1f µm is no basis for a result.", r.ExpandedUm, r.AcceptedUm))
	case !r.Within:
		add("outside-uncertainty", fmt.Sprintf("The reported mean is %+.1f µm off, more than its expanded uncertainty of %.1f µm.", r.ErrorUm, r.ExpandedUm))
	}
	invalid := s.Capped || !r.Within
	switch {
	case !r.Right:
		what := fmt.Sprintf("The verdict %s is wrong; by the rule of the job sheet the truth is to be answered with %s: the true mean over the area is %.1f µm", r.Given, r.True, r.TrueUm)
		if r.TrueGrounds != "" {
			what += "; " + r.TrueGrounds
		}
		add("verdict-wrong", what+".")
	case invalid:
		add("decision-lucky", "The verdict is right, but by luck: the measurement it rests on is not valid.")
	}
}
