package fidelity

import (
	_ "embed" // style sheet and filter of the page
	"fmt"
	"html"
	"io"
	"math"
	"strconv"
	"strings"
)

//go:embed page.css
var pageStyle string

//go:embed page.js
var pageScript string

// HTML writes the run as one page that needs no other file: what was compared and came out, a plot for each table, and
// every row. Without scripts all rows show; with them the rows can be filtered.
func (r Run) HTML(w io.Writer) error {
	var b strings.Builder
	b.WriteString(`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Fidelity of the simulation</title>
<style>
` + pageStyle + `</style>
</head>
<body>
<header><h1>Fidelity of the simulation</h1>
<p class="soft">Foilwright: what the bench computes, against values it did not make</p></header>
`)
	r.summaryHTML(&b)
	r.sourcesHTML(&b)
	r.tablesHTML(&b)
	r.rowsHTML(&b)
	b.WriteString(`<footer>A training aid: it certifies nobody and replaces neither instrument maker's instructions nor the contract.
What falls short, and by how much, is told in sim/field/README.md of the program.</footer>
<script>
` + pageScript + `</script>
</body>
</html>
`)
	_, err := io.WriteString(w, b.String())
	return err
}

// class names a verdict in the style sheet.
func (v Verdict) class() string {
	switch v {
	case Pass:
		return "pass"
	case Short:
		return "short"
	case Fail:
		return "fail"
	}
	return "none"
}

// sign puts a shape beside a verdict's word, for those who do not see its colour.
func (v Verdict) sign() string {
	switch v {
	case Pass:
		return "✓ "
	case Short:
		return "△ "
	case Fail:
		return "✕ "
	}
	return "– "
}

func (r Run) summaryHTML(b *strings.Builder) {
	count := r.Count()
	rows, from := r.Independent()
	b.WriteString("<section>\n<div class=\"tiles\">")
	tile := func(class string, n int, text string) {
		fmt.Fprintf(b, "<div class=\"%s\"><b>%d</b>%s</div>", class, n, text)
	}
	tile("good", count.Pass, "pass")
	tile("warn", count.Short, "fall short, as stated")
	tile("bad", count.Fail, "fail")
	tile("", count.NotComputed, "not computed")
	tile("truth", rows, fmt.Sprintf("against %d sources that do not share the program's formulas", from))
	b.WriteString("</div>\n<p>A comparison passes when the computed value lies within the tolerance of the expected one. It falls short when it lies outside, but the error is known, stated, and no larger than stated; a larger one fails. Figures of this project's own prototypes show only that nothing has changed: they are counted apart.</p>\n")
	b.WriteString("<div class=\"wide\"><table><thead><tr><th>kind of source</th><th class=\"r\">sources</th><th class=\"r\">pass</th><th class=\"r\">fall short</th><th class=\"r\">fail</th><th class=\"r\">not computed</th></tr></thead><tbody>\n")
	for _, k := range r.ByBasis() {
		fmt.Fprintf(b, "<tr><td>%s</td><td class=\"r\">%d</td><td class=\"r\">%d</td><td class=\"r\">%d</td><td class=\"r\">%d</td><td class=\"r\">%d</td></tr>\n", k.Basis, k.Sources, k.Pass, k.Short, k.Fail, k.NotComputed)
	}
	b.WriteString("</tbody></table></div>\n</section>\n")
}

func (r Run) sourcesHTML(b *strings.Builder) {
	b.WriteString("<section>\n<h2>Sources</h2>\n<div class=\"wide\"><table><thead><tr><th>source</th><th>kind</th><th class=\"r\">computed</th><th class=\"r\">not computed</th></tr></thead><tbody>\n")
	for _, s := range r.BySource() {
		fmt.Fprintf(b, "<tr><td>%s</td><td>%s</td><td class=\"r\">%d</td><td class=\"r\">%d</td></tr>\n", html.EscapeString(s.Title), s.Basis, s.Made(), s.NotComputed)
	}
	b.WriteString("</tbody></table></div>\n</section>\n")
}

