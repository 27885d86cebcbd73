package report

import (
	"fmt"
	"math"
	"strings"

	"foilwright/sim/bench"
	"foilwright/sim/explain"
	"foilwright/sim/grade"
	"foilwright/sim/inspect"
)

// builder turns what the simulation gave into a report.
type builder struct {
	r   *bench.Record
	s   *grade.Sheet
	e   *explain.Explanation
	res float64
}

// at is the time of a log entry.
func (b *builder) at(entry int) int64 {
	if entry < 1 || entry > len(b.r.Entries) {
		return 0
	}
	return b.r.Entries[entry-1].Action.At
}

func (b *builder) lasted() int64 { return b.at(len(b.r.Entries)) }

func (b *builder) header(g Given) Header {
	e := b.r.World.Exercise
	return Header{
		Exercise: e.ID, Title: plain(e.Title, nameLimit), Trainee: plain(g.Trainee, nameLimit), Seed: b.r.World.Seed,
		ExerciseDigest: e.Digest, Log: plain(g.Log, nameLimit), LogDigest: g.LogDigest,
		Program: plain(g.Program, nameLimit), Physics: bench.PhysicsVersion, Date: plain(g.Date, nameLimit),
		LastedMs: b.lasted(), Finished: b.r.Finished,
	}
}

func (b *builder) job() Job {
	e := b.r.World.Exercise
	j := &e.Job
	return Job{
		Customer: plain(j.Customer, nameLimit), Item: plain(j.Item, 2*nameLimit), Text: plain(j.Text, textLimit),
		Base: plain(j.Base, 2*nameLimit), Coating: plain(j.Coating, 2*nameLimit),
		Expected: [2]Number{Number(j.ExpectedUm.Low), Number(j.ExpectedUm.High)}, NDFT: Number(j.NominalUm),
		Adjustment: j.Adjustment, Spots: j.Spots, PerSpot: j.PerSpot, Rule: plain(j.Rule.Name, sentenceLimit),
		Minimum: Number(j.Rule.MinimumUm), SpotLeast: Number(j.Rule.SpotPercent * j.Rule.MinimumUm / 100),
		Probe: e.Probe.Name, Resolution: Number(b.res), TechniqueMark: Number(b.s.PassMark),
	}
}

func (b *builder) technique() Technique {
	t := Technique{
		Score: Number(b.s.Technique), Capped: b.s.Capped, Passed: b.s.Passed, Why: append([]string{}, b.s.Why...),
		Groups: []Group{}, Consequences: []Consequence{}, Thresholds: []Threshold{},
	}
	for _, l := range grade.LimitsUsed(b.r.World.Exercise) {
		t.Thresholds = append(t.Thresholds, Threshold{l.Key, l.Text, Number(l.Value), l.Unit, l.Usual, append([]string{}, l.Checks...)})
	}
	for _, g := range b.s.Groups {
		group := Group{Name: string(g.Group), Weight: Number(g.Weight), Score: Number(g.Score), Lost: []Lost{}}
		for _, l := range g.Lost {
			group.Lost = append(group.Lost, Lost{l.Check, Number(l.Points), l.Rule})
		}
		t.Groups = append(t.Groups, group)
	}
	for _, c := range b.s.Consequences {
		t.Consequences = append(t.Consequences, Consequence{c.ID, plain(c.What, sentenceLimit)})
	}
	return t
}

func (b *builder) findings() []Finding {
	list := []Finding{}
	for i, f := range b.s.Findings {
		out := Finding{
			N: i + 1, Check: f.Check, Name: f.Name, Group: string(f.Group), Severity: string(f.Severity), Source: f.Source,
			What: plain(f.What, sentenceLimit), Do: plain(f.Do, sentenceLimit), Cost: Number(f.CostUm), Points: Number(f.Points),
			Evidence: []Evidence{}, Followed: []Followed{},
		}
		for _, entry := range f.Entries {
			out.Evidence = append(out.Evidence, Evidence{entry, b.at(entry)})
		}
		for _, x := range f.Followed {
			out.Followed = append(out.Followed, Followed{x.Check, plain(x.What, sentenceLimit)})
		}
		list = append(list, out)
	}
	return list
}

