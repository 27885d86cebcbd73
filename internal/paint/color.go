package paint

import "math"

// Color is sRGB with straight (not premultiplied) alpha.
type Color struct{ R, G, B, A uint8 }

// RGB returns an opaque colour from 0xRRGGBB.
func RGB(hex uint32) Color {
	return Color{uint8(hex >> 16), uint8(hex >> 8), uint8(hex), 255}
}

// Fade returns c with its alpha multiplied by share, 0..1.
func (c Color) Fade(share float64) Color {
	c.A = uint8(math.Round(float64(c.A) * min(max(share, 0), 1)))
	return c
}

// Mix returns the colour at share t (0..1) on the way from c to other, in sRGB.
func (c Color) Mix(other Color, t float64) Color {
	t = min(max(t, 0), 1)
	part := func(a, b uint8) uint8 { return uint8(math.Round(float64(a) + (float64(b)-float64(a))*t)) }
	return Color{part(c.R, other.R), part(c.G, other.G), part(c.B, other.B), part(c.A, other.A)}
}

// Luminance is the relative luminance of the opaque colour, 0..1 (WCAG 2.1, definition of relative luminance).
func (c Color) Luminance() float64 {
	part := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*part(c.R) + 0.7152*part(c.G) + 0.0722*part(c.B)
}

// Contrast is the contrast ratio of two opaque colours, 1..21 (WCAG 2.1, definition of contrast ratio).
func Contrast(a, b Color) float64 {
	hi, lo := a.Luminance(), b.Luminance()
	if hi < lo {
		hi, lo = lo, hi
	}
	return (hi + 0.05) / (lo + 0.05)
}
