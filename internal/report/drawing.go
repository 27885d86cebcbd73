package report

import (
	"math"

	"foilwright/internal/paint"
)

// drawing is a vector picture in units of 1/680 of the width of the text
// column, y down. HTML takes it as SVG, PDF as its own lines.
type drawing struct {
	name  string // what it shows, for those who cannot see it
	w, h  float64
	marks []mark
}

// columnUnits is the width of the text column.
const columnUnits = 680

type markKind uint8

const (
	markPolygon markKind = iota
	markLine
	markCircle
	markText
)

// mark is one stroke, area or word. Colours with no opacity are not drawn.
type mark struct {
	kind         markKind
	points       []paint.Point
	radius       float64
	fill, stroke paint.Color
	width        float64
	dash         float64 // length of a dash and of the gap; 0: solid
	crisp        bool    // no soft edges: cells that touch
	text         string
	size         float64
	face         paint.Face
	anchor       paint.Align
}

// add takes a mark, unless it has no place: what is not known is not drawn.
func (d *drawing) add(m mark) {
	for _, p := range m.points {
		if !Number(p.X).known() || !Number(p.Y).known() {
			return
		}
	}
	d.marks = append(d.marks, m)
}

func (d *drawing) polygon(fill, stroke paint.Color, width float64, points ...paint.Point) {
	d.add(mark{kind: markPolygon, points: points, fill: fill, stroke: stroke, width: width})
}

func box(x, y, w, h float64) []paint.Point {
	return []paint.Point{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}
}

func (d *drawing) rect(x, y, w, h float64, fill paint.Color) {
	d.polygon(fill, paint.Color{}, 0, box(x, y, w, h)...)
}

func (d *drawing) cell(x, y, w, h float64, fill paint.Color) {
	d.add(mark{kind: markPolygon, points: box(x, y, w, h), fill: fill, crisp: true})
}

func (d *drawing) frame(x, y, w, h, width float64, c paint.Color) {
	d.polygon(paint.Color{}, c, width, box(x, y, w, h)...)
}

func (d *drawing) line(x0, y0, x1, y1, width float64, c paint.Color) {
	d.add(mark{kind: markLine, points: []paint.Point{{X: x0, Y: y0}, {X: x1, Y: y1}}, stroke: c, width: width})
}

func (d *drawing) dashed(x0, y0, x1, y1, width, dash float64, c paint.Color) {
	d.add(mark{kind: markLine, points: []paint.Point{{X: x0, Y: y0}, {X: x1, Y: y1}}, stroke: c, width: width, dash: dash})
}

func (d *drawing) circle(x, y, radius float64, fill, stroke paint.Color, width float64) {
	d.add(mark{kind: markCircle, points: []paint.Point{{X: x, Y: y}}, radius: radius, fill: fill, stroke: stroke, width: width})
}

// write writes a line of text with its baseline at y.
func (d *drawing) write(x, y float64, text string, f paint.Font, c paint.Color, a paint.Align) {
	d.add(mark{
		kind: markText, points: []paint.Point{{X: x, Y: y}}, text: printable(text), size: f.Size, face: f.Face, fill: c, anchor: a,
	})
}

// hatch fills a box with lines at 45 degrees, rising to the right or falling.
func (d *drawing) hatch(x, y, w, h, step float64, rising bool, c paint.Color) {
	for s := step / 2; s < w+h; s += step {
		// Across the box from the left or upper side to the lower or right one.
		x0, y0 := math.Min(s, w), math.Max(s-w, 0)
		x1, y1 := math.Max(s-h, 0), math.Min(s, h)
		if !rising {
			x0, x1 = w-x0, w-x1
		}
		d.line(x+x0, y+y0, x+x1, y+y1, 0.8, c)
	}
}

// clip shortens text to a width, with an ellipsis.
func clip(text string, f paint.Font, w float64) string {
	text = printable(text)
	if f.Width(text) <= w {
		return text
	}
	return text[:f.Fit(text, math.Max(0, w-f.Width("…")))] + "…"
}

// The inks of a report: those of the bench in its light look, on white.
var (
	white = paint.RGB(0xFFFFFF)
	light = paint.Light()
)

// Lettering of drawings.
var (
	small  = paint.Font{Face: paint.Regular, Size: 10.5}
	strong = paint.Font{Face: paint.Medium, Size: 10.5}
	tiny   = paint.Font{Face: paint.Regular, Size: 9}
)

// decimalsOf is how many decimals the marks of a scale need.
func decimalsOf(step float64) int {
	d := 0
	for ; d < 4 && math.Abs(step-math.Round(step)) > 1e-9*step; d++ {
		step *= 10
	}
	return d
}
