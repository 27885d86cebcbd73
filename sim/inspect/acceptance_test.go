package inspect

import (
	"math"
	"strings"
	"testing"
)

func spotsOf(means ...float64) []Spot {
	var spots []Spot
	for _, m := range means {
		spots = append(spots, Spot{ReadingsUm: []float64{m - 1, m, m + 1}})
	}
	return spots
}

func single(readings ...float64) []Spot {
	var spots []Spot
	for _, v := range readings {
		spots = append(spots, Spot{ReadingsUm: []float64{v}})
	}
	return spots
}

// The verdict with the reason an apprentice is given.
func TestJudgeSaysWhy(t *testing.T) {
	for _, c := range []struct {
		name     string
		rule     string
		terms    Terms
		spots    []Spot
		accepted bool
		says     string // in the first reason
	}{
		{"good panel", "mean-and-spots", Terms{MinimumUm: 75, SpotPercent: 80}, spotsOf(80, 78, 76, 81, 79), true,
			"mean of the spots 78.8 µm is not below 75 µm (minimum)"},
		{"spot on its limit", "mean-and-spots", Terms{MinimumUm: 75, SpotPercent: 80}, spotsOf(60, 90), true, "75 µm"},
		{"low spot", "mean-and-spots", Terms{MinimumUm: 75, SpotPercent: 80}, spotsOf(80, 59.9, 90), false,
			"spot 2 mean 59.9 µm is below 60 µm (80 % of the minimum)"},
		{"guard band", "mean-and-spots", Terms{MinimumUm: 75, SpotPercent: 80, MeanGuardUm: 1.04}, spotsOf(76), false,
			"mean of the spots 76 µm is below 76.04 µm (minimum with a guard band of 1.04 µm)"},
		{"level 3, area low though spots are not", "pa2-level-3", Terms{MinimumUm: 75, MaximumUm: 150}, spotsOf(70, 70, 70), false,
			"area mean 70 µm is below 75 µm (minimum)"},
		{"level 3, one reading wild in a good spot", "pa2-level-3", Terms{MinimumUm: 75, MaximumUm: 150},
			[]Spot{{ReadingsUm: []float64{20, 110, 110}}}, true, "area mean 80 µm"},
		{"level 3, high spot", "pa2-level-3", Terms{MinimumUm: 75, MaximumUm: 100}, spotsOf(80, 80, 120.1, 80), false,
			"spot 3 mean 120.1 µm is above 120 µm (120 % of the maximum)"},
		{"level 3, each area on its own", "pa2-level-3", Terms{MinimumUm: 75, MaximumUm: 150},
			[]Spot{{Area: 1, ReadingsUm: []float64{100}}, {Area: 2, ReadingsUm: []float64{74}}}, false,
			"area 2 mean 74 µm is below 75 µm (minimum)"},
		{"level 5 has no maximum", "pa2-level-5", Terms{MinimumUm: 75, MaximumUm: 100}, spotsOf(400), true, "area mean 400 µm"},
		{"no maximum stated", "pa2-level-1", Terms{MinimumUm: 75}, spotsOf(400), true, "area mean 400 µm"},
		{"80/20, one reading broken", "iso19840-80-20", Terms{MinimumUm: 200}, single(215, 215, 215, 215, 215, 159), false,
			"spot 6 reading 1 159 µm is below 160 µm (80 % of NDFT)"},
		{"80/20, maximum factor", "iso19840-80-20", Terms{MinimumUm: 60, MaximumFactor: 3}, single(60, 180.1), false,
			"spot 2 reading 1 180.1 µm is above 180 µm (3 times NDFT)"},
		{"80/20, stated maximum is smaller", "iso19840-80-20", Terms{MinimumUm: 60, MaximumUm: 100, MaximumFactor: 3}, single(60, 101), false,
			"above 100 µm (maximum)"},
		{"80/20, correction makes it fail", "iso19840-80-20", Terms{MinimumUm: 200, CorrectionUm: 25}, single(220, 220), false,
			"mean of all readings 195 µm is below 200 µm (minimum)"},
		{"90/10, none below", "imo-90-10", Terms{MinimumUm: 320}, single(320, 320, 320), true, "0 of 3 readings lie below NDFT 320 µm"},
		{"local minimum", "local-minimum", Terms{MinimumUm: 10}, spotsOf(12, 9.9), false,
			"spot 2 mean 9.9 µm is below 10 µm (minimum local thickness)"},
	} {
		t.Run(c.name, func(t *testing.T) {
			v, err := Judge(c.rule, c.terms, c.spots)
			if err != nil {
				t.Fatal(err)
			}
			if v.Accepted != c.accepted || (len(v.Broken()) == 0) != c.accepted {
				t.Errorf("accepted %v, broken %v", v.Accepted, v.Broken())
			}
			if len(v.Reasons) == 0 || !strings.Contains(v.Reasons[0].Text, c.says) {
				t.Errorf("reasons %+v, expected first %q", v.Reasons, c.says)
			}
			if v.Rule.ID != c.rule || v.Rule.Standard == "" || v.Rule.Confidence == "" {
				t.Errorf("rule %+v", v.Rule)
			}
		})
	}
}

