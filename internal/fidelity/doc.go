// Package fidelity confronts the field core, and the statistics and rules of inspection, with numbers they did not make:
// tables of independent finite elements, values published in the literature and in standards, and limits that follow from
// elementary physics. Every comparison is a [Row] with source, expected and computed value, tolerance and verdict; what
// the program cannot compute says so in its row.
//
// Start with [Compare] for everything, [CompareFile] for a table and [CheckFile] for a list of published values.
// [Run.HTML] draws what came out.
package fidelity
