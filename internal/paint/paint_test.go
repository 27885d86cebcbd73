package paint

import (
	"image"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// ink of a picture: the sum of all alpha, in pixels.
func covered(img *image.RGBA) float64 {
	sum := 0
	for i := 3; i < len(img.Pix); i += 4 {
		sum += int(img.Pix[i])
	}
	return float64(sum) / 255
}

func black() Color { return RGB(0) }

// Areas follow from geometry; the feathered edge is a box filter, so that coverage adds up to them.
func TestCoverage(t *testing.T) {
	star := func(l *List) {
		var pts []Point
		for i := range 10 {
			r := 80.0
			if i%2 == 1 {
				r = 35
			}
			s, c := math.Sincos(float64(i) * math.Pi / 5)
			pts = append(pts, Point{100.3 + r*c, 100.7 + r*s})
		}
		l.Polygon(pts, black())
	}
	cases := []struct {
		name string
		draw func(l *List)
		want float64
		tol  float64 // share; from chords of circles and mitre limits
	}{
		{"rectangle", func(l *List) { l.Rect(R(10, 20, 50, 30), black()) }, 1500, 0},
		{"rectangle off the grid is moved to it", func(l *List) { l.Rect(R(10.3, 20.4, 50, 30), black()) }, 1500, 0},
		{"half transparent", func(l *List) { l.Rect(R(10, 20, 50, 30), Color{0, 0, 0, 128}) }, 1500 * 128.0 / 255, 0.001},
		{"disc", func(l *List) { l.Disc(100.2, 99.7, 60, black()) }, math.Pi * 3600, 0.004},
		{"triangle", func(l *List) { l.Polygon([]Point{{10, 10}, {150, 40}, {60, 170}}, black()) }, 0.5 * (140*160 - 50*30), 0.004},
		{"the same triangle wound the other way", func(l *List) { l.Polygon([]Point{{10, 10}, {60, 170}, {150, 40}}, black()) }, 0.5 * (140*160 - 50*30), 0.004},
		{"star", star, 10 * 0.5 * 80 * 35 * math.Sin(math.Pi/5), 0.01},
		{"slanting line", func(l *List) { l.Line(20, 20, 120, 95, 3, black()) }, 3 * 125, 0.02},
		{"hairline of half a pixel", func(l *List) { l.Line(20, 20, 120, 95, 0.5, black()) }, 0.5 * 125, 0.03},
		{"ring", func(l *List) { l.Ring(100, 100, 50, 4, black()) }, 2 * math.Pi * 50 * 4, 0.01},
		{"frame", func(l *List) { l.Frame(R(10, 10, 100, 60), 2, black()) }, 2*2*100 + 2*2*56, 0},
		{"rounded", func(l *List) { l.RoundRect(R(10, 10, 100, 60), 12, black()) }, 6000 - (4-math.Pi)*144, 0.004},
		{"dashes", func(l *List) { l.DashLine(10, 50.5, 190, 50.5, 2, 10, 10, black()) }, 2 * 90, 0.02},
		{"hatch lines one pixel wide, ten apart", func(l *List) { l.Hatch(R(10, 10, 160, 160), 10, 45, 1, black()) }, 160 * 160 / 10, 0.04},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			l := &List{}
			c.draw(l)
			if got := covered(Render(l, 200, 200, 1)); math.Abs(got-c.want) > c.tol*c.want+0.01 {
				t.Errorf("covers %.2f pixels, want %.2f within %g", got, c.want, c.tol)
			}
		})
	}
}

// Random simple polygons: the triangles of a fill must have the polygon's area (shoelace formula), whatever its shape.
func TestConcaveFillKeepsArea(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for n := 4; n < 60; n++ {
		var pts []Point
		area := 0.0
		for i := range n {
			r := 30 + 60*rng.Float64()
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			pts = append(pts, Point{100 + r*c, 100 + r*s})
		}
		for i, p := range pts {
			q := pts[(i+1)%n]
			area += (p.X*q.Y - q.X*p.Y) / 2
		}
		l := &List{}
		l.Polygon(pts, black())
		if got := covered(Render(l, 200, 200, 1)); math.Abs(got-area) > 0.03*area {
			t.Errorf("%d corners: covers %.1f, want %.1f within 3 %%", n, got, area)
		}
	}
}

