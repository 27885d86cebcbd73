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
