package main

import (
	"encoding/csv"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"foilwright/internal/fidelity"
)

func init() {
	register(command{
		name: "fidelity", args: "[FILE|FOLDER...] [-rows] [-list] [-html FILE] [-csv FILE] [-json]",
		summary: "compare the simulation with published values, limits and reference tables; exit 1 when one fails",
		run:     compareFidelity,
		more: `Without arguments everything is compared: limits and other methods, the figures noted by prototypes, the
published values in testdata/ref/checks.csv, and the tables in testdata/ref and testdata/fem (about a minute).
With arguments only the named tables, lists named checks.csv and folders are. The format of a table is that of
those in testdata/ref. Edges, holes and bent metal need shape tables of the table's probe, which are looked for in a
folder named shapes beside the table's own.

Verdicts: pass; FAIL; "falls short": beyond the tolerance, but known and no worse than sim/field/README.md
states; "not computed": with the reason. -strict makes "falls short" count as a failure.
`,
	})
}

func compareFidelity(set *flag.FlagSet, args []string, s streams) error {
	tolerance := set.Float64("tolerance", 0, "largest relative error allowed in tables; 0: the usual one of each kind")
	rows := set.Bool("rows", false, "print every row of the tables too")
	list := set.Bool("list", false, "print the sources with what was compared with each, instead of rows")
	strict := set.Bool("strict", false, "let known shortfalls count as failures")
	page := set.String("html", "", "write a page with plots and every row to this `file`")
	sheet := set.String("csv", "", "write every row to this `file`; - for standard output")
	asJSON := set.Bool("json", false, "print JSON")
	paths, err := parse(set, args, 0, -1)
	if err != nil {
		return err
	}
	if !(*tolerance >= 0) || math.IsInf(*tolerance, 0) {
		return usageError("fidelity: -tolerance is %v, expected a relative error such as 0.01", *tolerance)
	}
	plan := fidelity.Plan{Paths: paths, Tolerance: *tolerance, Workers: 2, Progress: progressTo(s.err)}
	if len(paths) == 0 {
		plan.Own, plan.Paths = true, []string{filepath.Join("testdata", "ref"), filepath.Join("testdata", "fem")}
	}
	run, err := fidelity.Compare(plan)
	if err != nil {
		return inputError(err, "run this in the repository, or name tables or folders; the format is that of the tables in testdata/ref")
	}
	if err := writeFidelity(s.out, run, *page, *sheet, *asJSON, *list, *rows || len(paths) > 0); err != nil {
		return err
	}
	count := run.Count()
	if failed := count.Fail; failed > 0 || *strict && count.Short > 0 {
		if *strict {
			failed += count.Short
		}
		return &failure{reason: fmt.Errorf("%d of %d comparisons failed", failed, count.Made()), code: exitFailed}
	}
	return nil
}

// writeFidelity writes the run to files and to standard output.
func writeFidelity(out io.Writer, run fidelity.Run, page, sheet string, asJSON, list, rows bool) error {
	if page != "" {
		if err := writeFile(page, run.HTML); err != nil {
			return err
		}
	}
	if sheet == "-" {
		return writeRowsCSV(out, run)
	}
	if sheet != "" {
		if err := writeFile(sheet, func(w io.Writer) error { return writeRowsCSV(w, run) }); err != nil {
			return err
		}
	}
	switch {
	case asJSON:
		return writeJSON(out, forPrograms(run))
	case list:
		writeSources(out, run)
	default:
		writeComparison(out, run, rows)
	}
	return nil
}

// writeFile creates a file and reports what went wrong, closing included.
func writeFile(name string, write func(io.Writer) error) error {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	err = write(f)
	if closed := f.Close(); err == nil {
		err = closed
	}
	return err
}

// progressTo tells on a stream what is done, at most a few times a second.
func progressTo(w io.Writer) func(done, total int, finished string) {
	var last time.Time
	return func(done, total int, finished string) {
		if time.Since(last) < 300*time.Millisecond && done < total {
			return
		}
		last = time.Now()
		fmt.Fprintf(w, "compared %d of %d: %s\n", done, total, filepath.Base(finished))
	}
}

func writeComparison(w io.Writer, run fidelity.Run, rows bool) {
	section := ""
	for _, r := range run.Rows {
		if r.Section != section {
			section = r.Section
			fmt.Fprintf(w, "\n== %s ==\n", section)
		}
		writeRow(w, r)
	}
	if rows {
		for _, t := range run.Tables {
			fmt.Fprintf(w, "\n== %s ==\n", t.Name)
			for _, r := range t.Rows {
				writeRow(w, r)
			}
		}
	}
	if len(run.Tables) > 0 {
		fmt.Fprintf(w, "\n%-38s %-10s %5s %9s %9s %9s  %s\n", "table", "kind", "rows", "worst", "median", "tolerance", "verdict")
	}
	for _, t := range run.Tables {
		note := ""
		if !t.Origin.Basis.Independent() {
			note = "  (" + string(t.Origin.Basis) + ")"
		}
		if t.Reason != "" {
			note += "  " + t.Reason
		}
		fmt.Fprintf(w, "%-38s %-10s %5d %9.2g %9.2g %9.2g  %s%s\n", t.Name, t.Kind, len(t.Rows), t.Worst, t.Median, t.Tolerance, t.Verdict, note)
	}
	writeSummary(w, run)
}

