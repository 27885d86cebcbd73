package script_test

import (
	"errors"
	"os"
	"strings"
	"testing"

	"foilwright/internal/script"
	"foilwright/scenarios"
	"foilwright/sim/bench"
	"foilwright/sim/grade"
)

// competent is the whole job of the first exercise.
var competent = func() string {
	data, err := os.ReadFile("../../testdata/scripts/painted-panel.txt")
	if err != nil {
		panic(err)
	}
	return string(data)
}()

func TestAScriptPlaysTheWholeJob(t *testing.T) {
	e, err := scenarios.ByID("painted-panel")
	if err != nil {
		t.Fatal(err)
	}
	w, err := bench.NewWorld(e, 7)
	if err != nil {
		t.Fatal(err)
	}
	actions, err := script.Parse("x", []byte(competent), e.Instrument.ResolutionUm)
	if err != nil {
		t.Fatal(err)
	}
	b := bench.New(w)
	for _, a := range actions {
		events, err := b.Do(a)
		if err != nil {
			t.Fatal(err)
		}
		for _, ev := range events {
			if ev.Kind == bench.Refused {
				t.Errorf("%s at %d ms refused: %s", a.Do, a.At, ev.Text)
			}
		}
	}
	for _, f := range grade.Grade(b.Record()).Findings {
		if f.Check != "report-missing" {
			t.Errorf("%s: %s", f.Check, f.What)
		}
	}
}

func TestTimes(t *testing.T) {
	actions, err := script.Parse("x", []byte("read-job\n+1s look-tip\n2500ms wipe-tip\nwait\n10s finish\n"), 0.1)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []int64{0, 1000, 2500, 3000, 10000} {
		if actions[i].At != want {
			t.Errorf("action %d at %d ms, want %d", i, actions[i].At, want)
		}
	}
}

func TestFaultsSayWhereAndWhatToDo(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"unknown action", "read-job\njuggle\n", `x:2: unknown action "juggle"; `},
		{"time backwards", "2s read-job\n1s wipe-tip\n", "x:2: the time 1s lies before"},
		{"no unit", "12 read-job\n", `x:1: "12" is no time`},
		{"time alone", "+1s\n", "x:1: there is no action after the time"},
		{"no item", "place\n", `x:1: "place" does not take ""; write: place ID`},
		{"too many words", "read-job twice\n", `x:1: "read-job" does not take "twice"`},
		{"no place", "touch 60\n", `x:1: "touch" needs a place`},
		{"no number", "touch a b\n", `x:1: "touch" needs a place`},
		{"no height", "probe 1 2\n", "x:1: the probe's height is missing"},
		{"unknown setting", "touch 1 2 up 3\n", `x:1: "touch" does not know "up"; it takes: lift,`},
		{"out of bounds", "touch 1 2 tilt 120\n", `x:1: tilt "120" is no number from -90 to 90`},
		{"exponent", "set-foil-value 1e9\n", `x:1: "1e9" is no thickness`},
		{"verdict", "report 78.4 perhaps\n", "x:1: "},
		{"allowance", "report 78.4 less accept\n", "x:1: "},
		{"allowance as a number", "report 78.4 less much accept\n", "x:1: "},
		{"nothing", "# only a comment\n", "x:1: there are no actions"},
		{"not text", "\xff\xfe", "x:1: the script is not UTF-8"},
	} {
		_, err := script.Parse("x", []byte(c.text), 0.1)
		if err == nil || !strings.HasPrefix(err.Error(), c.want) || !strings.Contains(err.Error(), "; ") {
			t.Errorf("%s: got %v", c.name, err)
		}
	}
	_, err := script.Parse("x", []byte("juggle\ndance\n"), 0.1)
	var faults script.Faults
	if !errors.As(err, &faults) || len(faults) != 2 {
		t.Errorf("two faults: got %v", err)
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(competent))
	f.Add([]byte("+1ms probe -1 2.5 up 0 tilt -3 press 2 # x\n"))
	f.Add([]byte("touch 1 2 hold 0.0001s slide -3 land 0.1\n30000s report -0 reject\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		actions, err := script.Parse("fuzz", data, 0.1)
		if err != nil {
			return
		}
		// What is read is something a bench can be given.
		at := int64(0)
		for i, a := range actions {
			if a.At < at {
				t.Fatalf("action %d runs backwards", i)
			}
			at = a.At
			if a.Do == bench.MoveProbe && (a.Pose == nil || a.Pose.HeightUm < 0 || a.Pose.PressMN < 0) {
				t.Fatalf("action %d has the pose %+v", i, a.Pose)
			}
		}
	})
}
