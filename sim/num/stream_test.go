package num

import (
	"math"
	"testing"
)

func TestStreamRepeats(t *testing.T) {
	draw := func(seed uint64, purpose string, index ...uint64) [4]uint64 {
		s := NewStream(seed, purpose, index...)
		return [4]uint64{s.Uint64(), s.Uint64(), s.Uint64(), s.Uint64()}
	}
	reference := draw(7, "noise", 3)
	if draw(7, "noise", 3) != reference {
		t.Error("same seed, purpose and index: streams differ")
	}
	seen := map[[4]uint64]string{reference: "7 noise 3"}
	for name, other := range map[string][4]uint64{
		"other seed": draw(8, "noise", 3), "other purpose": draw(7, "hand", 3), "other index": draw(7, "noise", 4),
		"no index": draw(7, "noise"), "two indices": draw(7, "noise", 3, 0), "swapped": draw(7, "noise", 0, 3),
	} {
		if before, clash := seen[other]; clash {
			t.Errorf("%s gives the stream of %s", name, before)
		}
		seen[other] = name
	}
}

func TestStemGivesTheSameStreams(t *testing.T) {
	for _, index := range [][]uint64{nil, {3}, {3, 0}, {1, 2, 1 << 63}} {
		want := NewStream(7, "noise", index...).Uint64()
		for k := range len(index) + 1 {
			if got := NewStem(7, "noise", index[:k]...).Stream(index[k:]...).Uint64(); got != want {
				t.Errorf("indices %v, %d of them in the stem: got %d, want %d", index, k, got, want)
			}
		}
	}
}

// The golden numbers pin the derivation of streams: a change here changes every recorded attempt.
func TestStreamGolden(t *testing.T) {
	s := NewStream(1, "golden", 2)
	got := []float64{s.Float64(), s.Normal(), float64(s.IntN(1000))}
	want := []float64{0.90624558745862738, -0.021892245653621741, 471}
	for i := range got {
		if got[i] != want[i] {
			t.Errorf("draw %d: got %.17g, want %.17g", i, got[i], want[i])
		}
	}
}

func TestStreamMoments(t *testing.T) {
	const n = 400000
	var mean, square, third, fourth, uniform float64
	counts := make([]int, 7)
	for k := range uint64(n / 100) {
		// Many short streams, so that neighbouring indices are tested for independence too.
		s := NewStream(42, "moments", k)
		for range 100 {
			z := s.Normal()
			mean += z
			square += z * z
			third += z * z * z
			fourth += z * z * z * z
			uniform += s.Float64()
			counts[s.IntN(7)]++
		}
	}
	// Limits are five standard errors of each moment.
	for _, c := range []struct {
		name                string
		got, want, variance float64
	}{
		{"mean", mean / n, 0, 1}, {"second moment", square / n, 1, 2}, {"third", third / n, 0, 15},
		{"fourth", fourth / n, 3, 96}, {"uniform mean", uniform / n, 0.5, 1.0 / 12},
	} {
		if limit := 5 * math.Sqrt(c.variance/n); math.Abs(c.got-c.want) > limit {
			t.Errorf("%s: got %v, want %v within %v", c.name, c.got, c.want, limit)
		}
	}
	chi := 0.0
	for _, c := range counts {
		d := float64(c) - n/7.0
		chi += d * d / (n / 7.0)
	}
	if chi > 27.9 { // chi-square, 6 degrees of freedom, upper tail 1e-4
		t.Errorf("IntN counts %v: chi-square %v", counts, chi)
	}
}
