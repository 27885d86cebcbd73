package report

import (
	"fmt"
	"math"
	"slices"

	"foilwright/internal/paint"
	drawn "foilwright/internal/picture"
)

// drawTimeline draws the steps in lanes over time, a tick for each reading and
// a numbered flag for each finding.
func (p *Report) drawTimeline() *drawing {
	const left, right, top, laneH = 74.0, 12.0, 34.0, 24.0
	d := &drawing{name: "Time line of the attempt", w: columnUnits, h: top + laneH*float64(len(lanes)) + 26}
	end := math.Max(float64(p.Header.LastedMs), 1000)
	step := timeStep(end)
	plotW := columnUnits - left - right
	x := func(ms int64) float64 { return left + float64(ms)/end*plotW }
	bottom := top + laneH*float64(len(lanes))
	for t := 0.0; t <= end; t += step {
		d.line(x(int64(t)), top, x(int64(t)), bottom+4, 0.5, light.Line)
		d.write(x(int64(t)), bottom+15, clock(int64(t)), tiny, light.InkSoft, paint.Center)
	}
	d.write(left-20, bottom+15, "min:s", tiny, light.InkSoft, paint.Right)
	y := map[string]float64{}
	for i, lane := range lanes {
		y[lane] = top + laneH*float64(i)
		d.line(left, y[lane], columnUnits-right, y[lane], 0.5, light.Line)
		d.write(left-8, y[lane]+laneH/2+3.5, lane, small, light.Ink, paint.Right)
	}
	d.frame(left, top, plotW, bottom-top, 1, light.Ink)
	for _, m := range p.Timeline {
		p.drawMoment(d, m, x(m.From), x(m.To), y[m.Lane], laneH, x)
	}
	p.drawFlags(d, x, top, bottom)
	return d
}

// drawMoment draws a step: a bar when it took time, a mark when it did not.
func (p *Report) drawMoment(d *drawing, m Moment, x0, x1, y, h float64, x func(int64) float64) {
	if m.Refused {
		s := 3.5
		c := paint.Point{X: x0, Y: y + h/2}
		d.line(c.X-s, c.Y-s, c.X+s, c.Y+s, 1.4, light.Bad)
		d.line(c.X-s, c.Y+s, c.X+s, c.Y-s, 1.4, light.Bad)
		return
	}
	if m.To == m.From {
		c := paint.Point{X: x0, Y: y + h/2}
		d.polygon(light.Ink, paint.Color{}, 0, paint.Point{X: c.X, Y: c.Y - 4.5}, paint.Point{X: c.X + 4.5, Y: c.Y},
			paint.Point{X: c.X, Y: c.Y + 4.5}, paint.Point{X: c.X - 4.5, Y: c.Y})
		return
	}
	d.polygon(light.TruthTint, light.Truth, 0.8, box(x0, y+4, math.Max(x1-x0, 2), h-8)...)
	for _, t := range m.Readings {
		d.line(x(t), y+4, x(t), y+h-4, 0.8, light.Truth)
	}
}

// drawFlags draws a numbered flag above the lanes at the first entry of each
// finding, moved aside where flags would lie on each other.
func (p *Report) drawFlags(d *drawing, x func(int64) float64, top, bottom float64) {
	const radius = 8.0
	var taken []float64
	for _, f := range p.Findings {
		if len(f.Evidence) == 0 {
			continue
		}
		at := x(f.Evidence[0].At)
		spot := freePlace(at, taken, 2*radius+2, radius+1, columnUnits-radius-1)
		taken = append(taken, spot)
		c := severityColor(f.Severity)
		d.line(spot, 12+radius, at, top, 0.8, c)
		d.dashed(at, top, at, bottom, 0.8, 3, c)
		d.circle(spot, 12, radius, white, c, 1.4)
		d.write(spot, 15.5, fmt.Sprint(f.N), strong, c, paint.Center)
	}
}

