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
