package gallery

import (
	"flag"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
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
