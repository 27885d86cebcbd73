package inspect

import (
	"fmt"
	"hash/fnv"
	"math"
	"testing"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// relative returns |got-want| over |want|, or the difference itself near zero.
func relative(got, want float64) float64 {
	if math.Abs(want) < 1e-300 {
		return math.Abs(got - want)
	}
	return math.Abs(got-want) / math.Abs(want)
}

func TestNormalAgainstGonum(t *testing.T) {
	normal := distuv.UnitNormal
	for x := -37.0; x <= 8; x += 0.0625 {
		if d := relative(NormalCDF(x), normal.CDF(x)); d > 2e-13 {
			t.Errorf("CDF(%v): got %v, gonum %v, relative %.2g", x, NormalCDF(x), normal.CDF(x), d)
		}
	}
	for _, p := range []float64{1e-300, 1e-50, 1e-12, 1e-6, 0.001, 0.02275, 0.05, 0.1, 0.25, 0.4, 0.499999, 0.5, 0.7, 0.95, 0.975, 0.999, 1 - 1e-9} {
		got, want := NormalQuantile(p), normal.Quantile(p)
		if math.Abs(got-want) > 1e-15+4e-13*math.Abs(want) {
			t.Errorf("quantile(%v): got %.17g, gonum %.17g", p, got, want)
		}
	}
}

// Far tail: Abramowitz and Stegun table 26.2, -log10 Q(x) = 9.00586 at x = 6 and 23.11805 at 10.
func TestNormalTailPublished(t *testing.T) {
	for x, want := range map[float64]float64{6: 9.00586, 10: 23.11805} {
		if got := -math.Log10(normalUpper(x)); math.Abs(got-want) > 6e-6 {
			t.Errorf("-log10 Q(%v) = %v, published %v", x, got, want)
		}
	}
}

func TestIncompleteBetaAgainstGonum(t *testing.T) {
	for _, a := range []float64{0.5, 1, 2.5, 8, 40, 500} {
		for _, b := range []float64{0.5, 1, 3, 12} {
			for x := 0.01; x < 1; x += 0.07 {
				got, want := incompleteBeta(a, b, x, 1-x), mathext.RegIncBeta(a, b, x)
				if relative(got, want) > 2e-12 && math.Abs(got-want) > 1e-300 {
					t.Errorf("I_%v(%v, %v) = %v, gonum %v", x, a, b, got, want)
				}
			}
		}
	}
}

func TestStudentAgainstGonum(t *testing.T) {
	for _, nu := range []float64{1, 1.5, 2, 3, 4.2, 5, 9, 16.75, 30, 100, 1e4} {
		s := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: nu}
		for t0 := -12.0; t0 <= 12; t0 += 0.37 {
			got, want := StudentCDF(t0, nu), s.CDF(t0)
			// gonum loses digits with growing nu to its log gamma of large arguments (at nu = 1e6 the tenth digit is wrong).
			if math.Abs(got-want) > 2e-12*nu/100*want+1e-12*want+1e-15 {
				t.Errorf("CDF(%v, nu %v) = %v, gonum %v", t0, nu, got, want)
			}
		}
		for _, p := range []float64{1e-6, 0.001, 0.01, 0.05, 0.3, 0.45, 0.6, 0.975, 0.9995} {
			got, want := StudentQuantile(p, nu), s.Quantile(p)
			if relative(got, want) > 1e-9 {
				t.Errorf("quantile(%v, nu %v) = %.12g, gonum %.12g", p, nu, got, want)
			}
			if back := StudentCDF(got, nu); math.Abs(back-p) > 1e-14+1e-12*p {
				t.Errorf("CDF(quantile(%v)), nu %v = %v", p, nu, back)
			}
		}
	}
}

