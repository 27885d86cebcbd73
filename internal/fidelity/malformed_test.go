package fidelity

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const soundTable = `# source: test
# coil_inner_radius_mm: 0.8
# coil_outer_radius_mm: 1.6
# coil_height_mm: 1
# coil_turns: 40
# coil_recess_mm: 0.2
# core: none
# base: half-space
liftoff_mm,freq_Hz,mur,sigma_S_per_m,dR_ohm,dX_ohm
0,1e+06,1,3.5e+07,4.469538977e-01,-4.659649302e+00
`

func TestMalformedTables(t *testing.T) {
	cases := []struct{ name, old, new, want string }{
		{"empty", soundTable, "", "t.csv:1:1: no rows of numbers"},
		{"no rows", "0,1e+06,1,3.5e+07,4.469538977e-01,-4.659649302e+00\n", "", "t.csv:10:1: no rows"},
		{"not a number", "3.5e+07", "much", `t.csv:10:4: column sigma_S_per_m holds "much", expected a number`},
		{"NaN", "3.5e+07", "NaN", `t.csv:10:4: column sigma_S_per_m holds "NaN"`},
		{"too few", ",3.5e+07", "", "t.csv:10:1: 5 values, expected 6"},
		{"header without colon", "# core: none", "# core none", `t.csv:7:1: header line "# core none" is not of the form`},
		{"header twice", "# core: none", "# core: none\n# core: none", `t.csv:8:1: header "core" was given before on line 7`},
		{"header below", "0,1e+06", "# late: 1\n0,1e+06", "t.csv:10:1: header line after the column names"},
		{"column twice", "mur,sigma_S_per_m", "mur,mur", `t.csv:9:4: column name "mur" is empty or given twice`},
		{"missing header", "# coil_turns: 40\n", "", `t.csv: header "coil_turns" is missing`},
		{"bad header", "coil_turns: 40", "coil_turns: many", `t.csv:5: header "coil_turns" is "many"`},
		{"impossible coil", "outer_radius_mm: 1.6", "outer_radius_mm: 0.5", "the header describes no sound probe"},
		{"infinite", "3.5e+07", "inf", `t.csv:10:4: column sigma_S_per_m holds "inf"; write a finite number (inf, for metal without an end, may stand in d_mm, radius_mm only)`},
		{"NaN with a remedy", "3.5e+07", "nan", "write the number, or leave the row out (nan may stand in mesh_error, ratio_coarse, extrapolation_step only)"},
		{"infinite header", "coil_turns: 40", "coil_turns: inf", `t.csv:5: header "coil_turns" is "inf", expected a finite number`},
		{"no source", "# source: test\n", "", `t.csv: header "source" is missing`},
		{"unknown base", "base: half-space", "base: torus", `t.csv:8: cannot tell what base the table is for: header base is "torus"; known bases begin with: half-space; plate; spherical hollow;`},
		{"no base", "# base: half-space\n", "", `cannot tell what base the table is for: header base is ""`},
		{"missing column", "dX_ohm", "dY_ohm", `column "dX_ohm" is missing`},
		{"impossible metal", "1,3.5e+07", "0.5,3.5e+07", "t.csv:10: field: base: layers[0].metal.relPermeability is 0.5"},
		{"plate without thickness", "base: half-space", "base: plate", `header "base_thickness_mm" is missing`},
		{"negative lift-off", "\n0,1e+06", "\n-1,1e+06", "t.csv:10:1: lift-off is -1 mm"},
	}
	if _, err := CompareTable("t.csv", strings.NewReader(soundTable), 0); err != nil {
		t.Fatalf("the sound table: %v", err)
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			text := strings.Replace(soundTable, c.old, c.new, 1)
			if text == soundTable {
				t.Fatal("the case changes nothing")
			}
			_, err := CompareTable("t.csv", strings.NewReader(text), 0)
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want an error with %q", err, c.want)
			}
		})
	}
	bar := strings.Replace(soundTable, "base: half-space", "base: flat end face of a round bar\n# base_radius_mm: 5", 1)
	if r, err := CompareTable("t.csv", strings.NewReader(bar), 0); err != nil || r.Verdict != NotComputed || !strings.Contains(r.Reason, "shape tables") {
		t.Errorf("a bar without shape tables: %+v, %v", r, err)
	}
	// Five millimetres are far for this coil: the signal is that over flat metal, and half of it is refused.
	if r, err := compareTable("t.csv", strings.NewReader(bar), 0, shapeTables); err != nil || r.Verdict != Pass {
		t.Errorf("a wide bar: %+v, %v", r, err)
	}
	half := strings.Replace(bar, "4.469538977e-01,-4.659649302e+00", "0.22,-2.3", 1)
	if r, err := compareTable("t.csv", strings.NewReader(half), 0, shapeTables); err != nil || r.Verdict != Fail {
		t.Errorf("half the signal of a wide bar: %+v, %v", r, err)
	}
	slow := strings.Replace(bar, "1e+06", "2e+06", 1)
	if r, err := compareTable("t.csv", strings.NewReader(slow), 0, shapeTables); err != nil || r.Verdict != NotComputed || !strings.Contains(r.Reason, "frequency") {
		t.Errorf("a bar at another frequency: %+v, %v", r, err)
	}
	if _, err := CompareTable("t.csv", strings.NewReader(soundTable), -1); err == nil {
		t.Error("a negative tolerance is taken")
	}
}

