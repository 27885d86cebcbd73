package gallery

import (
	"flag"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"foilwright/internal/paint"
	"foilwright/internal/widgets"
)

var update = flag.Bool("update", false, "write the golden pictures anew")

func picture(g *Gallery, w, h int, scale float64) *image.RGBA {
	l := &paint.List{}
	in := widgets.Input{W: float64(w), H: float64(h), Scale: scale, NowMs: 100}
	g.Frame(in, l)
	g.Frame(in, l)
	return paint.Render(l, w, h, scale)
}

func at(page, theme int, size float64) *Gallery {
	g := New()
	g.Page, g.Theme, g.size = page, theme, size
	g.UI.Theme = paint.Themes()[theme]
	g.UI.Check = true
	return g
}

// TestLook saves pictures for a person to look at.
func TestLook(t *testing.T) {
	dir := os.Getenv("LOOK")
	if dir == "" {
		t.Skip("set LOOK to a folder to save pictures of all pages")
	}
	for page := range pages {
		for theme := range 3 {
			save(t, filepath.Join(dir, fmt.Sprintf("p%d_t%d.png", page, theme)), picture(at(page, theme, 1), 1280, 800, 1))
		}
		save(t, filepath.Join(dir, fmt.Sprintf("p%d_200.png", page)), picture(at(page, 0, 2), 1280, 800, 1))
		save(t, filepath.Join(dir, fmt.Sprintf("p%d_1024.png", page)), picture(at(page, 0, 1), 1024, 768, 1))
	}
}

func save(t *testing.T, name string, img image.Image) {
	t.Helper()
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := png.Encode(f, img); err != nil {
		t.Fatal(err)
	}
}

// TestGolden compares pictures of the kit with those a person has looked at. Other processors may fuse multiplications,
// so a few pixels at edges may differ: at most 2 in 10000 by more than 24 of 255.
func TestGolden(t *testing.T) {
	cases := []struct {
		name        string
		page, theme int
		size        float64
	}{
		{"buttons-light", 0, 0, 1}, {"buttons-contrast", 0, 2, 1}, {"fields-dark", 1, 1, 1}, {"lists-light", 2, 0, 1},
		{"charts-light", 3, 0, 1}, {"messages-dark", 4, 1, 1}, {"drawing-light", 5, 0, 1}, {"buttons-200", 0, 0, 2},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got := picture(at(c.page, c.theme, c.size), 1024, 600, 1)
			file := filepath.Join("testdata", c.name+".png")
			if *update {
				save(t, file, got)
				return
			}
			f, err := os.Open(file)
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			want, err := png.Decode(f)
			if err != nil {
				t.Fatal(err)
			}
			if n := differing(got, want); n > 1024*600*2/10000 {
				bad := filepath.Join(t.ArtifactDir(), c.name+".png")
				save(t, bad, got)
				t.Errorf("%d pixels differ from %s; the new picture is %s; look at both and run with -update if the new one is right", n, file, bad)
			}
		})
	}
}

// differing counts pixels that differ by more than 24 of 255 in any channel.
func differing(a *image.RGBA, b image.Image) int {
	if a.Bounds() != b.Bounds() {
		return a.Bounds().Dx() * a.Bounds().Dy()
	}
	n := 0
	for y := range a.Bounds().Dy() {
		for x := range a.Bounds().Dx() {
			p := a.RGBAAt(x, y)
			r, g, bl, _ := b.At(x, y).RGBA()
			for _, d := range [3]int{int(p.R) - int(r>>8), int(p.G) - int(g>>8), int(p.B) - int(bl>>8)} {
				if d > 24 || d < -24 {
					n++
					break
				}
			}
		}
	}
	return n
}

// TestDifferingSees makes sure that the comparison can fail.
func TestDifferingSees(t *testing.T) {
	a, b := image.NewRGBA(image.Rect(0, 0, 10, 10)), image.NewRGBA(image.Rect(0, 0, 10, 10))
	b.Pix[4] = 25
	b.Pix[8] = 24
	if n := differing(a, b); n != 1 {
		t.Errorf("%d pixels differ, want 1", n)
	}
	if differing(a, image.NewRGBA(image.Rect(0, 0, 9, 10))) == 0 {
		t.Error("another size must differ")
	}
}

