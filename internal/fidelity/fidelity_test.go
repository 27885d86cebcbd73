package fidelity

import (
	"path/filepath"
	"slices"
	"testing"
)

const reference = "../../testdata/ref"

// Slow tables, half a minute of computing each, are left out in short mode.
var slowTables = []string{"eddy_air_wedge_ideal.csv", "magnetic_air_wedge_ideal.csv", "eddy_air_cylinder_ideal.csv", "magnetic_air_cylinder_ideal.csv"}

func TestReferenceTables(t *testing.T) {
	paths, err := filepath.Glob(filepath.Join(reference, "*_*.csv"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("no tables in %s: %v", reference, err)
	}
	for _, path := range paths {
		if testing.Short() && slices.Contains(slowTables, filepath.Base(path)) {
			continue
		}
		t.Run(filepath.Base(path), func(t *testing.T) {
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

func TestPublishedValues(t *testing.T) {
	rows, err := CheckFile(filepath.Join(reference, "checks.csv"))
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		t.Logf("%-12s %-12s got %.6g want %.6g error %.3g of %.3g %s", r.ID, r.Verdict, r.Got, r.Expected, r.Error, r.Tolerance, r.Reason)
		if r.Verdict == Fail {
			t.Errorf("%s: %s: got %.6g, want %.6g, error %.2g, tolerance %g", r.ID, r.Inputs, r.Got, r.Expected, r.Error, r.Tolerance)
		}
	}
	if len(rows) < 60 {
		t.Errorf("%d rows, expected at least 60", len(rows))
	}
}

func TestLimits(t *testing.T) {
	rows, err := LimitRows()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		t.Logf("%-12s %-5s %s %s: got %.9g want %.9g error %.2g of %.2g", r.ID, r.Verdict, r.Quantity, r.Inputs, r.Got, r.Expected, r.Error, r.Tolerance)
		if r.Verdict == Fail {
			t.Errorf("%s %s", r.ID, r.Inputs)
		}
	}
}
