// Package explain assigns every micrometre of an attempt's error to a cause.
//
// Start with Explain. The influences of sim/bench that are present in the
// attempt are the players of a game whose value for a set of them is the error
// when the attempt is replayed with exactly those acting and all others ideal.
// Shapley values share out the total: they add up to it, they do not depend on
// an order of the causes, and an influence that changes nothing gets nothing.
// Every replay uses the same noise draws.
//
// Source: L. S. Shapley, A value for n-person games, in Contributions to the
// Theory of Games II, Princeton 1953. Sampling where there are too many
// players: J. Castro, D. Gómez, J. Tejada, Polynomial calculation of the
// Shapley value based on sampling, Computers & Operations Research 36 (2009)
// 1726, with permutations taken in reversed pairs.
//
// What this package does not do: judge technique (sim/grade does).
package explain