// TestNothingIsCut runs all pages at the sizes and text sizes screens are made for. Two labels are long on purpose.
func TestNothingIsCut(t *testing.T) {
	for _, size := range [][2]float64{{1024, 768}, {1280, 800}, {1920, 1080}} {
		for _, text := range []float64{1, 1.5, 2} {
			for page := range pages {
				g := at(page, 0, text)
				l := &paint.List{}
				g.Frame(widgets.Input{W: size[0], H: size[1], Scale: 1, NowMs: 100}, l)
				for _, f := range g.UI.Faults() {
					if !strings.Contains(f, "far too long") {
						t.Errorf("%s at %vx%v, text %v: %s", pages[page], size[0], size[1], text, f)
					}
				}
			}
		}
	}
}

// TestEveryStopIsReachable presses Tab through each page, with a dialog open and without.
func TestEveryStopIsReachable(t *testing.T) {
	for page := range pages {
		for _, dialog := range []bool{false, true} {
			g := at(page, 0, 1)
			g.dialog = dialog
			l := &paint.List{}
			now := 100.0
			press := func(key string) {
				now += 17
				g.Frame(widgets.Input{W: 1024, H: 768, Scale: 1, NowMs: now, Events: []widgets.Event{{Kind: widgets.KeyDown, Key: key}}}, l)
			}
			for range 40 {
				press("Tab")
			}
			if f := g.UI.Faults(); len(f) > 1 {
				t.Errorf("%s: %v", pages[page], f)
			}
			press("Escape")
			if g.dialog {
				t.Errorf("%s: Escape did not close the dialog", pages[page])
			}
		}
	}
}

func TestFrameDoesNotAllocate(t *testing.T) {
	for page := range pages {
		g := at(page, 0, 1)
		g.UI.Check = false
		l := &paint.List{}
		in := widgets.Input{W: 1280, H: 800, Scale: 1, NowMs: 100}
		frame := func() { g.Frame(in, l); l.Hash() }
		frame()
		frame()
		if n := testing.AllocsPerRun(20, frame); n != 0 {
			t.Errorf("%s: %v allocations a frame, want none", pages[page], n)
		}
	}
}

// The busiest page is the one with charts.
const busy = 3

func BenchmarkBuild(b *testing.B) {
	g, l := at(busy, 0, 1), &paint.List{}
	g.UI.Check = false
	in := widgets.Input{W: 1280, H: 800, Scale: 1, NowMs: 100}
	b.ReportAllocs()
	for b.Loop() {
		g.Frame(in, l)
	}
	b.ReportMetric(float64(l.Len()), "shapes")
}

func BenchmarkHash(b *testing.B) {
	g, l := at(busy, 0, 1), &paint.List{}
	g.Frame(widgets.Input{W: 1280, H: 800, Scale: 1, NowMs: 100}, l)
	b.ReportAllocs()
	for b.Loop() {
		l.Hash()
	}
}

func BenchmarkMesh(b *testing.B) {
	g, l := at(busy, 0, 1), &paint.List{}
	g.Frame(widgets.Input{W: 1280, H: 800, Scale: 1, NowMs: 100}, l)
	p := paint.NewPainter()
	n := 0
	b.ReportAllocs()
	for b.Loop() {
		n = 0
		for _, batch := range p.Mesh(l, 1280, 800, 1) {
			n += len(batch.Indices) / 3
		}
	}
	b.ReportMetric(float64(n), "triangles")
}

func BenchmarkSoftware(b *testing.B) {
	g, l := at(busy, 0, 1), &paint.List{}
	g.Frame(widgets.Input{W: 1280, H: 800, Scale: 1, NowMs: 100}, l)
	p := paint.NewPainter()
	img := image.NewRGBA(image.Rect(0, 0, 1280, 800))
	b.ReportAllocs()
	for b.Loop() {
		p.Render(img, l, 1)
	}
}
