package inspect

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// row is one line of the table of reference values; sources and confidence are in the table itself.
type row struct{ id, quantity, inputs, expected, tolerance, unit, source, confidence string }

func readChecks(t *testing.T) []row {
	t.Helper()
	f, err := os.Open("../../testdata/ref/checks.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []row
	for _, l := range lines[1:] {
		rows = append(rows, row{l[0], l[1], l[2], l[3], l[4], l[5], l[6], l[7]})
	}
	return rows
}

var numberPattern = regexp.MustCompile(`-?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?`)

// numbers returns every number written in the text, in order.
func numbers(t *testing.T, text string) []float64 {
	t.Helper()
	var list []float64
	for _, m := range numberPattern.FindAllString(text, -1) {
		v, err := strconv.ParseFloat(m, 64)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, v)
	}
	return list
}

// first returns the first number in the text.
func first(t *testing.T, text string) float64 {
	t.Helper()
	n := numbers(t, text)
	if len(n) == 0 {
		t.Fatalf("no number in %q", text)
	}
	return n[0]
}

// near demands agreement with the row's expected value within its tolerance, "exact" meaning equal.
func (r row) near(t *testing.T, got float64) {
	t.Helper()
	near(t, r.id, got, first(t, r.expected), r.tolerance)
}

func near(t *testing.T, what string, got, want float64, tolerance string) {
	t.Helper()
	allowed := 0.0
	if !strings.HasPrefix(tolerance, "exact") {
		n := numberPattern.FindString(tolerance)
		v, err := strconv.ParseFloat(n, 64)
		if err != nil {
			t.Fatalf("%s: tolerance %q", what, tolerance)
		}
		allowed = v
		if strings.Contains(tolerance, "rel") {
			allowed *= math.Abs(want)
		}
	}
	if !(math.Abs(got-want) <= allowed) {
		t.Errorf("%s: got %.17g, want %.17g, difference %.3g, allowed %.3g", what, got, want, got-want, allowed)
	}
}

// text demands that the words be equal.
func (r row) text(t *testing.T, got, want string) {
	t.Helper()
	if got != want {
		t.Errorf("%s: got %q, want %q", r.id, got, want)
	}
}

// notHere are the rows of other packages, by the beginning of their id, with the reason.
var notHere = []struct{ prefix, reason string }{
	{"SKIN-", "electromagnetics"}, {"DMIN-", "electromagnetics"}, {"BASE-", "electromagnetics"},
	{"COND-", "electromagnetics"}, {"LIFT-", "electromagnetics"}, {"MAG-", "electromagnetics"},
	{"T15-", "electromagnetics"}, {"T7-", "electromagnetics"}, {"C900-", "electromagnetics"},
	{"IACS-", "material data"}, {"MU-", "material data"},
	{"XAPI-", "learning records"}, {"CMI5-", "learning records"},
	{"QTG-PRE", "a duty of whoever runs the trainer, no computation"},
	{"SAFE-PM", "a caution to show, no computation"},
	{"DEW", "weather on site, outside the trainer"},
}

