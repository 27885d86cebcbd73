package inspect

import (
	"math"
	"testing"

	"foilwright/sim/num"
)

// readingsLike returns n made-up readings about 80 um with a spread of 3 um, to 0.1 um; always the same.
func readingsLike(n int) []float64 {
	s := num.NewStream(7, "inspect test")
	values := make([]float64, n)
	for i := range values {
		values[i] = math.Floor(float64((80+float64(3*s.Normal()))*10)+0.5) / 10
	}
	return values
}

func TestDescribeSmall(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name   string
		values []float64
		want   Statistics
	}{
		{"none", nil, Statistics{0, nan, nan, nan, nan}},
		{"one", []float64{81.5}, Statistics{1, 81.5, nan, 81.5, 81.5}},
		{"two", []float64{2, 4}, Statistics{2, 3, math.Sqrt2, 2, 4}},
		{"alike", []float64{0.1, 0.1, 0.1}, Statistics{3, 0.1, 0, 0.1, 0.1}},
		{"not a number", []float64{1, nan, 3}, Statistics{3, nan, nan, nan, nan}},
	} {
		got := Describe(c.values)
		same := func(a, b float64) bool { return a == b || a != a && b != b }
		if got.N != c.want.N || !same(got.Mean, c.want.Mean) || !same(got.SD, c.want.SD) || !same(got.Min, c.want.Min) || !same(got.Max, c.want.Max) {
			t.Errorf("%s: got %+v, want %+v", c.name, got, c.want)
		}
	}
}

// Adding a constant moves the mean and leaves the spread; a factor scales both; neither touches the autocorrelation.
func TestDescribeInvariance(t *testing.T) {
	values := readingsLike(60)
	base, lag := Describe(values), Lag1(values)
	for _, shift := range []float64{-80, 1000, 1e6} {
		for _, scale := range []float64{1, -0.5, 3, 25.4} {
			moved := make([]float64, len(values))
			for i, v := range values {
				moved[i] = v*scale + shift
			}
			s := Describe(moved)
			size := 1e-15 * (math.Abs(shift) + 250*math.Abs(scale))
			if math.Abs(s.Mean-(base.Mean*scale+shift)) > 4*size {
				t.Errorf("shift %v scale %v: mean %v", shift, scale, s.Mean)
			}
			if math.Abs(s.SD-base.SD*math.Abs(scale)) > 10*size {
				t.Errorf("shift %v scale %v: sd %v, expected %v", shift, scale, s.SD, base.SD*math.Abs(scale))
			}
			if math.Abs(Lag1(moved)-lag) > 1e-8 {
				t.Errorf("shift %v scale %v: lag-1 %v, expected %v", shift, scale, Lag1(moved), lag)
			}
			if s.Min > s.Mean || s.Mean > s.Max {
				t.Errorf("mean %v outside %v to %v", s.Mean, s.Min, s.Max)
			}
		}
	}
}

// The mean is compensated: plain summing loses the small values here.
func TestDescribeCompensates(t *testing.T) {
	if got := Describe([]float64{1e16, 1, 1, 1, -1e16}).Mean; got != 0.6 {
		t.Errorf("mean %v, expected 0.6", got)
	}
}

func TestPooledSD(t *testing.T) {
	// By hand: group variances 1 (2 df) and 8 (1 df): (2*1 + 1*8)/3.
	sd, df := PooledSD([]float64{1, 2, 3}, []float64{10, 14}, []float64{7})
	if df != 3 || math.Abs(sd-math.Sqrt(10.0/3)) > 1e-15 {
		t.Errorf("got %v with %d, expected %v with 3", sd, df, math.Sqrt(10.0/3))
	}
	if sd, df := PooledSD([]float64{7}); df != 0 || sd == sd {
		t.Errorf("single readings: got %v with %d, expected NaN with 0", sd, df)
	}
	// A group's own level does not matter.
	again, _ := PooledSD([]float64{101, 102, 103}, []float64{10, 14})
	if math.Abs(again-math.Sqrt(10.0/3)) > 1e-12 {
		t.Errorf("level changes the pooled standard deviation to %v", again)
	}
	one, _ := PooledSD(readingsLike(20))
	if one != Describe(readingsLike(20)).SD {
		t.Errorf("one group: %v, expected its own standard deviation", one)
	}
}

func TestLag1Undefined(t *testing.T) {
	for _, values := range [][]float64{nil, {1}, {2, 2, 2}} {
		if r := Lag1(values); r == r {
			t.Errorf("%v: lag-1 %v, expected NaN", values, r)
		}
	}
}
