package report

import (
	"fmt"
	"strings"

	"foilwright/sim/bench"
)

// The pages of a report are a list of sections of blocks, which HTML and PDF
// each set in type.

type section struct {
	title  string
	blocks []block
}

type block interface{ isBlock() }

// cells is a title block: rows of captioned cells with shares of the width.
type cells [][]cell

type cell struct {
	caption, text string
	share         float64
	tone          tone
	big           bool
}

// para is a paragraph.
type para struct {
	text string
	tone tone
}

// table is a table with a head.
type table struct {
	columns []column
	rows    [][]string
	last    bool // the last row is a sum
}

type column struct {
	title string
	share float64
	right bool
}

// item is a finding or a cause: a sign, a heading with a figure, and lines.
type item struct {
	sign, head, figure string
	tone               tone
	lines              []line
}

type line struct {
	caption, text string
}

// picture is a drawing.
type picture struct{ drawing *drawing }

// signatures are blanks to be signed.
type signatures []string

func (cells) isBlock()      {}
func (para) isBlock()       {}
func (table) isBlock()      {}
func (item) isBlock()       {}
func (picture) isBlock()    {}
func (signatures) isBlock() {}

// tone colours a text; what it says is always told in words too.
type tone uint8

const (
	plainTone tone = iota
	softTone
	goodTone
	warnTone // minor
	actTone  // major, and what to do
	badTone  // critical
	truthTone
)

// pageTitle heads a report.
const pageTitle = "Attempt report"

// aidNote stands at the foot of every page.
const aidNote = "Training aid on a simulated bench: certifies nobody; contract, maker's instructions, local codes and licensed practice come first"

// sections lays the report out.
func (p *Report) sections() []section {
	list := []section{
		{"", []block{p.titleBlock(), p.outcome()}},
		{"Job sheet", p.jobBlocks()},
		{"What was done", p.timelineBlocks()},
		{"Findings", p.findingBlocks()},
		{"Technique score", p.scoreBlocks()},
	}
	if p.Breakdown != nil {
		list = append(list, section{"Where the error of the mean came from", p.breakdownBlocks()})
	}
	list = append(list,
		section{"Where the readings were taken", []block{picture{p.drawSpots()}}},
		section{"Readings and statistics", p.statisticsBlocks()},
	)
	if p.Result != nil {
		list = append(list, section{"Uncertainty of the mean", p.budgetBlocks()}, section{"Decision", p.decisionBlocks()})
	}
	return append(list, section{"Every reading", []block{p.readingTable()}}, section{"Thresholds of the marking", p.thresholdBlocks()},
		section{"Cautions and signatures", p.closingBlocks()})
}

func orBlank(s string) string {
	if s == "" {
		return "–"
	}
	return s
}

func (p *Report) titleBlock() cells {
	h := &p.Header
	return cells{
		{{caption: "Exercise", text: h.Title, share: 3, big: true}, {caption: "Trainee", text: orBlank(h.Trainee), share: 2, big: true}},
		{
			{caption: "Exercise id", text: h.Exercise, share: 1.2}, {caption: "Seed", text: fmt.Sprint(h.Seed), share: 1.2},
			{caption: "Time taken", text: clock(h.LastedMs) + " min", share: 0.8}, {caption: "Report date", text: orBlank(h.Date), share: 0.9},
			{caption: "Program, physics", text: fmt.Sprintf("%s, %d", orBlank(h.Program), h.Physics), share: 1.6},
		},
		{{caption: "Log", text: orBlank(h.Log), share: 1}, {caption: "Exercise digest", text: orBlank(short(h.ExerciseDigest)), share: 1}, {caption: "Log digest", text: orBlank(short(h.LogDigest)), share: 1}},
	}
}

// short cuts a digest to what two people can compare by eye; JSON has it whole.
func short(digest string) string {
	if len(digest) > 24 {
		return digest[:24] + "…"
	}
	return digest
}

