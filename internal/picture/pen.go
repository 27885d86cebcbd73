package picture

import (
	"strconv"

	"foilwright/internal/paint"
)

// Inks are the colours of a drawing.
type Inks struct {
	Paper paint.Color // ground
	Ink   paint.Color // outlines, figures
	Soft  paint.Color // secondary text and lines
	Faint paint.Color // rulings
	Metal paint.Color // fill of bare metal
	Film  paint.Color // fill of a coating
	Foil  paint.Color // fill of a foil
	Act   paint.Color // warm: you act here
	Truth paint.Color // cool: truth, explanation
	Bad   paint.Color // wrong, beside a sign that says so too

	Current paint.Color // eddy current, laid over metal
}

// Pen draws on a list with the inks and the text size of the day. Labels holds
// figures already written, so that a frame writes none twice.
type Pen struct {
	List   *paint.List
	Inks   Inks
	Size   float64 // of small lettering, logical pixels
	Labels *Labels

	// Working memory.
	spots  []paint.Point
	shades []paint.Shade
}

func (p *Pen) font() paint.Font   { return paint.Font{Face: paint.Regular, Size: p.Size} }
func (p *Pen) strong() paint.Font { return paint.Font{Face: paint.Medium, Size: p.Size} }

// line is the width of an outline that goes with the lettering.
func (p *Pen) line() float64 { return max(1, p.Size/10) }

// Labels keeps written figures.
type Labels struct {
	tenths map[int]string
	mm     map[int]string
	whole  map[int]string
}

// NewLabels returns an empty store of figures.
func NewLabels() *Labels {
	return &Labels{tenths: map[int]string{}, mm: map[int]string{}, whole: map[int]string{}}
}

// most is how many figures are kept before starting afresh.
const most = 4096

// Tenths writes x with one decimal.
func (l *Labels) Tenths(x float64) string {
	k := int(x*10 + 0.5)
	if x < 0 {
		k = int(x*10 - 0.5)
	}
	s, ok := l.tenths[k]
	if !ok {
		if len(l.tenths) > most {
			clear(l.tenths)
		}
		s = strconv.FormatFloat(float64(k)/10, 'f', 1, 64)
		l.tenths[k] = s
	}
	return s
}

// Millimetres writes x with one decimal and its unit.
func (l *Labels) Millimetres(x float64) string {
	k := int(x*10 + 0.5)
	s, ok := l.mm[k]
	if !ok {
		if len(l.mm) > most {
			clear(l.mm)
		}
		s = l.Tenths(x) + " mm"
		l.mm[k] = s
	}
	return s
}

// Whole writes a whole number.
func (l *Labels) Whole(k int) string {
	s, ok := l.whole[k]
	if !ok {
		if len(l.whole) > most {
			clear(l.whole)
		}
		s = strconv.Itoa(k)
		l.whole[k] = s
	}
	return s
}

// plate writes text at a baseline on a little paper of its own, so that it can
// be read over lines.
func (p *Pen) plate(x, y float64, text string, f paint.Font, c paint.Color) {
	w := f.Width(text)
	p.List.Rect(paint.R(x-2, y-f.CapHeight()-2, w+4, f.CapHeight()+5), p.Inks.Paper.Fade(0.82))
	p.List.Text(x, y, text, f, c)
}
