package authoring_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"foilwright/internal/authoring"
	"foilwright/scenarios"
	"foilwright/sim/bench"
)

// doubts are those of a text, each with its line.
func doubts(t *testing.T, text []byte, shelves map[string][]byte) []string {
	t.Helper()
	e, err := scenarios.LoadText("f.yaml", text, shelves)
	if err != nil {
		t.Fatal(err)
	}
	w, err := bench.NewWorld(e, 1)
	if err != nil {
		t.Fatal(err)
	}
	var list []string
	for _, d := range authoring.Doubts(w, func(id string) bool { _, err := scenarios.ByID(id); return err == nil }) {
		list = append(list, fmt.Sprintf("%d: %s: %s; %s (info %v)", scenarios.LineOf(text, d.Field), d.Field, d.What, d.Remedy, d.Info))
	}
	return list
}

// Each case changes a good exercise in one place; the doubt must name the line
// that was changed, or that of the field it speaks of.
func TestDoubts(t *testing.T) {
	for _, c := range []struct{ name, id, old, new, at, want string }{
		{"as it is", "painted-panel", "", "", "", ""},
		{"a range across the limit", "painted-panel", "mean_um: [[66, 69.5], [80.5, 85]]", "mean_um: [[66, 69.5], [71, 85]]", "",
			"part.coating.mean_um[1]: for films from 71 to 85 µm the right verdict is accept or reject, by the seed: the verdict hangs on luck; keep the range, with the film's waviness, clear of minimum (75 µm), and give"},
		{"waviness that reaches over the limit of a place", "painted-panel", "    waviness_um: 2.0", "    waviness_um: 9", "    mean_um:",
			"part.coating.mean_um[1]: for films from 80.5 to 85 µm the right verdict is accept or reject"},
		{"a range across the edge of the guard band", "guard-kept", "mean_um: [[166, 177], [204, 208], [232, 262]]", "mean_um: [[166, 177], [208, 232]]", "",
			"part.coating.mean_um[1]: for films from 208 to 232 µm the right verdict is accept or reject, by the seed: the verdict hangs on luck; keep the range, with the film's waviness, clear of minimum + guard band (215 µm), and give"},
		{"good films, all of them in the guard band", "guard-kept", "mean_um: [[166, 177], [204, 208], [232, 262]]", "mean_um: [[204, 208]]", "",
			"part.coating.mean_um: the right verdict is reject with every seed"},
		{"a band of the trainee's own that reaches the film", "gangway-plate", "mean_um: [[65, 69], [93, 98]]", "mean_um: [[65, 69], [84, 86]]", "",
			"part.coating.mean_um[1]: for films from 84 to 86 µm the right verdict is accept or reject, by the seed and by the trainee's own uncertainty, which is the guard band: the verdict hangs on luck; keep the range, with the film's waviness, clear of minimum (80 µm), minimum + the largest uncertainty (88 µm), maximum (160 µm) and maximum - the largest uncertainty (152 µm)"},
		{"too thin and too thick in one range", "too-thick", "mean_um: [[98, 112], [152, 168]]", "mean_um: [[60, 168], [98, 112]]", "",
			"part.coating.mean_um[0]: for films from 60 to 168 µm the right verdict is accept or reject"},
		{"four answers across one edge", "three-answers", "[204.5, 206.5]", "[204.5, 212]", "",
			"part.coating.mean_um[2]: for films from 204.5 to 212 µm the right verdict is accept or accept conditionally, by the seed"},
		{"one verdict only", "painted-panel", "mean_um: [[66, 69.5], [80.5, 85]]", "mean_um: [[80.5, 85]]", "",
			"part.coating.mean_um: the right verdict is accept with every seed; give a range for another verdict too, unless that is meant: trainees learn the answer by heart (info true)"},
		{"nothing ever good enough", "painted-panel", "mean_um: [[66, 69.5], [80.5, 85]]", "mean_um: [[60, 63], [66, 69]]", "", "part.coating.mean_um: the right verdict is reject with every seed"},
		{"practice under the heading of assessments", "assess-hull", "mode: assessment\n", "mode: practice\n", "chapter: assessment",
			"chapter: it stands under Assessment, and is practice: hints and the view of the field are there; give mode: assessment, or another chapter (info false)"},
		{"a prerequisite that is none", "ramp-hinge", "prerequisites: [painted-panel]", "prerequisites: [painted-panle]", "",
			`prerequisites[0]: no exercise here has the id "painted-panle"; name a shipped exercise`},
		{"more expected than the probe measures", "painted-panel", "  expected_um: [60, 95]", "  expected_um: [60, 2400]", "",
			"job.expected_um: up to 2400 µm are expected, and ferrous-general measures up to 2000 µm; take a probe of a longer range"},
		{"a mistake that cannot be made", "painted-panel", "check: lift-short", "check: magnetism-left", "",
			`typical_mistakes[2]: the mistake "magnetism-left" cannot be made here`},
		{"a maximum that the rule does not use", "no-maximum", "    minimum_um: 400\n", "    minimum_um: 400\n    maximum_um: 700\n", "    maximum_um: 700",
			"job.rule.maximum_um: the rule pa2-level-5 does not use maximum_um; remove it, or name a rule with a maximum"},
		{"a factor that the rule does not use", "too-thick", "    maximum_um: 130\n", "    maximum_um: 130\n    maximum_factor: 3\n", "    maximum_factor: 3",
			"job.rule.maximum_factor: the rule pa2-level-4 does not use maximum_factor; remove it, or name iso19840-80-20"},
		{"a pipe with a slit", "handrail", "  sides: {bottom: none, top: none}\n  coating:", "  coating:", "  height_mm: 151.5",
			"part.height_mm: the part goes all the way round, and its ends are edges"},
		{"no piece of the part's radius", "handrail", "  radius_y_mm: 24.15\n  sides: {bottom: none, top: none}\n", "  radius_y_mm: 38\n", "  - id: bare-pipe",
			"references: the part is curved, and no reference piece is of its radius, so nobody can adjust for it; lay out a piece of the same radius"},
		{"a film beyond the probe", "painted-panel", "mean_um: [[66, 69.5], [80.5, 85]]", "mean_um: [[66, 69.5], [1900, 2300]]", "",
			"part.coating.mean_um[1]: films of up to 2300 µm are drawn, and ferrous-general measures up to 2000 µm; take a probe of a longer range"},
		{"a probe for another metal", "galvanised-frame", "other_probes: [ferrous-general]\n", "", "probe: nonferrous-general",
			"probe: no probe on the bench measures the film the job asks for on steel-mild under zinc; take a magnetic-induction probe"},
	} {
		text, shelves, err := scenarios.ShippedText(c.id)
		if err != nil {
			t.Fatal(err)
		}
		whole := string(text)
		if c.old != "" && strings.Count(whole, c.old) != 1 {
			t.Errorf("%s: %q stands %d times in %s", c.name, c.old, strings.Count(whole, c.old), c.id)
			continue
		}
		whole = strings.Replace(whole, c.old, c.new, 1)
		got := doubts(t, []byte(whole), shelves)
		if c.want == "" {
			if len(got) > 0 {
				t.Errorf("%s: doubts %q", c.name, got)
			}
			continue
		}
		at := c.at
		if at == "" {
			at = c.new
		}
		want := fmt.Sprintf("%d: %s", 1+strings.Count(whole[:strings.Index(whole, at)], "\n"), c.want)
		if !slices.ContainsFunc(got, func(d string) bool { return strings.HasPrefix(d, want) }) || len(got) != 1 {
			t.Errorf("%s: got %q, want one with %q", c.name, got, want)
		}
	}
}

// Nothing that ships gives rise to a doubt.
func TestShippedExercisesAreBeyondDoubt(t *testing.T) {
	for _, e := range scenarios.Shipped() {
		text, shelves, err := scenarios.ShippedText(e.ID)
		if err != nil {
			t.Fatal(err)
		}
		if got := doubts(t, text, shelves); len(got) > 0 {
			t.Errorf("%s: %q", e.ID, got)
		}
	}
}
