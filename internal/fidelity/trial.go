package fidelity

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// trial gathers what one published value is compared with: figures, words, and conditions that must hold besides.
type trial struct {
	check
	figures []figure
	faults  []string
}

// figure is one number or word beside its expected value.
type figure struct {
	want, got      string
	number         bool
	wantN, gotN    float64
	allowed        float64
	relative, fits bool
}

// near compares a number with its expected value within a tolerance as the list writes it: "exact", "1e-9",
// "1e-12 rel", or with words behind.
func (t *trial) near(got, want float64, tolerance string) error {
	f := figure{number: true, wantN: want, gotN: got, want: shortest(want), got: shortest(got), relative: strings.Contains(tolerance, "rel")}
	if !strings.HasPrefix(tolerance, "exact") {
		var err error
		if f.allowed, err = firstNumber(tolerance); err != nil {
			return fmt.Errorf("tolerance: %w", err)
		}
	}
	size := 1.0
	if f.relative {
		size = math.Abs(want)
	}
	f.fits = math.Abs(got-want) <= f.allowed*size
	t.figures = append(t.figures, f)
	return nil
}

// expect compares with the first number of the expected value, within the line's tolerance.
func (t *trial) expect(got float64) error {
	want, err := firstNumber(t.expected)
	if err != nil {
		return fmt.Errorf("expected value: %w", err)
	}
	return t.near(got, want, t.tolerance)
}

// expectAll compares with the numbers of the expected value in their order, each within its own tolerance.
func (t *trial) expectAll(got ...float64) error {
	want, tolerance := numbers(t.expected), strings.Split(t.tolerance, ";")
	if len(want) < len(got) {
		return fmt.Errorf("expected value %q has %d numbers, %d are needed", t.expected, len(want), len(got))
	}
	for i, g := range got {
		if err := t.near(g, want[i], tolerance[min(i, len(tolerance)-1)]); err != nil {
			return err
		}
	}
	return nil
}

// word compares words.
func (t *trial) word(got, want string) error {
	t.figures = append(t.figures, figure{want: want, got: got, fits: got == want})
	return nil
}

// demand states a further condition that must hold for the comparison to pass.
func (t *trial) demand(holds bool, format string, args ...any) {
	if !holds {
		t.faults = append(t.faults, fmt.Sprintf(format, args...))
	}
}

// shortest writes a number as one would print it, up to nine digits.
func shortest(v float64) string { return strconv.FormatFloat(v, 'g', 9, 64) }

// row turns the trial into a comparison. One number is shown with its error; several figures as texts with the largest
// share of a tolerance that is used.
func (t *trial) row() Row {
	r := t.check.begin()
	if len(t.figures) == 1 && t.figures[0].number {
		f := t.figures[0]
		r.Expected, r.Got, r.Tolerance, r.Relative = complex(f.wantN, 0), complex(f.gotN, 0), f.allowed, f.relative
		r.judge()
	} else {
		var want, got []string
		share := 0.0
		for _, f := range t.figures {
			want, got = append(want, f.want), append(got, f.got)
			switch {
			case f.fits && f.allowed > 0 && !f.relative:
				share = max(share, math.Abs(f.gotN-f.wantN)/f.allowed)
			case !f.fits:
				share = math.Inf(1)
			}
		}
		r.ExpectedText, r.GotText = strings.Join(want, "; "), strings.Join(got, "; ")
		r.Error, r.Tolerance, r.Verdict = math.NaN(), math.NaN(), Pass
		if slices.ContainsFunc(t.figures, func(f figure) bool { return f.number }) {
			r.Error, r.Tolerance, r.ShareOfTolerance = share, 1, true
		}
		if slices.ContainsFunc(t.figures, func(f figure) bool { return !f.fits }) {
			r.Verdict = Fail
		}
	}
	if len(t.faults) > 0 {
		r.Verdict, r.Reason = Fail, strings.Join(t.faults, "; ")
	}
	if len(t.figures) == 0 {
		r.skip("nothing was compared")
	}
	return r
}

// numbers returns every number written in a text, in order.
func numbers(text string) []float64 {
	var list []float64
	for _, m := range numberPattern.FindAllString(text, -1) {
		if v, err := strconv.ParseFloat(m, 64); err == nil {
			list = append(list, v)
		}
	}
	return list
}