// checks computes the rows of this package, by the beginning of their id. Order matters: the first match is taken.
var checks = []struct {
	prefix string
	check  func(*testing.T, row)
}{
	{"NIST-", checkStRD},
	{"T9545-", func(t *testing.T, r row) { r.near(t, CoverageFactor(0.9545, first(t, r.inputs))) }},
	{"T95-", func(t *testing.T, r row) { r.near(t, CoverageFactor(0.95, first(t, r.inputs))) }},
	{"T99-", func(t *testing.T, r row) { r.near(t, CoverageFactor(0.99, first(t, r.inputs))) }},
	{"H1-", checkEndGauge},
	{"GRUBBS-", func(t *testing.T, r row) { r.near(t, GrubbsCritical(int(first(t, r.inputs)), 0.05, true)) }},
	{"DIXON-EX", checkDixonExample},
	{"DIXON-", checkDixon},
	{"GB-", checkGuardBand},
	{"FOIL-U", checkFoilBudget},
	{"TOL-", checkTolerance},
	{"PA2-SPOT", checkSpotSize},
	{"PA2-12500", checkPA2SquareFeet},
	{"PA2-500", func(t *testing.T, r row) { r.near(t, float64(plan(t, "pa2", first(t, r.inputs)).Spots)) }},
	{"PA2-MIL", checkSpotLimits},
	{"PA2-L", checkRestrictionLevel},
	{"PA2-RSS", checkCombinedTolerance},
	{"PA2-NC", checkSearch},
	{"19840-N", func(t *testing.T, r row) { r.near(t, float64(plan(t, "iso19840", first(t, r.inputs)).Readings)) }},
	{"19840-R", func(t *testing.T, r row) { r.near(t, float64(MaxRepeats(int(first(t, r.inputs))))) }},
	{"19840-A", checkEightyTwenty},
	{"19840-CX", checkCorrectedReading},
	{"19840-C", checkCorrection},
	{"12944-MAX", checkMaximumFactor},
	{"IMO-9010", checkNinetyTen},
	{"IMO-N", func(t *testing.T, r row) { r.near(t, float64(plan(t, "imo-flat", first(t, r.inputs)).Readings)) }},
	{"EDGE-US", checkEdgeUS},
	{"EDGE-IMO", checkEdgeIMO},
	{"VER-ROLL", checkRollBack},
	{"REP-2360", func(t *testing.T, r row) { r.near(t, float64(len(ReportItems()))) }},
	{"8503-", checkProfileGrade},
	{"9712-", checkPractical},
	{"KAPPA", checkKappa},
	{"ICC", checkICC},
	{"CUSUM-", checkCUSUM},
	{"ANGOFF", checkAngoff},
}

// TestChecks computes every row of the reference table that concerns this package. A row that neither a check nor a
// reason knows fails, so that the table cannot grow unnoticed.
func TestChecks(t *testing.T) {
	covered, left := 0, 0
rows:
	for _, r := range readChecks(t) {
		for _, n := range notHere {
			if strings.HasPrefix(r.id, n.prefix) {
				left++
				continue rows
			}
		}
		for _, c := range checks {
			if strings.HasPrefix(r.id, c.prefix) {
				covered++
				t.Run(r.id, func(t *testing.T) { c.check(t, r) })
				continue rows
			}
		}
		t.Errorf("row %s (%s) has no check", r.id, r.quantity)
	}
	t.Logf("%d rows computed, %d rows of other packages", covered, left)
	if covered < 120 {
		t.Errorf("only %d rows computed, expected at least 120: the table has lost rows", covered)
	}
}

