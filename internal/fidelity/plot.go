package fidelity

import (
	"cmp"
	"fmt"
	"html"
	"math"
	"math/cmplx"
	"slices"
	"strconv"
	"strings"
)

// Size of a plot: two panels that share the abscissa.
const (
	plotWidth, plotHeight = 400.0, 300.0
	plotLeft, plotRight   = 50.0, 8.0
	curveTop, curveBottom = 8.0, 158.0
	errorTop, errorBottom = 182.0, 268.0
)

// scale maps values to a stretch of the page.
type scale struct{ low, high, from, to float64 }

func (s scale) at(v float64) float64 {
	if s.high == s.low {
		return (s.from + s.to) / 2
	}
	return s.from + (v-s.low)/(s.high-s.low)*(s.to-s.from)
}

// ticks returns about n round values within the scale.
func (s scale) ticks(n float64) []float64 {
	span := s.high - s.low
	if !(span > 0) {
		return []float64{s.low}
	}
	decade := math.Pow(10, math.Floor(math.Log10(span/n)))
	step := decade
	for _, m := range []float64{2, 5, 10} {
		if span/step > n {
			step = decade * m
		}
	}
	var list []float64
	for k := math.Ceil(s.low/step - 1e-9); k*step <= s.high+1e-9*span; k++ {
		list = append(list, k*step)
	}
	return list
}

// plot draws the reference and the computed curve over the table's abscissa, and the error below.
func (t *TableResult) plot() string {
	var groups []string
	points := map[string][]Row{}
	low, high, nearest, farthest, most := math.Inf(1), math.Inf(-1), 0.0, 0.0, t.Tolerance
	for _, r := range t.Rows {
		if r.Verdict == NotComputed || math.IsInf(r.X, 0) {
			continue
		}
		if points[r.Group] == nil {
			groups = append(groups, r.Group)
		}
		points[r.Group] = append(points[r.Group], r)
		low, high = min(low, height(r.Expected), height(r.Got)), max(high, height(r.Expected), height(r.Got))
		nearest, farthest, most = min(nearest, r.X), max(farthest, r.X), max(most, r.Error)
	}
	if len(groups) == 0 {
		return `<p class="soft">Only flat rows, nothing to plot.</p>`
	}
	if low > 0.3*high {
		low -= 0.05 * (high - low)
	} else {
		low = min(low, 0)
	}
	x := scale{nearest, farthest, plotLeft, plotWidth - plotRight}
	y := scale{low, high + 0.03*(high-low), curveBottom, curveTop}
	e := scale{-1.15 * most, 1.15 * most, errorBottom, errorTop}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg viewBox="0 0 %g %g" role="img"><title>%s: %s</title>`, plotWidth, plotHeight, html.EscapeString(t.Name), t.Verdict)
	fmt.Fprintf(&b, `<rect class="band" x="%g" y="%.1f" width="%g" height="%.1f"/>`, plotLeft, e.at(t.Tolerance), plotWidth-plotRight-plotLeft, e.at(-t.Tolerance)-e.at(t.Tolerance))
	for _, v := range y.ticks(4) {
		fmt.Fprintf(&b, `<path class="grid" d="M%g %.1fH%g"/><text x="%g" y="%.1f" text-anchor="end">%s</text>`, plotLeft, y.at(v), plotWidth-plotRight, plotLeft-5, y.at(v)+4, tick(v))
	}
	for _, v := range x.ticks(6) {
		fmt.Fprintf(&b, `<path class="grid" d="M%.1f %gV%gM%.1f %gV%g"/><text x="%.1f" y="%g" text-anchor="middle">%s</text>`,
			x.at(v), curveTop, curveBottom, x.at(v), errorTop, errorBottom, x.at(v), errorBottom+14, tick(v))
	}
	for _, v := range []float64{-t.Tolerance, 0, t.Tolerance} {
		class := "limit"
		if v == 0 {
			class = "axis"
		}
		fmt.Fprintf(&b, `<path class="%s" d="M%g %.1fH%g"/>`, class, plotLeft, e.at(v), plotWidth-plotRight)
		fmt.Fprintf(&b, `<text x="%g" y="%.1f" text-anchor="end">%s</text>`, plotLeft-5, e.at(v)+4, t.errorTick(v))
	}
	fmt.Fprintf(&b, `<path class="axis" d="M%g %gV%gH%g"/>`, plotLeft, curveTop, curveBottom, plotWidth-plotRight)
	fmt.Fprintf(&b, `<text x="%g" y="%g" text-anchor="end">%s</text>`, plotWidth-plotRight, plotHeight-3, t.abscissa())
	fmt.Fprintf(&b, `<text x="%g" y="%g">error; above: %s</text>`, plotLeft, errorTop-7, t.ordinate())
	for i, g := range groups {
		rows := points[g]
		slices.SortStableFunc(rows, func(p, q Row) int { return cmp.Compare(p.X, q.X) })
		fmt.Fprintf(&b, `<g class="c%d"><path class="curve" d="`, i%6)
		for k, r := range rows {
			fmt.Fprintf(&b, "%c%.1f %.1f", "ML"[min(k, 1)], x.at(r.X), y.at(height(r.Got)))
		}
		b.WriteString(`"/>`)
		for _, r := range rows {
			signed := math.Copysign(r.Error, height(r.Got)-height(r.Expected))
			fmt.Fprintf(&b, `<circle class="dot" cx="%.1f" cy="%.1f" r="2.6"/><circle class="res" cx="%.1f" cy="%.1f" r="2"/>`, x.at(r.X), y.at(height(r.Expected)), x.at(r.X), e.at(signed))
			if r.Verdict != Pass {
				fmt.Fprintf(&b, `<circle class="over" cx="%.1f" cy="%.1f" r="4.5"/>`, x.at(r.X), e.at(signed))
			}
		}
		b.WriteString("</g>")
	}
	b.WriteString("</svg>\n")
	if len(groups) > 1 && len(groups) <= 6 {
		b.WriteString(`<div class="key">`)
		for i, g := range groups {
			fmt.Fprintf(&b, `<span class="c%d"><i></i>%s</span>`, i, html.EscapeString(g))
		}
		b.WriteString("</div>")
	} else if len(groups) > 6 {
		fmt.Fprintf(&b, `<div class="key">%d curves, from %s to %s</div>`, len(groups), html.EscapeString(groups[0]), html.EscapeString(groups[len(groups)-1]))
	}
	return b.String()
}

