package window

import (
	"math"

	"foilwright/internal/widgets"
)

// toneRate is the samples to a second of a tone.
const toneRate = 44_100

// note is a part of a tone: a pitch that begins, and dies away.
type note struct {
	hz, atMs, lastMs, loud float64
}

// notes of each cue. All are short and soft: a workshop is loud enough.
var notes = [widgets.CueCount][]note{
	widgets.CueTouch:   {{180, 0, 35, 0.20}},
	widgets.CueMissed:  {{330, 0, 90, 0.16}, {247, 90, 140, 0.16}},
	widgets.CueReading: {{880, 0, 60, 0.16}, {1175, 55, 110, 0.16}},
	widgets.CueStored:  {{660, 0, 80, 0.14}, {880, 70, 80, 0.14}, {1320, 140, 160, 0.12}},
	widgets.CueRefused: {{196, 0, 140, 0.22}},
}

// tone makes the samples of a cue, -1 to 1.
func tone(c widgets.Cue) []float32 {
	end := 0.0
	for _, n := range notes[c] {
		end = math.Max(end, n.atMs+n.lastMs)
	}
	out := make([]float32, int(end*toneRate/1000))
	for _, n := range notes[c] {
		from, count := int(n.atMs*toneRate/1000), int(n.lastMs*toneRate/1000)
		for i := range count {
			if from+i >= len(out) {
				break
			}
			t, share := float64(i)/toneRate, float64(i)/float64(count)
			// A soft beginning and an end at nothing, so that no edge clicks.
			swell := math.Min(1, share*12) * (1 - share) * (1 - share)
			wave := math.Sin(2*math.Pi*n.hz*t) + 0.25*math.Sin(4*math.Pi*n.hz*t)
			out[from+i] += float32(n.loud * swell * wave)
		}
	}
	return out
}