// Neighbouring triangles share pixels' edges without overlap: a half transparent shape has one tone inside.
func TestNoSeams(t *testing.T) {
	l := &List{}
	l.Disc(100, 100, 80, Color{0, 0, 0, 100})
	img := Render(l, 200, 200, 1)
	for y := range 200 {
		for x := range 200 {
			if math.Hypot(float64(x)+0.5-100, float64(y)+0.5-100) < 78 && img.RGBAAt(x, y).A != 100 {
				t.Fatalf("pixel %d,%d inside has alpha %d, want 100: triangles overlap or leave a gap", x, y, img.RGBAAt(x, y).A)
			}
		}
	}
}

func TestClip(t *testing.T) {
	clip := image.Rect(50, 60, 120, 100)
	full, cut := sampleList(), &List{}
	cut.PushClip(R(50, 60, 70, 90))
	cut.PushClip(R(0, 0, 640, 100))
	cut.ops = append(cut.ops, full.ops...)
	cut.points, cut.shades, cut.text = full.points, full.shades, full.text
	cut.depth = 2
	cut.PopClip()
	cut.PopClip()
	a, b := Render(full, 640, 400, 1), Render(cut, 640, 400, 1)
	for y := range 400 {
		for x := range 640 {
			got, want := b.RGBAAt(x, y), a.RGBAAt(x, y)
			if !(image.Point{X: x, Y: y}).In(clip) {
				want.R, want.G, want.B, want.A = 0, 0, 0, 0
			}
			if d := math.Abs(float64(got.R) - float64(want.R)); d > 2 || got.A != want.A {
				t.Fatalf("pixel %d,%d is %v, want %v", x, y, got, want)
			}
		}
	}
}

func TestPopWithoutPushPanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("no panic")
		}
	}()
	(&List{}).PopClip()
}

func TestHashSeesEveryChange(t *testing.T) {
	base := sampleList()
	h := base.Hash()
	if sampleList().Hash() != h {
		t.Fatal("equal lists have different hashes")
	}
	changes := map[string]func(l *List){
		"colour":  func(l *List) { l.ops[0].color.G++ },
		"second":  func(l *List) { l.ops[5].color2.A-- },
		"place":   func(l *List) { l.ops[1].a += 0.01 },
		"radius":  func(l *List) { l.ops[1].e += 0.01 },
		"width":   func(l *List) { l.ops[2].f += 0.01 },
		"point":   func(l *List) { l.points[7].y += 0.01 },
		"text":    func(l *List) { l.text[3]++ },
		"letter":  func(l *List) { l.text[len(l.text)-1]++ },
		"order":   func(l *List) { l.ops[0], l.ops[1] = l.ops[1], l.ops[0] },
		"missing": func(l *List) { l.ops = l.ops[:len(l.ops)-1] },
		"shade":   func(l *List) { l.shades[0].color.R-- },
		"face":    func(l *List) { l.ops[len(l.ops)-2].face ^= 1 },
	}
	for name, change := range changes {
		l := sampleList()
		change(l)
		if l.Hash() == h {
			t.Errorf("a change of %s leaves the hash alone", name)
		}
	}
	base.Reset()
	if (&List{}).Hash() != base.Hash() {
		t.Error("a reset list does not hash as an empty one")
	}
}

// The words of the trade and of the yard's people must be there in every face.
func TestFacesHaveTheRunesWeUse(t *testing.T) {
	const need = "µμ±²³½≤≥Δσ°–—…×→−√∞Ω‰·•“”‘’„«»≈≠ÅÄÖØÆåäöøæßéèêçñŁłŚśŹźŻżČčŘřŠšŽžĞğİıŐőŰűȘșȚț"
	for f := range faceCount {
		for _, r := range need {
			if !f.Has(r) {
				t.Errorf("face %d lacks %q", f, r)
			}
		}
	}
}

func TestTextMeasures(t *testing.T) {
	f := Font{Regular, 15}
	if w := f.Width("00000"); math.Abs(w-5*f.Width("7")) > 1e-9 {
		t.Errorf("digits do not have one width: %v and %v", w, 5*f.Width("7"))
	}
	if a, b := f.Width("Thickness"), (Font{Regular, 30}).Width("Thickness"); math.Abs(2*a-b) > 1e-9 {
		t.Errorf("twice the size must be twice as wide: %v, %v", a, b)
	}
	if n := f.Fit("Thickness", f.Width("Thick")); n != 5 {
		t.Errorf("Fit gives %d bytes, want 5", n)
	}
	if n := f.At("Thick", f.Width("Th")+0.1); n != 2 {
		t.Errorf("At gives %d, want 2", n)
	}
}

