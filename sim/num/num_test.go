package num

import (
	"math"
	"math/big"
	"math/cmplx"
	"math/rand/v2"
	"testing"
)

// sample returns values spread evenly and geometrically over [low, high].
func sample(low, high float64, n int) []float64 {
	r := rand.New(rand.NewPCG(1, 2))
	xs := []float64{low, high}
	for range n {
		xs = append(xs, low+(high-low)*r.Float64())
		if high > 0 {
			x := high * math.Exp(-40*r.Float64())
			if x >= low {
				xs = append(xs, x)
			}
			if -x >= low {
				xs = append(xs, -x)
			}
		}
	}
	return xs
}

func TestAgainstStandardLibrary(t *testing.T) {
	cases := []struct {
		name      string
		got, want func(float64) float64
		low, high float64
		relative  float64
		absolute  float64
	}{
		{"Exp", Exp, math.Exp, -708, 709.7, 5e-16, 0},
		{"Exp subnormal", Exp, math.Exp, -745, -708, 0, 5e-324},
		{"Expm1", Expm1, math.Expm1, -50, 50, 1e-15, 0},
		{"Expm1 small", Expm1, math.Expm1, -0.7, 0.7, 1e-15, 0},
		{"Log", Log, math.Log, 1e-300, 1e300, 5e-16, 0},
		{"Log near one", Log, math.Log, 0.5, 2, 6e-16, 0},
		{"Log1p", Log1p, math.Log1p, -0.999, 1e6, 1e-15, 0},
		{"Log1p small", Log1p, math.Log1p, -0.5, 1, 1e-15, 0},
		{"Sin", Sin, math.Sin, -7, 7, 5e-16, 2e-16},
		{"Sin wide", Sin, math.Sin, -1e6, 1e6, 0, 4e-16},
		{"Cos", Cos, math.Cos, -7, 7, 5e-16, 2e-16},
		{"Cos wide", Cos, math.Cos, -1e6, 1e6, 0, 4e-16},
		{"Atan", Atan, math.Atan, -1e6, 1e6, 1e-15, 0},
		{"Atan small", Atan, math.Atan, -3, 3, 1e-15, 0},
		{"Asin", Asin, math.Asin, -1, 1, 2e-15, 0},
		{"Acos", Acos, math.Acos, -1, 1, 0, 2e-15},
		{"Asinh", Asinh, math.Asinh, -1e6, 1e6, 2e-15, 0},
		{"Tanh", Tanh, math.Tanh, -25, 25, 2e-15, 0},
		{"Sinh", Sinh, math.Sinh, -700, 700, 2e-15, 0},
		{"Cosh", Cosh, math.Cosh, -700, 700, 1e-15, 0},
		{"J0", J0, math.J0, -300, 300, 0, 2e-15},
		{"J1", J1, standardJ1, -300, 300, 0, 2e-15},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			worst, at := 0.0, 0.0
			for _, x := range sample(c.low, c.high, 20000) {
				got, want := c.got(x), c.want(x)
				excess := math.Abs(got-want) - c.absolute - c.relative*math.Abs(want)
				if excess > 0 || got != got {
					t.Fatalf("at %v: got %v, want %v, relative difference %g", x, got, want, (got-want)/want)
				}
				if r := math.Abs((got - want) / want); r > worst {
					worst, at = r, x
				}
			}
			t.Logf("worst relative difference %.2g at %v", worst, at)
		})
	}
}

// standardJ1 is math.J1 with the sign it loses below 2^-27 (Go 1.26) put back.
func standardJ1(x float64) float64 {
	if math.Abs(x) < 1e-8 {
		return x / 2
	}
	return math.J1(x)
}