// The same coil over parts that 3-D finite elements were run for; one row each is enough to see that the part is told and
// that a wrong ratio is refused.
func TestSolids(t *testing.T) {
	for _, c := range []struct {
		base, column, row string
		verdict           Verdict // with the probe's shape tables
	}{
		{"right-angle edge of a thick block", "d_mm", "0.5,inf,300,1,1,1,0", Pass},
		{"right-angle edge of a thick block", "d_mm", "0.5,1,300,1,1,0.6,0", Fail},
		{"straight edge of a flat sheet 1 mm thick with air below", "d_mm", "0.5,inf,300,1,1,1,0", Pass},
		{"straight edge of a flat sheet 1 mm thick with air below", "d_mm", "0.5,1,300,1,1,1,0", Fail},
		{"corner of a thick plate", "d_mm", "0.5,30,300,1,1,1,0", Pass},
		{"corner of a thick plate", "d_mm", "0.5,1,300,1,1,1,0", Fail},
		{"strip of a thick plate", "d_mm", "0.5,1,300,1,1,1,0", Fail},
		{"sphere, probe axis radial", "radius_mm", "0.5,5,300,1,1,1,0", Fail},
		{"long convex cylinder, probe axis radial", "radius_mm", "0.5,400,300,1,1,1,0", Pass},
		{"long convex cylinder, probe axis radial", "radius_mm", "0.5,5,300,1,1,1,0", Fail},
		{"thick block with a round through hole of radius 5 mm", "d_mm", "0.5,20,300,1,1,1,0", Pass},
		{"thick block with a round through hole of radius 5 mm", "d_mm", "0.5,0.5,300,1,1,1,0", Fail},
		{"step 1 mm high in a thick block, probe on the upper level", "d_mm", "0.5,0.5,300,1,1,1,0", Fail},
		{"step 1 mm high in a thick block, probe on the lower level", "d_mm", "0.5,2,300,1,1,1.1,0", Fail},
		{"torus", "d_mm", "0.5,2,300,1,1,1,0", NotComputed},
	} {
		text := strings.Replace(soundTable, "base: half-space", "base: "+c.base, 1)
		text = text[:strings.Index(text, "liftoff_mm")] + "liftoff_mm," + c.column + ",mur,dL_flat_H,dL_H,ratio,mesh_error\n" + c.row + "\n"
		r, err := compareTable("t.csv", strings.NewReader(text), 0, shapeTables)
		if err != nil || r.Verdict != c.verdict {
			t.Errorf("%s, %s: verdict %s, %v; expected %s", c.base, c.row, r.Verdict, err, c.verdict)
		}
		if strings.HasPrefix(c.base, "sphere") {
			continue // by its series, for any probe
		}
		// Another probe, or no folder, has no shape tables.
		other := strings.Replace(text, "coil_turns: 40", "coil_turns: 41", 1)
		for folder, text := range map[string]string{shapeTables: other, "": text} {
			if r, err := compareTable("t.csv", strings.NewReader(text), 0, folder); err != nil || r.Verdict != NotComputed {
				t.Errorf("%s without shape tables: verdict %s, %v", c.base, r.Verdict, err)
			}
		}
	}
	for _, c := range []struct{ base, want string }{
		{"step in a thick block", "t.csv:8: header base \"step in a thick block\" gives no length after \"step\""},
		{"thick block with a through hole", "gives no length after \"radius\""},
		{"edge of a flat sheet, thin", "gives no thickness"},
		{"end of a long solid cylinder", "header \"base_radius_mm\" is missing"},
	} {
		text := strings.Replace(soundTable, "base: half-space", "base: "+c.base, 1)
		text = text[:strings.Index(text, "liftoff_mm")] + "liftoff_mm,d_mm,mur,ratio,mesh_error\n0.5,1,300,1,0\n"
		if _, err := compareTable("t.csv", strings.NewReader(text), 0, shapeTables); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want an error with %q", c.base, err, c.want)
		}
	}
}

// A comparison that cannot fail proves nothing: a table with a wrong number must be refused.
func TestWrongTableFails(t *testing.T) {
	wrong := strings.Replace(soundTable, "-4.659649302e+00", "-4.700000000e+00", 1)
	r, err := CompareTable("t.csv", strings.NewReader(wrong), 0)
	if err != nil {
		t.Fatal(err)
	}
	if r.Verdict != Fail || r.Rows[0].Verdict != Fail {
		t.Errorf("verdict %s for a reactance 1 %% off", r.Verdict)
	}
	if r, _ = CompareTable("t.csv", strings.NewReader(wrong), 0.02); r.Verdict != Pass {
		t.Errorf("verdict %s with a tolerance of 2 %%", r.Verdict)
	}
}

