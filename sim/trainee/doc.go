// Package trainee plays exercises the way people do: a competent trainee with
// the noise of human hands, and the same trainee with named faults planted, one
// or several. It is for testing what finds and explains faults, and for
// building populations of attempts; it is no model of learning.
//
// Start with Play. A trainee sees the job sheet, the labels and certificates
// on the bench and bench.View, never the hidden truth. Its hands draw from the
// stream "hand" of their own seed, so an attempt is fixed by exercise, seed of
// the world, seed of the hand and faults. The figures of the hands are
// assumptions (common practice, no source).
package trainee
