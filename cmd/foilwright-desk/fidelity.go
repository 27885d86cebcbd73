package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"

	"foilwright/internal/fidelity"
)

func init() {
	register(command{
		name: "fidelity", args: "[-ref FOLDER | -table FILE] [-tolerance N] [-rows] [-json]",
		summary: "compare the field core with published values, limits and reference tables; exit 1 when one fails",
		run:     compareFidelity,
	})
}

func compareFidelity(set *flag.FlagSet, args []string, s streams) error {
	ref := set.String("ref", filepath.Join("testdata", "ref"), "folder of reference tables and checks.csv")
	table := set.String("table", "", "compare this one table only")
	tolerance := set.Float64("tolerance", 0, "largest relative error allowed in tables; 0: the usual one of each kind")
	rows := set.Bool("rows", false, "print every row of the tables")
	asJSON := set.Bool("json", false, "print JSON")
	if _, err := parse(set, args, 0, 0); err != nil {
		return err
	}
	if !(*tolerance >= 0) || math.IsInf(*tolerance, 0) {
		return usageError("fidelity: -tolerance is %v, expected a relative error such as 0.01", *tolerance)
	}
	var c comparison
	var err error
	if *table != "" {
		err = c.addTable(*table, *tolerance)
	} else {
		err = c.addAll(*ref, *tolerance)
	}
	if err != nil {
		return err
	}
	if *asJSON {
		err = writeJSON(s.out, c.forPrograms())
	} else {
		c.write(s.out, *rows || *table != "")
	}
	if err == nil && c.failed > 0 {
		return &failure{reason: fmt.Errorf("%d of %d comparisons failed", c.failed, c.made), code: exitFailed}
	}
	return err
}

// comparison gathers everything that was compared.
type comparison struct {
	rows         []fidelity.Row
	tables       []fidelity.TableResult
	made, failed int
}

func (c *comparison) addTable(name string, tolerance float64) error {
	t, err := fidelity.CompareFile(name, tolerance)
	if err != nil {
		return inputError(err, "the format is that of the tables in testdata/ref")
	}
	c.tables = append(c.tables, t)
	c.made++
	if t.Verdict == fidelity.Fail {
		c.failed++
	}
	return nil
}

func (c *comparison) addAll(folder string, tolerance float64) error {
	limits, err := fidelity.LimitRows()
	if err != nil {
		return err
	}
	c.rows = limits
	if _, err := os.Stat(folder); err != nil {
		return inputError(err, "run this in the repository, or name the folder of tables with -ref")
	}
	published, err := fidelity.CheckFile(filepath.Join(folder, "checks.csv"))
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return inputError(err, "")
	}
	c.rows = append(c.rows, published...)
	for _, r := range c.rows {
		c.made++
		if r.Verdict == fidelity.Fail {
			c.failed++
		}
	}
	files, err := filepath.Glob(filepath.Join(folder, "*.csv"))
	if err != nil {
		return err
	}
	for _, f := range files {
		if filepath.Base(f) == "checks.csv" {
			continue
		}
		if err := c.addTable(f, tolerance); err != nil {
			return err
		}
	}
	return nil
}

// value writes a real or complex quantity.
func value(z complex128) string {
	if math.IsNaN(real(z)) {
		return "-"
	}
	if imag(z) == 0 {
		return strconv.FormatFloat(real(z), 'g', 8, 64)
	}
	return fmt.Sprintf("%.6g%+.6gj", real(z), imag(z))
}

func amount(v float64, relative bool, unit string) string {
	if math.IsNaN(v) {
		return "-"
	}
	if relative {
		return fmt.Sprintf("%.2g relative", v)
	}
	return fmt.Sprintf("%.2g %s", v, unit)
}

func (c *comparison) write(w io.Writer, rows bool) {
	for _, r := range c.rows {
		writeRow(w, r)
	}
	for _, t := range c.tables {
		if rows {
			for _, r := range t.Rows {
				writeRow(w, r)
			}
		}
	}
	if len(c.tables) > 0 {
		fmt.Fprintf(w, "\n%-32s %-11s %5s %10s %10s %10s  %s\n", "table", "kind", "rows", "worst", "median", "tolerance", "verdict")
	}
	for _, t := range c.tables {
		note := ""
		if !t.Independent {
			note = "  (regression data, not independent)"
		}
		if t.Reason != "" {
			note += "  " + t.Reason
		}
		fmt.Fprintf(w, "%-32s %-11s %5d %10.2g %10.2g %10.2g  %s%s\n", t.Name, t.Kind, len(t.Rows), t.Worst, t.Median, t.Tolerance, t.Verdict, note)
	}
	fmt.Fprintf(w, "\n%d comparisons, %d failed\n", c.made, c.failed)
}

func writeRow(w io.Writer, r fidelity.Row) {
	fmt.Fprintf(w, "%-12s %s\n    %s (%s)\n    expected %s, got %s %s; error %s, tolerance %s\n    source: %s\n",
		r.Verdict, r.ID, r.Quantity, r.Inputs, value(r.Expected), value(r.Got), r.Unit,
		amount(r.Error, r.Relative, r.Unit), amount(r.Tolerance, r.Relative, r.Unit), r.Source)
	if r.Reason != "" {
		fmt.Fprintf(w, "    %s\n", r.Reason)
	}
}

// forPrograms turns the comparison into what JSON can hold.
func (c *comparison) forPrograms() any {
	number := func(v float64) *float64 {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil
		}
		return &v
	}
	pair := func(z complex128) []*float64 { return []*float64{number(real(z)), number(imag(z))} }
	type row struct {
		ID        string           `json:"id"`
		Quantity  string           `json:"quantity"`
		Inputs    string           `json:"inputs"`
		Source    string           `json:"source"`
		Expected  []*float64       `json:"expected"`
		Got       []*float64       `json:"got"`
		Unit      string           `json:"unit"`
		Error     *float64         `json:"error"`
		Tolerance *float64         `json:"tolerance"`
		Relative  bool             `json:"relative"`
		Verdict   fidelity.Verdict `json:"verdict"`
		Reason    string           `json:"reason,omitempty"`
	}
	turn := func(rows []fidelity.Row) []row {
		list := []row{}
		for _, r := range rows {
			list = append(list, row{
				r.ID, r.Quantity, r.Inputs, r.Source, pair(r.Expected), pair(r.Got), r.Unit,
				number(r.Error), number(r.Tolerance), r.Relative, r.Verdict, r.Reason,
			})
		}
		return list
	}
	type table struct {
		Name        string           `json:"name"`
		Kind        fidelity.Kind    `json:"kind"`
		Source      string           `json:"source"`
		Independent bool             `json:"independent"`
		Worst       *float64         `json:"worst"`
		Median      *float64         `json:"median"`
		Tolerance   *float64         `json:"tolerance"`
		Verdict     fidelity.Verdict `json:"verdict"`
		Rows        []row            `json:"rows"`
	}
	tables := []table{}
	for _, t := range c.tables {
		tables = append(tables, table{t.Name, t.Kind, t.Source, t.Independent, number(t.Worst), number(t.Median), number(t.Tolerance), t.Verdict, turn(t.Rows)})
	}
	return map[string]any{"rows": turn(c.rows), "tables": tables, "compared": c.made, "failed": c.failed}
}
