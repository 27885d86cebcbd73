package field

import (
	"bytes"
	"math"
	"os"
	"strings"
	"testing"
)

func generalTables(t testing.TB) []byte {
	t.Helper()
	text, err := os.ReadFile("../probe/tables/ferrous-general.txt")
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func generalShapes(t testing.TB) *Shapes {
	t.Helper()
	shapes, err := ParseShapes(generalTables(t))
	if err != nil {
		t.Fatal(err)
	}
	return shapes
}

// Ratios read from the tables between their nodes against the computation itself.
func TestTablesAgainstComputation(t *testing.T) {
	h := generalHead()
	shapes, scale := generalShapes(t), newShapeScale(h)
	c, w := newCloud(h, tableFineness), newWedge(3*math.Pi/2, 25)
	for _, gap := range []float64{7e-6, 130e-6, 730e-6, 3e-3} {
		x := scale.coordinate(gap) / gapsPerRow
		for _, distance := range []float64{-2.1e-3, -0.4e-3, 0.3e-3, 1.3e-3, 2.6e-3, 7e-3} {
			want := [idealKinds]float64{}
			want[Attracting], want[Repelling] = c.edgeRatio(w, gap, distance)
			for kind, ratio := range want {
				got := 1 / (1 + math.Exp(-shapes.grids[edgeBlock+kind].at(x, edgeCoordinate(distance, h.Coil.OuterRadius))))
				limit := 2e-3
				if distance < 0 {
					limit = 8e-3 // the axis is off the part, the tip on its very edge
				}
				if math.Abs(got-ratio) > limit*ratio {
					t.Errorf("edge, metal that %ss, gap %v, distance %v: table %.5f, computed %.5f", kindNames[kind], gap, distance, got, ratio)
				}
			}
		}
		for _, degrees := range []float64{2.5, 7.5, 12.5, 17.5} {
			want := [idealKinds]float64{}
			want[Attracting], want[Repelling] = c.tiltRatio(h.TipRadius, gap, degrees*degree)
			for kind, ratio := range want {
				got := math.Exp(degrees * degrees * degree * degree * shapes.grids[tiltBlock+kind].at(x, degrees))
				if math.Abs(got-ratio) > 1e-3 {
					t.Errorf("tilt, metal that %ss, gap %v, %v degrees: table %.5f, computed %.5f", kindNames[kind], gap, degrees, got, ratio)
				}
			}
		}
	}
}

// The discretisation behind the tables against a finer one.
func TestTableFineness(t *testing.T) {
	h := generalHead()
	coarse, fine := newCloud(h, tableFineness), newCloud(h, checkFineness)
	w := newWedge(3*math.Pi/2, 25)
	for _, distance := range []float64{0, 2e-3} {
		a, r := coarse.edgeRatio(w, 50e-6, distance)
		fineA, fineR := fine.edgeRatio(w, 50e-6, distance)
		if math.Abs(a-fineA) > 5e-4 || math.Abs(r-fineR) > 5e-4 {
			t.Errorf("edge at %v: %.5f and %.5f, finer %.5f and %.5f", distance, a, r, fineA, fineR)
		}
	}
	a, r := coarse.tiltRatio(h.TipRadius, 50e-6, 10*degree)
	fineA, fineR := fine.tiltRatio(h.TipRadius, 50e-6, 10*degree)
	if math.Abs(a-fineA) > 5e-4 || math.Abs(r-fineR) > 5e-4 {
		t.Errorf("tilt: %.5f and %.5f, finer %.5f and %.5f", a, r, fineA, fineR)
	}
}

// A head with tables: tilt and its sign do not matter beyond the limits set, and small tilt changes little.
func TestTiltedPlaces(t *testing.T) {
	s, err := mustSensor(t, generalHead()).WithShapes(generalShapes(t))
	if err != nil {
		t.Fatal(err)
	}
	for name, o := range map[string]*Over{"steel": mustOver(t, s, Thick(Metal{300, 5e6})), "copper": mustOver(t, s, Thick(Metal{1, 58e6}))} {
		at := func(tilt float64) float64 { return o.Amplitude(Place{Gap: 50e-6, Tilt: tilt, EdgeDistance: NoEdge}) }
		if at(0.1) != at(-0.1) {
			t.Errorf("%s: tilting the other way differs", name)
		}
		if at(MaxTilt) != at(1) {
			t.Errorf("%s: tilt is not held at its limit", name)
		}
		if change := at(1e-4)/at(0) - 1; math.Abs(change) > 1e-7 {
			t.Errorf("%s: a tilt of 1e-4 changes the signal by %v", name, change)
		}
		// Continuous where the rim touches, about 18 degrees.
		for d := 1.0; d < 25; d += 0.5 {
			if jump := at(d*degree+1e-7)/at(d*degree-1e-7) - 1; math.Abs(jump) > 1e-5 {
				t.Errorf("%s: a jump of %v at %v degrees", name, jump, d)
			}
		}
	}
	if lift := generalHead().RimLift(10 * degree); lift != 0 {
		t.Errorf("the rim lifts the general head by %v m at 10 degrees", lift)
	}
	if lift := generalHead().RimLift(25 * degree); !(lift > 0.1e-3 && lift < 1e-3) {
		t.Errorf("the rim lifts the general head by %v m at 25 degrees", lift)
	}
}

func TestShapesAreForOneHead(t *testing.T) {
	h := generalHead()
	h.TipRadius *= 2
	if _, err := mustSensor(t, h).WithShapes(generalShapes(t)); err == nil || !strings.Contains(err.Error(), "go generate") {
		t.Errorf("tables of another head: got %v", err)
	}
}

func TestShapesText(t *testing.T) {
	text := generalTables(t)
	shapes := generalShapes(t)
	again, err := shapes.MarshalText()
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(text, again) {
		t.Error("tables written again differ")
	}
	for _, c := range []struct{ name, old, new, want string }{
		{"empty", string(text), "", "shape tables:2:"},
		{"head", "# head: 2", "# hand: 2", "shape tables:2: got \"# hand: "},
		{"model", "# model: 2", "# model: 0", "shape tables:3: got \"# model: 0\""},
		{"block", "edge repel", "edge repels", "got \"edge repels\", expected \"edge repel\""},
		{"number", "\ntilt attract\n-", "\ntilt attract\nx", "number 1 is \"x"},
		{"short", "\nedge attract\n", "\nedge attract\n1 2 3\n", "shape tables:5: 3 numbers, expected 31"},
	} {
		changed := strings.Replace(string(text), c.old, c.new, 1)
		if _, err := ParseShapes([]byte(changed)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want an error with %q", c.name, err, c.want)
		}
	}
}

func FuzzParseShapes(f *testing.F) {
	f.Add(generalTables(f))
	f.Fuzz(func(t *testing.T, text []byte) {
		shapes, err := ParseShapes(text)
		if err != nil {
			if !strings.HasPrefix(err.Error(), "shape tables:") {
				t.Errorf("error %q does not begin with the place", err)
			}
			return
		}
		written, err := shapes.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := ParseShapes(written); err != nil {
			t.Errorf("what was written is not read: %v", err)
		}
	})
}
