package scenarios

import (
	"crypto/sha256"
	"os"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"foilwright/sim/bench"
)

func TestShippedExercisesLoad(t *testing.T) {
	list := Shipped()
	if len(list) == 0 {
		t.Fatal("no exercises are shipped")
	}
	for _, e := range list {
		if e.Digest == "" || e.Probe.ID == "" || e.Part.Piece.Metal.ID == "" {
			t.Errorf("%s is not fully loaded", e.ID)
		}
	}
	if _, err := ByID("painted-pannel"); err == nil || !strings.Contains(err.Error(), `did you mean "painted-panel"?`) {
		t.Errorf("near miss: %v", err)
	}
}

// Each case changes one line of a good file; the fault must name the line, the
// field and the way out.
func TestFaultsNameLineFieldAndRemedy(t *testing.T) {
	good, err := os.ReadFile("painted-panel.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Load("good.yaml", good); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, old, new string
		want           []string // parts of the message besides the line
	}{
		{"unknown field", "minutes: 15", "minuts: 15", []string{"minuts: unknown field", `did you mean "minutes"?`}},
		{"not a number", "ndft_um: 75", "ndft_um: many", []string{"job.ndft_um: expected a number", "from 1 to 20000"}},
		{"out of bounds", "noise_percent: 0.12", "noise_percent: 40", []string{"instrument.noise_percent: 40 is out of bounds"}},
		{"not finite", "noise_percent: 0.12", "noise_percent: .nan", []string{"instrument.noise_percent: expected a number"}},
		{"unknown probe", "probe: ferrous-general", "probe: ferrous-genral", []string{`probe: "ferrous-genral" is not known`, `did you mean "ferrous-general"?`}},
		{"unknown metal", "metal: steel-mild", "metal: cheese", []string{"part.metal", "allowed: steel-standard"}},
		{"unknown adjustment", "adjustment: one-foil", "adjustment: two-foils", []string{"job.adjustment", `did you mean "two-foil"?`}},
		{"unknown acceptance rule", "    spot_percent: 80", "    acceptance: pa2-level-6\n    spot_percent: 80", []string{"job.rule.acceptance", `did you mean "pa2-level-`}},
		{"a limit that is none", "probe: ferrous-general", "limits: {tlit_deg: 4}\nprobe: ferrous-general", []string{`did you mean "tilt_deg"?`}},
		{"a limit out of bounds", "probe: ferrous-general", "limits: {habit: 0}\nprobe: ferrous-general", []string{"limits.habit: expected a whole number", "from 1 to 50"}},
		{"unknown layer", "    thickness_mm: 3", "    under_layers: [{metal: zink, thickness_um: 80}]\n    thickness_mm: 3", []string{`did you mean "zinc"?`}},
		{"pair backwards", "expected_um: [60, 95]", "expected_um: [95, 60]", []string{"job.expected_um: the pair runs backwards"}},
		{"pair of one", "expected_um: [60, 95]", "expected_um: [60]", []string{"job.expected_um: expected a pair"}},
		{"bad id", "id: panel", "id: Panel 1", []string{"part.id: expected an id"}},
		{"not yes or no", "certificate: SK-2207, in_date: true", "certificate: SK-2207, in_date: maybe", []string{"foils[0].in_date: expected true or false"}},
		{"whole number", "spots: 5", "spots: 5.5", []string{"job.spots: expected a whole number"}},
		{"list wanted", "skills: [zero, one foil, verification, handling, placement, decision]", "skills: zero", []string{"skills: expected a list"}},
		{"block wanted", "instrument:", "instrument: new\nold:", []string{"instrument: expected a block"}},
		{"given twice", "minutes: 15", "minutes: 15\nminutes: 16", []string{"minutes: the field is given twice"}},
		{"bad yaml", "title: Painted", "title: \"Painted", []string{"not well-formed YAML", "indentation"}},
		{"radius too small", "coating:\n    # Plainly", "radius_y_mm: -1.5\n  coating:\n    # Plainly", []string{"part.radius_y_mm: a radius of -1.5 mm is too small", "0 for straight"}},
		{"unknown finish", "coating:\n    # Plainly", "texture: {grade: corse}\n  coating:\n    # Plainly", []string{"part.texture.grade", `did you mean "coarse"?`}},
		{"height of a smooth face", "coating:\n    # Plainly", "texture: {grade: smooth, rz_um: 9}\n  coating:\n    # Plainly", []string{"part.texture: a smooth surface has no rz_um"}},
		{"two features in one", "coating:\n    # Plainly", "features: [{hole: {x_mm: 9, y_mm: 9, radius_mm: 5}, weld: {at_x_mm: 9, width_mm: 9, height_mm: 2}}]\n  coating:\n    # Plainly", []string{"part.features[0]", "one item holds two features"}},
		{"a feature of no kind", "coating:\n    # Plainly", "features: [{}]\n  coating:\n    # Plainly", []string{"part.features[0]: no feature is named"}},
		{"a line nowhere", "coating:\n    # Plainly", "features: [{weld: {width_mm: 9, height_mm: 2}}]\n  coating:\n    # Plainly", []string{"part.features[0].weld: it is not said where it runs"}},
		{"a step that is not across", "coating:\n    # Plainly", "features: [{step: {at_x_mm: 9, height_mm: 2, upper: top}}]\n  coating:\n    # Plainly", []string{"part.features[0].step.upper", "not a side of this step"}},
		{"a bend without a radius", "coating:\n    # Plainly", "features: [{bend: {at_x_mm: 9, width_mm: 2, radius_mm: 0}}]\n  coating:\n    # Plainly", []string{"part.features[0].bend.radius_mm: a bend needs a radius"}},
		{"patch without its change", "waviness_um: 2.0", "patches: [{x_mm: 1, y_mm: 1, width_mm: 9, height_mm: 9}]\n    waviness_um: 2.0", []string{"part.coating.patches[0].by_um: the field is missing"}},
		{"unknown side", "coating:\n    # Plainly", "sides: {left: wal}\n  coating:\n    # Plainly", []string{"part.sides.left", `did you mean "wall"?`}},
		{"edge too sharp", "coating:\n    # Plainly", "sides: {left: {angle_deg: 400}}\n  coating:\n    # Plainly", []string{"part.sides.left.angle_deg", "190", "350"}},
		{"side misnamed", "coating:\n    # Plainly", "sides: {upper: wall}\n  coating:\n    # Plainly", []string{"part.sides.upper: unknown field", "left, right, bottom, top"}},
		{"other version", "version: 1", "version: 2", []string{"version: expected a whole number"}},
		{"unknown condition", "certificate: SK-2207, in_date: true", "certificate: SK-2207, in_date: true, condition: crased", []string{"foils[0].condition", `did you mean "creased"?`}},
		{"fault without condition", "certificate: SK-2207, in_date: true", "certificate: SK-2207, in_date: true, fault_um: [2, 4]", []string{"foils[0]: condition and fault_um do not belong together", "give a creased"}},
		{"condition without fault", "certificate: SK-2207, in_date: true", "certificate: SK-2207, in_date: true, condition: worn", []string{"foils[0]: condition and fault_um"}},
		{"temperature", "noise_percent: 0.12", "temperature_c: 400\n  noise_percent: 0.12", []string{"instrument.temperature_c: 400 is out of bounds"}},
		{"dirt", "noise_percent: 0.12", "tip_dirt_um: 12\n  noise_percent: 0.12", []string{"instrument.tip_dirt_um: expected a pair"}},
		{"remanence", "metal: steel-mild", "remanence_t: 3\n  metal: steel-mild", []string{"part.remanence_t: 3 is out of bounds"}},
		{"other format", "format: foilwright-exercise", "format: something", []string{"format:", "foilwright-exercise"}},
	} {
		text := strings.Replace(string(good), c.old, c.new, 1)
		line := strings.Count(string(good)[:strings.Index(string(good), c.old)], "\n") + 1
		if c.name == "given twice" {
			line++
		}
		_, err := Load("bad.yaml", []byte(text))
		if err == nil {
			t.Errorf("%s: no error", c.name)
			continue
		}
		where := "bad.yaml:" + strconv.Itoa(line) + ": "
		if c.name == "bad yaml" {
			where = "bad.yaml:" // the YAML reader names the line where it gave up
		}
		if !strings.Contains(err.Error(), where) {
			t.Errorf("%s: no %q in\n%v", c.name, where, err)
		}
		for _, w := range c.want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%s: no %q in\n%v", c.name, w, err)
			}
		}
	}
}

