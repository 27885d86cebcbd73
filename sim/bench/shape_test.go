package bench_test

import (
	"math"
	"testing"

	"foilwright/sim/bench"
	"foilwright/sim/part"
)

// shaped is the first exercise with another part, on which everything else
// stays as it is.
func shaped(t testing.TB, change func(e *bench.Exercise)) *bench.World {
	t.Helper()
	e := *newWorld(t, 7).Exercise
	e.References = append([]bench.PieceSpec(nil), e.References...)
	change(&e)
	w, err := bench.NewWorld(&e, 7)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// measured is a whole careful attempt, adjusted on twin-3.
func measured(t *testing.T, w *bench.World) *bench.Record {
	t.Helper()
	p := &player{t: t, b: bench.New(w), lift: 40_000, hold: 700}
	p.adjustAndVerify()
	p.measure()
	return p.b.Record()
}

// mean is the mean error of the readings of the part with some influences.
func meanError(r *bench.Record, on bench.Influence) float64 {
	out := r.Counterfactual().Run(on)
	sum, n := 0.0, 0
	for i := range r.Contacts {
		if c := &r.Contacts[i]; c.Outcome == bench.Read && c.Mode == bench.Measuring {
			sum += out.ErrorUm[i]
			n++
		}
	}
	return sum / float64(n)
}

// A part that bulges, adjusted for on flat metal, reads too much; a hollow one
// too little; adjusted for on a twin of the same radius it reads right. With
// nothing acting there is no error at all.
func TestCurvatureActsAndIsTakenOutByATwin(t *testing.T) {
	const um = 1.0
	for _, c := range []struct {
		name     string
		radius   float64
		twin     bool
		low, top float64
	}{
		{"pipe, flat piece", 0.03, false, 3, 20},
		{"bore, flat piece", -0.05, false, -12, -2},
		{"pipe, pipe", 0.03, true, -um, um},
		{"bore, bore", -0.05, true, -um, um},
	} {
		w := shaped(t, func(e *bench.Exercise) {
			e.Part.Piece.RadiusY = c.radius
			if c.twin {
				e.References[0].Piece.RadiusY = c.radius
			}
		})
		if w.Matches("twin-3") != c.twin {
			t.Errorf("%s: matches is %v", c.name, !c.twin)
		}
		r := measured(t, w)
		if e := meanError(r, bench.All&^(bench.Noise|bench.Drift)); e < c.low || e > c.top {
			t.Errorf("%s: error %.2f µm, expected %g to %g", c.name, e, c.low, c.top)
		}
		if e := meanError(r, 0); math.Abs(e) > 1e-6 {
			t.Errorf("%s: error %g µm with nothing acting", c.name, e)
		}
		if ideal := meanError(r, bench.All&^(bench.Noise|bench.Drift|bench.Curvature|bench.Piece)); math.Abs(ideal) > um {
			t.Errorf("%s: error %.2f µm without the curvature", c.name, ideal)
		}
	}
}

// Ten millimetres from the left side: an edge reads high, metal that goes on
// reads right, a wall reads low.
func TestSidesOfAPiece(t *testing.T) {
	errors := map[part.Ending]float64{}
	for _, ending := range []part.Ending{part.FreeEdge, part.GoesOn, part.Wall} {
		w := shaped(t, func(e *bench.Exercise) { e.Part.Piece.Sides.Left = ending })
		p := &player{t: t, b: bench.New(w), lift: 40_000, hold: 700}
		p.adjustAndVerify()
		p.act(bench.PlacePiece, "panel")
		p.act(bench.BeginMeasure, "")
		for range 3 {
			p.touch(6, 100)
		}
		r := p.b.Record()
		errors[ending] = meanError(r, bench.All&^(bench.Noise|bench.Drift))
		if e := meanError(r, bench.All&^(bench.Noise|bench.Drift|bench.Edge|bench.Feature)); math.Abs(e) > 0.5 {
			t.Errorf("side %q: error %.2f µm without edge and wall", ending, e)
		}
	}
	if !(errors[part.FreeEdge] > 0.5 && math.Abs(errors[part.GoesOn]) < 0.5 && errors[part.Wall] < -2) {
		t.Errorf("errors 6 mm from a side: %v µm", errors)
	}
	w := newWorld(t, 7)
	if edge, wall := w.LimitMm(part.AtEdge), w.LimitMm(part.AtWall); !(edge > 4 && wall > edge && wall < 60) {
		t.Errorf("least distance from an edge %.1f mm, from a wall %.1f mm", edge, wall)
	}
}

// The thickness of a sheet is a cause of its own, apart from its metal.
func TestThinBaseIsACauseOfItsOwn(t *testing.T) {
	w := shaped(t, func(e *bench.Exercise) {
		e.Part.Piece.Thickness, e.References[0].Piece.Thickness = 0.4e-3, 0.4e-3
		e.Limits.ZeroReadings = 1
	})
	// Measured without any adjustment.
	p := &player{t: t, b: bench.New(w), lift: 40_000, hold: 700}
	p.act(bench.PlacePiece, "panel")
	p.act(bench.BeginMeasure, "")
	p.touch(150, 100)
	r := p.b.Record()
	quiet := bench.All &^ (bench.Noise | bench.Drift)
	whole, thick, metal := meanError(r, quiet), meanError(r, quiet&^bench.ThinBase), meanError(r, quiet&^bench.BaseMetal)
	if !(whole-thick > 5 && whole-metal > 1) {
		t.Errorf("error %.1f µm, of thick metal %.1f, of standard metal %.1f", whole, thick, metal)
	}
	if e := meanError(r, 0); math.Abs(e) > 1e-6 {
		t.Errorf("error %g µm with nothing acting", e)
	}
}

// Adjusted on smooth steel a blasted part reads its profile as well; the
// allowance of the job sheet takes it off the mean. Adjusted on blasted steel it
// is taken out already.
func TestTextureAndItsAllowance(t *testing.T) {
	medium, _ := part.TextureOf(part.Medium)
	smooth := shaped(t, func(e *bench.Exercise) { e.Part.Piece.Texture, e.Job.AllowanceUm = medium, 25 })
	r := measured(t, smooth)
	quiet := bench.All &^ (bench.Noise | bench.Drift)
	if e := meanError(r, quiet); math.Abs(e-25) > 6 {
		t.Errorf("readings are %.1f µm too high on a medium surface, expected about 25", e)
	}
	if e := meanError(r, quiet&^bench.Texture); math.Abs(e) > 0.5 {
		t.Errorf("readings are %.1f µm off without the texture", e)
	}
	if e := meanError(r, 0); math.Abs(e) > 1e-6 {
		t.Errorf("error %g µm with nothing acting", e)
	}
	if !smooth.Matches("twin-3") {
		t.Error("with an allowance smooth metal is not the one to adjust on")
	}
	rough := shaped(t, func(e *bench.Exercise) {
		e.Part.Piece.Texture, e.References[0].Piece.Texture = medium, medium
	})
	if e := meanError(measured(t, rough), quiet); math.Abs(e) > 10 {
		t.Errorf("adjusted on blasted steel the readings are %.1f µm off", e)
	}
	if !rough.Matches("twin-3") || rough.Matches("sheet-05") || rough.ScatterUm(0) < 3*rough.RepeatabilityUm(0) {
		t.Error("without an allowance the piece to adjust on has the part's finish and scatters")
	}
}

// What is deducted stands in the result, and only the difference from the job
// sheet is an error.
func TestAllowanceInTheReport(t *testing.T) {
	medium, _ := part.TextureOf(part.Medium)
	w := shaped(t, func(e *bench.Exercise) { e.Part.Piece.Texture, e.Job.AllowanceUm = medium, 25 })
	for _, c := range []struct{ counts, um float64 }{{250, 0}, {0, 25}, {400, -15}} {
		p := &player{t: t, b: bench.New(w), lift: 40_000, hold: 700}
		p.adjustAndVerify()
		p.act(bench.PlacePiece, "panel")
		p.act(bench.BeginMeasure, "")
		p.touch(150, 100)
		v := p.b.View()
		p.do(bench.Action{Do: bench.Report, Counts: int64(v.Statistics.Mean), Text: "accept", Allowance: int64(c.counts)})
		r := p.b.Record()
		if got := r.Result.RecordedUm - r.Result.MeanUm; math.Abs(got-c.counts/10) > 1e-9 {
			t.Errorf("%g counts deducted: the result is %.2f µm below the mean", c.counts, got)
		}
		with, _ := r.MeanErrorUm(bench.All)
		without, _ := r.MeanErrorUm(bench.All &^ bench.Allowance)
		if math.Abs(with-without-c.um) > 1e-9 {
			t.Errorf("%g counts deducted: the allowance costs %.3f µm, want %g", c.counts, with-without, c.um)
		}
	}
}