// freePlace is the place nearest to at, between low and high, that is apart
// from those taken; at itself where all is taken.
func freePlace(at float64, taken []float64, apart, low, high float64) float64 {
	at = math.Min(math.Max(at, low), high)
	free := func(p float64) bool {
		for _, t := range taken {
			if math.Abs(t-p) < apart-1e-9 {
				return false
			}
		}
		return p >= low && p <= high
	}
	best, found := at, false
	consider := func(p float64) {
		if free(p) && (!found || math.Abs(p-at) < math.Abs(best-at)) {
			best, found = p, true
		}
	}
	consider(at)
	for _, t := range taken {
		consider(t + apart)
		consider(t - apart)
	}
	return best
}

func severityColor(severity string) paint.Color {
	switch severity {
	case "critical":
		return light.Bad
	case "major":
		return light.Act
	}
	return light.Warn
}

// timeStep is a round step of time for about eight marks.
func timeStep(endMs float64) float64 {
	for _, s := range []float64{1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800} {
		if endMs/(s*1000) <= 9 {
			return s * 1000
		}
	}
	return math.Ceil(endMs/9/3.6e6) * 3.6e6
}

// clock writes a time as minutes and seconds.
func clock(ms int64) string { return fmt.Sprintf("%d:%02d", ms/60000, ms/1000%60) }

// step is one row of the waterfall.
type step struct {
	label string
	um    float64
}

// steps are the shares worth a row of their own, the rest together.
func (p *Report) steps() []step {
	least := 0.5 * float64(p.Job.Resolution)
	rest, n := float64(p.Breakdown.Remainder), 0
	var list []step
	for _, s := range p.Breakdown.Shares {
		if math.Abs(float64(s.Um)) < least || len(list) == 12 {
			rest += float64(s.Um)
			n++
			continue
		}
		list = append(list, step{s.Name, float64(s.Um)})
	}
	switch {
	case n > 0:
		list = append(list, step{count(n, "smaller cause") + " together", rest})
	case math.Abs(rest) >= 1e-9:
		list = append(list, step{"Left over", rest})
	}
	return list
}

// drawWaterfall draws how the causes add up to the error of the mean.
func (p *Report) drawWaterfall() *drawing {
	const labelW, valueW, rowH, top = 190.0, 66.0, 24.0, 20.0
	steps := p.steps()
	d := &drawing{name: "The error of the mean, cause by cause", w: columnUnits, h: top + rowH*float64(len(steps)+1) + 6}
	low, high, sum := 0.0, 0.0, 0.0
	for _, s := range steps {
		sum += s.um
		low, high = math.Min(low, sum), math.Max(high, sum)
	}
	span := math.Max(high-low, 1e-9)
	x := func(um float64) float64 { return labelW + (um-low)/span*(columnUnits-labelW-valueW-16) }
	bottom := top + rowH*float64(len(steps)+1)
	grid := drawn.NiceStep(span / 5)
	for k := math.Ceil(low/grid - 1e-9); k <= math.Floor(high/grid+1e-9); k++ {
		d.line(x(k*grid), top, x(k*grid), bottom, 0.5, light.Line)
		d.write(x(k*grid), top-6, Number(k*grid).signed(decimalsOf(grid)), tiny, light.InkSoft, paint.Center)
	}
	d.write(columnUnits, top-6, "µm", tiny, light.InkSoft, paint.Right)
	sum = 0
	for i, s := range steps {
		y := top + rowH*float64(i)
		d.write(0, y+rowH/2+3.5, clip(s.label, small, labelW-10), small, light.Ink, paint.Left)
		x0, x1 := x(math.Min(sum, sum+s.um)), x(math.Max(sum, sum+s.um))
		tint, edge := light.ActTint, light.Act
		d.rect(x0, y+5, math.Max(x1-x0, 1), rowH-10, tint)
		d.hatch(x0, y+5, x1-x0, rowH-10, 6, s.um > 0, edge)
		d.frame(x0, y+5, math.Max(x1-x0, 1), rowH-10, 0.9, edge)
		sum += s.um
		d.line(x(sum), y+5, x(sum), y+rowH+5, 0.8, light.Edge)
		d.write(columnUnits, y+rowH/2+3.5, Number(s.um).signed(2), small, light.Ink, paint.Right)
	}
	y := top + rowH*float64(len(steps))
	d.line(0, y, columnUnits, y, 0.9, light.Ink)
	d.write(0, y+rowH/2+3.5, "Error of the mean: reported less true", strong, light.Ink, paint.Left)
	x0, x1 := x(math.Min(sum, 0)), x(math.Max(sum, 0))
	d.rect(x0, y+6, math.Max(x1-x0, 1), rowH-12, light.Truth)
	d.write(columnUnits, y+rowH/2+3.5, Number(sum).signed(2), strong, light.Ink, paint.Right)
	d.line(x(0), top, x(0), bottom, 1, light.Ink)
	return d
}