// A broken reading is pointed at by spot and reading, so that a report can mark it.
func TestJudgePointsAtReading(t *testing.T) {
	spots := []Spot{{ReadingsUm: []float64{330, 340}}, {ReadingsUm: []float64{330, 287, 335}}}
	v, err := Judge("imo-90-10", Terms{MinimumUm: 320}, spots)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range v.Broken() {
		if r.Reading >= 0 && (r.Spot != 1 || r.Reading != 1 || r.ValueUm != 287 || r.Limit != 288) {
			t.Errorf("%+v, expected spot 1 reading 1", r)
		}
	}
	if n := len(v.Broken()); n != 2 {
		t.Errorf("%d broken limits, expected the reading and the count: %v", n, v.Broken())
	}
}

// The standards differ on one set of readings: that is why the job sheet names the rule.
func TestRulesDiffer(t *testing.T) {
	spots := single(230, 230, 230, 230, 230, 230, 230, 230, 165, 165)
	for rule, want := range map[string]bool{
		"pa2-level-1": false, "pa2-level-3": true, "iso19840-80-20": false, "imo-90-10": false, "local-minimum": false,
	} {
		v, err := Judge(rule, Terms{MinimumUm: 200}, spots)
		if err != nil || v.Accepted != want {
			t.Errorf("%s: %v, %v", rule, v.Accepted, err)
		}
	}
}

func TestJudgeRefuses(t *testing.T) {
	good := single(80)
	for _, c := range []struct {
		name  string
		rule  string
		terms Terms
		spots []Spot
		says  string
	}{
		{"unknown rule", "pa2-level-7", Terms{MinimumUm: 75}, good, "pa2-level-5"},
		{"no minimum", "pa2-level-3", Terms{}, good, "minimum"},
		{"maximum below minimum", "pa2-level-3", Terms{MinimumUm: 75, MaximumUm: 60}, good, "maximum"},
		{"factor below one", "iso19840-80-20", Terms{MinimumUm: 75, MaximumFactor: 0.5}, good, "factor"},
		{"no spot fraction", "mean-and-spots", Terms{MinimumUm: 75}, good, "spot per cent"},
		{"guard too wide", "pa2-level-3", Terms{MinimumUm: 75, MaximumUm: 80, MeanGuardUm: 3}, good, "guard"},
		{"negative correction", "pa2-level-3", Terms{MinimumUm: 75, CorrectionUm: -1}, good, "correction"},
		{"no spots", "pa2-level-3", Terms{MinimumUm: 75}, nil, "no spots"},
		{"empty spot", "pa2-level-3", Terms{MinimumUm: 75}, []Spot{{ReadingsUm: []float64{80}}, {}}, "spot 2 has no readings"},
		{"not a number", "pa2-level-3", Terms{MinimumUm: 75}, single(80, math.NaN()), "spot 2 reading 1"},
	} {
		_, err := Judge(c.rule, c.terms, c.spots)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v, expected %q in it", c.name, err, c.says)
		}
	}
}