// writeSummary counts sources and rows by kind.
func writeSummary(w io.Writer, run fidelity.Run) {
	fmt.Fprintf(w, "\n%-30s %8s %6s %6s %6s %12s\n", "kind of source", "sources", "pass", "short", "fail", "not computed")
	for _, b := range run.ByBasis() {
		fmt.Fprintf(w, "%-30s %8d %6d %6d %6d %12d\n", b.Basis, b.Sources, b.Pass, b.Short, b.Fail, b.NotComputed)
	}
	count := run.Count()
	rows, from := run.Independent()
	fmt.Fprintf(w, "\n%d comparisons: %d pass, %d fall short as stated, %d fail; %d more rows are not computed\n", count.Made(), count.Pass, count.Short, count.Fail, count.NotComputed)
	fmt.Fprintf(w, "%d of them against %d sources that do not share the formulas of this program\n", rows, from)
}

func writeSources(w io.Writer, run fidelity.Run) {
	basis := fidelity.Basis("")
	for _, s := range run.BySource() {
		if s.Basis != basis {
			basis = s.Basis
			fmt.Fprintf(w, "\n%s\n", basis)
		}
		fmt.Fprintf(w, "  %-18s %5d rows: %5d pass, %3d short, %3d fail, %3d not computed\n    %s\n",
			s.Key, s.Made()+s.NotComputed, s.Pass, s.Short, s.Fail, s.NotComputed, s.Title)
	}
	writeSummary(w, run)
}

func writeRow(w io.Writer, r fidelity.Row) {
	off, allowed := r.ErrorAndTolerance()
	fmt.Fprintf(w, "%-12s %s\n    %s (%s)\n    expected %s, got %s %s; error %s, tolerance %s\n    source: %s [%s]\n",
		r.Verdict, r.ID, r.Quantity, r.Inputs, r.ExpectedValue(), r.GotValue(), r.Unit, off, allowed, r.Source, r.Origin.Basis)
	if r.Reason != "" {
		fmt.Fprintf(w, "    %s\n", r.Reason)
	}
}

// writeRowsCSV writes every row as comma-separated values.
func writeRowsCSV(w io.Writer, run fidelity.Run) error {
	sheet := csv.NewWriter(w)
	sheet.Write([]string{"section", "id", "quantity", "inputs", "expected", "got", "unit", "error", "tolerance", "error and tolerance are", "verdict", "kind of source", "source", "remark"})
	number := func(v float64) string {
		if math.IsNaN(v) {
			return ""
		}
		return strconv.FormatFloat(v, 'g', 6, 64)
	}
	for _, r := range run.AllRows() {
		are := "absolute"
		switch {
		case r.ShareOfTolerance:
			are = "share of the tolerance used"
		case r.Relative || r.AtMost:
			are = "relative"
		}
		sheet.Write([]string{
			r.Section, r.ID, r.Quantity, r.Inputs, r.ExpectedValue(), r.GotValue(), r.Unit, number(r.Error), number(r.Tolerance), are,
			string(r.Verdict), string(r.Origin.Basis), r.Source, r.Reason,
		})
	}
	sheet.Flush()
	return sheet.Error()
}

// forPrograms turns the comparison into what JSON can hold.
func forPrograms(run fidelity.Run) any {
	number := func(v float64) *float64 {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil
		}
		return &v
	}
	pair := func(z complex128) []*float64 { return []*float64{number(real(z)), number(imag(z))} }
	type row struct {
		ID           string           `json:"id"`
		Section      string           `json:"section"`
		Quantity     string           `json:"quantity"`
		Inputs       string           `json:"inputs"`
		Source       string           `json:"source"`
		Basis        fidelity.Basis   `json:"basis"`
		Expected     []*float64       `json:"expected"`
		Got          []*float64       `json:"got"`
		ExpectedText string           `json:"expectedText,omitempty"`
		GotText      string           `json:"gotText,omitempty"`
		Unit         string           `json:"unit"`
		Error        *float64         `json:"error"`
		Tolerance    *float64         `json:"tolerance"`
		Relative     bool             `json:"relative"`
		Verdict      fidelity.Verdict `json:"verdict"`
		Reason       string           `json:"reason,omitempty"`
	}
	turn := func(rows []fidelity.Row) []row {
		list := []row{}
		for _, r := range rows {
			list = append(list, row{
				r.ID, r.Section, r.Quantity, r.Inputs, r.Source, r.Origin.Basis, pair(r.Expected), pair(r.Got), r.ExpectedText, r.GotText, r.Unit,
				number(r.Error), number(r.Tolerance), r.Relative, r.Verdict, r.Reason,
			})
		}
		return list
	}
	type table struct {
		Name      string           `json:"name"`
		Kind      fidelity.Kind    `json:"kind"`
		Source    string           `json:"source"`
		Basis     fidelity.Basis   `json:"basis"`
		Worst     *float64         `json:"worst"`
		Median    *float64         `json:"median"`
		Tolerance *float64         `json:"tolerance"`
		Verdict   fidelity.Verdict `json:"verdict"`
		Rows      []row            `json:"rows"`
	}
	tables := []table{}
	for _, t := range run.Tables {
		tables = append(tables, table{t.Name, t.Kind, t.Source, t.Origin.Basis, number(t.Worst), number(t.Median), number(t.Tolerance), t.Verdict, turn(t.Rows)})
	}
	type source struct {
		Key         string         `json:"key"`
		Title       string         `json:"title"`
		Basis       fidelity.Basis `json:"basis"`
		Pass        int            `json:"pass"`
		Short       int            `json:"fallShort"`
		Fail        int            `json:"fail"`
		NotComputed int            `json:"notComputed"`
	}
	sources := []source{}
	for _, s := range run.BySource() {
		sources = append(sources, source{s.Key, s.Title, s.Basis, s.Pass, s.Short, s.Fail, s.NotComputed})
	}
	count := run.Count()
	return map[string]any{"rows": turn(run.Rows), "tables": tables, "sources": sources, "compared": count.Made(), "failed": count.Fail, "fallShort": count.Short}
}