func TestSpecialValues(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	cases := []struct {
		name      string
		got, want float64
	}{
		{"exp 0", Exp(0), 1}, {"exp -inf", Exp(-inf), 0}, {"exp inf", Exp(inf), inf}, {"exp nan", Exp(nan), nan},
		{"log 0", Log(0), -inf}, {"log 1", Log(1), 0}, {"log -1", Log(-1), nan}, {"log inf", Log(inf), inf},
		{"log1p -1", Log1p(-1), -inf}, {"log1p inf", Log1p(inf), inf}, {"sin inf", Sin(inf), nan},
		{"pow 2 10", Pow(2, 10), 1024}, {"pow -2 3", Pow(-2, 3), -8}, {"pow 0 .5", Pow(0, 0.5), 0}, {"pow 2 -1", Pow(2, -1), 0.5},
		{"hypot 3 4", Hypot(3, 4), 5}, {"hypot 0 0", Hypot(0, 0), 0}, {"hypot huge", Hypot(3e300, 4e300), 5e300},
		{"asin 1", Asin(1), math.Pi / 2}, {"asin 2", Asin(2), nan}, {"tanh inf", Tanh(inf), 1}, {"asinh -inf", Asinh(-inf), -inf},
		{"J0 0", J0(0), 1}, {"J1 0", J1(0), 0},
	}
	for _, c := range cases {
		same := c.got == c.want || (c.got != c.got && c.want != c.want)
		if !same && math.Abs(c.got-c.want) > 1e-15*math.Abs(c.want) {
			t.Errorf("%s: got %v, want %v", c.name, c.got, c.want)
		}
	}
	zeros := []float64{0, math.Copysign(0, -1), 1, -1, inf, -inf, nan, 2.5, -0.3}
	for _, y := range zeros {
		for _, x := range zeros {
			got, want := Atan2(y, x), math.Atan2(y, x)
			if !(got != got && want != want) && (math.Abs(got-want) > 1e-15 || math.Signbit(got) != math.Signbit(want)) {
				t.Errorf("Atan2(%v, %v): got %v, want %v", y, x, got, want)
			}
		}
	}
}

func TestPowAgainstStandardLibrary(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 20000 {
		x, y := math.Exp(20*r.Float64()-10), 20*r.Float64()-10
		got, want := Pow(x, y), math.Pow(x, y)
		limit := 3e-16 * (4 + math.Abs(y*math.Log(x)))
		if math.Abs(got-want) > limit*want {
			t.Fatalf("Pow(%v, %v): got %v, want %v", x, y, got, want)
		}
	}
}

func TestComplexAgainstStandardLibrary(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 20000 {
		a := complex(r.NormFloat64(), r.NormFloat64()*math.Exp(6*r.NormFloat64()))
		b := complex(r.NormFloat64()*math.Exp(6*r.NormFloat64()), r.NormFloat64())
		for _, c := range []struct {
			name      string
			got, want complex128
		}{
			{"Mul", Mul(a, b), a * b}, {"Div", Div(a, b), a / b}, {"CSqrt", CSqrt(b), cmplx.Sqrt(b)},
			{"CExp", CExp(complex(real(a), real(b)/1e6)), cmplx.Exp(complex(real(a), real(b)/1e6))},
			{"Scale", Scale(real(a), b), complex(real(a), 0) * b},
		} {
			if cmplx.Abs(c.got-c.want) > 4e-15*cmplx.Abs(c.want) {
				t.Fatalf("%s of %v, %v: got %v, want %v", c.name, a, b, c.got, c.want)
			}
		}
		if got, want := Abs(b), cmplx.Abs(b); math.Abs(got-want) > 1e-15*want {
			t.Fatalf("Abs(%v): got %v, want %v", b, got, want)
		}
	}
	if got := CSqrt(complex(-4, 0)); got != complex(0, 2) {
		t.Errorf("CSqrt(-4): got %v, want 2i", got)
	}
}

