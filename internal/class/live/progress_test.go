package live

import (
	"encoding/json"
	"testing"
	"time"

	"foilwright/sim/bench"
)

// What the board shows follows from what was done, entry by entry; times are
// the server's, not the trainee's.
func TestProgressOfATrainee(t *testing.T) {
	start := time.Date(2026, 3, 9, 10, 0, 0, 0, time.UTC)
	reading := []bench.Event{{Kind: bench.ReadingNew, Counts: 742, N: 4}}
	refused := []bench.Event{{Kind: bench.Refused, Text: "no"}}
	brief := []bench.Event{{Kind: bench.NoReading, Text: "too soon"}}
	probe := bench.Action{Do: bench.MoveProbe, Pose: &bench.Pose{}}
	for _, c := range []struct {
		name     string
		do       []bench.Entry
		after    time.Duration
		stage    string
		readings int
		done     [4]bool
		stuck    bool
	}{
		{"nothing yet", []bench.Entry{{Action: bench.Action{Do: bench.ReadJob}}}, 0, stageReading, 0, [4]bool{}, false},
		{"prepares", []bench.Entry{{Action: bench.Action{Do: bench.WipeTip}}}, 0, stagePrepare, 0, [4]bool{}, false},
		{"measures straight away", []bench.Entry{{Action: probe, Events: reading}}, 0, "measure", 1, [4]bool{3: true}, false},
		{"zeroes", []bench.Entry{{Action: bench.Action{Do: bench.BeginZero}}, {Action: probe, Events: reading}}, 0, "zero", 0, [4]bool{}, false},
		{"has zeroed", []bench.Entry{{Action: bench.Action{Do: bench.BeginZero}}, {Action: bench.Action{Do: bench.StoreZero}}}, 0, "measure", 0, [4]bool{0: true}, false},
		{"zero refused", []bench.Entry{{Action: bench.Action{Do: bench.BeginZero}}, {Action: bench.Action{Do: bench.StoreZero}, Events: refused}}, 0, "zero", 0, [4]bool{}, false},
		{"adjustment lost", []bench.Entry{{Action: bench.Action{Do: bench.StoreZero}}, {Action: bench.Action{Do: bench.ResetAdjustment}}}, 0, "measure", 0, [4]bool{}, false},
		{"deletes one", []bench.Entry{{Action: probe, Events: reading}, {Action: bench.Action{Do: bench.DeleteLast}, Events: []bench.Event{{Kind: bench.Deleted}}}}, 0, "measure", 0, [4]bool{3: true}, false},
		{"four tries went wrong", []bench.Entry{{Action: probe, Events: brief}, {Action: probe, Events: brief}, {Action: probe, Events: refused}, {Action: probe, Events: brief}}, 0, stageReading, 0, [4]bool{}, true},
		{"then one was good", []bench.Entry{{Action: probe, Events: brief}, {Action: probe, Events: brief}, {Action: probe, Events: brief}, {Action: probe, Events: brief}, {Action: probe, Events: reading}}, 0, "measure", 1, [4]bool{3: true}, false},
		{"sits still", []bench.Entry{{Action: bench.Action{Do: bench.ReadJob}}, {Action: probe}}, 4 * time.Minute, stageReading, 0, [4]bool{}, true},
		{"finished and gone", []bench.Entry{{Action: bench.Action{Do: bench.Finish}, Events: []bench.Event{{Kind: bench.Finished}}}}, time.Hour, stageDone, 0, [4]bool{}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			// Entry by entry as in an assessment, and by log lines as in practice.
			var direct, byLines progress
			direct.since, byLines.since = start, start
			var text []byte
			for i, e := range c.do {
				direct.take(e.Action, e.Events, start)
				line, err := json.Marshal(struct {
					N int `json:"n"`
					bench.Action
					Events []bench.Event `json:"ev,omitempty"`
				}{i + 1, e.Action, e.Events})
				if err != nil {
					t.Fatal(err)
				}
				text = append(append(text, line...), '\n')
			}
			byLines.lines(text, start)
			for name, p := range map[string]progress{"entries": direct, "lines": byLines} {
				if p.stage != c.stage || p.readings != c.readings || p.done != c.done || (p.stuck(start.Add(c.after)) != "") != c.stuck {
					t.Errorf("by %s: stage %q, %d readings, done %v, stuck %q", name, p.stage, p.readings, p.done, p.stuck(start.Add(c.after)))
				}
			}
		})
	}
}
