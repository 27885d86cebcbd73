package picture

import (
	"fmt"
	"math"
	"testing"

	"foilwright/internal/paint"
	"foilwright/sim/bench"
	"foilwright/sim/num"
	"foilwright/sim/part"
)

func testPen(l *paint.List) *Pen {
	t := paint.Light()
	return &Pen{List: l, Size: 12, Labels: NewLabels(), Inks: Inks{
		Paper: t.Sheet, Ink: t.Ink, Soft: t.InkSoft, Faint: t.Line, Metal: t.Well, Film: t.ActTint, Foil: t.TruthTint,
		Act: t.Act, Truth: t.Truth, Bad: t.Bad}}
}

func testPiece() *part.Piece {
	spec := part.CoatingSpec{MeanUm: []part.Range{{Low: 70, High: 80}}, WavinessUm: 2, WavelengthM: part.Range{Low: 0.1, High: 0.3}}
	return &part.Piece{ID: "p", Name: "Panel", Width: 0.3, Height: 0.2, Thickness: 3e-3, Coating: spec.Realise(num.NewStream(1, "test"))}
}

func TestPlanGoesThereAndBack(t *testing.T) {
	for _, c := range []struct{ w, h, pw, ph float64 }{{700, 400, 300, 200}, {200, 600, 120, 100}, {60, 60, 1000, 20}} {
		pl := PlanIn(paint.R(10, 20, c.w, c.h), c.pw, c.ph, 12)
		for _, q := range [][2]float64{{0, 0}, {c.pw, c.ph}, {c.pw / 3, c.ph / 7}} {
			at := pl.At(q[0], q[1])
			x, y := pl.Mm(at.X, at.Y)
			if math.Abs(x-q[0]) > 1e-9 || math.Abs(y-q[1]) > 1e-9 {
				t.Errorf("%v: %v came back as %g, %g", c, q, x, y)
			}
		}
		o := pl.Outline
		if pl.Scale > 0 && (o.X < 10 || o.Y < 20 || o.Right() > 10+c.w || o.Bottom() > 20+c.h) {
			t.Errorf("%v: outline %v leaves its sheet", c, o)
		}
	}
}

// Up on the piece is up on the screen.
func TestPlanHasYUp(t *testing.T) {
	pl := PlanIn(paint.R(0, 0, 600, 400), 300, 200, 12)
	if pl.At(0, 200).Y >= pl.At(0, 0).Y {
		t.Error("y grows downward")
	}
}

func TestPicturesOfTheBenchDoNotAllocate(t *testing.T) {
	var l paint.List
	p := testPen(&l)
	piece := testPiece()
	area := part.Area{X: 0.03, Y: 0.03, Width: 0.24, Height: 0.14}
	above := Above{Piece: piece, Area: &area, AreaName: "area", FoilName: "foil 75", EdgeBelow: 25, SpotMm: 40, SpotX: 60, SpotY: 60,
		Marks: []Mark{{X: 60, Y: 60, Spot: 1, First: true}, {X: 62, Y: 60, Struck: true}}}
	cut := Cut{Piece: piece, FilmUm: 75, FoilUm: 50}
	pl := PlanIn(paint.R(0, 0, 600, 400), 300, 200, 12)
	i := 0
	draw := func() {
		i++
		pr := Probe{X: 5 + float64(i%20), Y: 100, Height: float64(i % 36), TiltY: float64(i % 7), Touching: i%36 == 0, BodyRadius: 8, TipRadius: 1.5}
		above.Probe, cut.Probe = pr, pr
		l.Reset()
		p.DrawPlan(pl, &above)
		p.DrawSection(paint.R(0, 400, 400, 260), &cut)
		p.DrawDetail(paint.R(400, 400, 260, 260), &cut)
	}
	for range 100 {
		draw()
	}
	if n := testing.AllocsPerRun(200, draw); n >= 0.5 {
		t.Errorf("%.2f allocations a frame", n)
	}
}

