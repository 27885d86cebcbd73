package scenarios

import (
	"fmt"
	"sort"
	"strings"
)

// Fault is one thing wrong with an exercise file.
type Fault struct {
	File   string
	Line   int
	Field  string // path such as job.area_mm.width; empty for the file as a whole
	What   string
	Remedy string
}

func (f Fault) String() string {
	where := fmt.Sprintf("%s:%d", f.File, f.Line)
	if f.Field != "" {
		where += ": " + f.Field
	}
	return fmt.Sprintf("%s: %s; %s", where, f.What, f.Remedy)
}

// Faults is every fault of a file, in the order of its lines.
type Faults []Fault

func (f Faults) Error() string {
	lines := make([]string, len(f))
	for i := range f {
		lines[i] = f[i].String()
	}
	return strings.Join(lines, "\n")
}

// err returns the faults as an error, nil when there are none.
func (f Faults) err() error {
	if len(f) == 0 {
		return nil
	}
	sort.SliceStable(f, func(i, j int) bool { return f[i].Line < f[j].Line })
	return f
}

// nearest returns the name most like got, "" when none is near.
func nearest(got string, names []string) string {
	best, bestCost := "", 1+len(got)/3+1
	for _, n := range names {
		if c := editCost(strings.ToLower(got), n); c < bestCost {
			best, bestCost = n, c
		}
	}
	return best
}

// editCost is the Levenshtein distance (V. I. Levenshtein, 1966).
func editCost(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diagonal := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := diagonal
			if a[i-1] != b[j-1] {
				cost++
			}
			diagonal = row[j]
			row[j] = min(cost, row[j]+1, row[j-1]+1)
		}
	}
	return row[len(b)]
}

// LineOf is the line on which a field of a file stands, or else what holds it;
// 1 where the text cannot be read.
func LineOf(data []byte, path string) int {
	d := &decoder{}
	root := d.document(data, "an exercise")
	if root == nil {
		return 1
	}
	d.faults = nil
	d.faultAt(root, path, "", "")
	return d.faults[0].Line
}