// Scaling readings and limits together changes no verdict (mil or um); thicker paint never turns accept into reject
// where there is no maximum; means of decimals on the limit are on the limit.
func TestJudgeProperties(t *testing.T) {
	values := readingsLike(60)
	var spots, mil, thicker []Spot
	for i := 0; i < len(values); i += 3 {
		s, m, k := Spot{}, Spot{}, Spot{}
		for _, v := range values[i : i+3] {
			s.ReadingsUm = append(s.ReadingsUm, v)
			m.ReadingsUm = append(m.ReadingsUm, v/25.4)
			k.ReadingsUm = append(k.ReadingsUm, v+0.1)
		}
		spots, mil, thicker = append(spots, s), append(mil, m), append(thicker, k)
	}
	for _, rule := range AcceptanceRules() {
		accepted := 0
		for minimum := 70.0; minimum <= 100; minimum += 0.37 {
			terms := Terms{MinimumUm: minimum, SpotPercent: 80}
			v, err := Judge(rule.ID, terms, spots)
			if err != nil {
				t.Fatal(err)
			}
			scaled, err := Judge(rule.ID, Terms{MinimumUm: minimum / 25.4, SpotPercent: 80}, mil)
			if err != nil || scaled.Accepted != v.Accepted {
				t.Errorf("%s at %v: accepted %v in µm, %v in mil (%v)", rule.ID, minimum, v.Accepted, scaled.Accepted, err)
			}
			more, err := Judge(rule.ID, terms, thicker)
			if err != nil || v.Accepted && !more.Accepted {
				t.Errorf("%s at %v: thicker paint is rejected (%v)", rule.ID, minimum, err)
			}
			if v.Accepted {
				accepted++
			}
		}
		if accepted == 0 || accepted == 82 {
			t.Errorf("%s: %d accepted, the test does not reach its limit", rule.ID, accepted)
		}
	}
	for minimum := 10.0; minimum < 200; minimum += 0.1 {
		m := math.Floor(minimum*10+0.5) / 10
		v, err := Judge("pa2-level-1", Terms{MinimumUm: m, MaximumUm: m}, []Spot{{ReadingsUm: []float64{m - 0.1, m, m + 0.1}}})
		if err != nil || !v.Accepted {
			t.Errorf("mean of %v on the limit is not accepted: %v %v", m, v.Broken(), err)
		}
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

func TestPlans(t *testing.T) {
	for _, c := range []struct {
		id              string
		area            float64
		areas, readings int
	}{
		{"pa2", 9, 1, 15}, {"pa2", 10, 1, 15}, {"pa2", 10.1, 2, 30}, {"pa2", 29, 3, 45}, {"pa2", 30, 3, 45}, {"pa2", 100, 3, 45},
		{"pa2", 101, 4, 60}, {"pa2", 200, 4, 60}, {"pa2", 1000, 12, 180},
		{"iso19840", 0.2, 0, 5}, {"iso19840", 1.5, 0, 10}, {"iso19840", 31, 0, 30}, {"iso19840", 101, 0, 40}, {"iso19840", 200, 0, 40},
		{"imo-flat", 4, 0, 1}, {"imo-flat", 11, 0, 3}, {"imo-complex", 0.2, 0, 3}, {"imo-complex", 2, 0, 10},
		{"mil-hdbk-1110", 20, 0, 30},
	} {
		p := plan(t, c.id, c.area)
		if p.Areas != c.areas || p.Readings != c.readings {
			t.Errorf("%s for %v m²: %+v", c.id, c.area, p)
		}
		if p.Standard == "" || p.Confidence == "" || p.Readings != p.Spots*p.PerSpot {
			t.Errorf("%s: %+v", c.id, p)
		}
	}
	for _, id := range PlanIDs() {
		last := 0
		for area := 0.5; area < 2000; area *= 1.1 {
			p := plan(t, id, area)
			if p.Readings < last {
				t.Errorf("%s: %d readings at %v m², fewer than on less area", id, p.Readings, area)
			}
			last = p.Readings
		}
	}
	for _, area := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := PlanFor("pa2", area); err == nil {
			t.Errorf("area %v was taken", area)
		}
	}
	if _, err := PlanFor("guess", 10); err == nil || !strings.Contains(err.Error(), "iso19840") {
		t.Errorf("unknown plan: %v", err)
	}
	if n := IMOBoundaryReadings(10); n != 4 {
		t.Errorf("boundary of 10 m: %d readings, expected 4", n)
	}
}

func TestShortfalls(t *testing.T) {
	p := plan(t, "pa2", 10)
	full := spotsOf(80, 80, 80, 80, 80)
	if s := p.Shortfalls(full); len(s) != 0 {
		t.Errorf("nothing is missing, got %v", s)
	}
	full[3].ReadingsUm = full[3].ReadingsUm[:2]
	s := p.Shortfalls(full)
	if len(s) != 2 || s[0].Text != "spot 4 has 2 readings instead of 3" || s[0].Spot != 3 || s[1].Text != "14 readings instead of 15" {
		t.Errorf("got %+v", s)
	}
	s = plan(t, "pa2", 20).Shortfalls(spotsOf(80, 80, 80, 80, 80))
	if len(s) != 3 || s[0].Text != "1 areas instead of 2" || s[1].Text != "5 spots instead of 10" {
		t.Errorf("got %+v", s)
	}
}

func TestSuspect(t *testing.T) {
	good := func(at int64) VerificationCheck { return VerificationCheck{at, true} }
	bad := func(at int64) VerificationCheck { return VerificationCheck{at, false} }
	at := []int64{5, 10, 15, 20, 25, 30, 35}
	for _, c := range []struct {
		name   string
		checks []VerificationCheck
		want   string // one letter per reading: s suspect, . not
	}{
		{"no checks", nil, "......."},
		{"all good", []VerificationCheck{good(0), good(40)}, "......."},
		{"bad at the end", []VerificationCheck{good(0), good(20), bad(40)}, "....sss"},
		{"bad between", []VerificationCheck{good(0), bad(12), good(22)}, "ssss..."},
		{"bad at the start, then good", []VerificationCheck{bad(0), good(12)}, "ss....."},
		{"bad and nothing after", []VerificationCheck{good(0), bad(12)}, "sssssss"},
		{"at the moment of the check", []VerificationCheck{good(10), bad(20)}, "..sssss"},
	} {
		got := ""
		for _, s := range Suspect(c.checks, at) {
			got += map[bool]string{true: "s", false: "."}[s]
		}
		if got != c.want {
			t.Errorf("%s: %s, expected %s", c.name, got, c.want)
		}
	}
}

func TestProfileRefuses(t *testing.T) {
	if _, err := Comparator("sand").Grade(50); err == nil {
		t.Error("comparator sand was taken")
	}
	if _, err := Grit.Grade(math.NaN()); err == nil {
		t.Error("height NaN was taken")
	}
	if _, err := RoughnessCorrection("rough"); err == nil {
		t.Error("profile rough was taken")
	}
	if _, _, err := MaximumFactor(1998, 100); err == nil {
		t.Error("edition 1998 was taken")
	}
	if f, c, _ := MaximumFactor(2018, 60); f != 3 || c != FromMemory {
		t.Errorf("2018 at 60 µm: %v %v", f, c)
	}
	for _, r := range EdgeRules() {
		if got, ok := EdgeRuleByID(r.ID); !ok || got != r {
			t.Errorf("%s is not found by its id", r.ID)
		}
	}
	for _, r := range ToleranceRules() {
		last := 0.0
		for v := 0.0; v < 500; v++ {
			if r.At(v) < last || r.At(v) < r.FloorUm {
				t.Errorf("%s: tolerance %v at %v", r.ID, r.At(v), v)
			}
			last = r.At(v)
		}
	}
}
