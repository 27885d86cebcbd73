package live

import (
	"testing"

	"foilwright/scenarios"
	"foilwright/sim/bench"
	"foilwright/sim/grade"
	"foilwright/sim/trainee"
)

// Who works as one should is accused of nothing on the way.
func TestACompetentTraineeIsAccusedOfNothing(t *testing.T) {
	for i, e := range scenarios.Shipped() {
		if i%5 > 0 {
			continue // one of five will do
		}
		w, err := bench.NewWorld(e, 7)
		if err != nil {
			t.Fatal(err)
		}
		whole, err := trainee.Play(w, 7)
		if err != nil {
			t.Fatal(err)
		}
		b := bench.New(w)
		for i, entry := range whole.Record().Entries {
			events, err := b.Do(entry.Action)
			if err != nil {
				t.Fatal(err)
			}
			if len(events) == 0 && i%10 > 0 {
				continue
			}
			if found := SoFar(grade.Grade(b.Record())); len(found) > 0 {
				t.Errorf("%s, entry %d: %v", e.ID, entry.N, found)
				break
			}
		}
	}
}
