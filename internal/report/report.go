package report

import (
	"foilwright/sim/bench"
	"foilwright/sim/explain"
	"foilwright/sim/grade"
)

// Format and Version name the JSON form of a report. Version goes up when a
// key changes its meaning or goes away; new keys may come without.
const (
	Format  = "foilwright-report"
	Version = 2
)

// Given is what a report tells that is in no record.
type Given struct {
	Trainee   string
	Date      string // of the report, as it is to be printed; empty: a blank to be filled in by hand
	Program   string // version of the program
	Log       string // name of the log
	LogDigest string // SHA-256 of the log
}

// Report is everything that is told of one attempt. Thicknesses are
// micrometres, times milliseconds since the attempt began; what is not known
// is null in JSON.
type Report struct {
	Format  string `json:"format"`
	Version int    `json:"version"`

	Header    Header     `json:"header"`
	Job       Job        `json:"job"`
	Timeline  []Moment   `json:"timeline"`
	Technique Technique  `json:"technique"`
	Findings  []Finding  `json:"findings"`
	Result    *Result    `json:"result"` // null when nothing was reported
	Breakdown *Breakdown `json:"breakdown"`
	Readings  []Reading  `json:"readings"`
	Series    Series     `json:"series"`
	Part      Part       `json:"part"`
	Cautions  []string   `json:"cautions"`
}

// Header identifies the attempt.
type Header struct {
	Exercise       string `json:"exercise"`
	Title          string `json:"title"`
	Trainee        string `json:"trainee"`
	Seed           uint64 `json:"seed,string"`
	ExerciseDigest string `json:"exercise_digest"`
	Log            string `json:"log"`
	LogDigest      string `json:"log_digest"`
	Program        string `json:"program"`
	Physics        int    `json:"physics"`
	Date           string `json:"date"`
	LastedMs       int64  `json:"lasted_ms"`
	Finished       bool   `json:"finished"`
}

// Job is the job sheet in short.
type Job struct {
	Customer      string    `json:"customer"`
	Item          string    `json:"item"`
	Text          string    `json:"text"`
	Base          string    `json:"base"`
	Coating       string    `json:"coating"`
	Expected      [2]Number `json:"expected_um"`
	NDFT          Number    `json:"ndft_um"`
	Adjustment    string    `json:"adjustment"`
	Spots         int       `json:"spots"`
	PerSpot       int       `json:"readings_per_spot"`
	Rule          string    `json:"rule"`
	Minimum       Number    `json:"minimum_um"`
	SpotLeast     Number    `json:"spot_least_um"`
	Probe         string    `json:"probe"`
	Resolution    Number    `json:"resolution_um"`
	TechniqueMark Number    `json:"technique_mark"`
}

// Technique is how the work was done.
type Technique struct {
	Score        Number        `json:"score"`
	Capped       bool          `json:"capped"` // held down by a critical finding
	Passed       bool          `json:"passed"`
	Why          []string      `json:"why"`
	Groups       []Group       `json:"groups"`
	Consequences []Consequence `json:"consequences"`
	Thresholds   []Threshold   `json:"thresholds"` // of the marking, those of the exercise's own first
}

// Threshold is one figure that the marking went by.
type Threshold struct {
	Key    string   `json:"key"`
	What   string   `json:"what"`
	Value  Number   `json:"value"`
	Unit   string   `json:"unit"`
	Usual  bool     `json:"usual"` // the exercise did not set it
	Checks []string `json:"checks"`
}

// Group is the score of one part of the work.
type Group struct {
	Name   string `json:"name"`
	Weight Number `json:"weight"`
	Score  Number `json:"score"`
	Lost   []Lost `json:"lost"`
}

// Lost says which rule took points.
type Lost struct {
	Check  string `json:"check"`
	Points Number `json:"points"`
	Rule   string `json:"rule"`
}

// Consequence is what came of findings and is not charged.
type Consequence struct {
	ID   string `json:"id"`
	What string `json:"what"`
}

// Finding is one thing found, with its evidence.
type Finding struct {
	N        int        `json:"n"` // from 1, as the time line shows it
	Check    string     `json:"check"`
	Name     string     `json:"name"`
	Group    string     `json:"group"`
	Severity string     `json:"severity"`
	Source   string     `json:"source"`
	What     string     `json:"what"`
	Do       string     `json:"do"`
	Cost     Number     `json:"cost_um"`
	Points   Number     `json:"points"`
	Evidence []Evidence `json:"evidence"`
	Followed []Followed `json:"followed"`
}

// Evidence is one log entry a finding rests on.
type Evidence struct {
	Entry int   `json:"entry"`
	At    int64 `json:"at_ms"`
}

// Followed is a finding that another explains.
type Followed struct {
	Check string `json:"check"`
	What  string `json:"what"`
}

// Result is what was reported and how right it is.
type Result struct {
	Reported    Number       `json:"reported_um"`
	True        Number       `json:"true_um"`
	Error       Number       `json:"error_um"`
	Expanded    Number       `json:"expanded_um"`
	Combined    Number       `json:"combined_um"`
	Freedom     Number       `json:"effective_degrees_of_freedom"` // null: infinite
	Coverage    Number       `json:"coverage_factor"`
	Accepted    Number       `json:"accepted_um"` // the largest U that supports a result
	Stated      Number       `json:"stated_um"`   // U as the trainee put it down; null: none
	Within      bool         `json:"within"`      // |error| <= U <= accepted
	Given       string       `json:"given"`
	ByRule      string       `json:"by_rule"`
	TrueVerdict string       `json:"true_verdict"`
	Right       bool         `json:"right"`
	Budget      []BudgetLine `json:"budget"`
	Decision    Decision     `json:"decision"`
}