// keptEntries are the entries of the readings that make up the result, or that
// were left in the memory where nothing was reported.
func (b *builder) keptEntries() map[int]bool {
	kept := map[int]bool{}
	if b.r.Result != nil {
		for _, s := range b.r.Result.Readings {
			kept[s.Entry] = s.Entry > 0
		}
		return kept
	}
	cleared := 0
	if n := len(b.r.Cleared); n > 0 {
		cleared = b.r.Cleared[n-1]
	}
	for i := range b.r.Contacts {
		c := &b.r.Contacts[i]
		if c.Outcome == bench.Read && c.Mode == bench.Measuring && !c.Deleted && c.Entry > cleared {
			kept[c.Entry] = true
		}
	}
	return kept
}

func (b *builder) readings() []Reading {
	kept := b.keptEntries()
	list := []Reading{}
	for _, q := range b.e.Readings {
		c := &b.r.Contacts[q.Contact]
		out := Reading{
			Entry: q.Entry, At: c.CapturedAt, Mode: string(q.Mode), Spot: q.Spot, Piece: c.Piece, Foil: c.Foil,
			X: Number(float64(c.XUm) / 1e3), Y: Number(float64(c.YUm) / 1e3),
			Shown: Number(q.ShownUm), True: Number(q.TrueUm), Error: Number(q.TotalUm),
			Kept: q.Mode == bench.Measuring && kept[q.Entry], Deleted: c.Deleted, Reason: plain(c.Reason, sentenceLimit),
			OnThePart: c.Piece == b.r.World.Part.ID, Causes: []Cause{},
		}
		for _, s := range q.Shares {
			out.Causes = append(out.Causes, Cause{s.Key, s.Name, Number(s.Um)})
		}
		list = append(list, out)
	}
	return list
}

func (b *builder) series() Series {
	s := Series{Reported: b.r.Result != nil, Spots: []Spot{}}
	var all []float64
	if b.r.Result != nil {
		for _, x := range b.r.Result.Readings {
			all = append(all, float64(x.Counts)*b.res)
			if x.Entry <= 0 {
				s.Foreign++
			}
		}
	}
	type spot struct{ shown, true []float64 }
	var numbers []int
	spots := map[int]*spot{}
	for _, q := range b.readings() {
		if !q.Kept {
			continue
		}
		if b.r.Result == nil {
			all = append(all, float64(q.Shown))
		}
		if spots[q.Spot] == nil {
			spots[q.Spot] = &spot{}
			numbers = append(numbers, q.Spot)
		}
		spots[q.Spot].shown = append(spots[q.Spot].shown, float64(q.Shown))
		spots[q.Spot].true = append(spots[q.Spot].true, float64(q.True))
	}
	d := inspect.Describe(all)
	s.N, s.Mean, s.SD, s.Min, s.Max = d.N, Number(d.Mean), Number(d.SD), Number(d.Min), Number(d.Max)
	for _, n := range numbers {
		shown := inspect.Describe(spots[n].shown)
		s.Spots = append(s.Spots, Spot{n, shown.N, Number(shown.Mean), Number(shown.SD), Number(inspect.Describe(spots[n].true).Mean)})
	}
	return s
}

func (b *builder) result(s Series) *Result {
	r := b.s.Result
	if r == nil {
		return nil
	}
	out := &Result{
		Reported: Number(r.ReportedUm), True: Number(r.TrueUm), Error: Number(r.ErrorUm),
		Expanded: Number(r.ExpandedUm), Combined: Number(r.Uncertainty.Combined), Freedom: Number(r.Uncertainty.DegreesOfFreedom),
		Coverage: Number(r.Coverage), Accepted: Number(r.AcceptedUm), Within: r.Within,
		Given: r.Given, ByRule: r.ByRule, TrueVerdict: r.True, Right: r.Right, Budget: []BudgetLine{},
		Stated: Number(math.NaN()),
	}
	if r.StatedUm > 0 {
		out.Stated = Number(r.StatedUm)
	}
	for _, l := range r.Budget {
		freedom := Number(l.Freedom)
		if l.Freedom == 0 {
			freedom = Number(math.Inf(1))
		}
		out.Budget = append(out.Budget, BudgetLine{l.Name, l.Evaluation, Number(l.StandardUm), freedom, Number(l.Sensitivity), Number(l.Contribution)})
	}
	out.Decision = b.decision(r)
	return out
}

