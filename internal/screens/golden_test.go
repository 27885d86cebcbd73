package screens

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
	"foilwright/sim/bench"
	"foilwright/sim/explain"
	"foilwright/sim/grade"
)

var update = flag.Bool("update", false, "write the golden pictures anew")

// TestGoldenPictures compares the screens, at half size, with the pictures in
// testdata. They hold no figures of the simulation, so that they change only
// when a screen does. Look at the new ones after -update.
func TestGoldenPictures(t *testing.T) {
	for _, theme := range []string{"light", "dark", "contrast"} {
		d := driverWith(t, 1280, 800, Settings{Theme: theme, TextPercent: 100})
		look := func(name string) {
			d.pass(60)
			comparePicture(t, d, name+"-"+theme)
		}
		d.key("1")
		d.pass(60)
		if theme == "light" {
			look("job")
		}
		d.key("Enter")
		for _, k := range []string{"2", "6", "k", "f"} {
			d.key(k)
		}
		d.pass(2000)
		look("bench")
		if theme != "light" {
			continue
		}
		d.key("r")
		look("report")
		d.key("Escape")
		d.key("F1")
		look("keys")
		d.key("Escape")
		d.app.debrief = drawnUp(d.app)
		d.app.goTo(pageDebrief)
		look("debrief")
	}
	d := driverWith(t, 1280, 800, Settings{Theme: "light", TextPercent: 100})
	d.pass(60)
	comparePicture(t, d, "home")
}

// drawnUp is a debrief with figures made up for the picture.
func drawnUp(a *App) *debriefState {
	r := a.sitting.Bench.Record()
	d := &debriefState{name: "drawn-up", exercise: r.World.Exercise, record: r, pick: -1, units: units{resolutionUm: 0.1}}
	d.own = newPlayback(r, d.units)
	d.sheet = &grade.Sheet{
		Technique: 74.5, PassMark: 70, Passed: false, Capped: false,
		Why:    []string{"met: technique", "not met: error of the mean"},
		Result: &grade.Result{ReportedUm: 71.2, TrueUm: 67.9, ErrorUm: 3.3, ExpandedUm: 1.9, Given: "reject", True: "reject", Right: true},
	}
	for _, g := range []grade.Group{grade.Preparation, grade.Adjustment, grade.Verification, grade.Handling, grade.Placement, grade.Recording} {
		d.sheet.Groups = append(d.sheet.Groups, grade.GroupScore{Group: g, Weight: 15, Score: 15, Reached: 1})
	}
	d.sheet.Groups[1].Lost = []grade.Lost{{Check: "zero-few", Points: 7.5}}
	d.sheet.Findings = []grade.Finding{{
		Check: "zero-few", Name: "Too few zero readings", Severity: grade.Major, Entries: []int{1, 2}, Points: 7.5, CostUm: 0.8,
		What: "The zero was stored from 2 readings.", Do: "Take at least five and look at their scatter.",
	}}
	d.why = &explain.Explanation{Reported: true, ReportedUm: 71.2, TrueUm: 67.9}
	for _, s := range []explain.Share{
		{Influence: bench.Edge, Name: "Edge of the piece", Um: 2.4, Cause: "Part of the field had no metal under it.", Advice: "Keep away from edges."},
		{Influence: bench.Noise, Name: "Scatter of the instrument", Um: 1.1}, {Influence: bench.Sampling, Name: "Places measured", Um: -0.2},
	} {
		d.why.Mean.Shares = append(d.why.Mean.Shares, s)
		d.bars = append(d.bars, widgets.Bar{Label: s.Name, Value: s.Um, Tone: widgets.Act})
	}
	return d
}

func comparePicture(t *testing.T, d *driver, name string) {
	t.Helper()
	const scale = 0.5
	got := paint.Render(&d.list, int(d.w), int(d.h), scale)
	file := filepath.Join("testdata", name+".png")
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		f, err := os.Create(file)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(f, got); err != nil {
			t.Fatal(err)
		}
		return
	}
	f, err := os.Open(file)
	if err != nil {
		t.Fatalf("%v; write it with -update", err)
	}
	defer f.Close()
	want, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	if diff := pictureDiff(got, want); diff != "" {
		out := filepath.Join(os.TempDir(), "foilwright-"+name+".png")
		if f, err := os.Create(out); err == nil {
			_ = png.Encode(f, got)
			f.Close()
		}
		t.Errorf("%s: %s; see %s, and use -update when it is meant", file, diff, out)
	}
}

// pictureDiff tells what differs beyond what rounding of other processors may.
func pictureDiff(got *image.RGBA, want image.Image) string {
	if got.Bounds() != want.Bounds() {
		return fmt.Sprintf("size %v, golden %v", got.Bounds().Size(), want.Bounds().Size())
	}
	off := 0
	for y := range got.Bounds().Dy() {
		for x := range got.Bounds().Dx() {
			g, w := got.RGBAAt(x, y), want.At(x, y)
			r, gr, b, _ := w.RGBA()
			if far(g.R, r) || far(g.G, gr) || far(g.B, b) {
				off++
			}
		}
	}
	if off > 40 {
		return fmt.Sprintf("%d pixels differ", off)
	}
	return ""
}

func far(a uint8, b uint32) bool {
	d := int(a) - int(b>>8)
	return d > 12 || d < -12
}
