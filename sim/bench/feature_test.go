package bench

import (
	"math"
	"testing"

	"foilwright/sim/field"
	"foilwright/sim/part"
)

// A reading beside a feature moves by what the field core says of a place at
// that distance, one far away does not move at all.
func TestFeaturesMoveTheReading(t *testing.T) {
	const height, radius = 2e-3, 8e-3
	hole := part.Feature{Kind: part.Hole, X: 0.1, Y: 0.07, Radius: radius}
	step := part.Feature{Kind: part.Step, At: 0.1, Height: height, FarUp: true}
	weld := part.Feature{Kind: part.Weld, At: 0.1, Width: 8e-3, Height: height}
	beside := func(f ...field.Feature) field.Place {
		p := field.Flat(0)
		copy(p.Beside[:], f)
		return p
	}
	bent := field.Flat(0)
	bent.Curvature = [2]float64{1 / 0.04, 0}
	for _, c := range []struct {
		name    string
		feature part.Feature
		xUm     int64 // of the contact; it stands at y = 70 mm
		place   field.Place
		sign    float64 // of what it adds to a reading; 0: nothing at all
	}{
		{"beside a hole", hole, 90_000, beside(field.Hole(2e-3, radius)), 1},
		{"over a hole", hole, 93_000, beside(field.Hole(-1e-3, radius)), 1},
		{"far from a hole", hole, 20_000, field.Flat(0), 0},
		{"on a step", step, 102_000, beside(field.StepDown(2e-3, height)), 1},
		{"at the foot of a step", step, 98_000, beside(field.StepUp(2e-3, height)), -1},
		{"far below a step", step, 20_000, field.Flat(0), 0},
		{"far up on a step", step, 180_000, field.Flat(0), 0},
		{"beside a weld", weld, 94_000, beside(field.StepUp(2e-3, height)), -1},
		{"on a weld", weld, 101_000, beside(field.StepDown(3e-3, height), field.StepDown(5e-3, height)), 1},
		{"far from a weld", weld, 20_000, field.Flat(0), 0},
		{"on a bend", part.Feature{Kind: part.Bend, At: 0.1, Width: 0.03, Radius: 0.04}, 100_000, bent, 1},
		{"far from a bend", part.Feature{Kind: part.Bend, At: 0.1, Width: 0.03, Radius: 0.04}, 20_000, field.Flat(0), 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			w, contact := everywhere(t, func(e *Exercise) {
				p := &e.Part.Piece
				*p = part.Piece{
					ID: p.ID, Width: 0.2, Height: 0.14, Metal: p.Metal, Thickness: 0.02,
					Sides: part.Sides{Left: part.GoesOn, Right: part.GoesOn, Bottom: part.GoesOn, Top: part.GoesOn}, Features: []part.Feature{c.feature},
				}
			})
			*contact = Contact{Mode: Measuring, foil: -1, XUm: c.xUm, YUm: 70_000, HeldMs: 600, PressMN: 1500}
			ch := &w.channels[0]
			read := func(on Influence) float64 { return ch.curve.ThicknessUm(responseAt(w, contact, on)) }
			const on = All &^ Edge
			moved := read(on) - read(on&^Feature)
			switch {
			case c.sign == 0:
				if moved != 0 {
					t.Errorf("the reading moves by %g µm", moved)
				}
			case !(moved*c.sign > 0.5):
				t.Errorf("the reading moves by %g µm, want it to move to side %+g", moved, c.sign)
			}
			// The same by the field core alone, at the gap of a flat place with this signal.
			over := ch.bases[0].own()
			gap, ok := over.GapFor(responseAt(w, contact, on&^Feature))
			c.place.Gap = gap
			if want := over.Amplitude(c.place); !ok || math.Abs(responseAt(w, contact, on)/want-1) > 1e-9 {
				t.Errorf("the signal is %v, the field core says %v", responseAt(w, contact, on), want)
			}
			if bears := w.bearing(contact).Has(Feature); !bears {
				t.Error("the feature is not said to bear on the contact")
			}
		})
	}
}

// A blunt edge takes away less than a square one as near, a sharp one more, and
// a corner more than one edge.
func TestEdgesOfOtherAnglesAndCorners(t *testing.T) {
	read := func(angleDeg float64, yUm int64) float64 {
		w, contact := everywhere(t, func(e *Exercise) {
			e.Part.Coating.Patches, e.Part.Coating.WavinessUm = nil, 0 // the same film everywhere
			p := &e.Part.Piece
			*p = part.Piece{ID: p.ID, Width: 0.2, Height: 0.14, Metal: p.Metal, Thickness: math.Inf(1), Angles: part.Angles{Left: angleDeg * math.Pi / 180}}
		})
		*contact = Contact{Mode: Measuring, foil: -1, XUm: 2_000, YUm: yUm, HeldMs: 600, PressMN: 1500}
		return w.channels[0].curve.ThicknessUm(responseAt(w, contact, All)) - w.channels[0].curve.ThicknessUm(responseAt(w, contact, All&^Edge))
	}
	blunt, square, sharp, corner := read(225, 70_000), read(0, 70_000), read(315, 70_000), read(0, 2_000)
	if !(0.3 < blunt && 1.2*blunt < square && 1.05*square < sharp) {
		t.Errorf("edges of 225°, 270°, 315° move the reading by %.2f, %.2f and %.2f µm", blunt, square, sharp)
	}
	if !(corner > 1.9*square && corner < 2.6*square) {
		t.Errorf("a corner moves the reading by %.2f µm, one edge by %.2f", corner, square)
	}
	// A square edge given by its angle is the square edge of thick metal.
	if same := read(270, 70_000); math.Abs(same/square-1) > 0.02 {
		t.Errorf("an edge of 270° moves the reading by %.2f µm, the plain one by %.2f", same, square)
	}
}

func responseAt(w *World, c *Contact, on Influence) float64 {
	var st standing
	w.stand(c, &st)
	return w.response(c, &st, on)
}
