package fidelity

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Table is a reference table: "# key: value" lines, a line of column names, then rows of finite numbers separated by
// commas. Only a distance or radius (d_mm, radius_mm) may be inf, for flat metal without an end, and only a column that
// states the table's own error may be nan, for an error that was not found.
type Table struct {
	Name    string
	Columns []string
	Lines   []TableLine
	head    map[string]headerLine
	// shapes is the folder of the probes' shape tables, or "".
	shapes string
}

// TableLine is one row of a table with the line of the file it stands on.
type TableLine struct {
	Line   int
	Values []float64
}

var (
	mayBeUnknown = []string{"mesh_error", "ratio_coarse", "extrapolation_step"}
	mayBeEndless = []string{"d_mm", "radius_mm"}
)

type headerLine struct {
	line  int
	value string
}

// ParseTable reads a table; name is used in messages. Errors say file, line, column and what to do.
func ParseTable(name string, r io.Reader) (*Table, error) {
	t := &Table{Name: name, head: map[string]headerLine{}}
	scanner := bufio.NewScanner(r)
	scanner.Buffer(make([]byte, 0, 64*1024), 1<<20)
	line := 0
	fail := func(column int, format string, args ...any) error {
		return fmt.Errorf("%s:%d:%d: %s", name, line, column, fmt.Sprintf(format, args...))
	}
	for scanner.Scan() {
		line++
		text := strings.TrimSuffix(scanner.Text(), "\r")
		switch {
		case strings.TrimSpace(text) == "":
		case strings.HasPrefix(text, "#"):
			if t.Columns != nil {
				return nil, fail(1, "header line after the column names; move it to the top")
			}
			key, value, found := strings.Cut(strings.TrimSpace(text[1:]), ":")
			key = strings.TrimSpace(key)
			if !found || key == "" {
				return nil, fail(1, "header line %q is not of the form \"# key: value\"; write it so", text)
			}
			if before, twice := t.head[key]; twice {
				return nil, fail(1, "header %q was given before on line %d; keep one", key, before.line)
			}
			t.head[key] = headerLine{line, strings.TrimSpace(value)}
		case t.Columns == nil:
			t.Columns = strings.Split(text, ",")
			seen := map[string]bool{}
			for i, c := range t.Columns {
				t.Columns[i] = strings.TrimSpace(c)
				if t.Columns[i] == "" || seen[t.Columns[i]] {
					return nil, fail(i+1, "column name %q is empty or given twice; give every column its own name", c)
				}
				seen[t.Columns[i]] = true
			}
		default:
			fields := strings.Split(text, ",")
			if len(fields) != len(t.Columns) {
				return nil, fail(1, "%d values, expected %d as there are columns (%s)", len(fields), len(t.Columns), strings.Join(t.Columns, ", "))
			}
			values := make([]float64, len(fields))
			for i, f := range fields {
				v, err := strconv.ParseFloat(strings.TrimSpace(f), 64)
				switch {
				case err != nil:
					return nil, fail(i+1, "column %s holds %q, expected a number", t.Columns[i], f)
				case math.IsNaN(v) && !slices.Contains(mayBeUnknown, t.Columns[i]):
					return nil, fail(i+1, "column %s holds %q; write the number, or leave the row out (nan may stand in %s only)",
						t.Columns[i], f, strings.Join(mayBeUnknown, ", "))
				case math.IsInf(v, 0) && !(v > 0 && slices.Contains(mayBeEndless, t.Columns[i])):
					return nil, fail(i+1, "column %s holds %q; write a finite number (inf, for metal without an end, may stand in %s only)",
						t.Columns[i], f, strings.Join(mayBeEndless, ", "))
				}
				values[i] = v
			}
			t.Lines = append(t.Lines, TableLine{line, values})
		}
	}
	if err := scanner.Err(); err != nil {
		return nil, fmt.Errorf("%s:%d: %w", name, line+1, err)
	}
	line++
	if len(t.Lines) == 0 {
		return nil, fail(1, "no rows of numbers; a table needs column names and at least one row")
	}
	return t, nil
}

// text returns a header's value, or "" without it.
func (t *Table) text(key string) string { return t.head[key].value }

// number returns a header's value as a number.
func (t *Table) number(key string) (float64, error) {
	h, found := t.head[key]
	if !found {
		return 0, fmt.Errorf("%s: header %q is missing; add a line \"# %s: number\" at the top", t.Name, key, key)
	}
	v, err := strconv.ParseFloat(h.value, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%s:%d: header %q is %q, expected a finite number such as 0.5", t.Name, h.line, key, h.value)
	}
	return v, nil
}

// column returns the index of a column.
func (t *Table) column(name string) (int, error) {
	for i, c := range t.Columns {
		if c == name {
			return i, nil
		}
	}
	return 0, fmt.Errorf("%s: column %q is missing, the table has %s; add it", t.Name, name, strings.Join(t.Columns, ", "))
}

// columns returns the indices of several columns.
func (t *Table) columns(names ...string) ([]int, error) {
	indices := make([]int, len(names))
	for i, n := range names {
		var err error
		if indices[i], err = t.column(n); err != nil {
			return nil, err
		}
	}
	return indices, nil
}
