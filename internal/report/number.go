package report

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Number is a figure of a report. NaN and infinities stand for "not known" and
// are null in JSON.
type Number float64

func (n Number) known() bool { return !math.IsNaN(float64(n)) && !math.IsInf(float64(n), 0) }

// MarshalJSON writes the shortest text that reads back exactly.
func (n Number) MarshalJSON() ([]byte, error) {
	if !n.known() {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

// mostNumber bounds what a report read from JSON may hold: no figure of an
// attempt comes near it, and charts have an end.
const mostNumber = 1e9

// UnmarshalJSON reads null as NaN.
func (n *Number) UnmarshalJSON(text []byte) error {
	if string(text) == "null" {
		*n = Number(math.NaN())
		return nil
	}
	if err := json.Unmarshal(text, (*float64)(n)); err != nil {
		return err
	}
	if math.Abs(float64(*n)) > mostNumber {
		return fmt.Errorf("the figure %s is larger than 1e9", text)
	}
	return nil
}

// fixed writes a figure for people: a real minus sign, an en dash where it is
// not known, never a negative zero.
func (n Number) fixed(decimals int) string {
	if !n.known() {
		return "–"
	}
	text := strconv.FormatFloat(float64(n), 'f', decimals, 64)
	if rest, negative := strings.CutPrefix(text, "-"); negative {
		if strings.Trim(rest, "0.") == "" {
			return rest
		}
		return "−" + rest
	}
	return text
}

// signed is fixed with a plus sign in front of what is above zero.
func (n Number) signed(decimals int) string {
	text := n.fixed(decimals)
	if n > 0 && n.known() && strings.Trim(text, "0.") != "" {
		return "+" + text
	}
	return text
}

// short writes a figure with no more decimals than it needs, at most three.
func (n Number) short() string {
	if !n.known() {
		return "–"
	}
	text := n.fixed(3)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// column writes a figure for CSV; empty where it is not known.
func (n Number) column(decimals int) string {
	if !n.known() {
		return ""
	}
	text := strconv.FormatFloat(float64(n), 'f', decimals, 64)
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	return text
}
