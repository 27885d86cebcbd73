package script_test

import (
	"strings"
	"testing"

	"foilwright/internal/script"
	"foilwright/sim/bench"
	"foilwright/sim/grade"
)

// The thresholds of the exercise are where the checks change their mind: just
// inside them nothing is found, just outside the check is.
func TestThresholdsOfTheChecks(t *testing.T) {
	w, err := sharedWorld()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ check, line, inside, outside string }{
		{"tilt", "touch 62 50\n", "touch 62 50 tilt 5\n", "touch 62 50 tilt 5.1\n"},
		{"dwell-short", "touch 62 50\n", "touch 62 50 hold 600ms\n", "touch 62 50 hold 590ms\n"},
		{"lift-short", "touch 62 50\ntouch 60 53\n", "touch 62 50 lift 25\ntouch 60 53 lift 25\n", "touch 62 50 lift 24.9\ntouch 60 53 lift 24.9\n"},
		{"slide", "touch 62 50\n", "touch 62 50 slide 1\n", "touch 62 50 slide 1.1\n"},
		{"press", "touch 62 50\n", "touch 62 50 press 1\n", "touch 62 50 press 0.9\n"},
		{"press", "touch 62 50\n", "touch 62 50 press 15\n", "touch 62 50 press 15.1\n"},
		{"jerk", "touch 62 50\n", "touch 62 50 land 80\n", "touch 62 50 land 90\n"},
		{"zero-few", "touch 59 50\ntouch 60 49\nstore-zero\n", "touch 59 50\ntouch 60 49\nstore-zero\n", "touch 59 50\nstore-zero\n"},
		{"foil-few", "touch 59 50\ntouch 60 49\nstore-foil\n", "touch 59 50\ntouch 60 49\nstore-foil\n", "touch 59 50\nstore-foil\n"},
		{"foil-label", "set-foil-value 77.2\n", "set-foil-value 77.2\n", "set-foil-value 75\n"},
		{"foil-value", "set-foil-value 77.2\n", "set-foil-value 77.2\n", "set-foil-value 76.8\n"},
		{"readings-few", "touch 60 153\n", "touch 60 153\n", ""},
		{"spot-wide", "touch 60 153\n", "touch 99.9 150\n", "touch 100.2 150\n"},
		{"area-outside", "touch 60 153\n", "touch 60 170.9\n", "touch 60 171.5\n"},
		{"edge-near", "touch 60 50\ntouch 62 50\ntouch 60 53\nnew-spot", "touch 60 50\ntouch 62 50\ntouch 60 53\nnew-spot", "touch 5 50\ntouch 5 53\ntouch 5 51\nnew-spot"},
		{"tip-unchecked", "+1s wipe-tip\n", "+1s look-tip\n", ""},
		{"foil-unchecked", "read-certificate foil-50\n", "read-certificate foil-50\n", ""},
		{"memory-uncleared", "clear-memory\n", "delete-last\ndelete-last\ndelete-last\n", "delete-last\ndelete-last\n"},
		{"verify-missing-start", "begin-verify\ntouch 60 50\ntouch 61 50 tilt 1\ntouch 60 51 tilt 1 -1\njudge-verify good\n", "begin-verify\ntouch 60 50\njudge-verify good\n", ""},
		{"discard-unexplained", "touch 60 153\n", "touch 60 153\ndelete-last it slipped\ntouch 60 153\n", "touch 60 153\ndelete-last\ntouch 60 153\n"},
	} {
		find := func(line string) string {
			if n := strings.Count(competent, c.line); n < 1 {
				t.Fatalf("%s: the script does not hold %q", c.check, c.line)
			}
			text := strings.Replace(competent, c.line, line, 1)
			actions, err := script.Parse("x", []byte(text), 0.1)
			if err != nil {
				t.Fatal(err)
			}
			b := bench.New(w)
			for _, a := range actions {
				if _, err := b.Do(a); err != nil {
					t.Fatal(err)
				}
			}
			mean := int64(b.View().Statistics.Mean + 0.5)
			last := actions[len(actions)-1].At
			verdict := bench.Accept
			if float64(mean)*0.1 < 75 {
				verdict = bench.Reject
			}
			if _, err := b.Do(bench.Action{At: last + 1000, Do: bench.Report, Counts: mean, Text: verdict}); err != nil {
				t.Fatal(err)
			}
			var found []string
			for _, f := range grade.Grade(b.Record()).Findings {
				found = append(found, f.Check)
			}
			return strings.Join(found, " ")
		}
		if got := find(c.inside); got != "" {
			t.Errorf("%s: %q gives %s, want nothing", c.check, c.inside, got)
		}
		if got := find(c.outside); got != c.check {
			t.Errorf("%s: %q gives %q, want it alone", c.check, c.outside, got)
		}
	}
}
