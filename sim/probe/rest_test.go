package probe

import (
	"math"
	"testing"

	"foilwright/sim/num"
	"foilwright/sim/part"
)

// meanRest is the mean rise and scatter of a probe on a texture over many
// realisations.
func meanRest(d Design, x part.Texture, seeds uint64) (rise, scatter float64) {
	for seed := range seeds {
		r := d.RestOn(x.Realise(num.NewStream(seed, "relief")))
		rise += r.MeanUm / float64(seeds)
		scatter += r.ScatUm / float64(seeds)
	}
	return rise, scatter
}

// A probe zeroed on smooth steel reads as much on bare blasted steel as ISO
// 19840 has one deduct (from memory). The grades were fitted to it: the
// agreement is a calibration. Scatter of single contacts in an earlier
// computation, one realisation each, for slightly rougher surfaces: 6.3, 9.9 and
// 13 µm.
func TestTipOnBlastedSteelStandsAsHighAsTheDeduction(t *testing.T) {
	d, _ := ByID("ferrous-general")
	for _, c := range []struct {
		grade             part.Grade
		deduct, low, high float64
	}{{part.Fine, 10, 3, 8}, {part.Medium, 25, 7, 13}, {part.Coarse, 40, 10, 18}} {
		x, _ := part.TextureOf(c.grade)
		rise, scatter := meanRest(d, x, 20)
		if math.Abs(rise-c.deduct) > 2 || c.grade.DeductUm() != c.deduct {
			t.Errorf("%s: the tip stands %.1f µm high, ISO 19840 has %g µm deducted", c.grade, rise, c.deduct)
		}
		if scatter < c.low || scatter > c.high {
			t.Errorf("%s: single contacts scatter by %.1f µm, expected %g to %g", c.grade, scatter, c.low, c.high)
		}
	}
}

// The rise at a place, against a plain search over the sphere's surface.
func TestTipRestsOnTheHighestPeak(t *testing.T) {
	d, _ := ByID("ferrous-fine")
	x, _ := part.TextureOf(part.Coarse)
	r := x.Realise(num.NewStream(3, "relief"))
	um := peaks(r, d.Head.TipRadius)
	for _, at := range [][2]int{{0, 0}, {17, 90}, {64, 64}, {127, 1}} {
		want := math.Inf(-1)
		for i := -r.N / 2; i < r.N/2; i++ {
			for k := -r.N / 2; k < r.N/2; k++ {
				away := float64(i*i+k*k) * r.Step * r.Step / (2 * d.Head.TipRadius) * 1e6
				want = math.Max(want, r.Um[(at[0]+i+r.N)%r.N*r.N+(at[1]+k+r.N)%r.N]-away)
			}
		}
		if got := um[at[0]*r.N+at[1]]; math.Abs(got-want) > 1e-9 {
			t.Errorf("at %v: the tip rests %.4f µm high, by search %.4f", at, got, want)
		}
	}
}

// The shift of the field's plane against two-dimensional finite elements over
// z = A cos kx, where the sum over the waves is k A^2/2: .050, .123, .236, .333,
// .413, .530, .610 of A at kA = .1, .25, .5, .75, 1, 1.5, 2 (computed for this
// project).
func TestShiftSaturatesAsFiniteElementsDo(t *testing.T) {
	for _, c := range [][2]float64{{.1, .050}, {.25, .123}, {.5, .236}, {.75, .333}, {1, .413}, {1.5, .530}, {2, .610}} {
		kA, want := c[0], c[1]
		sq := 1 / math.Sqrt2 // of a cosine of amplitude 1
		// The texture whose unsaturated shift is kA/2.
		x := part.Texture{RzUm: 1, Correlation: 90e-6}
		scale := sq / x.SqUm()
		x.RzUm *= scale
		x.Correlation = math.Sqrt(math.Pi) * sq * sq / (kA / 2) * 1e-6
		x.RzUm *= sq / x.SqUm() // the number of peaks has changed
		if got := ShiftUm(x); math.Abs(got-want) > 0.01 {
			t.Errorf("kA = %g: shift %.3f of the amplitude, finite elements %.3f", kA, got, want)
		}
	}
}

func TestRestVanishesWithTheTexture(t *testing.T) {
	d, _ := ByID("ferrous-general")
	if d.RestOn(nil) != nil || (*Rest)(nil).RiseUm(1, 2, 3) != 0 {
		t.Error("a smooth surface lifts the tip")
	}
	x, _ := part.TextureOf(part.Medium)
	before := math.Inf(1)
	for _, rz := range []float64{100, 50, 10, 1, 0.01} {
		x.RzUm = rz
		rise, scatter := meanRest(d, x, 4)
		if rise >= before || rise < -0.001 || scatter > rz {
			t.Errorf("Rz %g: rise %.3f, scatter %.3f", rz, rise, scatter)
		}
		before = rise
	}
	if before > 0.01 {
		t.Errorf("Rz 0.01 µm lifts the tip by %.4f µm", before)
	}
}

// A film fills the valleys: the mean rise stays, the scatter falls.
func TestFilmBridgesTheProfile(t *testing.T) {
	d, _ := ByID("ferrous-general")
	x, _ := part.TextureOf(part.Medium)
	r := d.RestOn(x.Realise(num.NewStream(1, "relief")))
	before := math.Inf(1)
	for _, cover := range []float64{0, 40, 90, 250} {
		s := num.NewStream(1, "places")
		sum, squares := 0.0, 0.0
		const n = 4000
		for range n {
			um := r.RiseUm(s.Float64(), s.Float64(), cover)
			sum += um
			squares += um * um
		}
		mean := sum / n
		sd := math.Sqrt(squares/n - mean*mean)
		if math.Abs(mean-r.MeanUm) > 4*r.ScatUm/math.Sqrt(n) || sd >= before || math.Abs(sd/(r.ScatUm*math.Exp(-cover/90))-1) > 0.08 {
			t.Errorf("under %g µm: mean %.2f, scatter %.2f; bare %.2f and %.2f", cover, mean, sd, r.MeanUm, r.ScatUm)
		}
		before = sd
	}
}

func BenchmarkRestOn(b *testing.B) {
	d, _ := ByID("ferrous-general")
	x, _ := part.TextureOf(part.Coarse)
	for b.Loop() {
		d.RestOn(x.Realise(num.NewStream(1, "relief")))
	}
}

func BenchmarkRise(b *testing.B) {
	d, _ := ByID("ferrous-general")
	x, _ := part.TextureOf(part.Coarse)
	r := d.RestOn(x.Realise(num.NewStream(1, "relief")))
	i := 0
	for b.Loop() {
		r.RiseUm(float64(i)*1e-6, 0.01, 20)
		i++
	}
}
