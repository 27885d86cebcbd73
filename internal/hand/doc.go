// Package hand is the trainee's hand: it turns what is done with pointer and
// keys into poses of the probe, as Actions for the bench.
//
// It steps in ticks of 10 ms that are driven by the times of the events alone.
// The same events give the same actions however they are cut into frames, so a
// dropped frame never changes a reading.
//
// The hand is not part of the simulation: what it does is written to the log as
// poses, and a replay never runs it. Its figures (speeds, tremor, how far a
// resting probe gives before it slides) are training assumptions (common
// practice, no source). Lengths are millimetres, angles degrees.
package hand
