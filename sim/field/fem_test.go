package field

import (
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// The reading path itself, shape tables and all, against independent finite elements (testdata/fem): the probes are those
// of the tables, and their shape tables lie in testdata/shapes (go run ./internal/shapetables testdata/shapes magnetic_air
// magnetic_cored eddy_air).

// femRow is a row of a table by column name.
type femRow map[string]float64

func femTable(t testing.TB, name string) []femRow {
	t.Helper()
	text, err := os.ReadFile("../../testdata/fem/" + name + ".csv")
	if err != nil {
		t.Fatal(err)
	}
	var columns []string
	var rows []femRow
	for line := range strings.Lines(string(text)) {
		line = strings.TrimSpace(line)
		switch {
		case line == "" || line[0] == '#':
		case columns == nil:
			columns = strings.Split(line, ",")
		default:
			row := femRow{}
			for i, field := range strings.Split(line, ",") {
				if row[columns[i]], err = strconv.ParseFloat(field, 64); err != nil {
					t.Fatalf("%s: %v", name, err)
				}
			}
			rows = append(rows, row)
		}
	}
	return rows
}

// femHead returns a probe of the tables, with or without its shapes.
func femHead(name string) Head {
	switch name {
	case "magnetic_air":
		return Head{Coil: magneticCoil.Coil, Frequency: 300, TipRadius: 1.5e-3}
	case "magnetic_cored":
		return Head{Coil: magneticCoil.Coil, Core: &Core{1.25e-3, 8e-3, 0.05e-3, 1000}, Frequency: 300, TipRadius: 1.5e-3}
	case "eddy_air":
		return Head{Coil: eddyCoil.Coil, Frequency: 1e6, TipRadius: 1e-3}
	case "eddy_cored":
		return Head{Coil: eddyCoil.Coil, Core: &Core{0.6e-3, 2.5e-3, 0.05e-3, 1000}, Frequency: 1e6, TipRadius: 1e-3}
	}
	panic(name)
}

func femSensor(t testing.TB, name string) *Sensor {
	t.Helper()
	text, err := os.ReadFile("../../testdata/shapes/" + name + ".txt")
	if err != nil {
		t.Fatal(err)
	}
	shapes, err := ParseShapes(text)
	if err != nil {
		t.Fatal(err)
	}
	s, err := mustSensor(t, femHead(name)).WithShapes(shapes)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Ratios to thick flat metal of the same kind, static: edges, sheet edges, steps, holes, pipes.
func TestReadingPathAgainstStaticFiniteElements(t *testing.T) {
	place := func(gap float64) Place { return Flat(gap) }
	edge := func(r femRow, thickness float64) (Place, float64) {
		p := place(r["liftoff_mm"] * mmm)
		p.EdgeDistance = r["d_mm"] * mmm
		return p, thickness
	}
	thick := math.Inf(1)
	beside := func(f func(r femRow) Feature) func(r femRow) (Place, float64) {
		return func(r femRow) (Place, float64) {
			p := place(r["liftoff_mm"] * mmm)
			p.Beside[0] = f(r)
			return p, thick
		}
	}
	stepDown := beside(func(r femRow) Feature { return StepDown(r["d_mm"]*mmm, 1*mmm) })
	stepUp := beside(func(r femRow) Feature { return StepUp(r["d_mm"]*mmm, 1*mmm) })
	hole := beside(func(r femRow) Feature { return Hole(r["d_mm"]*mmm, 5*mmm) })
	pipe := func(r femRow) (Place, float64) {
		p := place(r["liftoff_mm"] * mmm)
		p.Curvature[0] = 1 / (r["radius_mm"] * mmm)
		return p, thick
	}
	end := func(r femRow) (Place, float64) {
		p, _ := edge(r, thick)
		p.Curvature[0] = 1 / (10 * mmm)
		return p, thick
	}
	// edges adds further edges as far away.
	edges := func(further int) func(r femRow) (Place, float64) {
		return func(r femRow) (Place, float64) {
			p, _ := edge(r, thick)
			for i := range further {
				p.Beside[i] = Edge(p.EdgeDistance, 0)
			}
			return p, thick
		}
	}
	for _, c := range []struct {
		table string
		place func(r femRow) (Place, float64)
		limit float64 // of the ratio
	}{
		{"magnetic_air_corner_3_3d", edges(1), 0.005},
		{"magnetic_cored_corner_3_3d", edges(1), 0.005},
		{"magnetic_air_strip_5_3d", edges(1), 0.003},
		{"magnetic_air_pipe_end_10_3d", end, 0.01},
		{"magnetic_cored_pipe_end_10_3d", end, 0.01},
		{"magnetic_air_edge_3d", func(r femRow) (Place, float64) { return edge(r, thick) }, 0.005},
		{"magnetic_cored_edge_3d", func(r femRow) (Place, float64) { return edge(r, thick) }, 0.005},
		{"magnetic_air_sheet_edge_0.5_3d", func(r femRow) (Place, float64) { return edge(r, 0.5*mmm) }, 0.005},
		{"magnetic_air_sheet_edge_1_3d", func(r femRow) (Place, float64) { return edge(r, 1*mmm) }, 0.005},
		{"magnetic_cored_sheet_edge_0.5_3d", func(r femRow) (Place, float64) { return edge(r, 0.5*mmm) }, 0.005},
		{"magnetic_cored_sheet_edge_1_3d", func(r femRow) (Place, float64) { return edge(r, 1*mmm) }, 0.005},
		{"magnetic_air_step_upper_3d", stepDown, 0.003},
		{"magnetic_cored_step_upper_3d", stepDown, 0.003},
		{"magnetic_air_step_lower_3d", stepUp, 0.003},
		{"magnetic_air_hole_3d", hole, 0.003},
		{"magnetic_air_cylinder_3d", pipe, 0.01},
		{"magnetic_cored_cylinder_3d", pipe, 0.01},
	} {
		t.Run(c.table, func(t *testing.T) {
			s := femSensor(t, strings.Join(strings.Split(c.table, "_")[:2], "_"))
			worst := 0.0
			for _, r := range femTable(t, c.table) {
				if !(r["mur"] > 100) {
					continue
				}
				p, thickness := c.place(r)
				steel := Metal{r["mur"], 0}
				base := Thick(steel)
				if !math.IsInf(thickness, 1) {
					base = Plate(steel, thickness)
				}
				whole := Flat(p.Gap)
				if p.EdgeDistance != NoEdge {
					whole.Curvature = p.Curvature // the end of a pipe is compared with the endless pipe
				}
				got := mustOver(t, s, base).Amplitude(p) / mustOver(t, s, Thick(steel)).Amplitude(whole)
				e := got/r["ratio"] - 1
				worst = math.Max(worst, math.Abs(e))
				t.Logf("%v: %.5f, table %.5f, off by %+.2f %%", r["d_mm"]+r["radius_mm"], got, r["ratio"], 100*e)
				if math.Abs(e) > c.limit {
					t.Errorf("%v: ratio %.5f, table %.5f", r, got, r["ratio"])
				}
			}
			t.Logf("worst %.2f %%", 100*worst)
		})
	}
}

// Changes of impedance, with the metal's own conductivity at the probe's frequency: probe over a hole, on a bar's end, on
// a thin ball, near an edge.
func TestReadingPathAgainstFiniteElements(t *testing.T) {
	over := func(radius float64) func(r femRow) Place {
		return func(r femRow) Place {
			p := Flat(r["liftoff_mm"] * mmm)
			p.Beside[0] = Hole(-radius*mmm, radius*mmm)
			return p
		}
	}
	// A round end counts as the square about it.
	end := func(radius float64) func(r femRow) Place {
		return func(r femRow) Place {
			p := Flat(r["liftoff_mm"] * mmm)
			p.EdgeDistance = radius * mmm
			for i := range p.Beside {
				p.Beside[i] = Edge(radius*mmm, 0)
			}
			return p
		}
	}
	ball := func(radius float64) func(r femRow) Place {
		return func(r femRow) Place {
			p := Flat(r["liftoff_mm"] * mmm)
			p.Curvature = [2]float64{1 / (radius * mmm), 1 / (radius * mmm)}
			return p
		}
	}
	edge := func(r femRow) Place {
		p := Flat(r["liftoff_mm"] * mmm)
		p.EdgeDistance = r["d_mm"] * mmm
		return p
	}
	thick := math.Inf(1)
	for _, c := range []struct {
		table     string
		place     func(r femRow) Place
		thickness float64
		limit     float64 // of the signal over flat metal
	}{
		{"magnetic_air_hole_3", over(3), thick, 0.035},
		{"magnetic_air_hole_6", over(6), thick, 0.035},
		{"magnetic_air_hole_12", over(12), thick, 0.035},
		{"magnetic_cored_hole_6", over(6), thick, 0.035},
		{"eddy_air_hole_1", over(1), thick, 0.01},
		{"eddy_air_hole_2", over(2), thick, 0.02},
		{"eddy_air_hole_3", over(3), thick, 0.035},
		{"eddy_air_hole_6", over(6), thick, 0.035},
		{"magnetic_air_bar_5", end(5), thick, 0.1},
		{"magnetic_air_bar_8", end(8), thick, 0.05},
		{"magnetic_air_bar_12", end(12), thick, 0.02},
		{"magnetic_air_bar_20", end(20), thick, 0.006},
		{"magnetic_cored_bar_8", end(8), thick, 0.055},
		{"magnetic_air_shell_10_0.5", ball(10), 0.5, 0.01},
		{"magnetic_air_shell_25_0.5", ball(25), 0.5, 0.003},
		{"magnetic_cored_shell_10_0.5", ball(10), 0.5, 0.01},
		{"eddy_air_shell_10_0.1", ball(10), 0.1, 0.002},
		{"eddy_air_shell_25_0.1", ball(25), 0.1, 0.002},
		{"eddy_air_sheet_edge_0.1_3d", edge, 0.1, 0.025},
		{"eddy_air_edge_3d", edge, thick, 0.02},
	} {
		t.Run(c.table, func(t *testing.T) {
			s := femSensor(t, strings.Join(strings.Split(c.table, "_")[:2], "_"))
			worst, at := 0.0, ""
			for _, r := range femTable(t, c.table) {
				if r["mur"] > 1000 && c.thickness != thick {
					continue
				}
				metal := Metal{r["mur"], r["sigma_S_per_m"]}
				base := Thick(metal)
				if c.thickness != thick {
					base = Plate(metal, c.thickness*mmm)
				}
				p := c.place(r)
				got := mustOver(t, s, base).Amplitude(p) * s.AirInductance()
				want := math.Hypot(r["dR_ohm"], r["dX_ohm"]) / (2 * math.Pi * r["freq_Hz"])
				flat := mustOver(t, s, Thick(metal)).Amplitude(Flat(p.Gap)) * s.AirInductance()
				e := (got - want) / flat
				if math.Abs(e) > math.Abs(worst) {
					worst, at = e, strconv.FormatFloat(r["liftoff_mm"], 'g', 3, 64)+" mm, mur "+strconv.FormatFloat(r["mur"], 'g', 3, 64)
				}
				t.Logf("%v mm, mur %v, %v S/m, d %v: %.5f, table %.5f of flat", r["liftoff_mm"], r["mur"], r["sigma_S_per_m"], r["d_mm"], got/flat, want/flat)
				if math.Abs(e) > c.limit {
					t.Errorf("%v: %.5f of flat, table %.5f", r, got/flat, want/flat)
				}
			}
			t.Logf("worst %+.2f %% of flat, at %s", 100*worst, at)
		})
	}
}

// The limit of a vanishing skin depth with a ferrite core: metal of permeability 1e-5 keeps all flux out, as such a
// conductor does. Cored eddy-current edges rest on this and, for the depth, on TestEddyEdgeIsNearerByHalfASkinDepth.
func TestRepellingEdgesAgainstFiniteElements(t *testing.T) {
	for _, name := range []string{"magnetic_air", "magnetic_cored"} {
		head := femHead(name)
		for _, r := range femTable(t, name+"_repel_edge_3d") {
			edge, flat, err := IdealAtEdge(head, Repelling, RightAngleEdge, r["liftoff_mm"]*mmm, r["d_mm"]*mmm)
			if err != nil {
				t.Fatal(err)
			}
			e := edge/flat/r["ratio"] - 1
			t.Logf("%s, %v mm: %.5f, table %.5f, off by %+.2f %%", name, r["d_mm"], edge/flat, r["ratio"], 100*e)
			// The tables' own error at 1 mm is 0.1 to 0.4 % (they fall as the mesh grows finer).
			if math.Abs(e) > 0.01 {
				t.Errorf("%s, %v mm: %.5f, table %.5f", name, r["d_mm"], edge/flat, r["ratio"])
			}
		}
	}
}

// Non-ferrous metal on steel is one more layer: zinc under paint, aluminium clad on steel.
func TestMetalOnSteelAgainstFiniteElements(t *testing.T) {
	for _, c := range []struct {
		table, head string
		limit       float64
	}{
		{"magnetic_air_zinc_on_steel_0.1", "magnetic_air", 0.001},
		{"magnetic_cored_zinc_on_steel_0.1", "magnetic_cored", 0.008},
		{"eddy_air_aluminium_on_steel_0.1", "eddy_air", 0.001},
	} {
		s, worst := mustSensor(t, femHead(c.head)), 0.0
		for _, r := range femTable(t, c.table) {
			base := Base{{Metal{r["mur"], r["sigma_S_per_m"]}, 0.1 * mmm}, {Metal{r["mur_2"], r["sigma_2_S_per_m"]}, math.Inf(1)}}
			got := mustOver(t, s, base).DeltaL(Flat(r["liftoff_mm"] * mmm))
			omega := 2 * math.Pi * r["freq_Hz"]
			want := complex(r["dX_ohm"]/omega, -r["dR_ohm"]/omega)
			worst = math.Max(worst, relativeError(got, want))
		}
		t.Logf("%s: worst %.2f %%", c.table, 100*worst)
		if worst > c.limit {
			t.Errorf("%s: off by %.2g", c.table, worst)
		}
	}
}
