// Package picture draws what lies on the bench, and what came of it, as a
// drawing office would: plan and section with hatching and dimension lines,
// an enlarged detail, a waterfall of errors, a map of spots, a plot of
// readings.
//
// Pictures are drawn into a paint.List and know nothing of screens or windows.
// Lengths on pieces are millimetres with the origin at the lower left corner
// and y up; thicknesses are micrometres. Those of the bench do not allocate.
package picture