// Pictures with nothing to show, in no room at all, or with the probe off the
// piece, are drawn without a fault.
func TestPicturesInOddPlaces(t *testing.T) {
	var l paint.List
	p := testPen(&l)
	piece := testPiece()
	for _, r := range []paint.Rect{paint.R(0, 0, 0, 0), paint.R(0, 0, 30, 30), paint.R(0, 0, 900, 40), paint.R(0, 0, 500, 500)} {
		for _, pr := range []Probe{{X: -10, Y: -10, Height: 3, Beside: true}, {X: 300, Y: 200, Touching: true, TiltX: 30, TiltY: -30}, {X: 150, Y: 100, Height: 60}} {
			l.Reset()
			cut := Cut{Piece: piece, FilmUm: 75, Probe: pr}
			p.DrawSection(r, &cut)
			p.DrawDetail(r, &cut)
			none := Cut{Probe: pr}
			p.DrawSection(r, &none)
			p.DrawDetail(r, &none)
			p.DrawPlan(PlanIn(r, 300, 200, 12), &Above{Piece: piece, Probe: pr, EdgeBelow: 25})
			figure := func(float64) string { return "1" }
			p.DrawSpotMap(r, piece, part.Area{}, nil, figure)
			p.DrawReadings(r, nil, 75, "level", figure)
			p.DrawReadings(r, []Taken{{Um: 75, TrueUm: 75}}, 75, "level", figure)
			paint.Render(&l, 500, 500, 1)
		}
	}
}

func TestNiceStep(t *testing.T) {
	for _, c := range []struct{ in, want float64 }{{0, 1}, {0.3, 0.5}, {1, 1}, {1.2, 2}, {4, 5}, {7, 10}, {23, 50}} {
		if got := NiceStep(c.in); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("NiceStep(%g) = %g, want %g", c.in, got, c.want)
		}
	}
}

// What was seen of tip and foil is drawn, and changes the picture; what was not
// seen is not.
func TestConditionsAreDrawn(t *testing.T) {
	piece := &part.Piece{Width: 0.12, Height: 0.1, Thickness: 0.003}
	draw := func(change func(*Cut)) string {
		var list paint.List
		p := Pen{List: &list, Inks: inksOf(paint.Light()), Size: 12, Labels: NewLabels()}
		cut := Cut{Piece: piece, FoilUm: 50, Probe: Probe{X: 60, Y: 50, TipRadius: 1.5, Touching: true}}
		change(&cut)
		r := paint.R(0, 0, 300, 240)
		p.DrawSection(r, &cut)
		p.DrawDetail(r, &cut)
		return fmt.Sprint(paint.Render(&list, 300, 240, 1).Pix)
	}
	plain := draw(func(*Cut) {})
	seen := map[string]string{plain: "plain"}
	for name, change := range map[string]func(*Cut){
		"dirty tip": func(c *Cut) { c.Tip.Dirty = true },
		"worn tip":  func(c *Cut) { c.Tip.Worn = true },
		"dust":      func(c *Cut) { c.Dusty = true },
		"crease":    func(c *Cut) { c.Seen = bench.FoilSeen{Condition: part.FoilCreased, Cos: 1} },
		"burr":      func(c *Cut) { c.Seen = bench.FoilSeen{Condition: part.FoilBurred, Cos: 1} },
		"worn foil": func(c *Cut) { c.Seen = bench.FoilSeen{Condition: part.FoilWorn} },
		"curl":      func(c *Cut) { c.Seen.Curled = true },
		"stack":     func(c *Cut) { c.BelowUm = 75 },
	} {
		picture := draw(change)
		if other, same := seen[picture]; same {
			t.Errorf("%s looks like %s", name, other)
		}
		seen[picture] = name
	}
	if draw(func(c *Cut) { c.Seen.Curled, c.Smoothed = true, true }) != plain {
		t.Error("a foil smoothed down is drawn curled")
	}
}

// The name of the area gives way to a hole that lies at its corner.
func TestTheNameOfTheAreaKeepsClearOfHoles(t *testing.T) {
	piece := &part.Piece{Width: 0.3, Height: 0.2}
	above := Above{Piece: piece, Area: &part.Area{X: 0.02, Y: 0.02, Width: 0.26, Height: 0.16}, AreaName: "area"}
	p := Pen{List: &paint.List{}, Size: 12, Labels: NewLabels()}
	pl := PlanIn(paint.R(0, 0, 600, 400), 300, 200, 12)
	place := func() float64 { return p.areaNameY(pl, &above, p.areaRect(pl, above.Area)) }
	free := place()
	piece.Features = []part.Feature{{Kind: part.Hole, X: 0.03, Y: 0.17, Radius: 0.01}}
	if moved := place(); moved <= free {
		t.Errorf("the name is at %.0f over a hole, at %.0f without one", moved, free)
	}
}