// Closed forms: nu = 1 is Cauchy, t = tan(pi (p - 1/2)); nu = 2 gives t = (2p-1)/sqrt(2p(1-p)); nu = 4 by the cubic.
func TestStudentClosedForms(t *testing.T) {
	for _, p := range []float64{0.51, 0.6, 0.75, 0.9, 0.975, 0.995, 0.9995, 0.999995} {
		if got, want := StudentQuantile(p, 1), math.Tan(math.Pi*(p-0.5)); relative(got, want) > 1e-11 {
			t.Errorf("nu 1, p %v: %.15g, closed form %.15g", p, got, want)
		}
		if got, want := StudentQuantile(p, 2), (2*p-1)/math.Sqrt(2*p*(1-p)); relative(got, want) > 1e-11 {
			t.Errorf("nu 2, p %v: %.15g, closed form %.15g", p, got, want)
		}
		a := 4 * p * (1 - p)
		q := math.Cos(math.Acos(math.Sqrt(a))/3) / math.Sqrt(a)
		if got, want := StudentQuantile(p, 4), 2*math.Sqrt(q-1); relative(got, want) > 1e-8 {
			t.Errorf("nu 4, p %v: %.15g, closed form %.15g", p, got, want)
		}
	}
}

// The two-sided factors of NIST Technical Note 1297 (B. N. Taylor, C. E. Kuyatt, 1994), table B.1, as in facts 3.2.
func TestCoverageFactorTN1297(t *testing.T) {
	levels := []float64{0.90, 0.95, 0.9545, 0.99}
	for _, line := range []struct {
		nu      float64
		factors []float64
		digits  float64
	}{
		{2, []float64{2.92, 4.30, 4.53, 9.92}, 0.005},
		{4, []float64{2.13, 2.78, 2.87, 4.60}, 0.005},
		{5, []float64{2.02, 2.57, 2.65, 4.03}, 0.005},
		{9, []float64{1.83, 2.26, 2.32, 3.25}, 0.005},
		{16, []float64{1.75, 2.12, 2.17, 2.92}, 0.005},
		{19, []float64{1.73, 2.09, 2.14, 2.86}, 0.005},
		{math.Inf(1), []float64{1.645, 1.960, 2.000, 2.576}, 0.0005},
	} {
		for i, want := range line.factors {
			if got := CoverageFactor(levels[i], line.nu); math.Abs(got-want) > line.digits+1e-12 {
				t.Errorf("nu %v, %v: %v, table %v", line.nu, levels[i], got, want)
			}
		}
	}
}

// Quantiles rise with probability and fall, for the upper half, with degrees of freedom towards the normal.
func TestQuantilesMonotone(t *testing.T) {
	nus := []float64{1, 1.3, 2, 3, 7, 7.5, 20, 333, 1e5, 9.9e8, 1e9, math.Inf(1)}
	for k, nu := range nus {
		last := math.Inf(-1)
		for i := 1; i < 400; i++ {
			p := float64(i) / 400
			q := StudentQuantile(p, nu)
			if !(q > last) {
				t.Fatalf("nu %v: quantile(%v) = %v is not above %v", nu, p, q, last)
			}
			if mirrored := StudentQuantile(1-p, nu); math.Abs(q+mirrored) > 1e-11*(1+math.Abs(q)) {
				t.Errorf("nu %v, p %v: %v and %v are not mirror images", nu, p, q, mirrored)
			}
			if k > 0 && p > 0.5 && q > StudentQuantile(p, nus[k-1])*(1+1e-9) {
				t.Errorf("p %v: quantile at nu %v is above that at %v", p, nu, nus[k-1])
			}
			last = q
		}
	}
	for i := 1; i < 1000; i++ {
		if a, b := NormalQuantile(float64(i)/1001), NormalQuantile(float64(i+1)/1001); !(a < b) {
			t.Errorf("normal quantile does not rise at %d/1001", i)
		}
	}
}

func TestQuantileEnds(t *testing.T) {
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"normal 0", NormalQuantile(0), math.Inf(-1)},
		{"normal 1", NormalQuantile(1), math.Inf(1)},
		{"normal middle", NormalQuantile(0.5), 0},
		{"normal outside", NormalQuantile(1.1), math.NaN()},
		{"normal NaN", NormalQuantile(math.NaN()), math.NaN()},
		{"student 0", StudentQuantile(0, 3), math.Inf(-1)},
		{"student 1", StudentQuantile(1, 3), math.Inf(1)},
		{"student no freedom", StudentQuantile(0.9, 0), math.NaN()},
		{"cdf NaN", StudentCDF(math.NaN(), 3), math.NaN()},
		{"cdf beyond", NormalCDF(-40), 0},
		{"cdf far", NormalCDF(40), 1},
		{"factor of nothing", CoverageFactor(0, 3), 0},
		{"factor of all", CoverageFactor(1, 3), math.NaN()},
		{"student at infinity", StudentCDF(math.Inf(1), 3), 1},
	} {
		if c.got != c.want && !(math.IsNaN(c.got) && math.IsNaN(c.want)) {
			t.Errorf("%s: %v, expected %v", c.name, c.got, c.want)
		}
	}
}