func TestMalformedChecks(t *testing.T) {
	const head = "id,quantity,inputs,expected value,tolerance,unit,source,confidence\n"
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", "c.csv:1:1: empty list"},
		{"columns", "id,name\n", "c.csv:1"},
		{"column name", strings.Replace(head, "unit", "units", 1), `c.csv:1:6: column is "units", expected "unit"`},
		{"short line", head + "SKIN-X,a,b\n", "c.csv:2"},
		{"no expected", head + "LIFT-0,q,i,none,1 %,-,s,c\n", `c.csv:2: check LIFT-0: expected value: no number in "none"`},
		{"no tolerance", head + "LIFT-0,q,i,1,none,-,s,c\n", "c.csv:2: check LIFT-0: tolerance"},
		{"no input", head + "MAG-9,q,i,1,1 %,-,s,c\n", `c.csv:2: check MAG-9: inputs "i" lack "mu_r="`},
		{"unknown id", head + "LUCK-1,q,i,1,1 %,-,s,c\n", `c.csv:2: no computation knows the id "LUCK-1"; ids begin with SKIN-`},
		{"impossible input", head + "MAG-9,q,mu_r=0.1,1,1 %,-,s,c\n", "relPermeability is 0.1"},
	} {
		if _, err := CheckRows("c.csv", strings.NewReader(c.text)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want an error with %q", c.name, err, c.want)
		}
	}
}

func FuzzParseTable(f *testing.F) {
	f.Add(soundTable)
	paths, _ := filepath.Glob(filepath.Join(reference, "*_half.csv"))
	for _, p := range paths {
		text, err := os.ReadFile(p)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text))
	}
	f.Fuzz(func(t *testing.T, text string) {
		table, err := ParseTable("t.csv", strings.NewReader(text))
		if err != nil {
			if !strings.HasPrefix(err.Error(), "t.csv:") {
				t.Errorf("error %q does not begin with the file", err)
			}
			return
		}
		for _, l := range table.Lines {
			if len(l.Values) != len(table.Columns) {
				t.Errorf("line %d has %d values for %d columns", l.Line, len(l.Values), len(table.Columns))
			}
		}
		// Whatever parses must be told apart or refused, never crash.
		table.kind()
		table.probeHead()
	})
}

func FuzzReadChecks(f *testing.F) {
	f.Add("id,quantity,inputs,expected value,tolerance,unit,source,confidence\nLIFT-0,q,i,1;2,2 % or 0.01,-,s,c\n")
	f.Fuzz(func(t *testing.T, text string) {
		checks, err := readChecks("c.csv", strings.NewReader(text))
		if err != nil {
			return
		}
		for _, c := range checks {
			c.row(1)
			c.skipped("test")
		}
	})
}

const lackTable = `# source: independent 3-D finite elements, test
# coil_inner_radius_mm: 1.5
# coil_outer_radius_mm: 3.5
# coil_height_mm: 4
# coil_turns: 500
# coil_recess_mm: 0.3
# core: none
# base: right-angle edge of a thick block
liftoff_mm,d_mm,mur,sigma_S_per_m,lack,mesh_error
0.5,1,300,0,1.022,0.002
`

// What metal lacks is refused where it is wrong, and where an edge has no more of it than flat metal.
func TestLackFails(t *testing.T) {
	for _, c := range []struct {
		old, new string
		want     Verdict
	}{
		{"1.022", "1.022", Pass},
		{"1.022", "1.5", Fail},
		{"1.022", "0", Fail},
		{"0.5,1,", "0.5,3,", Fail},
		{"right-angle edge of a thick block", "torus", NotComputed},
	} {
		r, err := compareTable("t.csv", strings.NewReader(strings.Replace(lackTable, c.old, c.new, 1)), 0, shapeTables)
		if err != nil || r.Verdict != c.want {
			t.Errorf("%s for %s: %+v, %v, want %s", c.new, c.old, r, err, c.want)
		}
	}
	if r, err := CompareTable("t.csv", strings.NewReader(lackTable), 0); err != nil || r.Verdict != NotComputed || !strings.Contains(r.Reason, "shape tables") {
		t.Errorf("without shape tables: %+v, %v", r, err)
	}
	hole := strings.Replace(lackTable, "right-angle edge of a thick block", holeAxisBegins, 1)
	if _, err := compareTable("t.csv", strings.NewReader(hole), 0, shapeTables); err == nil || !strings.Contains(err.Error(), `column "dL_ideal_H" is missing`) {
		t.Errorf("over a hole without the ideal signal: %v", err)
	}
}
