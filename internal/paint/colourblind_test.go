package paint

import (
	"math"
	"testing"
)

// Full dichromacy in linear sRGB: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, A Physiologically-based Model for
// Simulation of Color Vision Deficiency, IEEE TVCG 15 (2009), severity 1.0. The numbers are from memory; each row must
// sum to 1, since white stays white, and the test checks that.
var dichromacies = map[string][3][3]float64{
	"normal": {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"protan": {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deutan": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritan": {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
}

// lab is CIE L*a*b* of a colour as seen through a dichromacy (sRGB primaries, D65; IEC 61966-2-1 and CIE 15).
func lab(c Color, m [3][3]float64) [3]float64 {
	linear := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	in := [3]float64{linear(c.R), linear(c.G), linear(c.B)}
	var rgb [3]float64
	for i := range 3 {
		for k := range 3 {
			rgb[i] += m[i][k] * in[k]
		}
		rgb[i] = min(max(rgb[i], 0), 1)
	}
	x := (0.4124*rgb[0] + 0.3576*rgb[1] + 0.1805*rgb[2]) / 0.9505
	y := 0.2126*rgb[0] + 0.7152*rgb[1] + 0.0722*rgb[2]
	z := (0.0193*rgb[0] + 0.1192*rgb[1] + 0.9505*rgb[2]) / 1.089
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	return [3]float64{116*f(y) - 16, 500 * (f(x) - f(y)), 200 * (f(y) - f(z))}
}

// TestVerdictColoursStayApart: good, warn and bad, and the two accents, must differ by at least 10 in CIE76 colour
// difference for every kind of eye (2.3 is just noticeable side by side). Shapes and words still carry the meaning.
func TestVerdictColoursStayApart(t *testing.T) {
	for name, m := range dichromacies {
		for _, row := range m {
			if s := row[0] + row[1] + row[2]; math.Abs(s-1) > 2e-6 {
				t.Fatalf("%s: a row of the matrix sums to %v, want 1", name, s)
			}
		}
		for _, th := range Themes() {
			sets := [][]Pair{
				{{"good", th.Good, Color{}}, {"warn", th.Warn, Color{}}, {"bad", th.Bad, Color{}}},
				{{"act", th.Act, Color{}}, {"truth", th.Truth, Color{}}},
			}
			for _, set := range sets {
				for i := range set {
					for k := range i {
						a, b := lab(set[i].Text, m), lab(set[k].Text, m)
						d := math.Sqrt((a[0]-b[0])*(a[0]-b[0]) + (a[1]-b[1])*(a[1]-b[1]) + (a[2]-b[2])*(a[2]-b[2]))
						if d < 10 {
							t.Errorf("%s theme, %s eye: %s and %s differ by %.1f, want at least 10", th.Name, name, set[i].Name, set[k].Name, d)
						}
					}
				}
			}
		}
	}
}