func (p *Report) outcome() cells {
	t := &p.Technique
	verdict := cell{caption: "Attempt", text: "not passed", share: 1, tone: badTone, big: true}
	if t.Passed {
		verdict.text, verdict.tone = "passed", goodTone
	}
	if !p.Header.Finished {
		verdict.caption = "Attempt, not finished"
	}
	score := cell{caption: "Technique", text: t.Score.fixed(0) + " of 100", share: 1, big: true}
	if t.Capped {
		score.caption = "Technique, with a critical finding"
	}
	row := []cell{verdict, score}
	if r := p.Result; r != nil {
		said, tone := "within U", goodTone
		if !r.Within {
			tone = badTone
			if said = "outside U"; r.Expanded > r.Accepted && (r.Error <= r.Expanded && r.Error >= -r.Expanded) {
				said = "U too large"
			}
		}
		row = append(row,
			cell{caption: "Error of the mean, " + said, text: fmt.Sprintf("%s ± %s µm", r.Error.signed(1), r.Expanded.fixed(1)), share: 1.2, tone: tone, big: true},
			verdictCell(r))
	} else {
		row = append(row, cell{caption: "Result", text: "nothing reported", share: 2.2, tone: badTone, big: true})
	}
	return cells{row}
}

func verdictCell(r *Result) cell {
	c := cell{caption: "Verdict, right", text: r.Given, share: 1, tone: goodTone, big: true}
	if !r.Right {
		c.caption, c.tone = "Verdict, wrong", badTone
	}
	return c
}

func (p *Report) jobBlocks() []block {
	j := &p.Job
	adjustment := bench.AdjustmentWords(j.Adjustment)
	if adjustment == "" {
		adjustment = j.Adjustment
	}
	return []block{
		para{text: j.Text},
		cells{
			{{caption: "Customer", text: orBlank(j.Customer), share: 1}, {caption: "Part", text: orBlank(j.Item), share: 1}},
			{{caption: "Base", text: orBlank(j.Base), share: 1}, {caption: "Coating", text: orBlank(j.Coating), share: 1}},
			{
				{caption: "Expected", text: j.Expected[0].short() + " to " + j.Expected[1].short() + " µm", share: 1},
				{caption: "NDFT", text: j.NDFT.short() + " µm", share: 1},
				{caption: "Adjustment", text: adjustment, share: 1},
				{caption: "Sampling", text: fmt.Sprintf("%s of %s", count(j.Spots, "spot"), count(j.PerSpot, "reading")), share: 1},
			},
			{{caption: "Acceptance rule of the job sheet", text: j.Rule, share: 1}},
		},
	}
}

func (p *Report) timelineBlocks() []block {
	t := table{columns: []column{{"From", 0.7, true}, {"To", 0.7, true}, {"Entries", 1, true}, {"Step", 9, false}}}
	for _, m := range p.Timeline {
		to, entries := "", fmt.Sprint(m.First)
		if m.To > m.From {
			to = clock(m.To)
		}
		if m.Last > m.First {
			entries += "–" + fmt.Sprint(m.Last)
		}
		t.rows = append(t.rows, []string{clock(m.From), to, entries, m.What})
	}
	if len(t.rows) == 0 {
		return []block{para{"Nothing was done.", plainTone}}
	}
	return []block{
		picture{p.drawTimeline()},
		para{"A bar is a step that took time, with a tick for each reading; a diamond a single act; a cross what the bench refused. Numbered flags point at the first evidence of a finding.", softTone},
		t,
	}
}

func severityTone(severity string) tone {
	switch severity {
	case "critical":
		return badTone
	case "major":
		return actTone
	}
	return warnTone
}

func (p *Report) findingBlocks() []block {
	if len(p.Findings) == 0 {
		return []block{para{"No finding: every check of technique was met.", goodTone}}
	}
	var list []block
	for _, f := range p.Findings {
		it := item{
			sign: fmt.Sprint(f.N), tone: severityTone(f.Severity), head: f.Name,
			figure: f.Severity + ", " + f.points(),
			lines:  []line{{"", f.What}, {"Do", f.Do}},
		}
		if f.Cost.known() && f.Cost.fixed(2) != "0.00" {
			it.lines = append(it.lines, line{"Cost", fmt.Sprintf("it moved the mean by %s µm", f.Cost.signed(2))})
		}
		if len(f.Evidence) > 0 {
			it.lines = append(it.lines, line{"Evidence", evidence(f.Evidence)})
		}
		it.lines = append(it.lines, line{"Check", fmt.Sprintf("%s (%s); source: %s", f.Check, f.Group, f.Source)})
		for _, x := range f.Followed {
			it.lines = append(it.lines, line{"It also brought", fmt.Sprintf("%s (%s, not charged)", x.What, x.Check)})
		}
		list = append(list, it)
	}
	return list
}

