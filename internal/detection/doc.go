// Package detection measures how well grading finds faults: it plays a
// population of scripted trainees, competent and with planted faults, grades
// every attempt and counts what was planted, found, missed and found without
// being there.
//
// Start with Measure. Proportions come with Wilson intervals (sim/inspect).
package detection
