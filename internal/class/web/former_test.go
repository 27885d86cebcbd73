package web

import (
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"foilwright/internal/class/classtest"
	"foilwright/internal/class/store"
	"foilwright/internal/class/xapi"
	"foilwright/scenarios"
)

// An exercise of one's own, which takes from a shelf, is changed and then
// deleted after it was handed out: what was begun goes on as it was, and what
// was handed in is judged by what was handed out.
func TestAnAttemptOutlivesItsExerciseFile(t *testing.T) {
	classtest.Stores(t, func(t *testing.T, openStore func() *store.Store) {
		folder := t.TempDir()
		file := filepath.Join(folder, "exercises", "own-primer.yaml")
		text := ownExercise(t, file)
		st := openStore()
		s := open(t, folder, st)
		restart := func() {
			t.Helper()
			s.stop()
			st.Close()
			st = openStore()
			s = open(t, folder, st)
		}
		defer func() {
			s.stop()
			st.Close()
		}()
		ines := s.instructor()
		class := ines.newClass("One")
		ines.must("/class/"+class.ID+"/handout", "exercise", "own-primer", "mode", "practice", "variant", "different")
		ana, ben := s.join(class, "Ana Brook"), s.join(class, "Ben Holt")
		wa, wb := ana.begin(), ben.begin()
		if wa.Text == nil || wa.Text.Source != text.Source {
			t.Fatal("the bench was not given the exercise's file")
		}
		ra, rb := s.played("own-primer", wa.Seed), s.played("own-primer", wb.Seed, "foil-missing")
		half := len(ra.Entries) / 2
		ana.practise(wa, ra, half)
		ben.practise(wb, rb, len(rb.Entries))
		s.untilEnded(wb.Attempt)
		before, err := s.web.Room.Sheet(t.Context(), wb.Attempt)
		if err != nil {
			t.Fatal(err)
		}

		for _, name := range []string{"changed", "deleted"} {
			err := os.WriteFile(file, []byte(strings.Replace(text.Source, "title: ", "title: Quite another ", 1)), 0o644)
			if name == "deleted" {
				err = os.RemoveAll(filepath.Dir(file))
			}
			if err != nil {
				t.Fatal(err)
			}
			restart()
			ines.school = s
			sheet, err := s.web.Room.Sheet(t.Context(), wb.Attempt)
			if err != nil || sheet.Technique != before.Technique || len(sheet.Findings) != len(before.Findings) {
				t.Fatalf("%s: Ben's attempt is judged otherwise: %v, %+v", name, err, sheet)
			}
			status, page := ines.get("/class/" + class.ID + "/debrief")
			if status != http.StatusOK || strings.Contains(page, "Quite another") || !strings.Contains(said(page), "1 finished attempt by 1 trainee") {
				t.Errorf("%s: debrief: %d: %s", name, status, said(page))
			}
			if status, scene := ines.get("/attempt/" + wb.Attempt + "/scene.json?entry=40"); status != http.StatusOK || !strings.Contains(scene, `"Entry":40`) {
				t.Errorf("%s: replay: %d: %.200s", name, status, scene)
			}
			if status, report := ines.get("/attempt/" + wb.Attempt + "/report.pdf"); status != http.StatusOK || !strings.HasPrefix(report, "%PDF") {
				t.Errorf("%s: report: %d", name, status)
			}
			if status, told := ines.get("/class/" + class.ID + "/xapi.json"); status != http.StatusOK || !strings.Contains(told, "verbs/") {
				t.Errorf("%s: statements: %d: %.200s", name, status, told)
			}
		}

		ana.cancel()
		ana.school = s
		ana.connect()
		s.until("Ana's work is back", func() bool { w := ana.link.Status().Work; return w != nil && w.Attempt == wa.Attempt })
		again := ana.link.Status().Work
		if again.Text == nil || again.Text.Source != text.Source {
			t.Fatal("her bench was not given the file of then")
		}
		e, err := again.Text.Load("as handed out")
		if err != nil || e.Digest != ra.World.Exercise.Digest {
			t.Fatalf("what her bench was given is another exercise: %v", err)
		}
		ana.practise(again, ra, len(ra.Entries))
		s.untilEnded(wa.Attempt)
		s.until("both are told to the record store", func() bool {
			out, err := st.Outbox(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			for _, o := range out {
				if err := xapi.Validate([]byte(o.Statement)); err != nil {
					t.Fatal(err)
				}
			}
			return len(out) == 4
		})
		// It can be handed out no more.
		if status, _ := ines.post("/class/"+class.ID+"/handout", "exercise", "own-primer", "mode", "practice", "variant", "same"); status != http.StatusBadRequest {
			t.Errorf("a deleted exercise was handed out: %d", status)
		}
	})
}

// ownExercise writes an exercise of one's own with the shelf it takes from.
func ownExercise(t *testing.T, file string) scenarios.Text {
	t.Helper()
	text, err := scenarios.TextOf("primer-window")
	if err != nil {
		t.Fatal(err)
	}
	if len(text.Shelves) == 0 {
		t.Fatal("the exercise takes from no shelf, which the test is about")
	}
	text.Source = strings.Replace(text.Source, "\nid: primer-window\n", "\nid: own-primer\n", 1)
	files := map[string]string{file: text.Source}
	for name, shelf := range text.Shelves {
		files[filepath.Join(filepath.Dir(file), name)] = shelf
	}
	for name, content := range files {
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return text
}
