package report

import (
	"math"

	"codeberg.org/go-pdf/fpdf"

	"foilwright/internal/paint"
)

// drawingScale is how many points a unit of a drawing takes.
const drawingScale = textW / columnUnits

// ink and tint of a tone.
func (t tone) colors() (ink, tint paint.Color) {
	switch t {
	case softTone:
		return light.InkSoft, white
	case goodTone:
		return light.Good, light.GoodTint
	case warnTone:
		return light.Warn, light.WarnTint
	case actTone:
		return light.Act, light.ActTint
	case badTone:
		return light.Bad, light.BadTint
	case truthTone:
		return light.Truth, light.TruthTint
	}
	return light.Ink, white
}

func cellFont(c cell) paint.Font {
	if c.big {
		return bigFont
	}
	return bodyFont
}

const cellPad = 5.0

// cellWidths shares the width of the text out.
func cellWidths(row []cell) []float64 {
	sum := 0.0
	for _, c := range row {
		sum += c.share
	}
	var list []float64
	for _, c := range row {
		list = append(list, textW*c.share/sum)
	}
	return list
}

func rowHeight(row []cell) float64 {
	h := 0.0
	for i, w := range cellWidths(row) {
		f := cellFont(row[i])
		caption := float64(len(wrap(row[i].caption, captionFont, w-2*cellPad))) * captionFont.LineHeight()
		h = math.Max(h, caption+float64(len(wrap(row[i].text, f, w-2*cellPad)))*f.LineHeight())
	}
	return h + 6
}

func cellsHeight(rows cells) float64 {
	h := 6.0
	for _, row := range rows {
		h += rowHeight(row)
	}
	return h
}

func (s *setter) cells(rows cells) {
	for _, row := range rows {
		x, h := marginX, rowHeight(row)
		for i, w := range cellWidths(row) {
			c := row[i]
			ink, tint := c.tone.colors()
			if c.tone != plainTone {
				s.fill(x, s.y, w, h, tint)
			}
			if i > 0 {
				s.line(x, s.y, x, s.y+h, 0.5, light.Line)
			}
			y := s.y + 2 + s.block(x+cellPad, s.y+2, w-2*cellPad, c.caption, captionFont, light.InkSoft)
			s.block(x+cellPad, y, w-2*cellPad, c.text, cellFont(c), ink)
			x += w
		}
		s.frame(marginX, s.y, textW, h, 0.8, light.Ink)
		s.y += h
	}
	s.y += 6
}

func (p *para) font() paint.Font {
	if p.tone == softTone {
		return noteFont
	}
	return bodyFont
}

func (s *setter) para(p para) {
	f := p.font()
	ink, _ := p.tone.colors()
	for _, l := range wrap(p.text, f, textW) {
		s.room(f.LineHeight())
		s.write(marginX, s.y+f.Size, l, f, ink, paint.Left)
		s.y += f.LineHeight()
	}
	s.y += 4
}

const tablePad = 3.5

func (t *table) widths() []float64 {
	sum := 0.0
	for _, c := range t.columns {
		sum += c.share
	}
	var list []float64
	for _, c := range t.columns {
		list = append(list, textW*c.share/sum)
	}
	return list
}

func (s *setter) table(t table) {
	head := t.head()
	s.tableRow(&t, head, tableHead, 0.8, light.Ink)
	for k, row := range t.rows {
		f, width, c := tableFont, 0.4, light.Line
		if t.last && k == len(t.rows)-1 {
			f, width, c = paint.Font{Face: paint.Medium, Size: tableFont.Size}, 0.8, light.Ink
			s.line(marginX, s.y, marginX+textW, s.y, width, c)
		}
		if s.y+t.height(row, f) > pageBottom {
			s.page()
			s.tableRow(&t, head, tableHead, 0.8, light.Ink)
		}
		s.tableRow(&t, row, f, width, c)
	}
	s.y += 7
}

func (t *table) height(row []string, f paint.Font) float64 {
	lines := 1
	for i, w := range t.widths() {
		lines = max(lines, len(wrap(row[i], f, w-2*tablePad)))
	}
	return float64(lines)*f.LineHeight() + 4
}

func (t *table) head() []string {
	head := make([]string, len(t.columns))
	for i, c := range t.columns {
		head[i] = c.title
	}
	return head
}

// whole is the height of all of the table.
func (t *table) whole() float64 {
	h := t.height(t.head(), tableHead)
	for _, row := range t.rows {
		h += t.height(row, tableFont)
	}
	return h
}

func (s *setter) tableRow(t *table, row []string, f paint.Font, width float64, c paint.Color) {
	x, h := marginX, t.height(row, f)
	for i, w := range t.widths() {
		for k, l := range wrap(row[i], f, w-2*tablePad) {
			y := s.y + 2 + f.Size + float64(k)*f.LineHeight()
			if t.columns[i].right {
				s.write(x+w-tablePad, y, l, f, light.Ink, paint.Right)
			} else {
				s.write(x+tablePad, y, l, f, light.Ink, paint.Left)
			}
		}
		x += w
	}
	s.y += h
	s.line(marginX, s.y, marginX+textW, s.y, width, c)
}

