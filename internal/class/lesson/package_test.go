//go:build browser

package lesson

import (
	"archive/zip"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"foilwright/internal/browsertest"
	"foilwright/scenarios"
)

// A course package of an exercise that no bench comes with, out of a pack with
// its shelf, as a learning management system would serve it, is begun in a
// browser.
func TestAnOwnExerciseTravelsWithItsPackage(t *testing.T) {
	s := newSchool(t)
	folder := t.TempDir()
	text, err := scenarios.TextOf("primer-window")
	if err != nil {
		t.Fatal(err)
	}
	files := map[string]string{"own-primer.yaml": strings.Replace(text.Source, "\nid: primer-window\n", "\nid: own-primer\n", 1)}
	for name, shelf := range text.Shelves {
		files[name] = shelf
	}
	for name, content := range files {
		name = filepath.Join(folder, name)
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	pack, archive := filepath.Join(t.TempDir(), "yard.zip"), filepath.Join(t.TempDir(), "course.zip")
	for _, args := range [][]string{
		{"pack", folder, "-out", pack, "-id", "yard", "-title", "Yard", "-author", "Instructor"},
		{"cmi5", pack + "/own-primer", "-out", archive, "-bench", s.site},
	} {
		if out, err := exec.Command(s.program, args...).CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
	}
	course, err := zip.OpenReader(archive)
	if err != nil {
		t.Fatal(err)
	}
	defer course.Close()
	site := httptest.NewServer(http.FileServerFS(course))
	defer site.Close()

	p := browsertest.Start(t, t.Context()).Visitor(t).Open(t, site.URL+"/index.html?exercise=own-primer")
	p.Size(900, 640, 1)
	running(p)
	const begun = `Object.entries(localStorage).some(([key, log]) => key.startsWith("foilwright/log/") && log.includes('"own-primer"'))`
	for end := time.Now().Add(2 * time.Minute); p.Evaluate("String("+begun+")") != "true"; time.Sleep(500 * time.Millisecond) {
		if time.Now().After(end) {
			s.shot("package-failed", p)
			t.Fatal("the exercise of the package cannot be begun")
		}
		p.Press("1", 300*time.Millisecond)
	}
	time.Sleep(time.Second)
	s.shot("package", p)
}