// points tells what a finding took.
func (f *Finding) points() string {
	if f.Points.fixed(1) == "0.0" {
		return "no points left to take"
	}
	return "−" + f.Points.fixed(1) + " points"
}

// mostEvidence is how many entries are written out.
const mostEvidence = 10

func evidence(list []Evidence) string {
	var parts []string
	for i, e := range list {
		if i == mostEvidence {
			parts = append(parts, fmt.Sprintf("and %d more", len(list)-i))
			break
		}
		parts = append(parts, fmt.Sprintf("%d (%s)", e.Entry, clock(e.At)))
	}
	word := "log entries "
	if len(list) == 1 {
		word = "log entry "
	}
	return word + strings.Join(parts, ", ")
}

func (p *Report) scoreBlocks() []block {
	t := table{columns: []column{{"Part of the work", 2.2, false}, {"Points", 1, true}, {"Of", 0.7, true}, {"What took points, and by which rule", 7, false}}, last: true}
	for _, g := range p.Technique.Groups {
		var lost []string
		for _, l := range g.Lost {
			lost = append(lost, fmt.Sprintf("%s −%s: %s", l.Check, l.Points.fixed(1), l.Rule))
		}
		text := strings.Join(lost, "; ")
		if text == "" {
			text = "nothing taken"
		}
		t.rows = append(t.rows, []string{g.Name, g.Score.fixed(1), g.Weight.short(), text})
	}
	note := ""
	if p.Technique.Capped {
		note = "with a critical finding no more than 49 points can stand"
	}
	t.rows = append(t.rows, []string{"Technique", p.Technique.Score.fixed(1), "100", note})
	list := []block{t}
	for _, why := range p.Technique.Why {
		mark, tone := "√ ", goodTone
		if strings.HasPrefix(why, "not met") {
			mark, tone = "× ", badTone
		}
		list = append(list, para{mark + why, tone})
	}
	for _, c := range p.Technique.Consequences {
		list = append(list, para{"→ " + c.What, plainTone})
	}
	return list
}

// leastTold is the smallest share that is told in words, um.
const leastTold = 0.1

func (p *Report) breakdownBlocks() []block {
	b := p.Breakdown
	how := "Shapley values over every combination of the causes present: they add up to the error exactly."
	if !b.Exact {
		how = "Shapley values sampled from random orders of the causes: they add up to the error; standard errors are in the JSON form."
	}
	list := []block{picture{p.drawWaterfall()}, para{fmt.Sprintf("%s %d replays of the attempt.", how, b.Replays), softTone}}
	told := 0
	for _, s := range b.Shares {
		if float64(s.Um) < leastTold && float64(s.Um) > -leastTold {
			continue
		}
		told++
		it := item{sign: "", tone: actTone, head: s.Name, figure: s.Um.signed(2) + " µm", lines: []line{{"Cause", s.Cause}}}
		if s.Advice != "" {
			it.lines = append(it.lines, line{"Do", s.Advice})
		}
		if s.Rest != "" {
			it.lines = append(it.lines, line{"No fault", s.Rest})
		}
		if s.WhatIf != "" {
			it.lines = append(it.lines, line{"What if", s.WhatIf})
		}
		if n := len(s.Entries); n > 0 {
			var parts []string
			for _, e := range s.Entries {
				parts = append(parts, fmt.Sprint(e))
			}
			it.lines = append(it.lines, line{"Came in at", "log entry " + strings.Join(parts, ", ")})
		}
		list = append(list, it)
	}
	if told == 0 {
		list = append(list, para{"No single cause moved the mean by 0.1 µm.", plainTone})
	}
	if b.Verdict != "" {
		list = append(list, para{b.Verdict, plainTone})
	}
	return list
}

