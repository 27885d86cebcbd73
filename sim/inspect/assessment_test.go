package inspect

import (
	"math"
	"testing"

	"foilwright/sim/num"
)

// Published or recomputed values beyond the reference table: facts 3.4, LibreTexts appendix 7 with its two misprints
// put right; one-sided by NIST/SEMATECH's formula.
func TestGrubbsPublished(t *testing.T) {
	for _, c := range []struct {
		n        int
		alpha    float64
		twoSided bool
		want     float64
	}{
		{12, 0.05, true, 2.412}, {15, 0.01, true, 2.806}, {7, 0.05, true, 2.020}, {5, 0.05, false, 1.671}, {10, 0.05, false, 2.176},
	} {
		if got := GrubbsCritical(c.n, c.alpha, c.twoSided); math.Abs(got-c.want) > 0.001 {
			t.Errorf("n %d: %v, published %v", c.n, got, c.want)
		}
	}
	// Example of NIST/SEMATECH e-Handbook 1.3.5.17.1 (Tietjen and Moore, mass of uranium isotopes): G = 2.4687,
	// critical 2.032, the value 245.57 (example from memory).
	g, i := Grubbs([]float64{199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57})
	if math.Abs(g-2.4687) > 1e-3 || i != 7 {
		t.Errorf("G = %v at %d, published 2.4687 at 7", g, i)
	}
	if got := GrubbsCritical(8, 0.05, false); math.Abs(got-2.032) > 1e-3 {
		t.Errorf("critical %v, published 2.032", got)
	}
}

// The tables must do what they promise: of normal samples, the stated fraction exceeds the critical value. Within four
// standard errors of the simulation.
func TestOutlierRates(t *testing.T) {
	const samples = 40000
	s := num.NewStream(11, "outlier rates")
	for _, n := range []int{3, 5, 7, 10} {
		grubbs, dixon := 0, 0
		dixonLimit, err := DixonCritical(n, 95)
		if err != nil {
			t.Fatal(err)
		}
		grubbsLimit := GrubbsCritical(n, 0.05, true)
		values := make([]float64, n)
		for range samples {
			for i := range values {
				values[i] = s.Normal()
			}
			if g, _ := Grubbs(values); g > grubbsLimit {
				grubbs++
			}
			if q, _ := DixonQ(values); q > dixonLimit {
				dixon++
			}
		}
		for name, count := range map[string]int{"Grubbs": grubbs, "Dixon": dixon} {
			rate := float64(count) / samples
			// Three printed digits of the table add up to a hundredth of the rate.
			if math.Abs(rate-0.05) > 4*math.Sqrt(0.05*0.95/samples)+0.0005 {
				t.Errorf("%s, n %d: %v of normal samples are called outliers, expected 0.05", name, n, rate)
			}
		}
	}
}

func TestOutlierEdges(t *testing.T) {
	for _, values := range [][]float64{nil, {1, 2}, {3, 3, 3}} {
		if g, i := Grubbs(values); g == g || i != -1 {
			t.Errorf("Grubbs of %v: %v at %d", values, g, i)
		}
		if q, i := DixonQ(values); q == q || i != -1 {
			t.Errorf("Dixon of %v: %v at %d", values, q, i)
		}
	}
	if _, err := DixonCritical(11, 95); err == nil {
		t.Error("Dixon for 11 values was given")
	}
	if _, err := DixonCritical(5, 80); err == nil {
		t.Error("Dixon at 80 % was given")
	}
	if v := GrubbsCritical(2, 0.05, true); v == v {
		t.Errorf("Grubbs for 2 values: %v", v)
	}
}