const (
	itemIndent = 11.0
	signWidth  = 20.0
)

func (l line) whole() string {
	if l.caption == "" {
		return l.text
	}
	return l.caption + ": " + l.text
}

func itemHeight(it item) float64 {
	h := itemFont.LineHeight() + 8
	for _, l := range it.lines {
		h += float64(len(wrap(l.whole(), bodyFont, textW-2*itemIndent))) * bodyFont.LineHeight()
	}
	return h + 6
}

func (s *setter) item(it item) {
	ink, _ := it.tone.colors()
	top, h := s.y, itemHeight(it)-6
	x := marginX + itemIndent
	if it.sign != "" {
		s.f.SetDrawColor(int(ink.R), int(ink.G), int(ink.B))
		s.f.SetLineWidth(1)
		s.f.Circle(x+6.5, s.y+10.5, 6.5, "D")
		s.write(x+6.5, s.y+13.4, it.sign, paint.Font{Face: paint.Medium, Size: 8}, ink, paint.Center)
		x += signWidth
	}
	s.write(x, s.y+14, clip(it.head, itemFont, textW-itemIndent-(x-marginX)-itemFont.Width(it.figure)-10), itemFont, light.Ink, paint.Left)
	s.write(marginX+textW-itemIndent, s.y+14, it.figure, itemFont, ink, paint.Right)
	s.y += itemFont.LineHeight() + 5
	for _, l := range it.lines {
		for i, text := range wrap(l.whole(), bodyFont, textW-2*itemIndent) {
			at := marginX + itemIndent
			if n := len(l.caption) + 1; i == 0 && l.caption != "" && len(text) > n {
				s.write(at, s.y+bodyFont.Size, text[:n], bodyFont, light.InkSoft, paint.Left)
				at, text = at+bodyFont.Width(text[:n]), text[n:]
			}
			s.write(at, s.y+bodyFont.Size, text, bodyFont, light.Ink, paint.Left)
			s.y += bodyFont.LineHeight()
		}
	}
	s.frame(marginX, top, textW, h, 0.5, light.Edge)
	s.fill(marginX, top, 3.5, h, ink)
	s.y = top + h + 6
}

func (s *setter) sign(names signatures) {
	const gap = 20.0
	w := (textW - gap*float64(len(names)-1)) / float64(len(names))
	s.y += 44
	for i, name := range names {
		x := marginX + float64(i)*(w+gap)
		s.line(x, s.y, x+w, s.y, 0.8, light.Ink)
		s.write(x, s.y+10, name, captionFont, light.InkSoft, paint.Left)
	}
	s.y += 16
}

// drawing puts a drawing across the text.
func (s *setter) drawing(d *drawing) {
	top := s.y
	x := func(v float64) float64 { return marginX + v*drawingScale }
	y := func(v float64) float64 { return top + v*drawingScale }
	for i := range d.marks {
		m := &d.marks[i]
		p := m.points[0]
		if m.kind == markText {
			s.write(x(p.X), y(p.Y), m.text, paint.Font{Face: m.face, Size: m.size * drawingScale}, m.fill, m.anchor)
			continue
		}
		style := ""
		if m.fill.A != 0 && m.kind != markLine {
			s.f.SetFillColor(int(m.fill.R), int(m.fill.G), int(m.fill.B))
			style = "F"
		}
		if m.stroke.A != 0 {
			s.f.SetDrawColor(int(m.stroke.R), int(m.stroke.G), int(m.stroke.B))
			s.f.SetLineWidth(m.width * drawingScale)
			style += "D"
		}
		if m.dash > 0 {
			s.f.SetDashPattern([]float64{m.dash * drawingScale, m.dash * drawingScale}, 0)
		}
		switch m.kind {
		case markLine:
			s.f.Line(x(p.X), y(p.Y), x(m.points[1].X), y(m.points[1].Y))
		case markCircle:
			s.f.Circle(x(p.X), y(p.Y), m.radius*drawingScale, style)
		case markPolygon:
			s.polygon(m, x, y, style)
		}
		if m.dash > 0 {
			s.f.SetDashPattern(nil, 0)
		}
	}
	s.y += d.h*drawingScale + 4
}

func (s *setter) polygon(m *mark, x, y func(float64) float64, style string) {
	if m.crisp {
		// A little over the neighbours, or readers show seams between cells.
		const over = 0.25
		a, c := m.points[0], m.points[2]
		s.f.Rect(x(a.X), y(a.Y), (c.X-a.X)*drawingScale+over, (c.Y-a.Y)*drawingScale+over, style)
		return
	}
	var points []fpdf.PointType
	for _, p := range m.points {
		points = append(points, fpdf.PointType{X: x(p.X), Y: y(p.Y)})
	}
	s.f.Polygon(points, style)
}
