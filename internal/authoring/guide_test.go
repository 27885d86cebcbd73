package authoring_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"foilwright/internal/authoring"
	"foilwright/scenarios"
)

var update = flag.Bool("update", false, "write the figures of the guide anew")

// The uncertainties that the guide tells are those that competent trainees come
// to. With -update they are written anew.
func TestGuideUncertainties(t *testing.T) {
	const guide, seeds = "../../scenarios/README.md", 6
	data, err := os.ReadFile(guide)
	if err != nil {
		t.Fatal(err)
	}
	var table strings.Builder
	table.WriteString("| exercise | about, µm | spots | `waviness_um` | uncertainty, µm |\n|---|---|---|---|---|\n")
	for _, id := range []string{"anodised-trim", "painted-panel", "handrail", "five-per-area", "ramp-hinge", "assess-tank", "no-bare-metal", "thick-lift"} {
		e, err := scenarios.ByID(id)
		if err != nil {
			t.Fatal(err)
		}
		own := *e
		own.Mistakes = nil // nobody naive is asked for
		trial, err := authoring.Try(&own, seeds, nil)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&table, "| `%s` | %g | %d | %g | ±%.1f to ±%.1f |\n", id, e.Job.NominalUm, e.Job.Spots, e.Part.Coating.WavinessUm, trial.LeastUm, trial.MostUm)
	}
	const begin, end = "<!-- uncertainty -->\n", "<!-- end -->"
	before, rest, found := strings.Cut(string(data), begin)
	was, after, closed := strings.Cut(rest, end)
	switch {
	case !found || !closed:
		t.Fatal("the guide has no table of uncertainties")
	case was == table.String():
	case *update:
		if err := os.WriteFile(guide, []byte(before+begin+table.String()+end+after), 0o644); err != nil {
			t.Fatal(err)
		}
	default:
		t.Errorf("the guide's uncertainties are not those reached; write them anew with go test ./internal/authoring -run Guide -update\n%s", table.String())
	}
}
