package scenarios

import (
	"os"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
)

const yardShelf = `format: foilwright-shelf
version: 1
pieces:
  - {id: twin-3, name: Bare plate, width_mm: 120, height_mm: 100, metal: steel-mild, thickness_mm: 3}
foils:
  - {id: foil-25, label_um: 25, certified_um: 24.6, expanded_uncertainty_um: 0.4, certificate: SK-2207, in_date: true}
  - {id: foil-50, label_um: 50, certified_um: 51.3, expanded_uncertainty_um: 0.5, certificate: SK-2208, in_date: true}
`

// withShelf returns painted-panel with its pieces and foils replaced by the
// lines given.
func withShelf(t testing.TB, references, foils, shelves string) string {
	t.Helper()
	good, err := os.ReadFile("painted-panel.yaml")
	if err != nil {
		t.Fatal(err)
	}
	head, rest, _ := strings.Cut(string(good), "references:\n")
	_, tail, _ := strings.Cut(rest, "cautions:\n")
	return head + shelves + "references:\n" + references + "foils:\n" + foils + "cautions:\n" + tail
}

func TestAnExerciseTakesFromShelves(t *testing.T) {
	text := withShelf(t, "  - from: twin-3\n  - {from: twin-3, id: thin, thickness_mm: 0.5}\n", "  - {from: foil-50, certified_um: 49.9}\n", "shelves: [shelf/yard.yaml]\n")
	folder := fstest.MapFS{"job.yaml": {Data: []byte(text)}, "shelf/yard.yaml": {Data: []byte(yardShelf)}}
	e, err := LoadFile(folder, "job.yaml", "job.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if len(e.References) != 2 || e.References[0].Piece.Thickness != 0.003 || e.References[1].Piece.ID != "thin" || e.References[1].Piece.Thickness != 0.0005 {
		t.Errorf("pieces: %+v", e.References)
	}
	if len(e.Foils) != 1 || e.Foils[0].CertifiedUm != 49.9 || e.Foils[0].LabelUm != 50 {
		t.Errorf("foils: %+v", e.Foils)
	}
	// What is on the shelf decides what happens, so it is part of the digest.
	folder["shelf/yard.yaml"] = &fstest.MapFile{Data: []byte(strings.Replace(yardShelf, "51.3", "51.4", 1))}
	changed, err := LoadFile(folder, "job.yaml", "job.yaml")
	if err != nil || changed.Digest == e.Digest {
		t.Errorf("the digest does not tell of a changed shelf: %v", err)
	}
}

func TestFaultsOfShelves(t *testing.T) {
	line := func(text, part string) int { return strings.Count(text[:strings.Index(text, part)], "\n") + 1 }
	for _, c := range []struct {
		name, references, foils, shelves, shelf string
		at                                      string // text on the line that is named
		want                                    []string
	}{
		{"unknown item", "  - from: twin-4\n", "  - from: foil-50\n", "shelves: [shelf/yard.yaml]\n", yardShelf, "from: twin-4", []string{"job.yaml:LINE: references[0].from", `did you mean "twin-3"?`}},
		{"no shelf named", "  - from: twin-3\n", "  - from: foil-50\n", "", yardShelf, "from: twin-3", []string{"job.yaml:LINE: references[0].from", "name its file under shelves"}},
		{"no such shelf", "  []\n", "  []\n", "shelves: [shelf/yrad.yaml]\n", yardShelf, "shelves:", []string{`job.yaml:LINE: shelves[0]: the shelf "shelf/yrad.yaml" cannot be read`, "in the folder of the exercise"}},
		{"out of the folder", "  []\n", "  []\n", "shelves: [../yard.yaml]\n", yardShelf, "shelves:", []string{"job.yaml:LINE: shelves[0]", "cannot be read", "in the folder of the exercise"}},
		{"bad override", "  - {from: twin-3, thickness_mm: none}\n", "  []\n", "shelves: [shelf/yard.yaml]\n", yardShelf, "thickness_mm: none", []string{"job.yaml:LINE: references[0].thickness_mm: expected a number"}},
		{"fault on the shelf", "  - from: twin-3\n", "  []\n", "shelves: [shelf/yard.yaml]\n", strings.Replace(yardShelf, "metal: steel-mild", "metal: steel-mlid", 1), "", []string{"shelf/yard.yaml:4: pieces[0].metal", `did you mean "steel-mild"?`}},
		{"twice on the shelf", "  []\n", "  - from: foil-25\n", "shelves: [shelf/yard.yaml]\n", strings.Replace(yardShelf, "id: foil-50", "id: foil-25", 1), "", []string{"shelf/yard.yaml:7: foils[1]", "on the shelf already"}},
	} {
		text := withShelf(t, c.references, c.foils, c.shelves)
		_, err := LoadFile(fstest.MapFS{"job.yaml": {Data: []byte(text)}, "shelf/yard.yaml": {Data: []byte(c.shelf)}}, "job.yaml", "job.yaml")
		if err == nil {
			t.Errorf("%s: no error", c.name)
			continue
		}
		for _, w := range c.want {
			if c.at != "" {
				w = strings.Replace(w, "LINE", strconv.Itoa(line(text, c.at)), 1)
			}
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%s: no %q in\n%v", c.name, w, err)
			}
		}
	}
	if err := CheckShelf("yard.yaml", []byte(yardShelf)); err != nil {
		t.Error(err)
	}
	if !IsShelf([]byte(yardShelf)) || IsShelf([]byte("format: foilwright-exercise\n")) || IsShelf([]byte("\x00")) {
		t.Error("shelves are not told from exercises")
	}
}