func (p *Report) statisticsBlocks() []block {
	s := &p.Series
	var list []block
	if d := p.drawReadings(); d != nil {
		list = append(list, picture{d})
	}
	if !s.Reported && s.N == 0 {
		return append(list, para{"Nothing was reported, and the memory holds no reading of the part.", badTone})
	}
	if !s.Reported {
		list = append(list, para{"Nothing was reported; these are the readings left in the memory.", badTone})
	}
	if s.Foreign > 0 {
		list = append(list, para{fmt.Sprintf("%s of an earlier job went into the reported series.", count(s.Foreign, "reading")), badTone})
	}
	list = append(list, cells{{
		{caption: "Readings", text: fmt.Sprint(s.N), share: 1}, {caption: "Mean, µm", text: s.Mean.fixed(2), share: 1},
		{caption: "Standard deviation, µm", text: s.SD.fixed(2), share: 1.3}, {caption: "Lowest, µm", text: s.Min.fixed(1), share: 1},
		{caption: "Highest, µm", text: s.Max.fixed(1), share: 1},
	}})
	t := table{columns: []column{{"Spot", 1, true}, {"Readings", 1, true}, {"Mean, µm", 1, true}, {"Standard deviation, µm", 1.6, true}, {"True, µm", 1, true}, {"Error, µm", 1, true}}}
	for _, x := range s.Spots {
		t.rows = append(t.rows, []string{fmt.Sprint(x.N), fmt.Sprint(x.Of), x.Mean.fixed(2), x.SD.fixed(2), x.True.fixed(2), (x.Mean - x.True).signed(2)})
	}
	if len(t.rows) > 0 {
		list = append(list, t)
	}
	return list
}

func (p *Report) budgetBlocks() []block {
	r := p.Result
	t := table{columns: []column{{"Component", 1.9, false}, {"How it was found", 4.3, false}, {"u, µm", 0.9, true}, {"Degrees of freedom", 1.1, true}, {"Sensitivity", 1.2, true}, {"Contribution, µm", 1.3, true}}, last: true}
	for _, l := range r.Budget {
		freedom := l.Freedom.short()
		if !l.Freedom.known() {
			freedom = "∞"
		}
		t.rows = append(t.rows, []string{l.Name, l.Evaluation, l.Standard.fixed(3), freedom, l.Sensitivity.fixed(3), l.Contribution.fixed(3)})
	}
	freedom := r.Freedom.fixed(1)
	if !r.Freedom.known() {
		freedom = "∞"
	}
	if !r.Combined.known() {
		return []block{t, para{"No uncertainty can be stated: there is no scatter to estimate it from.", badTone}}
	}
	t.rows = append(t.rows, []string{"Combined", "root of the sum of squares; Welch-Satterthwaite", r.Combined.fixed(3), freedom, "", r.Combined.fixed(3)})
	most := ""
	if r.Accepted.known() && r.Accepted > 0 {
		most = fmt.Sprintf(" To support a result here U may be ±%s µm at most (ASTM E376, note 2).", r.Accepted.fixed(1))
	}
	stated := para{text: "The trainee stated no uncertainty.", tone: softTone}
	if r.Stated.known() {
		stated = para{text: fmt.Sprintf("The trainee stated U = ±%s µm; the budget gives ±%s µm.", r.Stated.fixed(1), r.Expanded.fixed(1))}
	}
	return []block{t, stated, para{fmt.Sprintf(
		"Expanded uncertainty U = %s × %s µm = ±%s µm at 95 %%: reported %s µm ± %s µm. By JCGM 100:2008 (GUM), from readings, certificates and display alone, without knowing the truth.",
		r.Coverage.fixed(2), r.Combined.fixed(3), r.Expanded.fixed(2), r.Reported.fixed(1), r.Expanded.fixed(1)) + most, plainTone}}
}