func TestFieldsMustAgree(t *testing.T) {
	good, err := os.ReadFile("painted-panel.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, old, new, want string }{
		{"two pieces of one id", "id: sheet-05", "id: twin-3", `two pieces have the id "twin-3"`},
		{"two foils of one id", "id: foil-125", "id: foil-75", `two foils have the id "foil-75"`},
		{"area off the part", "width: 240", "width: 290", "the area reaches beyond the part"},
		{"more than round", "thickness_mm: 3\n  coating", "thickness_mm: 3\n  radius_y_mm: 30\n  coating", "goes more than once round: 200 mm along a radius of 30 mm"},
		{"a pipe's radius along its length", "thickness_mm: 3\n  coating", "thickness_mm: 3\n  radius_x_mm: 40\n  coating", "its radius belongs to radius_y_mm"},
		{"worn tip", "noise_percent: 0.12", "tip_wear_um: 30\n  noise_percent: 0.12", "the tip is worn by 30 µm; this probe stands at most 25 µm"},
		{"foil beyond the range", "certified_um: 122.8", "certified_um: 3000", "thicker than the probe's range"},
	} {
		_, err := Load("bad.yaml", []byte(strings.Replace(string(good), c.old, c.new, 1)))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v", c.name, err)
		}
	}
}

// A job takes foils to adjust on, and at least one to verify on.
func TestTooFewFoils(t *testing.T) {
	good, err := os.ReadFile("painted-panel.yaml")
	if err != nil {
		t.Fatal(err)
	}
	before, rest, _ := strings.Cut(string(good), "\nfoils:\n")
	foils, after, found := strings.Cut(rest, "\n\n")
	items := strings.Split(foils, "\n")
	if !found || len(items) < 3 {
		t.Fatalf("the panel has %d foils", len(items))
	}
	for _, c := range []struct {
		adjustment string
		foils      int
		want       string // empty: it loads
	}{
		{"zero", 0, "to adjust with zero only and verify, the job takes at least 1 foil, and the bench has 0"},
		{"zero", 1, ""},
		{"one-foil", 0, "with zero and one foil"},
		{"one-foil", 1, ""},
		{"two-foil", 1, "with zero and two foils and verify, the job takes at least 2 foils, and the bench has 1"},
		{"two-foil", 2, ""},
	} {
		list := "\nfoils:\n" + strings.Join(items[:c.foils], "\n")
		if c.foils == 0 {
			list = "\nfoils: []"
		}
		text := strings.Replace(before, "adjustment: one-foil", "adjustment: "+c.adjustment, 1) + list + "\n\n" + after
		_, err := Load("few.yaml", []byte(text))
		switch {
		case c.want == "" && err != nil:
			t.Errorf("%s with %d foils: %v", c.adjustment, c.foils, err)
		case c.want != "" && (err == nil || !strings.Contains(err.Error(), ": foils: ") || !strings.Contains(err.Error(), c.want)):
			t.Errorf("%s with %d foils: got %v", c.adjustment, c.foils, err)
		}
	}
}

