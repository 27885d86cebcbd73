package main

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"foilwright/internal/class/cmi5"
	"foilwright/internal/webbench"
	"foilwright/scenarios"
)

// The same exercise in a file, in a pack and in a pack's folder gives a course
// package that brings it whole, with the shelf it takes from.
func TestCoursePackagesOfOwnExercises(t *testing.T) {
	t.Chdir(t.TempDir())
	text, err := scenarios.TextOf("primer-window")
	if err != nil {
		t.Fatal(err)
	}
	write := func(name, content string) {
		t.Helper()
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write("yard/below/own.yaml", strings.Replace(text.Source, "\nid: primer-window\n", "\nid: own-primer\n", 1))
	for name, shelf := range text.Shelves {
		write("yard/below/"+name, shelf)
	}
	write("site/"+webbench.ProgramName, "the program")
	write("site/"+webbench.LoaderName, "the loader")
	if code, _, err := runDesk("pack", "yard", "-out", "yard.zip", "-id", "yard", "-title", "Yard", "-author", "Me"); code != exitDone {
		t.Fatal(err)
	}
	z, err := zip.OpenReader("yard.zip")
	if err != nil {
		t.Fatal(err)
	}
	err = os.CopyFS("unpacked", z)
	z.Close()
	if err != nil {
		t.Fatal(err)
	}
	want, err := text.Load("primer-window.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for i, name := range []string{"yard/below/own.yaml", "yard.zip/own-primer", "unpacked/own-primer"} {
		out := []string{"a.zip", "b.zip", "c.zip"}[i]
		if code, _, err := runDesk("cmi5", name, "-out", out, "-bench", "site"); code != exitDone {
			t.Errorf("%s: exit %d, %s", name, code, err)
			continue
		}
		data, err := os.ReadFile(out)
		if err != nil {
			t.Fatal(err)
		}
		if err := cmi5.Validate(data); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		course, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
		if err != nil {
			t.Fatal(err)
		}
		script, err := fs.ReadFile(course, "exercise.js")
		if err != nil {
			t.Fatal(err)
		}
		_, brought, _ := strings.Cut(string(script), "window.foilwrightExercise = ")
		var own scenarios.Text
		if err := json.NewDecoder(strings.NewReader(brought)).Decode(&own); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		e, err := own.Load("brought.yaml")
		if err != nil {
			t.Errorf("%s: the package does not bring it whole: %v", name, err)
			continue
		}
		if e.ID != "own-primer" || len(e.Foils) != len(want.Foils) || len(own.Shelves) != len(text.Shelves) {
			t.Errorf("%s: the package brings %s with %d foils and %d shelves", name, e.ID, len(e.Foils), len(own.Shelves))
		}
		bench, err := course.Open(webbench.ProgramName)
		if err != nil {
			t.Fatal(err)
		}
		program, err := io.ReadAll(bench)
		bench.Close()
		if err != nil || string(program) != "the program" {
			t.Errorf("%s: the bench in it is %q, %v", name, program, err)
		}
	}
	for name, want := range map[string]string{
		"yard.zip/own-prime":  `did you mean "own-primer"`,
		"unpacked/painted":    `no exercise "painted"`,
		"away.zip/own-primer": "check the name",
		"site/own-primer":     "PACK.zip/ID or FOLDER/ID",
	} {
		if code, _, err := runDesk("cmi5", name, "-out", "d.zip", "-bench", "site"); code == exitDone || !strings.Contains(err, want) {
			t.Errorf("%s: exit %d, no %q in %s", name, code, want, err)
		}
	}
	if _, err := os.Stat("d.zip"); err == nil {
		t.Error("a refused package left a file")
	}
}
