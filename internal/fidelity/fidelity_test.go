package fidelity

import (
	"path/filepath"
	"testing"
)

const reference = "../../testdata/ref"

func TestReferenceTables(t *testing.T) {
	paths, err := filepath.Glob(filepath.Join(reference, "*_*.csv"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("no tables in %s: %v", reference, err)
	}
	for _, path := range paths {
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