// Wilson's interval by the quadratic it solves: |p - bound| = z sqrt(bound (1 - bound) / n).
func TestWilson(t *testing.T) {
	z := NormalQuantile(0.975)
	for n := 1; n <= 60; n += 7 {
		lastLow, lastHigh := -1.0, -1.0
		for k := 0; k <= n; k++ {
			low, high, err := Wilson(k, n, 0.95)
			if err != nil {
				t.Fatal(err)
			}
			p := float64(k) / float64(n)
			if low < 0 || high > 1 || low > p || high < p || low < lastLow || high < lastHigh {
				t.Errorf("%d of %d: %v to %v", k, n, low, high)
			}
			lastLow, lastHigh = low, high
			for _, bound := range []float64{low, high} {
				if miss := math.Abs(math.Abs(p-bound) - z*math.Sqrt(bound*(1-bound)/float64(n))); miss > 1e-12 {
					t.Errorf("%d of %d: bound %v misses its equation by %v", k, n, bound, miss)
				}
			}
			mirrorLow, mirrorHigh, _ := Wilson(n-k, n, 0.95)
			if math.Abs(low+mirrorHigh-1) > 1e-14 || math.Abs(high+mirrorLow-1) > 1e-14 {
				t.Errorf("%d of %d is not the mirror image of %d", k, n, n-k)
			}
		}
	}
	// R. G. Newcombe, Statistics in Medicine 17, 1998, table I, score method: 81 of 263 gives 0.2553 to 0.3662, 15 of 148
	// gives 0.0624 to 0.1605 (from memory).
	for _, c := range []struct {
		k, n      int
		low, high float64
	}{{81, 263, 0.2553, 0.3662}, {15, 148, 0.0624, 0.1605}, {0, 20, 0, 0.1611}, {29, 29, 0.8830, 1}} {
		low, high, err := Wilson(c.k, c.n, 0.95)
		if err != nil || math.Abs(low-c.low) > 6e-5 || math.Abs(high-c.high) > 6e-5 {
			t.Errorf("%d of %d: %v to %v, published %v to %v", c.k, c.n, low, high, c.low, c.high)
		}
	}
	for _, c := range [][2]int{{-1, 4}, {5, 4}} {
		if _, _, err := Wilson(c[0], c[1], 0.95); err == nil {
			t.Errorf("%v was taken", c)
		}
	}
	if low, high, err := Wilson(0, 0, 0.95); low != 0 || high != 1 || err != nil {
		t.Errorf("no trials: %v to %v, %v", low, high, err)
	}
}

func TestROCArea(t *testing.T) {
	for _, c := range []struct {
		name          string
		lower, higher []float64
		want          float64
	}{
		{"apart", []float64{1, 2, 3}, []float64{4, 5}, 1},
		{"turned", []float64{4, 5}, []float64{1, 2, 3}, 0},
		{"alike", []float64{1, 2}, []float64{1, 2}, 0.5},
		{"all tied", []float64{7, 7, 7}, []float64{7}, 0.5},
		{"one of four wrong", []float64{1, 3}, []float64{2, 4}, 0.75},
	} {
		got, err := ROCArea(c.lower, c.higher)
		if err != nil || got != c.want {
			t.Errorf("%s: %v, %v; expected %v", c.name, got, err, c.want)
		}
	}
	// Against the definition, pair by pair.
	values := readingsLike(90)
	wins := 0.0
	for _, l := range values[:40] {
		for _, h := range values[40:] {
			switch {
			case h > l:
				wins++
			case h == l:
				wins += 0.5
			}
		}
	}
	if got, _ := ROCArea(values[:40], values[40:]); math.Abs(got-wins/2000) > 1e-15 {
		t.Errorf("got %v, pair by pair %v", got, wins/2000)
	}
	for _, c := range [][2][]float64{{nil, {1}}, {{1}, nil}, {{math.NaN()}, {1}}, {{1}, {math.NaN()}}} {
		if _, err := ROCArea(c[0], c[1]); err == nil {
			t.Errorf("%v was taken", c)
		}
	}
}