func plan(t *testing.T, id string, areaM2 float64) Plan {
	t.Helper()
	p, err := PlanFor(id, areaM2)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func checkDixon(t *testing.T, r row) {
	want := numbers(t, r.expected)
	for i, percent := range []int{90, 95} {
		got, err := DixonCritical(int(first(t, r.inputs)), percent)
		if err != nil {
			t.Fatal(err)
		}
		near(t, r.id, got, want[i], r.tolerance)
	}
}

func checkDixonExample(t *testing.T, r row) {
	values := numbers(t, r.inputs)
	q, i := DixonQ(values)
	r.near(t, q)
	if values[i] != 0.167 {
		t.Errorf("value %v was picked, expected the lowest, 0.167", values[i])
	}
	at90, _ := DixonCritical(len(values), 90)
	at95, _ := DixonCritical(len(values), 95)
	if !(q > at90 && q < at95) {
		t.Errorf("Q = %v: critical at 90 %% %v, at 95 %% %v; expected between", q, at90, at95)
	}
}

func checkGuardBand(t *testing.T, r row) {
	width := first(t, r.inputs)
	if r.id == "GB-w=1.645u" {
		width = NormalQuantile(0.95) // 1.645 is its rounded form
		near(t, "1.645", width, first(t, r.inputs), "0.0005")
	}
	r.near(t, 100*FalseAcceptRisk(width))
	// The same risk seen from Conformance: what is left of the probability at the acceptance limit.
	r.near(t, 100*(1-Conformance(100+width, 1, 100, math.Inf(1))))
}

func checkFoilBudget(t *testing.T, r row) {
	in := numbers(t, r.inputs)
	c, err := CheckFoil(in[:5], 125, in[5], in[6], in[7], 1.5)
	if err != nil {
		t.Fatal(err)
	}
	want, tolerance := numbers(t, r.expected), strings.Split(r.tolerance, ";")
	for i, got := range []float64{c.Mean, c.SD, c.Uncertainty.Combined, c.Uncertainty.Expanded} {
		near(t, r.id, got, want[i], tolerance[i])
	}
}

func checkTolerance(t *testing.T, r row) {
	id := map[byte]string{'A': "iso2178-1982", 'B': "astm-e376", 'C': "iso2360-2003"}[r.id[len("TOL-")]]
	rule, ok := ToleranceByID(id)
	if !ok {
		t.Fatalf("no rule %q", id)
	}
	r.near(t, rule.At(first(t, r.inputs)))
}

func checkSpotSize(t *testing.T, r row) {
	want := numbers(t, r.expected) // 4 cm (1.5 in); 3
	p := plan(t, "pa2", 10)
	near(t, r.id, p.SpotMm, 10*want[0], "exact")
	near(t, r.id, float64(p.PerSpot), want[2], "exact")
}

func checkPA2SquareFeet(t *testing.T, r row) {
	p, err := PA2PlanSquareFeet(first(t, r.inputs))
	if err != nil {
		t.Fatal(err)
	}
	want := numbers(t, r.expected)
	for i, got := range []int{p.Areas, p.Spots, p.Readings} {
		near(t, r.id, float64(got), want[i], "exact")
	}
}

// checkSpotLimits finds the limits from verdicts: a spot on the limit is accepted, one just beyond is not. The unit is
// of no account to the rule, so mil stand for um.
func checkSpotLimits(t *testing.T, r row) {
	in, want := numbers(t, "8 12"), numbers(t, r.expected)
	if !strings.Contains(r.inputs, "spec 8-12 mil") {
		t.Fatalf("inputs changed: %q", r.inputs)
	}
	for i, step := range []float64{-1e-6, 1e-6} {
		if !spotPasses(t, "pa2-level-3", in[0], in[1], want[i]) || spotPasses(t, "pa2-level-3", in[0], in[1], want[i]+step) {
			t.Errorf("the limit is not at %v", want[i])
		}
	}
}

// spotPasses tells whether a spot mean breaks no limit of its own in an area whose mean is in order.
func spotPasses(t *testing.T, rule string, low, high, mean float64) bool {
	t.Helper()
	spots := []Spot{{ReadingsUm: []float64{mean, mean, mean}}}
	v, err := Judge(rule, Terms{MinimumUm: low, MaximumUm: high}, spots)
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range v.Broken() {
		if b.Spot == 0 {
			return false
		}
	}
	return true
}

func checkRestrictionLevel(t *testing.T, r row) {
	spots := numbers(t, r.inputs[strings.Index(r.inputs, "["):])
	rule := "pa2-level-" + r.id[len("PA2-L"):]
	var got []string
	for _, s := range spots {
		if spotPasses(t, rule, 8, 12, s) {
			got = append(got, "P")
		} else {
			got = append(got, "F")
		}
	}
	r.text(t, strings.Join(got, " "), r.expected)
}

func checkCombinedTolerance(t *testing.T, r row) {
	in := numbers(t, r.inputs)
	r.near(t, CombinedTolerance(in[0], in[1]))
}

func checkSearch(t *testing.T, r row) {
	want := numbers(t, r.expected)
	got := []float64{PA2Search.StepM, float64(PA2Search.Directions), float64(PA2Search.Conforming)}
	for i := range got {
		near(t, r.id, got[i], want[i], "exact")
	}
	for _, c := range []struct {
		conformed []bool
		finished  bool
	}{
		{nil, false}, {[]bool{true}, false}, {[]bool{true, false}, false}, {[]bool{true, false, true}, false},
		{[]bool{false, true, true}, true},
	} {
		if got := PA2Search.Finished(c.conformed); got != c.finished {
			t.Errorf("%v: finished %v", c.conformed, got)
		}
	}
}

// repeated reads "9x330, 1x288" (times first) or "210x9,175" (value first) as readings of one spot each.
func repeated(t *testing.T, text string, timesFirst bool) []Spot {
	t.Helper()
	var spots []Spot
	for _, part := range strings.Split(text, ",") {
		value, times, many := strings.Cut(strings.TrimSpace(part), "x")
		if !many {
			times = "1"
		} else if timesFirst {
			value, times = times, value
		}
		for range int(first(t, times)) {
			spots = append(spots, Spot{ReadingsUm: []float64{first(t, value)}})
		}
	}
	return spots
}

func checkEightyTwenty(t *testing.T, r row) {
	list, ndft, _ := strings.Cut(r.inputs, ";")
	spots := repeated(t, strings.TrimPrefix(list, "10 readings "), false)
	if len(spots) != 10 {
		t.Fatalf("%d readings in %q", len(spots), list)
	}
	judge := func(fifth bool) Verdict {
		v, err := Judge("iso19840-80-20", Terms{MinimumUm: first(t, ndft), FifthAllowed: fifth}, spots)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	strict, mild := judge(false), judge(true)
	got := "differs"
	switch {
	case strict.Accepted && mild.Accepted:
		got = "ACCEPT"
	case !strict.Accepted && mild.Accepted:
		got = "BOUNDARY"
	case !strict.Accepted && !mild.Accepted:
		got = "REJECT"
	}
	r.text(t, got, strings.Fields(r.expected)[0])
	// The reason in the table must be among the reasons given.
	for _, hint := range []struct{ inTable, inText string }{
		{"<160", "below 160 µm"}, {"(mean)", "mean of all readings"}, {"30 % between", "3 of 10 readings"}, {"BOUNDARY", "2 of 10 readings"},
	} {
		if strings.Contains(r.expected, hint.inTable) && !strings.Contains(fmt.Sprint(strict.Broken()), hint.inText) {
			t.Errorf("reasons %v do not say %q", strict.Broken(), hint.inText)
		}
	}
}

func checkCorrection(t *testing.T, r row) {
	got, err := RoughnessCorrection(r.inputs)
	if err != nil {
		t.Fatal(err)
	}
	r.near(t, got)
}

func checkCorrectedReading(t *testing.T, r row) {
	correction, err := RoughnessCorrection("medium")
	if err != nil {
		t.Fatal(err)
	}
	v, err := Judge("iso19840-80-20", Terms{MinimumUm: 100, CorrectionUm: correction}, []Spot{{ReadingsUm: []float64{first(t, r.inputs)}}})
	if err != nil {
		t.Fatal(err)
	}
	r.near(t, v.MeanUm)
}

func checkMaximumFactor(t *testing.T, r row) {
	ndft := first(t, r.inputs)
	want := numbers(t, r.expected) // 720 (3x, 2007) or 480 (2x, 2018)
	for i, edition := range []int{int(want[2]), int(want[5])} {
		factor, _, err := MaximumFactor(edition, ndft)
		if err != nil {
			t.Fatal(err)
		}
		limit := want[3*i]
		judge := func(reading float64) bool {
			v, err := Judge("iso19840-80-20", Terms{MinimumUm: ndft, MaximumFactor: factor}, []Spot{{ReadingsUm: []float64{reading}}})
			if err != nil {
				t.Fatal(err)
			}
			return v.Accepted
		}
		if !judge(limit) || judge(limit+0.1) {
			t.Errorf("edition %d: the limit is not at %v", edition, limit)
		}
	}
}

func checkNinetyTen(t *testing.T, r row) {
	ndft, list, _ := strings.Cut(r.inputs, ";")
	spots := repeated(t, list, true)
	if len(spots) != 10 {
		t.Fatalf("%d readings in %q", len(spots), list)
	}
	v, err := Judge("imo-90-10", Terms{MinimumUm: first(t, ndft)}, spots)
	if err != nil {
		t.Fatal(err)
	}
	r.text(t, map[bool]string{true: "PASS", false: "FAIL"}[v.Accepted], r.expected)
}

func checkEdgeUS(t *testing.T, r row) {
	e, ok := EdgeRuleByID("mil-hdbk-1110")
	if !ok {
		t.Fatal("rule is missing")
	}
	// The table gives 25 mm as printed and the inch it stands for.
	near(t, r.id, math.Floor(e.LeastMm), first(t, r.expected), "exact")
	near(t, r.id, e.LeastMm, first(t, r.tolerance), "exact")
	if e.Allows(25.3) || !e.Allows(25.4) {
		t.Error("the edge is not at 25.4 mm")
	}
}

func checkEdgeIMO(t *testing.T, r row) {
	e, ok := EdgeRuleByID("imo-boundary")
	if !ok {
		t.Fatal("rule is missing")
	}
	most := first(t, r.expected)
	if !e.Allows(most) || e.Allows(most+0.1) || !e.Allows(1) {
		t.Errorf("%+v does not stop at %v mm", e, most)
	}
}

func checkRollBack(t *testing.T, r row) {
	in := numbers(t, strings.ReplaceAll(r.inputs, ":00", "")) // 8, 10, 12
	list := []VerificationCheck{{int64(in[0]) * 60, true}, {int64(in[1]) * 60, true}, {int64(in[2]) * 60, false}}
	after := int64(first(t, strings.TrimPrefix(r.expected, "all after "))) * 60
	var at []int64
	for m := int64(8*60 + 1); m <= 12*60; m++ {
		at = append(at, m)
	}
	for i, suspect := range Suspect(list, at) {
		if suspect != (at[i] > after) {
			t.Errorf("reading at minute %d: suspect %v", at[i], suspect)
		}
	}
}

func checkProfileGrade(t *testing.T, r row) {
	_, comparator, _ := strings.Cut(r.inputs, ", ")
	got, err := Comparator(comparator).Grade(first(t, r.inputs))
	if err != nil {
		t.Fatal(err)
	}
	r.text(t, string(got), r.expected)
}

func checkPractical(t *testing.T, r row) {
	if r.id != "9712-X" {
		full := first(t, r.inputs)
		if full != SpecimenMarks && full != InstructionMarks {
			t.Errorf("full marks %v", full)
		}
		near(t, r.id, PracticalPassMark(full), first(t, r.expected), "exact")
		return
	}
	in := numbers(t, r.inputs)
	passed, failed, err := Practical(in[:3], in[3])
	if err != nil {
		t.Fatal(err)
	}
	r.text(t, map[bool]string{true: "PASS", false: "FAIL"}[passed], r.expected)
	if len(failed) != 1 || !strings.Contains(failed[0], "instruction has 10 of 15 marks, 10.5 needed") {
		t.Errorf("reasons %v", failed)
	}
}

func checkKappa(t *testing.T, r row) {
	in := numbers(t, strings.ReplaceAll(r.inputs, "/", " "))
	k, err := CohenKappa([][]float64{in[:2], in[2:4]})
	if err != nil {
		t.Fatal(err)
	}
	r.near(t, k.Kappa)
}

func checkICC(t *testing.T, r row) {
	var ratings [][]float64
	for _, line := range strings.Split(r.inputs, "/") {
		ratings = append(ratings, numbers(t, line))
	}
	c, err := IntraclassCorrelation(ratings)
	if err != nil {
		t.Fatal(err)
	}
	r.near(t, map[string]float64{
		"ICC(1,1)": c.ICC11, "ICC(2,1)": c.ICC21, "ICC(3,1)": c.ICC31,
		"ICC(1,k)": c.ICC1k, "ICC(2,k)": c.ICC2k, "ICC(3,k)": c.ICC3k,
	}[r.id])
}

func checkCUSUM(t *testing.T, r row) {
	in := numbers(t, strings.NewReplacer("p0", "", "p1", "").Replace(r.inputs)) // p0, p1, alpha = beta
	l, err := CUSUM{in[0], in[1], in[2], in[2]}.Limits()
	if err != nil {
		t.Fatal(err)
	}
	want, tolerance := numbers(t, r.expected), strings.Split(r.tolerance, ";")
	near(t, r.id, l.Success, want[0], tolerance[0])
	near(t, r.id, l.Pass, want[1], tolerance[1])
	near(t, r.id, l.Concern, want[1], tolerance[1])
	near(t, r.id, float64(l.StraightSuccesses()), want[2], tolerance[2])
	// The chart itself must say so too, neither earlier nor later.
	points := l.Follow([]bool{
		true, true, true, true, true, true, true, true, true, true, true, true,
		true, true, true, true, true, true, true, true, true, true, true, true,
	}[:int(want[2])])
	for i, p := range points {
		if (p.State == Competent) != (i == len(points)-1) {
			t.Errorf("after %d successes the chart says %s", i+1, p.State)
		}
	}
}

func checkAngoff(t *testing.T, r row) {
	_, list, _ := strings.Cut(r.inputs, ": ")
	var judges [][]float64
	for _, line := range strings.Split(list, "/") {
		judges = append(judges, numbers(t, line))
	}
	got, err := AngoffCut(judges)
	if err != nil {
		t.Fatal(err)
	}
	r.near(t, got)
}
