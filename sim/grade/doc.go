// Package grade judges an attempt on evidence: how the work was done
// (technique) and, apart from that, whether the result is right.
//
// Start with Grade; Checks lists what is looked at. A check is a small unit
// that reads the record of an attempt and gives findings, each pointing at the
// log entries it rests on. A finding that is fully explained by another is not
// charged again: it stands with its cause as something that followed from it.
//
// Technique follows the usual practice of the trade; where a check has a
// public source it is named, otherwise it says "common practice, no source".
//
// Thresholds come from the exercise's limits where it sets them. The score is
// a training aid and certifies nobody.
package grade