// Legendre's relation cannot be used without E; the series about m = 0 and the logarithmic end are independent of the
// arithmetic-geometric mean. Abramowitz and Stegun 17.3.11 and 17.3.26.
func TestEllipticK(t *testing.T) {
	for _, m := range []float64{0, 1e-3, 0.01, 0.05, 0.1} {
		term, sum := 1.0, 1.0
		for n := 1; n < 200; n++ {
			f := float64(2*n-1) / float64(2*n)
			term *= f * f * m
			sum += term
		}
		if got, want := EllipticK(1-m), math.Pi/2*sum; math.Abs(got-want) > 1e-15*want {
			t.Errorf("m = %v: got %v, want %v", m, got, want)
		}
	}
	for _, m1 := range []float64{1e-6, 1e-9, 1e-12} {
		l := math.Log(16/m1) / 2
		want := l + m1/4*(l-1)
		if got := EllipticK(m1); math.Abs(got-want) > 1e-11*want {
			t.Errorf("m1 = %v: got %v, want %v", m1, got, want)
		}
	}
}

// The 32nd power of each, in 200 bits, is a power of two.
func TestRootsOfTwo(t *testing.T) {
	for i, r := range roots {
		root := new(big.Float).SetPrec(200).Add(new(big.Float).SetPrec(200).SetFloat64(r[0]), big.NewFloat(r[1]))
		power := new(big.Float).SetPrec(200).SetInt64(1)
		for range 32 {
			power.Mul(power, root)
		}
		off, _ := power.Quo(power, new(big.Float).SetMantExp(big.NewFloat(1), i)).Float64()
		rest, _ := power.Sub(power, big.NewFloat(1)).Float64()
		if math.Abs(rest) > 32*0x1p-105 || off != 1 || math.Abs(r[1]) > 0x1p-53 {
			t.Errorf("2^(%d/32) is off by %g, its parts are %v", i, rest/32, r)
		}
	}
}

// Sines of the multiples of pi/32, in 200 bits: sin^2 + cos^2 = 1 and sin 2a = 2 sin a cos a, from sin(pi/2) = 1 down.
func TestQuarterTurn(t *testing.T) {
	wide := func(i int) *big.Float {
		v := new(big.Float).SetPrec(200).SetFloat64(quarterTurn[i][0])
		return v.Add(v, big.NewFloat(quarterTurn[i][1]))
	}
	product := func(a, b *big.Float) *big.Float { return new(big.Float).SetPrec(200).Mul(a, b) }
	near := func(i int, what string, a, b *big.Float) {
		if off, _ := new(big.Float).SetPrec(200).Sub(a, b).Float64(); math.Abs(off) > 0x1p-104 {
			t.Errorf("%d pi/32: %s is off by %g", i, what, off)
		}
	}
	const quarter = len(quarterTurn) - 1
	for i := range quarterTurn {
		if i > 0 && quarterTurn[i][0] <= quarterTurn[i-1][0] || math.Abs(quarterTurn[i][1]) > 0x1p-54 {
			t.Errorf("%d pi/32: the parts are %v", i, quarterTurn[i])
		}
		sin, cos := wide(i), wide(quarter-i)
		near(i, "the sum of squares", new(big.Float).SetPrec(200).Add(product(sin, sin), product(cos, cos)), big.NewFloat(1))
		if 2*i <= quarter {
			twice := product(sin, cos)
			near(i, "the sine of twice the angle", twice.Add(twice, twice), wide(2*i))
		}
	}
}

func TestSumAndDot(t *testing.T) {
	if got := Sum([]float64{1, 1e100, -1e100}); got != 0 {
		t.Errorf("Sum keeps the order: got %v, want 0", got)
	}
	if got := Dot([]float64{1, 2, 3}, []float64{4, 5, 6}); got != 32 {
		t.Errorf("Dot: got %v, want 32", got)
	}
}

func BenchmarkExp(b *testing.B) {
	x := 0.0
	for i := 0; b.Loop(); i++ {
		x += Exp(-float64(i&1023) / 100)
	}
	_ = x
}

func BenchmarkLog(b *testing.B) {
	x := 0.0
	for i := 0; b.Loop(); i++ {
		x += Log(1 + float64(i&1023)/100)
	}
	_ = x
}
