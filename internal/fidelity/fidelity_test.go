package fidelity

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

const (
	reference      = "../../testdata/ref"
	finiteElements = "../../testdata/fem"
	shapeTables    = "../../testdata/shapes"
)

// Slow tables, half a minute of computing each, are left out in short mode.
var slowTables = []string{"eddy_air_wedge_ideal.csv", "magnetic_air_wedge_ideal.csv", "eddy_air_cylinder_ideal.csv", "magnetic_air_cylinder_ideal.csv"}

func TestReferenceTables(t *testing.T) {
	t.Parallel()
	var paths []string
	for _, folder := range []string{reference, finiteElements} {
		inside, err := filepath.Glob(filepath.Join(folder, "*_*.csv"))
		if err != nil || len(inside) == 0 {
			t.Fatalf("no tables in %s: %v", folder, err)
		}
		paths = append(paths, inside...)
	}
	for _, path := range paths {
		if testing.Short() && slices.Contains(slowTables, filepath.Base(path)) {
			continue
		}
		t.Run(filepath.Base(filepath.Dir(path))+"/"+filepath.Base(path), func(t *testing.T) {
			t.Parallel()
			r, err := CompareFile(path, 0)
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("%s %d rows, worst %.2g, median %.2g, tolerance %g: %s %s", r.Kind, len(r.Rows), r.Worst, r.Median, r.Tolerance, r.Verdict, r.Reason)
			for _, row := range r.Rows {
				if row.Verdict == Fail {
					t.Errorf("%s: %s: got %.5g, want %.5g, error %.2g", row.ID, row.Inputs, row.Got, row.Expected, row.Error)
				}
			}
		})
	}
}

// Every line of the list is computed or says why not; none fails.
func TestPublishedValues(t *testing.T) {
	rows, err := CheckFile(filepath.Join(reference, "checks.csv"))
	if err != nil {
		t.Fatal(err)
	}
	computed := map[string]int{}
	for _, r := range rows {
		t.Logf("%-12s %-12s got %.6g %s want %.6g %s error %.3g of %.3g %s", r.ID, r.Verdict, r.Got, r.GotText, r.Expected, r.ExpectedText, r.Error, r.Tolerance, r.Reason)
		if r.Verdict == Fail {
			t.Errorf("%s: %s: got %.6g %s, want %.6g %s, error %.2g, tolerance %g %s", r.ID, r.Inputs, r.Got, r.GotText, r.Expected, r.ExpectedText, r.Error, r.Tolerance, r.Reason)
		}
		if r.Verdict != NotComputed {
			computed[r.Section]++
		}
	}
	// A list that loses lines must not pass unnoticed.
	if n := computed["Statistics and uncertainty"] + computed["Standards: sampling, acceptance, reporting"]; n < 135 {
		t.Errorf("%d lines on statistics and standards computed, expected at least 135", n)
	}
	if n := computed["Metals"] + computed["Flat metal, published and recomputed"]; n < 60 {
		t.Errorf("%d lines on fields and metals computed, expected at least 60", n)
	}
}

// A published value that is changed must fail: one line of each way of comparing.
func TestWrongValuesFail(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(reference, "checks.csv"))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ id, old, new string }{
		{"T95-4", "nu=4,2.78,", "nu=4,2.88,"},
		{"NIST-Lew-M", "-177.435,", "-177.436,"},
		{"FOIL-U", "u 0.5210", "u 0.5230"},
		{"PA2-L3", `[6.3, 6.4, 14.4, 14.5]",F P P F`, `[6.3, 6.4, 14.4, 14.5]",F P F F`},
		{"19840-A3", "REJECT (mean)", "ACCEPT"},
		{"12944-MAX", "720 (3x", "730 (3x"},
		{"H1-UC", "31.66 unrounded", "31.76 unrounded"},
		{"CUSUM-0.1", "0.1452;2.7095;19", "0.1452;2.7095;18"},
		{"VER-ROLL", "all after 10:00", "all after 11:00"},
		{"DIXON-5", "0.642;0.71,", "0.642;0.72,"},
		{"PA2-MIL", "6.4;14.4", "6.4;14.5"},
	} {
		changed := strings.Replace(string(text), c.old, c.new, 1)
		if changed == string(text) {
			t.Errorf("%s: the case changes nothing", c.id)
			continue
		}
		var line string
		for l := range strings.SplitSeq(changed, "\n") {
			if strings.HasPrefix(l, c.id+",") {
				line = l
			}
		}
		rows, err := CheckRows("c.csv", strings.NewReader(strings.Join(checkColumns, ",")+"\n"+line+"\n"))
		if err != nil || len(rows) != 1 || rows[0].Verdict != Fail {
			t.Errorf("%s: %+v, %v; expected a failure", c.id, rows, err)
		}
	}
}

