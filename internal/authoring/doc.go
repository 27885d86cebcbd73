// Package authoring helps those who write exercises: it plays an exercise as
// trainees would, tells what it trains, makes a new one from a good one, and
// draws what will lie on the bench.
//
// Not here: reading of exercise files (scenarios), and how surely faults are
// found over many seeds (internal/detection).
package authoring
