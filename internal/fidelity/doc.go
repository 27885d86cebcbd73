// Package fidelity confronts the field core with numbers it did not make: tables of independent finite elements, values
// published in the literature, and limits that follow from elementary physics. Every comparison is a [Row] with source,
// expected and computed value, tolerance and verdict; what the core cannot compute yet says so in its row.
//
// Start with [CompareFile] for a table, [CheckFile] for a list of published values and [LimitRows] for the limits.
package fidelity