func TestOwnRows(t *testing.T) {
	if testing.Short() {
		t.Skip("half a minute of numbers: for a run at full length")
	}
	t.Parallel()
	run, err := Compare(Plan{Own: true, Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range run.Rows {
		t.Logf("%-12s %-5s %s %s: got %.9g want %.9g error %.2g of %.2g", r.ID, r.Verdict, r.Quantity, r.Inputs, r.Got, r.Expected, r.Error, r.Tolerance)
		if r.Verdict == Fail {
			t.Errorf("%s %s: got %.6g %s want %.6g %s", r.ID, r.Inputs, r.Got, r.GotText, r.Expected, r.ExpectedText)
		}
	}
}

// The page shows every row once, each table once, and names every verdict in words; it fetches nothing.
func TestPage(t *testing.T) {
	run, err := Compare(Plan{Paths: []string{filepath.Join(reference, "checks.csv"), filepath.Join(reference, "magnetic_air_plate_0.5.csv"), filepath.Join(finiteElements, "magnetic_air_step_upper_3d.csv")}})
	if err != nil {
		t.Fatal(err)
	}
	var page strings.Builder
	if err := run.HTML(&page); err != nil {
		t.Fatal(err)
	}
	text := page.String()
	if got, want := strings.Count(text, "<tr class=\"")-strings.Count(text, "<tr class=\"head\""), len(run.AllRows()); got != want {
		t.Errorf("%d rows on the page, %d compared", got, want)
	}
	if got := strings.Count(text, "<figure"); got != 2 {
		t.Errorf("%d plots, want 2", got)
	}
	for _, want := range []string{"✓ pass", "– not computed", "<svg", "prefers-color-scheme:dark", "@media print", "step down by the shape tables"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	for _, not := range []string{"http:", "https:", "NaN", "src=", "@import", "url("} {
		if strings.Contains(text, not) {
			t.Errorf("the page holds %q", not)
		}
	}
}

// The order and the values do not depend on how many goroutines run.
func TestSameWithAnyWorkers(t *testing.T) {
	plan := Plan{Paths: []string{filepath.Join(reference, "checks.csv"), filepath.Join(reference, "magnetic_air_plate_0.5.csv"), filepath.Join(reference, "eddy_cored_half.csv")}, Workers: 1}
	one, err := Compare(plan)
	if err != nil {
		t.Fatal(err)
	}
	told := 0
	plan.Workers, plan.Progress = 3, func(done, total int, _ string) {
		if told++; done != told || total != 3 {
			t.Errorf("progress says %d of %d at call %d", done, total, told)
		}
	}
	many, err := Compare(plan)
	if err != nil {
		t.Fatal(err)
	}
	a, b := one.AllRows(), many.AllRows()
	if len(a) != len(b) || told != 3 {
		t.Fatalf("%d rows with one goroutine, %d with three; progress told %d times", len(a), len(b), told)
	}
	for i := range a {
		if a[i].ID != b[i].ID || a[i].GotValue() != b[i].GotValue() || a[i].Verdict != b[i].Verdict {
			t.Errorf("row %d: %v with one goroutine, %v with three", i, a[i], b[i])
		}
	}
}
