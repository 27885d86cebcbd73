package paint

import (
	"image/png"
	"math"
	"os"
	"testing"
)

func sampleList() *List {
	l := &List{}
	t := Light()
	l.Rect(R(0, 0, 640, 400), t.Paper)
	l.RoundRect(R(20, 20, 120, 60), 8, t.Act)
	l.RoundFrame(R(20, 90, 120, 60), 8, 1, t.Ink)
	l.Frame(R(20, 160, 120, 60), 2, t.Truth)
	l.Hatch(R(20, 160, 120, 60), 8, 45, 1, t.Hatch)
	l.Gradient(R(20, 230, 120, 30), t.Act, t.Truth, false)
	l.Disc(200, 60, 30, t.Good)
	l.Ring(280, 60, 30, 1, t.Ink)
	l.Arc(360, 60, 30, 0, math.Pi*1.2, 4, t.Bad)
	l.Sector(440, 60, 30, -0.5, 1, t.Warn)
	star := []Point{}
	for i := range 10 {
		r := 40.0
		if i%2 == 1 {
			r = 16
		}
		s, c := math.Sincos(float64(i) * math.Pi / 5)
		star = append(star, Point{200 + r*c, 160 + r*s})
	}
	l.Polygon(star, t.Truth.Fade(0.6))
	l.Outline(star, 2, t.Ink)
	ell := []Point{{270, 120}, {350, 120}, {350, 150}, {300, 150}, {300, 200}, {270, 200}}
	l.HatchPolygon(ell, 6, 45, 1, t.Ink)
	l.Outline(ell, 1, t.Ink)
	var wave []Point
	for i := range 200 {
		wave = append(wave, Point{380 + float64(i), 170 + 30*math.Sin(float64(i)/9)})
	}
	l.Polyline(wave, 1.5, t.Act)
	l.DashPolyline(wave[:100], 5, 8, 6, t.Truth)
	l.DashLine(380, 220, 600, 240, 1, 6, 4, t.Ink)
	l.Line(380, 230, 600, 250, 0.5, t.Ink)
	l.Rule(380, 260, 600, 260, 1, t.Ink)
	l.Polyline([]Point{{400, 330}, {430, 280}, {440, 330}, {445, 281}, {480, 330}}, 4, t.Ink.Fade(0.7))
	l.Text(20, 300, "Dry film 84.5 µm ± 2.1 µm, Δ ≤ 3 σ, 20 °C – ½ × 4² → ≥ …", Font{Regular, 15}, t.Ink)
	l.Text(20, 324, "Łódź Ångström čeština ÿ", Font{Medium, 15}, t.InkSoft)
	l.Text(20, 348, "Bold text 0123456789", Font{Bold, 15}, t.Ink)
	l.Text(20, 372, "mono 0123456789 µm", Font{Mono, 15}, t.Ink)
	l.TextUp(630, 380, "running upward", Font{Regular, 13}, t.Ink)
	l.PushClip(R(500, 20, 100, 50))
	l.Disc(540, 40, 40, t.Truth)
	l.Text(495, 50, "clipped text here", Font{Regular, 15}, t.Act)
	l.PopClip()
	l.TextIn(R(250, 340, 100, 30), "this is far too long for it", Font{Regular, 14}, t.Ink, Left)
	l.Triangles([]Shade{{X: 480, Y: 280, Color: t.Act}, {X: 600, Y: 280, Color: t.Truth}, {X: 540, Y: 380, Color: t.Good}})
	return l
}

func TestLook(t *testing.T) {
	name := os.Getenv("LOOK")
	if name == "" {
		t.Skip("set LOOK to a file name to save the sample picture")
	}
	f, _ := os.Create(name)
	defer f.Close()
	png.Encode(f, Render(sampleList(), 640, 400, 2))
}