// BudgetLine is one line of the uncertainty budget.
type BudgetLine struct {
	Name         string `json:"name"`
	Evaluation   string `json:"evaluation"`
	Standard     Number `json:"standard_um"`
	Freedom      Number `json:"degrees_of_freedom"` // null: known
	Sensitivity  Number `json:"sensitivity"`
	Contribution Number `json:"contribution_um"`
}

// Decision is the verdict with its grounds.
type Decision struct {
	Acceptance  string  `json:"acceptance"`  // id of the acceptance rule
	Asks        string  `json:"asks"`        // what it asks
	Standard    string  `json:"standard"`    // it is of
	Rule        string  `json:"rule"`        // how uncertainty enters
	Source      string  `json:"source"`      // of that
	Plan        string  `json:"plan"`        // of sampling
	Accuracy    string  `json:"accuracy"`    // statement that U had to keep
	Edge        string  `json:"edge"`        // least distance from edges, and by what
	Limits      []Limit `json:"limits"`      // what the job's rule looked at
	Conformance Number  `json:"conformance"` // probability that the mean of the film keeps its limits, from report and uncertainty
}

// Limit is one limit the job's rule looked at.
type Limit struct {
	What string `json:"what"` // value and bound in words
	Met  bool   `json:"met"`
}

// Breakdown is the error of the reported mean, cause by cause.
type Breakdown struct {
	Exact     bool    `json:"exact"`
	Replays   int     `json:"replays"`
	Total     Number  `json:"total_um"`
	Remainder Number  `json:"remainder_um"`
	Shares    []Share `json:"shares"`
	Verdict   string  `json:"verdict"` // what changed it, in words
}

// Share is what one cause brought in.
type Share struct {
	Key     string `json:"influence"`
	Name    string `json:"name"`
	Um      Number `json:"um"`
	StdErr  Number `json:"std_err_um"`
	Without Number `json:"without_um"`
	Cause   string `json:"cause"`
	Advice  string `json:"advice"`
	Rest    string `json:"rest"` // in place of advice where nothing was done wrong
	WhatIf  string `json:"what_if"`
	Entries []int  `json:"entries"`
}

// Reading is one reading of the part or of a verification, with the truth.
type Reading struct {
	Entry     int     `json:"entry"`
	At        int64   `json:"at_ms"`
	Mode      string  `json:"mode"`
	Spot      int     `json:"spot"`
	Piece     string  `json:"piece"`
	Foil      string  `json:"foil"`
	X         Number  `json:"x_mm"`
	Y         Number  `json:"y_mm"`
	Shown     Number  `json:"shown_um"`
	True      Number  `json:"true_um"`
	Error     Number  `json:"error_um"`
	Kept      bool    `json:"in_result"`
	Deleted   bool    `json:"deleted"`
	Reason    string  `json:"reason"` // given for the deletion
	Causes    []Cause `json:"causes"`
	OnThePart bool    `json:"on_the_part"`
}

// Cause is what one influence did to one reading.
type Cause struct {
	Key  string `json:"influence"`
	Name string `json:"name"`
	Um   Number `json:"um"`
}

// Series is the reported series, or what was measured when nothing was
// reported.
type Series struct {
	Reported bool   `json:"reported"`
	N        int    `json:"n"`
	Foreign  int    `json:"from_an_earlier_job"`
	Mean     Number `json:"mean_um"`
	SD       Number `json:"standard_deviation_um"`
	Min      Number `json:"min_um"`
	Max      Number `json:"max_um"`
	Spots    []Spot `json:"spots"`
}

// Spot is one spot of the series.
type Spot struct {
	N    int    `json:"spot"`
	Of   int    `json:"readings"`
	Mean Number `json:"mean_um"`
	SD   Number `json:"standard_deviation_um"`
	True Number `json:"true_um"`
}

// Part is what the spot map shows: the outline, the area to be measured and
// the true film, row by row from the lower edge.
type Part struct {
	Name   string     `json:"name"`
	Width  Number     `json:"width_mm"`
	Height Number     `json:"height_mm"`
	Area   [4]Number  `json:"area_mm"` // x, y, width, height
	Film   [][]Number `json:"film_um"` // at the middles of equal cells
}

// New gathers the report of an attempt.
func New(g Given, r *bench.Record, s *grade.Sheet, e *explain.Explanation) *Report {
	e.Absolve(s.Blamed())
	b := builder{r: r, s: s, e: e, res: r.World.Exercise.Instrument.ResolutionUm}
	p := &Report{Format: Format, Version: Version}
	p.Header = b.header(g)
	p.Job = b.job()
	p.Timeline = b.timeline()
	p.Technique = b.technique()
	p.Findings = b.findings()
	p.Readings = b.readings()
	p.Series = b.series()
	p.Result = b.result(p.Series)
	p.Breakdown = b.breakdown()
	p.Part = b.part()
	p.Cautions = b.cautions()
	return p
}