// What is said of the condition of things comes through.
func TestConditionsAreRead(t *testing.T) {
	good, err := os.ReadFile("painted-panel.yaml")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.NewReplacer(
		"noise_percent: 0.12", "noise_percent: 0.12\n  tip_dirt_um: [8, 20]\n  tip_wear_um: 12\n  temperature_c: 0",
		"certificate: SK-2208, in_date: true", "certificate: SK-2208, in_date: true, condition: creased, fault_um: [6, 14], curl_um: 30, dust_um: 9, actual_um: 55",
		"waviness_um: 2.0", "waviness_um: 2.0\n    soft_um_per_n: 1.5\n    recovery_s: 90",
		"limits:", "limits:", "cautions:", "demagnetiser: true\ncautions:",
		"metal: steel-mild\n  thickness_mm: 3\n  coating:", "metal: steel-mild\n  temperature_c: 45\n  remanence_t: 0.8\n  dust_um: 7\n  thickness_mm: 3\n  coating:",
	).Replace(string(good))
	e, err := Load("conditions.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	i, p, f := e.Instrument, e.Part.Piece, e.Foils[1]
	if i.TipDirtUm.Low != 8 || i.TipDirtUm.High != 20 || i.TipWearUm != 12 || i.TemperatureC == 0 || i.TemperatureC > 1e-3 || !e.Demagnetiser {
		t.Errorf("instrument: %+v, demagnetiser %v", i, e.Demagnetiser)
	}
	if p.TemperatureC != 45 || p.RemanenceT != 0.8 || p.DustUm != 7 || e.Part.Coating.SoftUmPerN != 1.5 || e.Part.Coating.RecoverS != 90 {
		t.Errorf("part: %+v, %+v", p, e.Part.Coating)
	}
	if f.Condition != "creased" || f.FaultUm.High != 14 || f.CurlUm != 30 || f.DustUm != 9 || f.ActualUm != 55 {
		t.Errorf("foil: %+v", f)
	}
}

// All faults of a file are told at once, in the order of its lines.
func TestEveryFaultIsTold(t *testing.T) {
	good, err := os.ReadFile("painted-panel.yaml")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.NewReplacer("minutes: 15", "minutes: none", "spots: 5", "spots: -1", "in_date: true", "in_date: no").Replace(string(good))
	_, err = Load("bad.yaml", []byte(text))
	faults, ok := err.(Faults)
	if !ok || len(faults) != 6 {
		t.Fatalf("want 6 faults, got %v", err)
	}
	for i := 1; i < len(faults); i++ {
		if faults[i].Line < faults[i-1].Line {
			t.Errorf("faults out of order: %v", err)
		}
	}
}

func TestHostileFilesAreRefused(t *testing.T) {
	bomb := "a: &a [x,x,x,x,x,x,x,x,x]\n"
	for i := 'b'; i < 'j'; i++ {
		bomb += string(i) + ": &" + string(i) + " [" + strings.Repeat("*"+string(i-1)+",", 8) + "*" + string(i-1) + "]\n"
	}
	for name, text := range map[string]string{
		"empty":          "",
		"only a comment": "# nothing\n",
		"scalar":         "hello",
		"two documents":  "a: 1\n---\nb: 2\n",
		"too large":      strings.Repeat("# filler\n", 40000),
		"deep":           strings.Repeat("[", 5000),
		"alias bomb":     bomb,
		"self alias":     "a: &a [*a]\n",
	} {
		if _, err := Load(name, []byte(text)); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func FuzzLoad(f *testing.F) {
	good, err := os.ReadFile("painted-panel.yaml")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(good)
	f.Add([]byte("a: &a [*a]\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		e, err := Load("fuzz.yaml", data)
		if (e == nil) == (err == nil) {
			t.Errorf("exercise %v with error %v", e, err)
		}
		if err == nil {
			if v := e.Validate(); v != nil {
				t.Errorf("loaded but not playable: %v", v)
			}
		}
	})
}

// What must agree with each other is refused with the field and the reason.
func TestRulesThatDoNotFitAreRefused(t *testing.T) {
	good, err := os.ReadFile("gangway-plate.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, old, new, want string }{
		{"guard band of nothing", "  state_uncertainty: true\n", "", "job.rule: the rule cannot be used: the decision rule guard-band needs a guard band"},
		{"maximum below minimum", "maximum_um: 160", "maximum_um: 60", "maximum is 60"},
		{"plan without area", "    plan_area_m2: 8\n", "", "area is 0"},
		{"less than the plan", "plan_area_m2: 8", "plan_area_m2: 25", "asks for 15 spots of 3 readings on 25 m²"},
		{"probe twice", "other_probes: [nonferrous-general, ferrous-general]", "other_probes: [dual-ferrous]", `the probe "dual-ferrous" is named twice`},
		{"empty band of forces", "probe: dual-ferrous", "limits: {press_low_n: 20}\nprobe: dual-ferrous", "the band of forces from 20 to 15 N is empty"},
	} {
		_, err := Load("bad.yaml", []byte(strings.Replace(string(good), c.old, c.new, 1)))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
	e, err := Load("good.yaml", []byte(strings.Replace(string(good), "probe: dual-ferrous", "limits: {tilt_deg: 4, habit: 3, dwell_ms: 700}\nprobe: dual-ferrous", 1)))
	if err != nil || e.Limits.TiltDeg != 4 || e.Limits.Habit != 3 || e.Limits.DwellMs != 700 || e.Limits.LiftMm != 25 {
		t.Errorf("limits %+v, %v", e.Limits, err)
	}
	if len(e.Probes) != 3 || e.Probes[0].ID != e.Probe.ID || len(e.Part.Piece.Layers) != 1 || e.Job.Rule.Decision != "guard-band" {
		t.Errorf("probes %v, layers %v, rule %+v", e.Probes, e.Part.Piece.Layers, e.Job.Rule)
	}
}

// A caller may change the exercises it is given, down to their lists; those of
// the next caller are as they are in the files.
func TestShippedExercisesAreTheCallersOwn(t *testing.T) {
	for i, e := range Shipped() {
		file := shipped()[i]
		want, err := LoadFile(files, file.name, "scenarios/"+file.name)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(e, want) {
			t.Errorf("%s is not as in its file", e.ID)
		}
		spoil(reflect.ValueOf(e).Elem())
		again := Shipped()[i]
		if !reflect.DeepEqual(again, want) {
			t.Errorf("%s was changed by an earlier caller", want.ID)
		}
	}
}

// spoil empties every element of every list in v.
func spoil(v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Field(i).CanSet() {
				spoil(v.Field(i))
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			spoil(v.Index(i))
			v.Index(i).SetZero()
		}
	}
}

// A heading says what its file says, and leads to the whole.
func TestHeadingsAreOfTheWhole(t *testing.T) {
	whole := Shipped()
	for i, h := range Headings() {
		want := &bench.Exercise{
			ID: whole[i].ID, Title: whole[i].Title, Summary: whole[i].Summary, Skills: whole[i].Skills, Minutes: whole[i].Minutes,
			Chapter: whole[i].Chapter, Prerequisites: whole[i].Prerequisites, Assessment: whole[i].Assessment, Digest: whole[i].Digest,
		}
		if !reflect.DeepEqual(h, want) {
			t.Errorf("heading %+v, want %+v", h, want)
		}
		if got := Whole(h); !reflect.DeepEqual(got, whole[i]) {
			t.Errorf("%s: the whole is not that of the file", h.ID)
		}
		if Whole(whole[i]) != whole[i] {
			t.Errorf("%s: a whole exercise is read again", h.ID)
		}
	}
}

// BenchmarkShipped sets what is read before the first picture beside what all
// of all files take, and beside what a second caller waits for.
func BenchmarkShipped(b *testing.B) {
	b.Run("headings", func(b *testing.B) {
		for b.Loop() {
			shelves := map[string][sha256.Size]byte{}
			for _, f := range shipped() {
				if _, err := readHeading(files, f.name, shelves); err != nil {
					b.Fatal(err)
				}
			}
		}
	})
	b.Run("first", func(b *testing.B) {
		for b.Loop() {
			for _, f := range shipped() {
				readShipped(f.name)
			}
		}
	})
	b.Run("again", func(b *testing.B) {
		for b.Loop() {
			Shipped()
		}
	})
}

// Who goes down the path meets no exercise before one it is best done after.
func TestInOrder(t *testing.T) {
	list := InOrder(Shipped())
	if len(list) != len(Shipped()) {
		t.Fatalf("%d exercises came out of %d", len(list), len(Shipped()))
	}
	slices.SortStableFunc(list, func(a, b *bench.Exercise) int {
		return slices.Index(chapterIDs(), a.Chapter) - slices.Index(chapterIDs(), b.Chapter)
	})
	seen := map[string]bool{}
	for _, e := range list {
		for _, before := range e.Prerequisites {
			if !seen[before] {
				t.Errorf("%s stands before %s", e.ID, before)
			}
		}
		seen[e.ID] = true
	}
	ring := []*bench.Exercise{{ID: "a", Prerequisites: []string{"b"}}, {ID: "b", Prerequisites: []string{"a"}}}
	if got := InOrder(ring); len(got) != 2 || got[0].ID != "a" {
		t.Errorf("a ring came out as %v", got)
	}
}