func (r Run) tablesHTML(b *strings.Builder) {
	if len(r.Tables) == 0 {
		return
	}
	b.WriteString("<section>\n<h2>Reference tables</h2>\n<p class=\"soft\">Above: the reference as circles, the simulation as lines. Below: the error relative to the reference (of what metal lacks: the difference); the tolerance is the shaded band. Points outside are ringed.</p>\n<div class=\"plots\">\n")
	for i := range r.Tables {
		t := &r.Tables[i]
		fmt.Fprintf(b, "<figure class=\"%s\"><figcaption><b>%s</b> · %s · %d rows · <span class=\"v\">%s%s</span><br><small>%s; worst error %s, tolerance %s</small></figcaption>\n",
			t.Verdict.class(), html.EscapeString(t.Name), t.Kind, len(t.Rows), t.Verdict.sign(), t.Verdict, t.Origin.Basis, t.errorText(t.Worst), t.errorText(t.Tolerance))
		if t.Verdict == NotComputed {
			fmt.Fprintf(b, "<p class=\"soft\">%s</p>", html.EscapeString(strings.TrimPrefix(t.Reason, "not computed: ")))
		} else {
			b.WriteString(t.plot())
			if t.Verdict != Pass && t.Reason != "" {
				fmt.Fprintf(b, "<p class=\"soft\">%s</p>", html.EscapeString(t.Reason))
			}
		}
		b.WriteString("</figure>\n")
	}
	b.WriteString("</div>\n</section>\n")
}

// errorText writes an error of the table's rows: relative or a share of flat in per cent, of what metal lacks as it stands.
func (t *TableResult) errorText(v float64) string {
	if t.Kind == Lack && !math.IsNaN(v) {
		return strconv.FormatFloat(v, 'g', 2, 64)
	}
	return percent(v)
}

func percent(v float64) string {
	if math.IsNaN(v) {
		return "–"
	}
	return strconv.FormatFloat(100*v, 'g', 2, 64) + " %"
}

func (r Run) rowsHTML(b *strings.Builder) {
	var sections []string
	groups := map[string][]Row{}
	for _, row := range r.AllRows() {
		if groups[row.Section] == nil {
			sections = append(sections, row.Section)
		}
		groups[row.Section] = append(groups[row.Section], row)
	}
	b.WriteString("<section>\n<h2>Every row</h2>\n<div class=\"filter\" id=\"filter\" hidden>")
	choice := func(id, label string, options []string) {
		fmt.Fprintf(b, "<label>%s <select id=\"%s\"><option value=\"\">all</option>", label, id)
		for _, o := range options {
			fmt.Fprintf(b, "<option>%s</option>", html.EscapeString(o))
		}
		b.WriteString("</select></label>")
	}
	choice("section", "part", sections)
	choice("verdict", "verdict", []string{string(Pass), string(Short), string(Fail), string(NotComputed)})
	var bases []string
	for _, k := range r.ByBasis() {
		bases = append(bases, string(k.Basis))
	}
	choice("basis", "source", bases)
	b.WriteString("<label>words <input id=\"words\" type=\"search\" placeholder=\"steel edge\"></label><output id=\"count\"></output></div>\n")
	b.WriteString("<div class=\"wide\"><table class=\"rows\"><thead><tr><th>verdict</th><th>row</th><th>what</th><th>expected</th><th>got</th><th>error</th><th>tolerance</th><th>source</th></tr></thead>\n")
	for _, s := range sections {
		fmt.Fprintf(b, "<tbody data-section=\"%s\"><tr class=\"head\"><td colspan=\"8\">%s</td></tr>\n", html.EscapeString(s), html.EscapeString(s))
		for _, row := range groups[s] {
			off, allowed := row.ErrorAndTolerance()
			fmt.Fprintf(b, "<tr class=\"%s\" data-verdict=\"%s\" data-basis=\"%s\"><td class=\"v\">%s%s</td><td>%s</td><td>%s<br><small>%s</small>",
				row.Verdict.class(), row.Verdict, row.Origin.Basis, row.Verdict.sign(), row.Verdict, html.EscapeString(row.ID), html.EscapeString(row.Quantity), html.EscapeString(row.Inputs))
			if row.Reason != "" {
				fmt.Fprintf(b, "<br><small>%s</small>", html.EscapeString(row.Reason))
			}
			unit := ""
			if row.Unit != "1" && row.Unit != "-" {
				unit = " " + row.Unit
			}
			source := row.Source
			if strings.Contains(source, "made for this project") { // a table's source is long, and the same in all its rows
				source = row.Origin.Key
			}
			fmt.Fprintf(b, "</td><td>%s</td><td>%s%s</td><td>%s</td><td>%s</td><td>%s<br><small>%s</small></td></tr>\n",
				html.EscapeString(row.ExpectedValue()), html.EscapeString(row.GotValue()), html.EscapeString(unit), html.EscapeString(off), html.EscapeString(allowed),
				html.EscapeString(source), row.Origin.Basis)
		}
		b.WriteString("</tbody>\n")
	}
	b.WriteString("</table></div>\n</section>\n")
}