func TestAgreementProperties(t *testing.T) {
	if k, err := CohenKappa([][]float64{{10, 0}, {0, 5}}); err != nil || k.Kappa != 1 {
		t.Errorf("full agreement: %+v, %v", k, err)
	}
	if k, err := CohenKappa([][]float64{{10, 0}, {0, 0}}); err != nil || k.Kappa == k.Kappa {
		t.Errorf("one answer only: %+v, %v; expected NaN", k, err)
	}
	k, err := CohenKappa([][]float64{{20, 5}, {10, 15}})
	if err != nil || math.Abs(k.Observed-0.7) > 1e-15 || math.Abs(k.Chance-0.5) > 1e-15 {
		t.Errorf("worked example: %+v, %v; published 0.70 and 0.50", k, err)
	}
	for _, bad := range [][][]float64{nil, {{1, 2}}, {{0, 0}, {0, 0}}, {{-1, 0}, {0, 3}}} {
		if _, err := CohenKappa(bad); err == nil {
			t.Errorf("%v was taken", bad)
		}
	}
	// A rater who is always 3 higher changes agreement, not consistency.
	same, shifted := [][]float64{{1, 1}, {4, 4}, {2, 2}}, [][]float64{{1, 4}, {4, 7}, {2, 5}}
	a, _ := IntraclassCorrelation(same)
	b, _ := IntraclassCorrelation(shifted)
	if math.Abs(a.ICC21-1) > 1e-12 || math.Abs(b.ICC31-1) > 1e-12 || b.ICC21 > 0.5 {
		t.Errorf("same %+v, shifted %+v", a, b)
	}
	for _, bad := range [][][]float64{nil, {{1, 2}}, {{1}, {2}}, {{1, 2}, {1}}} {
		if _, err := IntraclassCorrelation(bad); err == nil {
			t.Errorf("%v was taken", bad)
		}
	}
}

// The risks are what Wald's bounds promise: of trainees at p0 at most alpha (and a little for whole steps) are found
// wanting first, of trainees at p1 at most beta pass first.
func TestCUSUMRisks(t *testing.T) {
	c := CUSUM{Acceptable: 0.1, Unacceptable: 0.3, Alpha: 0.1, Beta: 0.1}
	l, err := c.Limits()
	if err != nil {
		t.Fatal(err)
	}
	s := num.NewStream(3, "cusum")
	wrong := func(rate float64, state Competence) float64 {
		count := 0
		const trainees = 4000
		for range trainees {
			outcomes := make([]bool, 400)
			for i := range outcomes {
				outcomes[i] = s.Float64() >= rate
			}
			for _, p := range l.Follow(outcomes) {
				if p.State != Learning {
					if p.State == state {
						count++
					}
					break
				}
			}
		}
		return float64(count) / trainees
	}
	if r := wrong(0.1, BelowStandard); r > 0.12 || r < 0.02 {
		t.Errorf("%v of good trainees are found wanting, expected about 0.1", r)
	}
	if r := wrong(0.3, Competent); r > 0.12 || r < 0.02 {
		t.Errorf("%v of bad trainees pass, expected about 0.1", r)
	}
	for _, bad := range []CUSUM{{0, 0.2, 0.1, 0.1}, {0.2, 0.1, 0.1, 0.1}, {0.1, 0.2, 0, 0.1}, {0.1, 0.2, 0.1, 0.7}, {0.1, 1, 0.1, 0.1}} {
		if _, err := bad.Limits(); err == nil {
			t.Errorf("%+v was taken", bad)
		}
	}
}

func TestPracticalAndAngoffRefuse(t *testing.T) {
	if _, _, err := Practical(nil, 12); err == nil {
		t.Error("no specimens were taken")
	}
	if _, _, err := Practical([]float64{86}, 12); err == nil {
		t.Error("86 of 85 marks were taken")
	}
	if ok, failed, err := Practical([]float64{59.5, 59.4}, 10.5); ok || len(failed) != 1 || err != nil {
		t.Errorf("59.4: %v %v %v", ok, failed, err)
	}
	for _, bad := range [][][]float64{nil, {{}}, {{0.5}, {0.5, 0.5}}, {{1.5}}} {
		if _, err := AngoffCut(bad); err == nil {
			t.Errorf("%v was taken", bad)
		}
	}
}