// drawSpots draws the part with its true film and the readings on it.
func (p *Report) drawSpots() *drawing {
	w, h := float64(p.Part.Width), float64(p.Part.Height)
	const left, right, top, under, most = 46.0, 40.0, 12.0, 80.0, 330.0
	scale := math.Min((columnUnits-left-right)/w, most/h)
	d := &drawing{name: "Where the readings were taken, and the true film", w: columnUnits, h: top + h*scale + under}
	x0 := left + (columnUnits-left-right-w*scale)/2
	at := func(x, y float64) paint.Point { return paint.Point{X: x0 + x*scale, Y: top + (h-y)*scale} }
	low, high := p.filmSpan()
	p.drawFilm(d, x0, top, w*scale, h*scale, low, high)
	drawRulers(d, at, w, h, scale)
	a := p.Part.Area
	corners := []paint.Point{
		at(float64(a[0]), float64(a[1])), at(float64(a[0]+a[2]), float64(a[1])),
		at(float64(a[0]+a[2]), float64(a[1]+a[3])), at(float64(a[0]), float64(a[1]+a[3])),
	}
	for i := range corners {
		n := corners[(i+1)%len(corners)]
		d.dashed(corners[i].X, corners[i].Y, n.X, n.Y, 1, 6, light.Ink)
	}
	d.frame(x0, top, w*scale, h*scale, 1.5, light.Ink)
	p.drawMarks(d, at, paint.Rect{X: x0, Y: top, W: w * scale, H: h * scale})
	drawFilmKey(d, math.Min(x0, columnUnits-500), top+h*scale+44, low, high)
	return d
}

// mostLabels is how many spots have room for their mean errors.
const mostLabels = 12

// drawMarks draws a cross for each reading of the part, and beside each spot
// its number and mean error.
func (p *Report) drawMarks(d *drawing, at func(x, y float64) paint.Point, piece paint.Rect) {
	type tally struct {
		x, y, top, sum float64
		n              int
	}
	spots := map[int]*tally{}
	var order []int
	for i := range p.Readings {
		q := &p.Readings[i]
		if q.Mode != LaneMeasure || !q.OnThePart {
			continue
		}
		c := at(float64(q.X), float64(q.Y))
		drawCross(d, c, q.Kept)
		if !q.Kept {
			continue
		}
		t := spots[q.Spot]
		if t == nil {
			t = &tally{top: c.Y}
			spots[q.Spot] = t
			order = append(order, q.Spot)
		}
		t.x, t.y, t.sum, t.n, t.top = t.x+c.X, t.y+c.Y, t.sum+float64(q.Error), t.n+1, math.Min(t.top, c.Y)
	}
	var written []paint.Rect
	for _, n := range order {
		t := spots[n]
		text := fmt.Sprintf("%d: %s µm", n, Number(t.sum/float64(t.n)).signed(1))
		if len(order) > mostLabels {
			text = fmt.Sprint(n)
		}
		w := strong.Width(text)
		x := t.x/float64(t.n) - w/2
		if w+8 < piece.W {
			x = math.Min(math.Max(x, piece.X+4), piece.Right()-w-4)
		}
		y := t.top - 9
		if y-10 < piece.Y {
			y = t.y/float64(t.n) + 20
		}
		plate := paint.R(x-3, y-10, w+6, 13.5)
		if slices.ContainsFunc(written, func(r paint.Rect) bool { return !r.Intersect(plate).Empty() }) {
			continue // the table of spots has it
		}
		written = append(written, plate)
		d.rect(plate.X, plate.Y, plate.W, plate.H, white)
		d.write(x, y, text, strong, light.Ink, paint.Left)
	}
}

