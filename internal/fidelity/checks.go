package fidelity

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
)

// check is one line of a list of published values.
type check struct {
	id, quantity, inputs, expected, tolerance, unit, source, confidence string
	place                                                               string // file:line
}

var checkColumns = []string{"id", "quantity", "inputs", "expected value", "tolerance", "unit", "source", "confidence"}

// CheckFile computes the rows of a list of published values in a file; see CheckRows.
func CheckFile(path string) ([]Row, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("fidelity: %w", err)
	}
	defer f.Close()
	return CheckRows(filepath.Base(path), f)
}

// CheckRows reads a list of published values (columns id, quantity, inputs, expected value, tolerance, unit, source,
// confidence) and computes every row, in the order of the list. A row that nothing here computes says why. Name is used
// in messages.
func CheckRows(name string, r io.Reader) ([]Row, error) {
	checks, err := readChecks(name, r)
	if err != nil {
		return nil, err
	}
	var rows []Row
	for _, c := range checks {
		compute := computerFor(c.id)
		if compute == nil || c.origin().Key == "" {
			return nil, fmt.Errorf("%s: no computation knows the id %q; ids begin with %s", c.place, c.id, strings.Join(knownChecks(), ", "))
		}
		row, err := compute(c)
		if err != nil {
			return nil, fmt.Errorf("%s: check %s: %w", c.place, c.id, err)
		}
		rows = append(rows, row)
	}
	return rows, nil
}

// origin is the source of the line's value; the zero Source for an unknown id.
func (c check) origin() Source {
	for _, s := range checkSources {
		if strings.HasPrefix(c.id, s.prefix) {
			return sourceByKey(s.key)
		}
	}
	return Source{}
}

func knownChecks() []string {
	var list []string
	for _, s := range checkSources {
		list = append(list, s.prefix)
	}
	return list
}

// begin starts the line's row.
func (c check) begin() Row {
	known := map[string]string{"memory": " (from memory)", "computed": " (recomputed)"}[c.confidence]
	return Row{ID: c.id, Quantity: c.quantity, Inputs: c.inputs, Source: c.source + known, Origin: c.origin(), Unit: c.unit, Section: c.section()}
}

// section groups the lines by subject.
func (c check) section() string {
	switch c.origin().Key {
	case "skin-depth", "skin-table", "et-tables", "stainless":
		return "Metals"
	case "quadrature", "maxwell", "team15", "team7":
		return "Flat metal, published and recomputed"
	case "strd", "tn1297", "libretexts", "worked-example", "shrout-fleiss", "wald", "gum", "jcgm106":
		return "Statistics and uncertainty"
	}
	return "Standards: sampling, acceptance, reporting"
}

func readChecks(name string, r io.Reader) ([]check, error) {
	reader := csv.NewReader(r)
	reader.FieldsPerRecord = len(checkColumns)
	var checks []check
	for first := true; ; first = false {
		fields, err := reader.Read()
		if errors.Is(err, io.EOF) {
			if first {
				return nil, fmt.Errorf("%s:1:1: empty list; expected the columns %s", name, strings.Join(checkColumns, ", "))
			}
			return checks, nil
		}
		var fault *csv.ParseError
		switch {
		case errors.As(err, &fault):
			return nil, fmt.Errorf("%s:%d:%d: %w; each line needs the %d columns %s", name, fault.Line, fault.Column, fault.Err, len(checkColumns), strings.Join(checkColumns, ", "))
		case err != nil:
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		line, _ := reader.FieldPos(0)
		if first {
			for i, want := range checkColumns {
				if fields[i] != want {
					return nil, fmt.Errorf("%s:%d:%d: column is %q, expected %q", name, line, i+1, fields[i], want)
				}
			}
			continue
		}
		checks = append(checks, check{fields[0], fields[1], fields[2], fields[3], fields[4], fields[5], fields[6], fields[7], fmt.Sprintf("%s:%d", name, line)})
	}
}

var numberPattern = regexp.MustCompile(`[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?`)

// firstNumber returns the first number in a text.
func firstNumber(text string) (float64, error) {
	found := numberPattern.FindString(text)
	if found == "" {
		return 0, fmt.Errorf("no number in %q; write one", text)
	}
	return strconv.ParseFloat(found, 64)
}

// numberAfter returns the number that follows a key such as "sigma=".
func numberAfter(text, key string) (float64, error) {
	_, rest, found := strings.Cut(text, key)
	if !found {
		return 0, fmt.Errorf("inputs %q lack %q; add it", text, key)
	}
	return firstNumber(rest)
}

// numberBefore returns the number that stands right before a unit.
func numberBefore(text, unit string) (float64, error) {
	before, _, found := strings.Cut(text, " "+unit)
	if !found {
		return 0, fmt.Errorf("inputs %q lack a value in %s; add it", text, unit)
	}
	all := numberPattern.FindAllString(before, -1)
	if all == nil {
		return 0, fmt.Errorf("inputs %q have no number before %s; add it", text, unit)
	}
	return strconv.ParseFloat(all[len(all)-1], 64)
}

// row starts a comparison against the check's expected value with its tolerance, and judges it. A tolerance such as
// "2 % or 0.01" allows whichever is wider.
func (c check) row(got complex128) (Row, error) {
	r := c.begin()
	r.Got = got
	first, second, pair := strings.Cut(c.expected, ";")
	re, err := firstNumber(first)
	if err != nil {
		return r, fmt.Errorf("expected value: %w", err)
	}
	im := 0.0
	if pair {
		if im, err = firstNumber(second); err != nil {
			return r, fmt.Errorf("expected value: %w", err)
		}
	}
	r.Expected = complex(re, im)
	if r.Tolerance, err = firstNumber(c.tolerance); err != nil {
		return r, fmt.Errorf("tolerance: %w", err)
	}
	if strings.Contains(c.tolerance, "%") {
		r.Relative = true
		r.Tolerance /= 100
		if _, floor, found := strings.Cut(c.tolerance, " or "); found {
			least, err := firstNumber(floor)
			if err != nil {
				return r, fmt.Errorf("tolerance: %w", err)
			}
			if size := abs(r.Expected); size > 0 && least/size > r.Tolerance {
				r.Tolerance = least / size
			}
		}
	}
	r.judge()
	return r, nil
}

// skipped returns a row that says why it is not computed.
func (c check) skipped(reason string) (Row, error) {
	r := c.begin()
	r.ExpectedText = c.expected
	r.skip(reason)
	return r, nil
}
