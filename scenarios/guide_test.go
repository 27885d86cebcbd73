package scenarios

import (
	"flag"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"foilwright/sim/bench"
	"foilwright/sim/grade"
	"foilwright/sim/inspect"
	"foilwright/sim/part"
	"foilwright/sim/probe"
)

var update = flag.Bool("update", false, "write the tables of the guide anew")

// The tables of the guide are those of the program. With -update they are
// written anew.
func TestGuideTables(t *testing.T) {
	data, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	for name, table := range map[string]string{
		"mistakes": mistakesTable(), "probes": probesTable(), "acceptance": acceptanceTable(),
		"chapters": chaptersTable(), "adjustments": adjustmentsTable(), "metals": metalsTable(), "conditions": conditionsTable(t),
	} {
		begin, end := "<!-- "+name+" -->\n", "<!-- end -->"
		_, rest, found := strings.Cut(text, begin)
		was, _, closed := strings.Cut(rest, end)
		if !found || !closed {
			t.Fatalf("README.md has no table %q", name)
		}
		if was == table {
			continue
		}
		if !*update {
			t.Errorf("README.md: the table %q is not what the program knows; write it anew with go test ./scenarios -run Guide -update", name)
		}
		text = strings.Replace(text, begin+was, begin+table, 1)
	}
	if *update && text != string(data) {
		if err := os.WriteFile("README.md", []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// The exercises and fields that the guide names are there.
func TestGuideNamesExercises(t *testing.T) {
	data, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, found := strings.Cut(string(data), "## Good ones to copy\n")
	section, _, closed := strings.Cut(rest, "\n## ")
	named := regexp.MustCompile("(?m)^\\| `([a-z0-9-]+)` \\|").FindAllStringSubmatch(section, -1)
	if !found || !closed || len(named) < 8 {
		t.Fatalf("the guide names %d exercises to copy", len(named))
	}
	for _, n := range named {
		if _, err := ByID(n[1]); err != nil {
			t.Errorf("the guide names %q: %v", n[1], err)
		}
	}
}

func mistakesTable() string {
	var b strings.Builder
	b.WriteString("| check | group, severity | what goes wrong |\n|---|---|---|\n")
	for _, c := range grade.Checks() {
		fmt.Fprintf(&b, "| `%s` | %s, %s | %s |\n", c.ID, c.Group, c.Severity, c.Means)
	}
	return b.String()
}

func probesTable() string {
	var b strings.Builder
	b.WriteString("| probe | principle | film up to, µm | edge, mm | radius bulging, mm | radius hollow, mm | base at least, mm |\n|---|---|---|---|---|---|---|\n")
	for _, d := range probe.Designs() {
		s := d.Sheet()
		fmt.Fprintf(&b, "| `%s` | %s | %g | %g | %g | %g | %g |\n", d.ID, d.Principle.Words(), d.RangeUm, s.EdgeDistanceMm, s.ConvexRadiusMm, s.ConcaveRadiusMm, s.BaseThicknessMm)
	}
	return b.String()
}

func acceptanceTable() string {
	var b strings.Builder
	b.WriteString("| `acceptance` | what it asks | from |\n|---|---|---|\n")
	for _, r := range inspect.AcceptanceRules() {
		fmt.Fprintf(&b, "| `%s` | %s | %s |\n", r.ID, r.Text, r.Standard)
	}
	return b.String()
}

func chaptersTable() string {
	var b strings.Builder
	b.WriteString("| `chapter` | heading | what it trains |\n|---|---|---|\n")
	for _, c := range Chapters() {
		fmt.Fprintf(&b, "| `%s` | %s | %s |\n", c.ID, c.Title, c.What)
	}
	return b.String()
}

// adjustmentsTable tells what a job takes: to adjust on, and one thickness more
// to verify on.
func adjustmentsTable() string {
	var b strings.Builder
	b.WriteString("| `adjustment` | as the sheet words it | to adjust on | to verify on | foils at least |\n|---|---|---|---|---|\n")
	for _, a := range bench.Adjustments() {
		j := bench.Job{Adjustment: a}
		n := j.Thicknesses()
		on, verify, foils := "the bare piece", "a foil", n+1
		switch {
		case j.OnCoated():
			on, verify, foils = fmt.Sprintf("%d certified, of the pieces", n), "another certified piece", 0
		case n > 0:
			on = fmt.Sprintf("the bare piece, %d of the foils", n)
			verify = "another foil"
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s | %d |\n", a, bench.AdjustmentWords(a), on, verify, foils)
	}
	return b.String()
}

func metalsTable() string {
	var b strings.Builder
	b.WriteString("| `metal` | what it is | measured by |\n|---|---|---|\n")
	for _, m := range part.Metals {
		by := probe.EddyCurrent
		if s := (&bench.PieceSpec{Piece: part.Piece{Metal: m}}); s.Serves(probe.MagneticInduction) {
			by = probe.MagneticInduction
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s |\n", m.ID, m.Name, by.Words())
	}
	return b.String()
}

func conditionsTable(t *testing.T) string {
	words := map[part.FoilCondition][2]string{
		part.FoilGood:    {"in order; what holds where nothing is said", "left out"},
		part.FoilCreased: {"a ridge near the middle", "its height"},
		part.FoilBurred:  {"a cut edge stands up and lifts the foil beside it", "its height"},
		part.FoilWorn:    {"thinner in the middle, where probes stood", "how much thinner"},
	}
	var b strings.Builder
	b.WriteString("| `condition` | what a look shows | `fault_um`, µm |\n|---|---|---|\n")
	for _, c := range part.FoilConditions() {
		w, told := words[c]
		if !told {
			t.Errorf("the guide has no words for a foil that is %s", c)
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s |\n", c, w[0], w[1])
	}
	return b.String()
}
