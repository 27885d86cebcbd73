package bench

import (
	"fmt"

	"foilwright/sim/field"
	"foilwright/sim/probe"
)

// Sense is what a probe on the bench brings to a piece. It holds nothing of the
// hidden truth: films are not in it.
type Sense struct {
	Design   probe.Design // of a dual probe the principle it picks
	Sensor   *field.Sensor
	Over     *field.Over // the piece's metal
	Standard *field.Over // the metal of the built-in curve
}

// Sense returns how a probe on the bench, by its id, senses a piece.
func (w *World) Sense(probeID, pieceID string) (Sense, error) {
	piece := w.pieceIndex(pieceID)
	if piece < 0 {
		return Sense{}, fmt.Errorf("bench: no piece %q", pieceID)
	}
	for i, d := range w.Exercise.Offered() {
		if d.ID == probeID {
			ch := &w.channels[w.sensed(i, piece)]
			return Sense{ch.design, ch.sensor, ch.bases[piece].own(), ch.standard}, nil
		}
	}
	return Sense{}, fmt.Errorf("bench: no probe %q", probeID)
}
