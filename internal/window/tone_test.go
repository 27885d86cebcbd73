//go:build display

package window

import (
	"math"
	"testing"

	"foilwright/internal/widgets"
)

// Tones are soft, short, and begin and end at nothing, so that no edge clicks.
func TestTones(t *testing.T) {
	for c := widgets.CueTouch; c < widgets.CueCount; c++ {
		s := tone(c)
		if n := len(s); n < toneRate/40 || n > toneRate/2 {
			t.Errorf("cue %d lasts %d samples", c, n)
			continue
		}
		most := 0.0
		for _, x := range s {
			most = math.Max(most, math.Abs(float64(x)))
		}
		if most < 0.02 || most > 0.4 || s[0] != 0 || math.Abs(float64(s[len(s)-1])) > 1e-3 {
			t.Errorf("cue %d: loudest %.3f, first %g, last %g", c, most, s[0], s[len(s)-1])
		}
	}
}
