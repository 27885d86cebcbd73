package part

import (
	"math"
	"testing"

	"foilwright/sim/num"
)

// The statistics a texture states are those of what is realised: standard
// deviation, greatest height within 2.5 mm and autocorrelation.
func TestReliefHasItsStatedStatistics(t *testing.T) {
	const seeds = 24
	for _, x := range Textures {
		var variance, range5, lines, atOne, atHalf float64
		for seed := range uint64(seeds) {
			r := x.Realise(num.NewStream(seed, "relief"))
			one, half := int(x.Correlation/r.Step+0.5), int(x.Correlation/r.Step/2+0.5)
			nodes := int(2.5e-3/r.Step + 0.5)
			for row := range r.N {
				z := func(i int) float64 { return r.Um[row*r.N+i%r.N] }
				for i := range r.N {
					variance += z(i) * z(i)
					atOne += z(i) * z(i+one)
					atHalf += z(i) * z(i+half)
				}
				if row%8 != 0 || nodes > r.N {
					continue
				}
				low, high := math.Inf(1), math.Inf(-1)
				for i := range nodes {
					low, high = math.Min(low, z(i)), math.Max(high, z(i))
				}
				range5 += high - low
				lines++
			}
		}
		n := float64(seeds * reliefNodes * reliefNodes)
		if sq := math.Sqrt(variance / n); math.Abs(sq/x.SqUm()-1) > 0.03 {
			t.Errorf("%s: standard deviation %.2f µm, stated %.2f", x.Grade, sq, x.SqUm())
		}
		if rho := atOne / variance; math.Abs(rho-math.Exp(-1)) > 0.03 {
			t.Errorf("%s: correlation %.3f at one length, want 1/e", x.Grade, rho)
		}
		if rho := atHalf / variance; math.Abs(rho-math.Exp(-0.25)) > 0.03 {
			t.Errorf("%s: correlation %.3f at half a length, want exp(-1/4)", x.Grade, rho)
		}
		if lines > 0 && math.Abs(range5/lines/x.RzUm-1) > 0.05 {
			t.Errorf("%s: height within 2.5 mm %.1f µm, stated %.1f", x.Grade, range5/lines, x.RzUm)
		}
	}
}

func TestReliefRepeatsBitForBit(t *testing.T) {
	x, ok := TextureOf(Medium)
	if !ok {
		t.Fatal("no medium texture")
	}
	a, b, c := x.Realise(num.NewStream(4, "relief")), x.Realise(num.NewStream(4, "relief")), x.Realise(num.NewStream(5, "relief"))
	same := 0
	for i := range a.Um {
		if a.Um[i] != b.Um[i] {
			t.Fatal("the same stream gives another relief")
		}
		if a.Um[i] == c.Um[i] {
			same++
		}
	}
	if same > 0 {
		t.Errorf("%d nodes are the same with another seed", same)
	}
	if (Texture{}).Realise(num.NewStream(4, "relief")) != nil {
		t.Error("a smooth surface has a relief")
	}
}

// ISO 8503-2: fine is segment 1 up to but not including segment 2, and so on;
// grit comparator 25, 60, 100 and 150 µm (from memory).
func TestGradesLieWithinTheirSegments(t *testing.T) {
	bounds := map[Grade][2]float64{Fine: {25, 60}, Medium: {60, 100}, Coarse: {100, 150}}
	for _, x := range Textures {
		if b, ok := bounds[x.Grade]; ok && !(x.RzUm >= b[0] && x.RzUm < b[1]) {
			t.Errorf("%s: %g µm is outside %v", x.Grade, x.RzUm, b)
		}
	}
}
