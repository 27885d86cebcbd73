package report

import (
	_ "embed" // for the style sheet
	"encoding/base64"
	"fmt"
	"html"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/gofont/goregular"
)

//go:embed report.css
var styleSheet string

// HTML writes the report as one file that needs no other and runs no script.
// It is well-formed XML too, and prints on A4.
func (p *Report) HTML(w io.Writer) error {
	var b strings.Builder
	for _, s := range p.sections() {
		b.WriteString("<section>\n")
		if s.title != "" {
			fmt.Fprintf(&b, "<h2>%s</h2>\n", text(s.title))
		}
		for _, x := range s.blocks {
			writeBlock(&b, x)
		}
		b.WriteString("</section>\n")
	}
	title := text(pageTitle + ": " + p.Header.Title)
	body := b.String()
	fonts, err := embeddedFonts(body + title + aidNote)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(w, `<!DOCTYPE html>
<html xmlns="http://www.w3.org/1999/xhtml" lang="en">
<head>
<meta charset="utf-8"/>
<meta name="viewport" content="width=device-width, initial-scale=1"/>
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; font-src data:"/>
<title>%s</title>
<style>
%s%s</style>
</head>
<body>
<main>
<header><h1>%s</h1><p>Foilwright bench</p></header>
%s<footer>%s.</footer>
</main>
</body>
</html>
`, title, fonts, styleSheet, text(pageTitle), body, text(aidNote))
	return err
}

// text makes a text fit for HTML that is well-formed XML as well.
func text(s string) string {
	return html.EscapeString(strings.Map(func(r rune) rune {
		if r == utf8.RuneError || unicode.In(r, unicode.C) {
			return -1
		}
		return r
	}, s))
}

// embeddedFonts are the Go fonts with the signs that a page uses.
func embeddedFonts(page string) (string, error) {
	var runes []rune
	seen := map[rune]bool{}
	for _, r := range page {
		if !seen[r] {
			seen[r] = true
			runes = append(runes, r)
		}
	}
	slices.Sort(runes)
	var b strings.Builder
	for _, f := range []struct {
		weight int
		data   []byte
	}{{400, goregular.TTF}, {500, gomedium.TTF}} {
		small, err := subset(f.data, runes)
		if err != nil {
			return "", err
		}
		fmt.Fprintf(&b, "@font-face{font-family:\"Report\";font-weight:%d;src:url(data:font/ttf;base64,%s)}\n",
			f.weight, base64.StdEncoding.EncodeToString(small))
	}
	return b.String(), nil
}

// class names a tone in the style sheet.
func (t tone) class() string {
	return [...]string{"", "soft", "good", "warn", "act", "bad", "truth"}[t]
}

func attribute(classes ...string) string {
	joined := strings.Join(strings.Fields(strings.Join(classes, " ")), " ")
	if joined == "" {
		return ""
	}
	return ` class="` + joined + `"`
}

func writeBlock(b *strings.Builder, x block) {
	switch x := x.(type) {
	case cells:
		for _, row := range x {
			b.WriteString(`<div class="cells">`)
			for _, c := range row {
				big := ""
				if c.big {
					big = "big"
				}
				fmt.Fprintf(b, `<div%s style="flex:%s 1 0"><small>%s</small><b>%s</b></div>`,
					attribute(big, c.tone.class()), units(c.share), text(c.caption), text(c.text))
			}
			b.WriteString("</div>\n")
		}
	case para:
		fmt.Fprintf(b, "<p%s>%s</p>\n", attribute(x.tone.class()), text(x.text))
	case table:
		writeTable(b, x)
	case item:
		fmt.Fprintf(b, `<article%s><h3>`, attribute(x.tone.class()))
		if x.sign != "" {
			fmt.Fprintf(b, `<i>%s</i>`, text(x.sign))
		}
		fmt.Fprintf(b, "<span>%s</span><b>%s</b></h3>\n", text(x.head), text(x.figure))
		for _, l := range x.lines {
			b.WriteString("<p>")
			if l.caption != "" {
				fmt.Fprintf(b, "<small>%s:</small> ", text(l.caption))
			}
			b.WriteString(text(l.text) + "</p>\n")
		}
		b.WriteString("</article>\n")
	case picture:
		fmt.Fprintf(b, "<figure>%s</figure>\n", x.drawing.svg())
	case signatures:
		b.WriteString(`<div class="sign">`)
		for _, name := range x {
			fmt.Fprintf(b, "<div>%s</div>", text(name))
		}
		b.WriteString("</div>\n")
	}
}

func writeTable(b *strings.Builder, t table) {
	sum := 0.0
	for _, c := range t.columns {
		sum += c.share
	}
	b.WriteString("<table><colgroup>")
	for _, c := range t.columns {
		fmt.Fprintf(b, `<col style="width:%s%%"/>`, units(100*c.share/sum))
	}
	b.WriteString("</colgroup>\n<thead><tr>")
	right := func(i int) string {
		if t.columns[i].right {
			return ` class="r"`
		}
		return ""
	}
	for i, c := range t.columns {
		fmt.Fprintf(b, "<th%s>%s</th>", right(i), text(c.title))
	}
	b.WriteString("</tr></thead>\n<tbody>\n")
	for k, row := range t.rows {
		if t.last && k == len(t.rows)-1 {
			b.WriteString(`<tr class="sum">`)
		} else {
			b.WriteString("<tr>")
		}
		for i, s := range row {
			fmt.Fprintf(b, "<td%s>%s</td>", right(i), text(s))
		}
		b.WriteString("</tr>\n")
	}
	b.WriteString("</tbody></table>\n")
}