func (p *Report) filmSpan() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, row := range p.Part.Film {
		for _, um := range row {
			low, high = math.Min(low, float64(um)), math.Max(high, float64(um))
		}
	}
	return low, high
}

// shades is how many steps the scale of the film has.
const shades = 12

func shade(k int) paint.Color {
	return white.Mix(light.Truth, 0.08+0.55*float64(k)/(shades-1))
}

// drawFilm fills the piece with its film, neighbours of one shade in one box.
func (p *Report) drawFilm(d *drawing, x0, y0, w, h, low, high float64) {
	rows := len(p.Part.Film)
	step := func(um Number) int {
		if !(high > low) {
			return 0
		}
		return min(shades-1, max(0, int(float64(shades)*(float64(um)-low)/(high-low))))
	}
	for j, row := range p.Part.Film {
		y := y0 + h*float64(rows-1-j)/float64(rows)
		from := 0
		for i := 1; i <= len(row); i++ {
			if i < len(row) && step(row[i]) == step(row[from]) {
				continue
			}
			x, to := x0+w*float64(from)/float64(len(row)), x0+w*float64(i)/float64(len(row))
			d.cell(x, y, to-x, h/float64(rows), shade(step(row[from])))
			from = i
		}
	}
}

func drawFilmKey(d *drawing, x, y, low, high float64) {
	const w, h = 160.0, 9.0
	left := x
	d.write(x, y+8, Number(low).fixed(1), small, light.Ink, paint.Left)
	x += small.Width(Number(low).fixed(1)) + 6
	for k := range shades {
		d.cell(x+w*float64(k)/shades, y, w/shades, h, shade(k))
	}
	d.frame(x, y, w, h, 0.7, light.Edge)
	text := Number(high).fixed(1) + " µm true film"
	d.write(x+w+6, y+8, text, small, light.Ink, paint.Left)
	x += w + 6 + small.Width(text) + 22
	drawCross(d, paint.Point{X: x, Y: y + 4.5}, true)
	d.write(x+10, y+8, "reading", small, light.Ink, paint.Left)
	x += 10 + small.Width("reading") + 26
	drawCross(d, paint.Point{X: x, Y: y + 4.5}, false)
	d.write(x+12, y+8, "not in the result", small, light.Ink, paint.Left)
	d.write(left, y+24, "Beside each spot: its number and mean error. Dashed: the area to be measured.", small, light.InkSoft, paint.Left)
}

// drawCross marks where a reading was taken, struck through when it is not in
// the result.
func drawCross(d *drawing, c paint.Point, kept bool) {
	const s = 3.6
	ink := light.Ink
	if !kept {
		ink = light.InkOff
		d.line(c.X-2*s, c.Y, c.X+2*s, c.Y, 1.2, ink)
	}
	d.line(c.X-s, c.Y-s, c.X+s, c.Y+s, 1.2, ink)
	d.line(c.X-s, c.Y+s, c.X+s, c.Y-s, 1.2, ink)
}

// drawRulers draws millimetre scales below and left of the piece.
func drawRulers(d *drawing, at func(x, y float64) paint.Point, w, h, scale float64) {
	step := drawn.NiceStep(40 / scale)
	for v := 0.0; v <= w+1e-9; v += step {
		p := at(v, 0)
		d.line(p.X, p.Y+4, p.X, p.Y+9, 0.7, light.InkSoft)
		d.write(p.X, p.Y+19, Number(v).short(), tiny, light.InkSoft, paint.Center)
	}
	a, b := at(0, 0), at(w, 0)
	d.line(a.X, a.Y+4, b.X, b.Y+4, 0.7, light.InkSoft)
	d.write(b.X+10, b.Y+19, "mm", tiny, light.InkSoft, paint.Left)
	for v := 0.0; v <= h+1e-9; v += step {
		p := at(0, v)
		d.line(p.X-9, p.Y, p.X-4, p.Y, 0.7, light.InkSoft)
		d.write(p.X-12, p.Y+3, Number(v).short(), tiny, light.InkSoft, paint.Right)
	}
	c := at(0, h)
	d.line(a.X-4, a.Y, c.X-4, c.Y, 0.7, light.InkSoft)
}