// abscissa names what a table's curves run over.
func (t *TableResult) abscissa() string {
	switch t.Kind {
	case Wedge, Edge3D, EddyEdge:
		return "distance from the edge, mm"
	case Solid3D, Lack:
		if strings.Contains(t.Rows[0].Inputs, "radius_mm") {
			return "radius, mm"
		}
		return "distance, mm"
	}
	return "lift-off, mm"
}

func (t *TableResult) ordinate() string {
	if t.Kind == Lack {
		return "signal lacking × permeability"
	}
	switch t.Rows[0].Unit {
	case "of flat":
		return "size of the signal, share of flat"
	case "ohm":
		return "size of the impedance change, ohm"
	}
	return "signal, ratio to flat"
}

func tick(v float64) string {
	if v == 0 {
		return "0" // not the -0 of a rounded count
	}
	return strconv.FormatFloat(v, 'g', 3, 64)
}

// height is what a plot shows of a value: the size of a complex one, a real one with its sign.
func height(z complex128) float64 {
	if imag(z) == 0 {
		return real(z)
	}
	return cmplx.Abs(z)
}

// errorTick labels the axis of errors, in the measure of errorText.
func (t *TableResult) errorTick(v float64) string {
	switch {
	case v == 0:
		return "0"
	case t.Kind == Lack:
		return fmt.Sprintf("%+.2g", v)
	}
	return fmt.Sprintf("%+.2g %%", 100*v)
}
