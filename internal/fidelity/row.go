package fidelity

import (
	"fmt"
	"math"
	"math/cmplx"
	"strconv"
	"strings"
)

// Verdict is the outcome of one comparison.
type Verdict string

const (
	Pass Verdict = "pass"
	Fail Verdict = "FAIL"
	// Short is a failure that is known, stated with its size in sim/field/README.md, and no worse than stated.
	Short       Verdict = "falls short"
	NotComputed Verdict = "not computed"
)

// Row is one comparison.
type Row struct {
	// ID names the row: a check's id, or file and line of a table.
	ID string
	// Quantity says what is compared, Inputs at which values.
	Quantity, Inputs string
	// Source is the citation of this row's value, Origin the source it belongs to. Section groups rows for reading.
	Source, Section string
	Origin          Source
	// Expected and Got are in Unit; real quantities have no imaginary part.
	Expected, Got complex128
	Unit          string
	// ExpectedText and GotText stand for values that are not one number; empty otherwise.
	ExpectedText, GotText string
	// Error is relative to the expected size when Relative is set, else in Unit; Tolerance likewise.
	Error, Tolerance float64
	Relative         bool
	// ShareOfTolerance is set where several figures are compared: Error is then the largest share of a tolerance used.
	ShareOfTolerance bool
	// AtMost is set where the row is itself an error: it passes when it is no larger than the tolerance, whatever the
	// prototype's figure in Expected.
	AtMost  bool
	Verdict Verdict
	// Reason says why a row was not computed, or adds what a reader should know.
	Reason string
	// X is the abscissa for a plot (lift-off or distance in mm), Group the curve the row belongs to.
	X     float64
	Group string
}

// judge fills in error and verdict.
func (r *Row) judge() {
	r.Error = cmplx.Abs(r.Got - r.Expected)
	if r.Relative {
		r.Error /= cmplx.Abs(r.Expected)
	}
	r.Verdict = Pass
	if !(r.Error <= r.Tolerance) || math.IsInf(r.Error, 0) {
		r.Verdict = Fail
	}
}

// skip marks a row as not computed.
func (r *Row) skip(reason string) {
	r.Verdict, r.Reason = NotComputed, "not computed: "+reason
	r.Got, r.Error = cmplx.NaN(), math.NaN()
}

// ExpectedValue writes what was expected, for people.
func (r *Row) ExpectedValue() string {
	if r.ExpectedText != "" {
		return r.ExpectedText
	}
	return valueText(r.Expected)
}

// GotValue writes what was computed, for people.
func (r *Row) GotValue() string {
	if r.GotText != "" {
		return r.GotText
	}
	return valueText(r.Got)
}

func valueText(z complex128) string {
	switch {
	case cmplx.IsNaN(z):
		return "-"
	case imag(z) == 0:
		return strconv.FormatFloat(real(z), 'g', 8, 64)
	}
	return fmt.Sprintf("%.6g%+.6gj", real(z), imag(z))
}

// ErrorAndTolerance writes both for people, as the row's way of comparing wants.
func (r *Row) ErrorAndTolerance() (off, allowed string) {
	shown := func(v float64) string {
		if r.Relative {
			return fmt.Sprintf("%.2g relative", v)
		}
		return strings.TrimSuffix(fmt.Sprintf("%.2g %s", v, r.Unit), " -")
	}
	switch {
	case r.Verdict == NotComputed:
		return "-", "-"
	case r.AtMost:
		return fmt.Sprintf("%.2g", r.Error), fmt.Sprintf("at most %.2g", r.Tolerance)
	case r.ShareOfTolerance:
		return fmt.Sprintf("%.2g of the tolerance", r.Error), "each figure its own"
	case math.IsNaN(r.Tolerance):
		return "-", "the same words"
	case r.Tolerance == 0:
		return shown(r.Error), "exact"
	}
	return shown(r.Error), shown(r.Tolerance)
}