// drawReadings draws the readings of the part in their order, each with the
// truth beneath it, and the minimum the job asks for; nil without readings.
func (p *Report) drawReadings() *drawing {
	const left, right, top, plotH = 46.0, 8.0, 10.0, 170.0
	d := &drawing{name: "Readings in the order they were taken, with the truth", w: columnUnits, h: top + plotH + 44}
	var shown []*Reading
	low, high := float64(p.Job.Minimum), float64(p.Job.Minimum)
	for i := range p.Readings {
		if q := &p.Readings[i]; q.Mode == LaneMeasure && q.Shown.known() {
			shown = append(shown, q)
			low = math.Min(low, math.Min(float64(q.Shown), float64(q.True)))
			high = math.Max(high, math.Max(float64(q.Shown), float64(q.True)))
		}
	}
	if shown == nil {
		return nil
	}
	step := drawn.NiceStep(math.Max((high-low)/5, 1e-9*math.Abs(high)))
	low, high = math.Floor(low/step-0.2)*step, math.Ceil(high/step+0.2)*step
	y := func(um float64) float64 { return top + (high-um)/(high-low)*plotH }
	for k := math.Round(low / step); k*step <= high+step/2; k++ {
		d.line(left, y(k*step), columnUnits-right, y(k*step), 0.5, light.Line)
		d.write(left-7, y(k*step)+3.2, Number(k*step).fixed(decimalsOf(step)), tiny, light.InkSoft, paint.Right)
	}
	d.frame(left, top, columnUnits-left-right, plotH, 1, light.Ink)
	dx := (columnUnits - left - right) / math.Max(1, float64(len(shown)))
	bar := math.Min(dx*0.34, 9)
	spot, free := -1, left
	for i, q := range shown {
		x := left + (float64(i)+0.5)*dx
		if q.Spot != spot {
			if spot >= 0 {
				d.line(x-dx/2, top, x-dx/2, top+plotH, 0.7, light.Line)
			}
			spot = q.Spot
			if number := fmt.Sprint(spot); x-dx/2 >= free {
				d.write(x-dx/2+3, top+plotH+12, number, tiny, light.InkSoft, paint.Left)
				free = x - dx/2 + tiny.Width(number) + 5
			}
		}
		d.line(x, y(float64(q.Shown)), x, y(float64(q.True)), 0.7, light.InkSoft)
		d.line(x-bar, y(float64(q.True)), x+bar, y(float64(q.True)), 2.2, light.Truth)
		if q.Kept {
			d.circle(x, y(float64(q.Shown)), 2.8, light.Ink, paint.Color{}, 0)
		} else {
			d.circle(x, y(float64(q.Shown)), 2.8, white, light.InkSoft, 1)
		}
	}
	least := y(float64(p.Job.Minimum))
	d.dashed(left, least, columnUnits-right, least, 1.2, 6, light.Act)
	text := "minimum " + p.Job.Minimum.short() + " µm"
	d.rect(columnUnits-right-strong.Width(text)-9, least-14.5, strong.Width(text)+6, 12.5, white)
	d.write(columnUnits-right-6, least-4.5, text, strong, light.Act, paint.Right)
	p.drawReadingsKey(d, left, top+plotH+34)
	return d
}

func (p *Report) drawReadingsKey(d *drawing, x, y float64) {
	d.circle(x+4, y-3.5, 2.8, light.Ink, paint.Color{}, 0)
	d.write(x+12, y, "reading", small, light.Ink, paint.Left)
	x += 12 + small.Width("reading") + 20
	d.circle(x+4, y-3.5, 2.8, white, light.InkSoft, 1)
	d.write(x+12, y, "not in the result", small, light.Ink, paint.Left)
	x += 12 + small.Width("not in the result") + 20
	d.line(x, y-3.5, x+16, y-3.5, 2.2, light.Truth)
	d.write(x+22, y, "true thickness there", small, light.Ink, paint.Left)
	d.write(columnUnits-8, y, "below the axis: number of the spot; thicknesses in µm", small, light.InkSoft, paint.Right)
}
