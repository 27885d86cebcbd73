package report

import (
	"fmt"
	"html"
	"strconv"
	"strings"

	"foilwright/internal/paint"
)

// svg writes a drawing as an SVG element that fills the width it is given.
func (d *drawing) svg() string {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="0 0 %s %s">`, units(d.w), units(d.h))
	fmt.Fprintf(&b, "<title>%s</title>\n", html.EscapeString(printable(d.name)))
	for i := range d.marks {
		d.marks[i].svg(&b)
		b.WriteByte('\n')
	}
	b.WriteString("</svg>")
	return b.String()
}

// units writes a coordinate to a hundredth.
func units(x float64) string {
	text := strconv.FormatFloat(x, 'f', 2, 64)
	text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	if text == "-0" {
		return "0"
	}
	return text
}

func hex(c paint.Color) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

func (m *mark) svg(b *strings.Builder) {
	p := m.points[0]
	switch m.kind {
	case markPolygon:
		b.WriteString(`<path d="M`)
		for i, q := range m.points {
			if i > 0 {
				b.WriteByte('L')
			}
			b.WriteString(units(q.X) + " " + units(q.Y))
		}
		b.WriteString(`Z"`)
	case markLine:
		q := m.points[1]
		fmt.Fprintf(b, `<path d="M%s %sL%s %s"`, units(p.X), units(p.Y), units(q.X), units(q.Y))
	case markCircle:
		fmt.Fprintf(b, `<circle cx="%s" cy="%s" r="%s"`, units(p.X), units(p.Y), units(m.radius))
	case markText:
		m.svgText(b)
		return
	}
	if m.fill.A == 0 || m.kind == markLine {
		b.WriteString(` fill="none"`)
	} else {
		fmt.Fprintf(b, ` fill="%s"`, hex(m.fill))
	}
	if m.stroke.A != 0 {
		fmt.Fprintf(b, ` stroke="%s" stroke-width="%s"`, hex(m.stroke), units(m.width))
	}
	if m.dash > 0 {
		fmt.Fprintf(b, ` stroke-dasharray="%s"`, units(m.dash))
	}
	if m.crisp {
		b.WriteString(` shape-rendering="crispEdges"`)
	}
	b.WriteString("/>")
}

func (m *mark) svgText(b *strings.Builder) {
	p := m.points[0]
	fmt.Fprintf(b, `<text x="%s" y="%s" font-size="%s" fill="%s"`, units(p.X), units(p.Y), units(m.size), hex(m.fill))
	if m.face != paint.Regular {
		b.WriteString(` font-weight="500"`)
	}
	switch m.anchor {
	case paint.Center:
		b.WriteString(` text-anchor="middle"`)
	case paint.Right:
		b.WriteString(` text-anchor="end"`)
	}
	fmt.Fprintf(b, ">%s</text>", html.EscapeString(m.text))
}
