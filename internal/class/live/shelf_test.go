package live

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"foilwright/scenarios"
)

// A pack in the folder of exercises is on offer, each exercise with all that
// it takes from; the same exercise again does no harm, another of its id does.
func TestAPackIsOffered(t *testing.T) {
	text, err := scenarios.TextOf("primer-window")
	if err != nil {
		t.Fatal(err)
	}
	own := strings.Replace(text.Source, "\nid: primer-window\n", "\nid: own-primer\n", 1)
	files := fstest.MapFS{"own.yaml": {Data: []byte(own)}}
	for name, shelf := range text.Shelves {
		files[name] = &fstest.MapFile{Data: []byte(shelf)}
	}
	data, pack, err := scenarios.MakePack(files, "yard", "yard", "Yard", "Instructor")
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	write := func(name string, content []byte) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(folder, name), content, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write("yard.zip", data)
	write("yard-again.zip", data)
	s, err := NewShelf(folder)
	if err != nil {
		t.Fatal(err)
	}
	o, err := s.Find("own-primer")
	if err != nil || o.Own == nil || o.Digest != pack.Exercises[0].Digest || len(s.List()) != len(scenarios.Shipped())+1 {
		t.Fatalf("%+v of %d, %v", o, len(s.List()), err)
	}
	if e, err := o.Own.Load("kept"); err != nil || e.Digest != o.Digest {
		t.Errorf("what would be kept with a handout: %v", err)
	}
	files["own.yaml"] = &fstest.MapFile{Data: []byte(own + "\n# changed\n")}
	if data, _, err = scenarios.MakePack(files, "yard", "yard", "Yard", "Instructor"); err != nil {
		t.Fatal(err)
	}
	write("yard-2.zip", data)
	if _, err := NewShelf(folder); err == nil || !strings.Contains(err.Error(), "give this one another id") {
		t.Errorf("two of one id: %v", err)
	}
	write("yard-2.zip", []byte("PK"))
	if _, err := NewShelf(folder); err == nil || !strings.Contains(err.Error(), "yard-2.zip") {
		t.Errorf("a damaged pack: %v", err)
	}
}
