package scenarios

import (
	"os"
	"strings"
	"testing"
)

// A job on coated pieces must have them, and no bare metal that would do.
func TestCoatedPiecesAreForWhereNoBareMetalIs(t *testing.T) {
	good, err := os.ReadFile("no-bare-metal.yaml")
	if err != nil {
		t.Fatal(err)
	}
	foils, err := os.ReadFile("shelf/foils.yaml")
	if err != nil {
		t.Fatal(err)
	}
	shelves := map[string][]byte{"shelf/foils.yaml": foils}
	for _, c := range []struct{ name, old, new, want string }{
		{"as it is", "", "", ""},
		{"a bare twin", "references:\n", "references:\n  - {id: twin, name: Bare plate, width_mm: 120, height_mm: 100, metal: steel-mild, thickness_mm: 6}\n",
			`references[0]: "twin" is bare and like the part, but the job is adjusted on coated pieces; take it off the bench`},
		{"bare metal of another thickness", "references:\n", "references:\n  - {id: thin, name: Bare sheet, width_mm: 120, height_mm: 100, metal: steel-mild, thickness_mm: 1}\n", ""},
		{"pieces unlike the part", "    thickness_mm: 6\n    coating:\n      certificate", "    thickness_mm: 5\n    coating:\n      certificate",
			"job.adjustment: one-coated-piece asks for 1 certified pieces like the part, and 0 lie on the bench; give references"},
		{"under-layers that count", "  state_uncertainty: true\n", "  state_uncertainty: true\n  with_under_layers: true\n",
			"job.with_under_layers: under-layers count as coating, and the job is adjusted on coated pieces; leave one"},
	} {
		text := strings.ReplaceAll(string(good), c.old, c.new)
		if c.old == "" {
			text = string(good)
		} else if text == string(good) {
			t.Fatalf("%s: nothing was changed", c.name)
		}
		_, err := LoadText("f.yaml", []byte(text), shelves)
		if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%s: got %v, want %q", c.name, err, c.want)
		}
	}
}