// The same bits on every machine: the digest below was made on amd64; the test is run on wasm and arm64 too. It changes
// only when the mathematics changes.
func TestBitsDigest(t *testing.T) {
	h := fnv.New64a()
	add := func(v float64) { fmt.Fprintf(h, "%016x", math.Float64bits(v)) }
	for i := 1; i < 200; i++ {
		p := float64(i) / 200
		add(NormalQuantile(p))
		add(NormalCDF(float64(8*p) - 6))
		for _, nu := range []float64{1, 2.5, 4, 9, 30.5, 1000} {
			add(StudentQuantile(p, nu))
			add(StudentCDF(float64(10*p)-5, nu))
		}
	}
	for n := 3; n < 40; n++ {
		add(GrubbsCritical(n, 0.05, true))
		low, high, _ := Wilson(n/3, n, 0.95)
		add(low)
		add(high)
	}
	values := readingsLike(225)
	s := Describe(values)
	add(s.Mean)
	add(s.SD)
	add(Lag1(values))
	budget := Budget{part("standard", 25, 18, 1), part("comparator", 6.7, 8, 1), part("temperature", 0.0289, 2, -575)}
	u, _ := budget.Evaluate(0.95)
	add(u.Expanded)
	add(u.DegreesOfFreedom)
	d, _ := GuardBand.Decide(81.2, u, 75, math.Inf(1))
	add(d.Conformance)
	const want = uint64(0x39f2e6e2a00667c)
	if got := h.Sum64(); got != want {
		t.Errorf("digest is %#x, expected %#x", got, want)
	}
}

// Upper tails of Student's t and of the normal distribution, computed with mpmath 1.3.0 (betainc, erfc) at 40 digits.
func TestTailsAgainstMpmath(t *testing.T) {
	for _, c := range []struct{ t, nu, tail float64 }{
		{0.25, 1, 0.42202086962263067},
		{1, 1, 0.25},
		{1.96, 1, 0.15017144588801657},
		{30, 1, 0.010606402405535423},
		{0.25, 2.5, 0.4108403005626516},
		{1.96, 2.5, 0.081473782236406993},
		{30, 2.5, 0.00014553235457869771},
		{1, 4, 0.18695048315002944},
		{4.5, 4, 0.0054112752313041257},
		{0.25, 16.75, 0.40281386083105456},
		{1.96, 16.75, 0.03342465255981904},
		{30, 16.75, 2.6808416264128816e-16},
		{30, 30, 3.125895815304444e-24},
		{0.25, 1000, 0.40131934813058002},
		{1.96, 1000, 0.025136592477874357},
		{4.5, 1000, 3.7965355132491222e-6},
		{0.25, 1e6, 0.40129369999425254},
		{1, 1e6, 0.15865537491678906},
		{1.96, 1e6, 0.024998033792634893},
		{4.5, 1e6, 3.3980552524769493e-6},
		{0.5, math.Inf(1), 0.3085375387259869},
		{1.9, math.Inf(1), 0.028716559816001799},
		{2.1, math.Inf(1), 0.017864420562816557},
		{6, math.Inf(1), 9.8658764503769814e-10},
		{20, math.Inf(1), 2.7536241186062337e-89},
		{37, math.Inf(1), 5.7255712225245768e-300},
	} {
		if d := relative(studentUpper(c.t, c.nu), c.tail); d > 1e-12 {
			t.Errorf("t %v, nu %v: tail %.17g, mpmath %.17g, relative %.2g", c.t, c.nu, studentUpper(c.t, c.nu), c.tail, d)
		}
	}
}
