package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func runDesk(args ...string) (code int, out, err string) {
	var o, e bytes.Buffer
	code = run(args, streams{in: strings.NewReader(""), out: &o, err: &e})
	return code, o.String(), e.String()
}

// The author's way: a new exercise, checked and played, packed, the pack
// checked and an exercise of it played.
func TestFromNewExerciseToPack(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.Mkdir("yard", 0o755); err != nil {
		t.Fatal(err)
	}
	step := func(want string, args ...string) {
		t.Helper()
		code, out, err := runDesk(args...)
		if code != exitDone || !strings.Contains(out, want) {
			t.Fatalf("%s: exit %d, no %q in\n%s%s", strings.Join(args, " "), code, want, out, err)
		}
	}
	step("foilwright-desk check -play", "new-exercise", "yard/own-panel.yaml", "-title", "My own panel")
	if code, _, err := runDesk("new-exercise", "yard/own-panel.yaml"); code == exitDone || !strings.Contains(err, "there already") {
		t.Errorf("an exercise was written over: exit %d, %s", code, err)
	}
	step("good exercise: My own panel (own-panel)", "check", "yard")
	step("a competent trainee passed with 3 of 3 seeds", "check", "-play", "3", "yard")
	step("bench-twin-3.png", "preview", "yard/own-panel.yaml", "-out", "pictures")
	step("1 exercises", "pack", "yard", "-out", "yard.zip", "-id", "yard", "-title", "Yard", "-author", "Me")
	step("good pack: Yard, 1 exercises (yard)", "check", "yard.zip")
	step("own-panel, seed 4, finished", "play", "yard.zip/own-panel", "-trainee", "competent", "-seed", "4", "-out", "a.jsonl")
	step("PASSED", "grade", "a.jsonl", "-exercise", "yard.zip/own-panel")
	if err := os.WriteFile("yard.zip", []byte("PK"), 0o644); err != nil {
		t.Fatal(err)
	}
	if code, out, _ := runDesk("check", "yard.zip"); code != exitFailed || !strings.Contains(out, "no zip file") {
		t.Errorf("a damaged pack: exit %d, %s", code, out)
	}
	if err := os.WriteFile(filepath.Join("yard", "shelf.yaml"), []byte("format: foilwright-shelf\nversion: 1\nfoils: 3\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if code, out, _ := runDesk("check", "yard"); code != exitFailed || !strings.Contains(out, "shelf.yaml:3: foils: expected a list") {
		t.Errorf("a bad shelf: exit %d, %s", code, out)
	}
}

func TestCoverageNamesWhatIsMissing(t *testing.T) {
	code, out, _ := runDesk("coverage", "painted-panel", "-json")
	if code != exitDone || !strings.Contains(out, `"memory-uncleared"`) {
		t.Errorf("exit %d, %s", code, out)
	}
	if code, out, _ = runDesk("coverage", "painted-panel"); code != exitDone || !strings.Contains(out, "curvature                 .   0") {
		t.Errorf("exit %d, %s", code, out)
	}
}

// What loads and was hardly meant is told with its line, without a change of the
// exit code; a prerequisite may be an exercise that is checked along with it.
func TestCheckTellsDoubts(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "scenarios", "painted-panel.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	write := func(name, old, by string) {
		changed := strings.Replace(string(text), old, by, 1)
		if err := os.WriteFile(filepath.Join(folder, name), []byte(changed), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write("a.yaml", "prerequisites: [first-zero]", "prerequisites: [mine]")
	code, out, _ := runDesk("check", folder)
	if code != exitDone || !strings.Contains(out, `a.yaml:14: prerequisites[0]: no exercise here has the id "mine"`) {
		t.Errorf("exit %d:\n%s", code, out)
	}
	write("b.yaml", "id: painted-panel", "id: mine")
	if code, out, _ := runDesk("check", folder); code != exitDone || strings.Contains(out, "warning") {
		t.Errorf("with that exercise beside it, exit %d:\n%s", code, out)
	}
	write("c.yaml", "mean_um: [[66, 69.5], [80.5, 85]]", "mean_um: [[80.5, 85]]")
	if code, out, _ := runDesk("check", filepath.Join(folder, "c.yaml")); code != exitDone || !strings.Contains(out, "  note: "+filepath.Join(folder, "c.yaml")+":62: part.coating.mean_um: the right verdict is accept with every seed") {
		t.Errorf("exit %d:\n%s", code, out)
	}
}

// check -play on what nobody, half of the trainees and everybody passes: causes
// grouped with figures and a remedy, and the exit code that the help tells.
func TestCheckPlayTellsUselessExercises(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "scenarios", "painted-panel.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	before, rest, _ := strings.Cut(string(text), "typical_mistakes:\n")
	_, after, _ := strings.Cut(rest, "\njob:")
	careless := before + "typical_mistakes:\n  - {check: jerk, text: \"Dropped.\"}\n\njob:" + after
	for _, c := range []struct {
		name, text string
		code       int
		out        []string
	}{
		{"nobody", strings.Replace(string(text), "noise_percent: 0.12", "noise_percent: 5", 1), exitFailed, []string{
			"loads, but nobody passes", "passed with 0 of 8 seeds", "because the mean is too uncertain to rest a result on; with seed ", "which may be ±7.5 µm at most",
			"warning: nobody can pass", "have less noise or waviness",
		}},
		{"half", strings.Replace(string(text), "mean_um: [[66, 69.5], [80.5, 85]]", "mean_um: [[74.2, 75.8]]", 1), exitDone, []string{
			"loads, with warnings", "because the verdict is wrong; with seed ", "verdict accept, true verdict reject", "less than 98 %; move the film's bounds clear of minimum (75 µm)",
		}},
		{"everybody", careless, exitFailed, []string{
			"loads, but everybody passes", "a naive one with 8 of 8", "warning: everybody passes", "name mistakes that matter more",
		}},
		{"good", string(text), exitDone, []string{"good exercise", "the competent trainee knows the mean to ±", "readings nearer than 11.9 mm to an edge count as a mistake"}},
	} {
		file := filepath.Join(t.TempDir(), c.name+".yaml")
		if err := os.WriteFile(file, []byte(c.text), 0o644); err != nil {
			t.Fatal(err)
		}
		code, out, _ := runDesk("check", "-play", "8", file)
		if code != c.code {
			t.Errorf("%s: exit %d, want %d:\n%s", c.name, code, c.code, out)
		}
		for _, want := range c.out {
			if !strings.Contains(out, want) {
				t.Errorf("%s: no %q in\n%s", c.name, want, out)
			}
		}
		if c.name == "good" && strings.Contains(out, "warning") {
			t.Errorf("a good exercise has warnings:\n%s", out)
		}
	}
}

// An exercise that takes from shelves brings them and both schemas, and loads
// where it was written.
func TestNewExerciseBringsItsShelves(t *testing.T) {
	t.Chdir(t.TempDir())
	if code, out, err := runDesk("new-exercise", "mine/rail.yaml", "-from", "handrail"); code != exitDone || !strings.Contains(out, "shelf.schema.json") {
		t.Fatalf("exit %d, %s%s", code, out, err)
	}
	for _, name := range []string{"exercise.schema.json", "shelf.schema.json", filepath.Join("shelf", "foils.yaml")} {
		if data, err := os.ReadFile(filepath.Join("mine", name)); err != nil || len(data) == 0 {
			t.Errorf("%s: %d bytes, %v", name, len(data), err)
		}
	}
	shelf, err := os.ReadFile(filepath.Join("mine", "shelf", "foils.yaml"))
	if err != nil || !strings.HasPrefix(string(shelf), "# yaml-language-server: $schema=../shelf.schema.json\n") {
		t.Errorf("the shelf does not name the schema above it: %v", err)
	}
	if code, out, _ := runDesk("check", "mine"); code != exitDone || strings.Contains(out, "warning") {
		t.Errorf("exit %d:\n%s", code, out)
	}
	// Without a shelf no schema of one is needed.
	if code, _, err := runDesk("new-exercise", "plain/panel.yaml"); code != exitDone {
		t.Fatalf("exit %d, %s", code, err)
	}
	if _, err := os.Stat(filepath.Join("plain", "shelf.schema.json")); err == nil {
		t.Error("an exercise without shelves brought the schema of shelves")
	}
}