func (b *builder) decision(r *grade.Result) Decision {
	g := &r.Grounds
	d := Decision{
		Acceptance: g.Rule, Asks: g.Text, Standard: g.Source,
		Rule: g.Decision, Source: "JCGM 106:2012, 8.2 and 8.3",
		Plan: g.Plan, Accuracy: g.Accuracy, Edge: g.Edge,
		Limits: []Limit{}, Conformance: Number(math.NaN()),
	}
	for _, l := range g.Reasons {
		d.Limits = append(d.Limits, Limit{l.Text, l.Met})
	}
	rule := &b.r.World.Exercise.Job.Rule
	if u := r.Uncertainty.Combined; u >= 0 {
		upper := math.Inf(1)
		if rule.MaximumUm > 0 {
			upper = rule.MaximumUm
		}
		d.Conformance = Number(inspect.Conformance(r.ReportedUm, u, rule.MinimumUm, upper))
	}
	return d
}

func (b *builder) breakdown() *Breakdown {
	if !b.e.Reported {
		return nil
	}
	m := &b.e.Mean
	out := &Breakdown{
		Exact: b.e.Exact, Replays: b.e.Replays, Total: Number(m.TotalUm), Remainder: Number(m.RemainderUm), Shares: []Share{},
		Verdict: b.verdict(),
	}
	for _, s := range m.Shares {
		out.Shares = append(out.Shares, Share{
			s.Key, s.Name, Number(s.Um), Number(s.StdErrUm), Number(s.WithoutUm),
			plain(s.Cause, sentenceLimit), plain(s.Advice, sentenceLimit), plain(s.Rest, sentenceLimit), plain(s.WhatIf, sentenceLimit), append([]int{}, s.Entries...),
		})
	}
	return out
}

// verdict says in words what changed the verdict of the rule.
func (b *builder) verdict() string {
	v := b.e.Verdict
	if v == nil {
		return ""
	}
	names := func(list []explain.Flip) string {
		var out []string
		for _, f := range list {
			out = append(out, strings.ToLower(f.Name[:1])+f.Name[1:])
		}
		return strings.Join(out, ", ")
	}
	text := fmt.Sprintf("By the job's rule these figures give %s; the true mean gives %s.", v.ByRule, v.True)
	switch {
	case len(v.Flips) > 0 && v.Wrong:
		text += " Any one of these, made ideal, would have put it right: " + names(v.Flips) + "."
	case len(v.Flips) > 0:
		text += " Any one of these, made ideal, would have changed it: " + names(v.Flips) + "."
	case len(v.MustAll) > 0:
		text += " These together, made ideal, would have put it right: " + names(v.MustAll) + "."
	case !v.Wrong:
		text += " No single cause would have changed it."
	}
	return text
}

// Cells of the film's map across and along.
const filmCells = 60

func (b *builder) part() Part {
	p := b.r.World.Part
	a := b.r.World.Exercise.Job.Area
	out := Part{
		Name: plain(p.Name, nameLimit), Width: Number(1e3 * p.Width), Height: Number(1e3 * p.Height),
		Area: [4]Number{Number(1e3 * a.X), Number(1e3 * a.Y), Number(1e3 * a.Width), Number(1e3 * a.Height)},
	}
	nx, ny := filmCells, filmCells
	if p.Width >= p.Height {
		ny = max(1, int(math.Round(filmCells*p.Height/p.Width)))
	} else {
		nx = max(1, int(math.Round(filmCells*p.Width/p.Height)))
	}
	for j := range ny {
		row := make([]Number, nx)
		for i := range nx {
			um := p.Coating.LocalUm(p.Width*(float64(i)+0.5)/float64(nx), p.Height*(float64(j)+0.5)/float64(ny))
			row[i] = Number(math.Round(um*100) / 100)
		}
		out.Film = append(out.Film, row)
	}
	return out
}

// standing are the cautions of an exercise that brings none of its own.
var standing = []string{
	"This is practice on a simulated bench. It certifies nobody and does not replace the instrument maker's instructions, the contract, local codes or licensed practice.",
	"On real work keep clear of moving and hot plant, do not work at height or in a confined space without the permit and training it needs, guard against solvents and blasting dust, and take stray batteries and damaged leads out of use.",
}

func (b *builder) cautions() []string {
	var list []string
	for _, c := range b.r.World.Exercise.Cautions {
		list = append(list, plain(c, sentenceLimit))
	}
	if len(list) == 0 {
		list = append(list, standing...)
	}
	return list
}
