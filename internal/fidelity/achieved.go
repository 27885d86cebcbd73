package fidelity

import (
	"fmt"
	"math"
	"slices"
)

// achieved are the worst errors the prototypes reached against the same tables, and the limits their notes suggest for
// tests (physics notes, sections 1, 2 and 8).
var achieved = []struct {
	id, quantity   string
	tables         []string
	figure, limits float64
}{
	{"ACHIEVED-EDDY", "half-space, eddy current", []string{"eddy_air_half.csv"}, 3.5e-4, 1e-3},
	{"ACHIEVED-STEEL", "half-space, steel", []string{"magnetic_air_half.csv"}, 4.9e-4, 1e-3},
	{"ACHIEVED-PLATE-E", "plates, aluminium", []string{"eddy_air_plate_0.05.csv"}, 3.4e-4, 1e-3},
	{"ACHIEVED-PLATE-M", "plates, steel", []string{"magnetic_air_plate_0.25.csv", "magnetic_air_plate_0.5.csv", "magnetic_air_plate_1.csv", "magnetic_air_plate_2.csv"}, 2.6e-4, 1e-3},
	{"ACHIEVED-BALL-E", "balls, eddy current", []string{"eddy_air_sphere_5.csv", "eddy_air_sphere_10.csv", "eddy_air_sphere_25.csv"}, 3.4e-4, 1e-3},
	{"ACHIEVED-BALL-M", "balls, steel", []string{"magnetic_air_sphere_5.csv", "magnetic_air_sphere_25.csv"}, 1.9e-3, 3e-3},
	{"ACHIEVED-CORED", "ferrite core, steel, half-space and plate", []string{"magnetic_cored_half.csv", "magnetic_cored_plate_0.5.csv"}, 8e-3, 1.2e-2},
	{"ACHIEVED-CORED-E", "ferrite core, eddy current, half-space", []string{"eddy_cored_half.csv"}, 5e-3, 1.2e-2},
	{"ACHIEVED-EDGE", "edge of permeable metal, mur 300 and above", []string{"magnetic_air_edge_3d.csv"}, 3e-3, 6e-3},
}

// achievedRows set the worst error of tables that were compared beside what the prototypes reached against them.
func achievedRows(tables []TableResult) []Row {
	var rows []Row
	for _, a := range achieved {
		worst, found := 0.0, 0
		for _, t := range tables {
			if slices.Contains(a.tables, t.Name) && !math.IsNaN(t.Worst) {
				found++
				worst = max(worst, t.worstAbove(a.id))
			}
		}
		if found == 0 {
			continue
		}
		rows = append(rows, atMost(a.id, "largest error against finite elements: "+a.quantity, fmt.Sprintf("%d tables", found), worst, a.figure, a.limits))
	}
	return rows
}

// worstAbove is the table's worst error; for the edge, of the rows the prototype's figure is for.
func (t TableResult) worstAbove(id string) float64 {
	if id != "ACHIEVED-EDGE" {
		return t.Worst
	}
	worst := 0.0
	for _, r := range t.Rows {
		if r.Group != "mur 100" && r.Verdict != NotComputed {
			worst = max(worst, r.Error)
		}
	}
	return worst
}

// atMost judges an error of ours against a limit, and says how it stands to what the prototype reached.
func atMost(id, quantity, inputs string, ours, figure, limit float64) Row {
	r := Row{
		ID: id, Section: "Prototype figures: errors reached", Quantity: quantity, Inputs: inputs, Source: "prototype's figure, limit suggested with it",
		Origin: sourceByKey("prototype"), Expected: complex(figure, 0), Got: complex(ours, 0), Unit: "relative",
		Error: ours, Tolerance: limit, AtMost: true, Verdict: Pass,
	}
	switch {
	case !(ours <= limit):
		r.Verdict = Fail
	case ours <= figure:
		r.Reason = "no larger than the prototype's"
	default:
		r.Reason = "larger than the prototype's, within the limit"
	}
	return r
}
