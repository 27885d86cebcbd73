// Package report writes down one attempt for people and for other programs:
// HTML in one file, PDF, CSV and JSON.
//
// Start with New, which takes what replaying, grading and explaining gave and
// returns a Report: plain data, the same that JSON holds. HTML, PDF and CSV
// are written from it alone, so a report read back from JSON gives the same
// pages. The same report gives the same bytes: there is no clock in here, and
// dates are passed in.
//
// What this package does not do: judge (sim/grade), share out errors
// (sim/explain), read or write files.
package report