// Wrapping loses no word, and no line is wider than asked unless it is a single rune.
func TestWrapping(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	f := Font{Regular, 15}
	for range 300 {
		var words []string
		for range rng.IntN(20) + 1 {
			words = append(words, strings.Repeat("wµi", rng.IntN(6)+1))
		}
		s := strings.Join(words, " ")
		width := 5 + 200*rng.Float64()
		var got strings.Builder
		lines := 0
		for rest := s; rest != ""; lines++ {
			var line string
			line, rest = f.NextLine(rest, width)
			if f.Width(line) > width+0.1 && len([]rune(line)) > 1 {
				t.Fatalf("line %q is %.1f wide, want at most %.1f", line, f.Width(line), width)
			}
			got.WriteString(strings.ReplaceAll(line, " ", ""))
		}
		if want := strings.ReplaceAll(s, " ", ""); got.String() != want {
			t.Fatalf("wrapping %q to %.0f lost or added text: %q", s, width, got.String())
		}
		if h := f.Height(s, width); math.Abs(h-float64(lines)*f.LineHeight()) > 1e-9 {
			t.Fatalf("Height is %v for %d lines", h, lines)
		}
	}
}

// Shapes larger than a batch of 65536 corners are split, and nothing of them is lost.
func TestLargeShapesAreSplit(t *testing.T) {
	l := &List{}
	var line []Point
	for i := range 50000 {
		line = append(line, Point{float64(i%1000) * 0.2, float64(i/1000)*3 + 1.5})
		if i%1000 == 999 {
			l.Polyline(line, 1, black())
			line = line[:0]
		}
	}
	for i := range 60000 {
		line = append(line, Point{200 * float64(i) / 60000, 180 + 10*math.Sin(float64(i))})
	}
	l.PushClip(R(0, 0, 200, 190))
	l.Polyline(line, 1, black())
	l.Text(0, 199, strings.Repeat("i", 30000), Font{Regular, 10}, black())
	l.PopClip()
	l.Rect(R(190, 190, 10, 10), black())
	p := NewPainter()
	batches := p.Mesh(l, 200, 200, 1)
	if len(batches) < 3 {
		t.Fatalf("%d batches, want several", len(batches))
	}
	for k, b := range batches {
		if len(b.Vertices) > 65536 {
			t.Fatalf("batch %d has %d corners", k, len(b.Vertices))
		}
		for _, i := range b.Indices {
			if int(i) >= len(b.Vertices) {
				t.Fatalf("batch %d: index %d of %d corners", k, i, len(b.Vertices))
			}
		}
	}
	img := image.NewRGBA(image.Rect(0, 0, 200, 200))
	p.Render(img, l, 1)
	if img.RGBAAt(195, 195).A != 255 || img.RGBAAt(50, 100).A == 0 || img.RGBAAt(100, 180).A == 0 || img.RGBAAt(50, 196).A != 0 {
		t.Error("a part of the split shapes is missing, or the clip was lost at a split")
	}
}

func TestAtlasMakesRoom(t *testing.T) {
	p := NewPainter()
	img := image.NewRGBA(image.Rect(0, 0, 400, 400))
	for size := 20.0; size < 300; size += 7 {
		l := &List{}
		l.Text(5, 300, "Hamburg µ 0123456789 ÄÖÜ", Font{Bold, size}, black())
		clear(img.Pix)
		p.Render(img, l, 1)
		fresh := Render(l, 400, 400, 1)
		for i := range img.Pix {
			if img.Pix[i] != fresh.Pix[i] {
				t.Fatalf("at size %v the picture differs from a fresh painter's", size)
			}
		}
	}
}

func TestSteadyStateDoesNotAllocate(t *testing.T) {
	l := &List{}
	p := NewPainter()
	star := []Point{{0, 0}, {50, 10}, {20, 20}, {40, 60}, {-10, 30}}
	frame := func() {
		l.Reset()
		l.Rect(R(0, 0, 640, 400), RGB(0xffffff))
		for i := range 200 {
			y := float64(i) * 2
			l.Text(10, y, "84.5 µm", Font{Regular, 15}, black())
			l.TextIn(R(100, y, 40, 20), "far too long for this", Font{Regular, 15}, black(), Left)
			l.Polygon(star, black())
			l.Outline(star, 2, black())
			l.RoundFrame(R(10, y, 50, 20), 4, 1, black())
		}
		l.PushClip(R(30, 30, 100, 100))
		l.HatchPolygon(star, 4, 45, 1, black())
		l.DashPolyline(star, 2, 5, 3, black())
		l.PopClip()
		l.Hash()
		p.Mesh(l, 640, 400, 1)
	}
	frame()
	if n := testing.AllocsPerRun(20, frame); n != 0 {
		t.Errorf("%v allocations a frame, want none", n)
	}
}
