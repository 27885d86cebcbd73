package num

import "math"

// besselSwitch is where Hankel's expansion takes over: its smallest term there is of order e^-2x = 1e-22.
const besselSwitch = 25

// J0 returns the Bessel function of the first kind and order 0, absolute error below 2e-15 for |x| <= MaxAngle.
func J0(x float64) float64 {
	j0, _ := J01(x)
	return j0
}

// J1 returns the Bessel function of the first kind and order 1, absolute error below 2e-15 for |x| <= MaxAngle.
func J1(x float64) float64 {
	_, j1 := J01(x)
	return j1
}

// J01 returns J0(x) and J1(x) together.
func J01(x float64) (j0, j1 float64) {
	a := math.Abs(x)
	switch {
	case a < 1e-8:
		j0, j1 = 1, a/2
	case a < besselSwitch:
		j0, j1 = besselDownward(a)
	default:
		j0, j1 = besselHankel(a, 0), besselHankel(a, 1)
	}
	if x < 0 {
		j1 = -j1
	}
	return j0, j1
}

// besselDownward runs J_{n-1} = (2n/x) J_n - J_{n+1} down from an order where J is negligible and normalises with
// J0 + 2 (J2 + J4 + ...) = 1 (Miller's method, Abramowitz and Stegun 9.12 example 1).
func besselDownward(x float64) (j0, j1 float64) {
	start := 2 * int(math.Floor((float64(1.15*x)+34)/2))
	above, here, sum := 0.0, 1e-200, 0.0
	twoOverX := 2 / x
	for n := start; n > 0; n-- {
		below := float64(float64(n)*twoOverX*here) - above
		above, here = here, below
		if n&1 == 1 && n > 1 {
			sum += here
		}
		if math.Abs(here) > 1e150 {
			above, here, sum = float64(above*1e-150), float64(here*1e-150), float64(sum*1e-150)
		}
	}
	// above is J1, here is J0; sum holds J2 + J4 + ...
	norm := here + float64(2*sum)
	return here / norm, above / norm
}

// besselHankel returns J_nu(x) for nu = 0 or 1 by Abramowitz and Stegun 9.2.5, 9.2.9 and 9.2.10.
func besselHankel(x float64, nu int) float64 {
	mu := float64(4 * nu * nu)
	p, q := 1.0, 0.0
	term := 1.0
	for k := 1; k <= 30; k++ {
		odd := float64(2*k - 1)
		next := term * (mu - float64(odd*odd)) / (float64(k) * 8 * x)
		if math.Abs(next) >= math.Abs(term) || math.Abs(next) < 1e-18 {
			break
		}
		term = next
		switch k & 3 {
		case 1:
			q += term
		case 2:
			p -= term
		case 3:
			q -= term
		default:
			p += term
		}
	}
	sin, cos := Sin(x), Cos(x)
	// cos(x - pi/4) and sin(x - pi/4) for nu = 0; a quarter turn later for nu = 1.
	c, s := (cos+sin)/math.Sqrt2, (sin-cos)/math.Sqrt2
	if nu == 1 {
		c, s = s, -c
	}
	return math.Sqrt(2/(math.Pi*x)) * (float64(p*c) - float64(q*s))
}

// EllipticK returns the complete elliptic integral of the first kind for the complementary parameter m1 = 1 - m in
// (0, 1], relative error below 1e-15. The complementary parameter keeps its digits where rings nearly touch.
func EllipticK(m1 float64) float64 {
	a, b := 1.0, math.Sqrt(m1)
	for math.Abs(a-b) > 1e-8*a {
		a, b = (a+b)/2, math.Sqrt(a*b)
	}
	return math.Pi / (a + b)
}