func (p *Report) decisionBlocks() []block {
	r := p.Result
	t := table{columns: []column{{"Limit looked at", 6, false}, {"", 1, false}}}
	for _, l := range r.Decision.Limits {
		said := "√ met"
		if !l.Met {
			said = "× not met"
		}
		t.rows = append(t.rows, []string{l.What, said})
	}
	list := []block{
		para{"Rule of the job sheet: " + p.Job.Rule + ".", plainTone}, t,
		cells{{
			{caption: "Given by the trainee", text: r.Given, share: 1, big: true},
			{caption: "By the rule, from the report", text: r.ByRule, share: 1, big: true},
			{caption: "By the true mean", text: fmt.Sprintf("%s (%s µm)", r.TrueVerdict, r.True.fixed(1)), share: 1.3, big: true, tone: truthTone},
		}},
		para{fmt.Sprintf("Rules used. Acceptance: %s, that is: %s (%s). Uncertainty in the decision: %s (%s). Sampling: %s. Accuracy asked of the result: %s. Least distance from edges: %s.",
			r.Decision.Acceptance, r.Decision.Asks, r.Decision.Standard, r.Decision.Rule, r.Decision.Source, r.Decision.Plan, r.Decision.Accuracy, r.Decision.Edge), plainTone},
	}
	if r.Decision.Conformance.known() {
		list = append(list, para{fmt.Sprintf(
			"From the reported mean and its uncertainty the mean of the film keeps its limits with a probability of %s %% (JCGM 106:2012, 7.2).",
			percent(100*r.Decision.Conformance)), plainTone})
	}
	return list
}

// percent writes a per cent figure that does not claim certainty.
func percent(x Number) string {
	switch {
	case x > 99.9:
		return "more than 99.9"
	case x < 0.1:
		return "less than 0.1"
	}
	return x.fixed(1)
}

func (p *Report) readingTable() block {
	t := table{columns: []column{
		{"Entry", 0.8, true}, {"Time", 0.8, true}, {"Taken for", 1.5, false}, {"x, mm", 0.9, true}, {"y, mm", 0.9, true},
		{"Shown, µm", 1.25, true}, {"True, µm", 1.1, true}, {"Error, µm", 1.1, true}, {"Main causes, µm", 5, false},
	}}
	for i := range p.Readings {
		q := &p.Readings[i]
		taken := "spot " + fmt.Sprint(q.Spot)
		switch {
		case q.Mode != LaneMeasure:
			taken = "verification"
		case q.Deleted:
			taken += ", deleted"
		case !q.Kept:
			taken += ", not in result"
		}
		t.rows = append(t.rows, []string{
			fmt.Sprint(q.Entry), clock(q.At), taken, q.X.fixed(1), q.Y.fixed(1), q.Shown.fixed(1), q.True.fixed(2), q.Error.signed(2), mainCauses(q.Causes),
		})
	}
	if len(t.rows) == 0 {
		return para{"No reading was taken on the part or for a verification.", plainTone}
	}
	return t
}

// mainCauses writes the two largest causes of a reading.
func mainCauses(list []Cause) string {
	var parts []string
	for _, c := range list {
		if len(parts) == 2 || c.Um > -0.05 && c.Um < 0.05 {
			break
		}
		parts = append(parts, c.Name+" "+c.Um.signed(2))
	}
	if parts == nil {
		return "–"
	}
	return strings.Join(parts, ", ")
}

func (p *Report) thresholdBlocks() []block {
	t := table{columns: []column{{"Threshold", 5, false}, {"Value", 1, true}, {"Set by", 1.2, false}, {"Check", 2.4, false}}}
	for _, x := range p.Technique.Thresholds {
		by := "the exercise"
		if x.Usual {
			by = "usual value"
		}
		t.rows = append(t.rows, []string{x.What, strings.TrimSpace(x.Value.short() + " " + x.Unit), by, orBlank(strings.Join(x.Checks, ", "))})
	}
	return []block{
		t,
		para{"A usual value without a source is common practice.", softTone},
	}
}

func (p *Report) closingBlocks() []block {
	var list []block
	for _, c := range p.Cautions {
		list = append(list, para{"! " + c, warnTone})
	}
	if len(p.Header.LogDigest) > 0 {
		list = append(list, para{"This report was made from a replay of the log; its SHA-256 is " + p.Header.LogDigest + ".", softTone})
	}
	return append(list, signatures{"Trainee", "Instructor or assessor", "Date and place"})
}
