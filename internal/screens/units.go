package screens

import (
	"math"
	"strconv"
	"strings"
)

// umPerMil is exact: 1 mil is a thousandth of an inch of 25.4 mm.
const umPerMil = 25.4

// units writes thicknesses as the trainee wants to see them. The bench and the
// log always work in counts of the display's resolution.
type units struct {
	mil          bool
	resolutionUm float64
}

// name is the unit's symbol.
func (u units) name() string {
	if u.mil {
		return "mil"
	}
	return "µm"
}

// decimals is how many places show the resolution.
func (u units) decimals() int {
	d := 0
	for r := u.resolutionUm; r < 0.999 && d < 4; r *= 10 {
		d++
	}
	if u.mil {
		d += 2
	}
	return d
}

// um writes a thickness given in µm, without the unit.
func (u units) um(x float64) string {
	if u.mil {
		x /= umPerMil
	}
	s := strconv.FormatFloat(x, 'f', u.decimals(), 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return strings.Replace(s, "-", "−", 1)
}

// plain writes a thickness in as few places as it needs, for job sheets and
// labels.
func (u units) plain(x float64) string {
	if u.mil {
		return strconv.FormatFloat(math.Round(x/umPerMil*1000)/1000, 'f', -1, 64)
	}
	return strconv.FormatFloat(math.Round(x*1000)/1000, 'f', -1, 64)
}

// counts writes a reading given in counts of the resolution.
func (u units) counts(c int64) string { return u.um(float64(c) * u.resolutionUm) }

// plusMinus writes an uncertainty that follows its value; nothing for 0.
func (u units) plusMinus(um float64) string {
	if um == 0 {
		return ""
	}
	return " ± " + u.um(um)
}

// signed writes a difference in µm with its sign.
func (u units) signed(x float64) string {
	s := u.um(x)
	if !strings.HasPrefix(s, "−") && strings.Trim(s, "0.") != "" {
		s = "+" + s
	}
	return s
}

// parse reads a thickness as typed and returns it in counts of the resolution.
func (u units) parse(s string) (counts int64, ok bool) {
	s = strings.TrimSpace(strings.Replace(strings.Replace(s, ",", ".", 1), "−", "-", 1))
	x, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(x) || math.Abs(x) > 1e6 {
		return 0, false
	}
	if u.mil {
		x *= umPerMil
	}
	return int64(math.Round(x / u.resolutionUm)), true
}
