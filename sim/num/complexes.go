package num

import "math"

// Mul returns a b without fused operations.
func Mul(a, b complex128) complex128 {
	ar, ai, br, bi := real(a), imag(a), real(b), imag(b)
	return complex(float64(ar*br)-float64(ai*bi), float64(ar*bi)+float64(ai*br))
}

// Scale returns the complex number k a for a real k.
func Scale(k float64, a complex128) complex128 {
	return complex(float64(k*real(a)), float64(k*imag(a)))
}

// Div returns a/b by Smith's method without fused operations; R. L. Smith, Algorithm 116, CACM 5 (1962) 435.
func Div(a, b complex128) complex128 {
	ar, ai, br, bi := real(a), imag(a), real(b), imag(b)
	if math.Abs(br) >= math.Abs(bi) {
		q := bi / br
		d := br + float64(bi*q)
		return complex((ar+float64(ai*q))/d, (ai-float64(ar*q))/d)
	}
	q := br / bi
	d := float64(br*q) + bi
	return complex((float64(ar*q)+ai)/d, (float64(ai*q)-ar)/d)
}

// Abs returns |a|.
func Abs(a complex128) float64 { return Hypot(real(a), imag(a)) }

// CExp returns e^a; |Im a| must not exceed MaxAngle.
func CExp(a complex128) complex128 {
	e := Exp(real(a))
	if imag(a) == 0 {
		return complex(e, 0)
	}
	return complex(e*Cos(imag(a)), e*Sin(imag(a)))
}

// CSqrt returns the square root with a real part that is not negative.
func CSqrt(a complex128) complex128 {
	re, im := real(a), imag(a)
	if im == 0 {
		if re >= 0 {
			return complex(math.Sqrt(re), im)
		}
		return complex(0, math.Copysign(math.Sqrt(-re), im))
	}
	u := math.Sqrt((math.Abs(re) + Hypot(re, im)) / 2)
	if re >= 0 {
		return complex(u, im/(2*u))
	}
	return complex(math.Abs(im)/(2*u), math.Copysign(u, im))
}

// Sum adds the values from first to last.
func Sum(values []float64) float64 {
	total := 0.0
	for _, v := range values {
		total += v
	}
	return total
}

// Dot returns the sum of a[i] b[i] from first to last; it panics when b is shorter than a.
func Dot(a, b []float64) float64 {
	b = b[:len(a)]
	total := 0.0
	for i, v := range a {
		total += float64(v * b[i])
	}
	return total
}
