package inspect

import (
	"math"
	"strconv"
	"strings"
)

// figure writes a number for a sentence: at most three decimals, no trailing zeros.
func figure(v float64) string {
	s := strconv.FormatFloat(v, 'f', 3, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// rounding is the part of a limit by which a value may miss it and still be taken as equal: readings are decimal
// fractions and their means carry binary rounding, so that 60 may arrive as 59.99999999999999.
const rounding = 1e-10

// below tells that v is less than the limit by more than rounding; a NaN is below every limit.
func below(v, limit float64) bool { return !(v >= limit-float64(rounding*math.Abs(limit))) }

// above tells that v is more than the limit by more than rounding; a NaN is above every limit.
func above(v, limit float64) bool { return !(v <= limit+float64(rounding*math.Abs(limit))) }

// within tells that v lies between the limits, both included.
func within(v, low, high float64) bool { return !below(v, low) && !above(v, high) }

// percentOf returns the given per cent of v; whole per cent of short decimals come out as the nearest number to the
// exact product, so that 80 % of 75 is 60.
func percentOf(v, percent float64) float64 { return v * percent / 100 }
