package screens

import (
	"flag"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"foilwright/internal/paint"
	"foilwright/internal/widgets"
)

var readme = flag.String("readme", "", "write the pictures of the README to this folder")

// TestReadmePictures plays the painted panel with one spot too near the rim and
// leaves the pictures the README shows.
func TestReadmePictures(t *testing.T) {
	if *readme == "" {
		t.Skip("makes pictures; give -readme FOLDER")
	}
	d := newDriver(t, 1280, 800)
	picture := func(name string) {
		d.pass(100)
		file := filepath.Join(*readme, name+".png")
		f, err := os.Create(file)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(f, paint.Render(&d.list, int(d.w), int(d.h), 1)); err != nil {
			t.Fatal(err)
		}
		if info, err := f.Stat(); err == nil && info.Size() > 300e3 {
			t.Errorf("%s has %d bytes, want at most 300 kB", file, info.Size())
		}
	}
	d.app.where = map[string]paint.Rect{}
	d.frame()
	d.press("start-painted-panel")
	d.pass(100)
	for _, id := range []string{"to-bench", "look-tip", "wipe-tip", "card-foil-75", "clear", "twin-3", "zero"} {
		d.press(id)
	}
	for i := range 5 {
		d.touchAt(52+4*float64(i), 50)
	}
	for _, id := range []string{"store", "foil-75", "foil", "foil-value"} {
		d.press(id)
	}
	d.write("77.2")
	d.press("set")
	for i := range 5 {
		d.touchAt(52+4*float64(i), 50)
	}
	d.press("store")
	verify := func() {
		d.press("verify")
		d.press("card-foil-50")
		d.press("twin-3")
		d.press("foil-50")
		for i := range 3 {
			d.touchAt(54+4*float64(i), 50)
		}
		d.press("good")
		d.press("card-foil-50")
	}
	lowered := func(xMm, yMm float64, name, key string) {
		q := d.at(xMm, yMm)
		d.move(q.X, q.Y)
		d.pass(500)
		d.pointer(widgets.PointerDown)
		d.pass(900)
		if key != "" {
			d.key(key)
		}
		picture(name)
		if key != "" {
			d.key(key)
		}
		d.pointer(widgets.PointerUp)
		d.pass(600)
	}
	verify()
	d.press("panel")
	d.press("measure")
	rim := [2]float64{292, 100} // in place of the spot in the middle
	for i, q := range spots {
		if i > 0 {
			d.press("new-spot")
		}
		if i == 2 {
			q = rim
		}
		for k, beside := range [3][2]float64{{0, 0}, {0, 9}, {0, -9}} {
			x, y := q[0]+beside[0], q[1]+beside[1]
			switch {
			case i == 2 && k == 2:
				lowered(x, y, "field", "e")
			case i == 4 && k == 2:
				lowered(x, y, "bench", "")
			default:
				d.touchAt(x, y)
			}
		}
	}
	verify()
	d.press("report")
	d.pass(100)
	d.press(d.verdict())
	d.press("finish")
	d.pass(100)
	d.press("finish-now-yes")
	d.pass(300)
	d.move(d.w-8, 100)
	picture("debrief")
	for i := range d.app.debrief.leads {
		if l := d.app.debrief.leads[i]; l.entry > 0 {
			d.app.follow(l)
			break
		}
	}
	picture("lookback")
}
