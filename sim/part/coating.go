package part

import (
	"math"

	"foilwright/sim/num"
)

// CoatingSpec says how the hidden film of a coated piece is drawn: a mean
// within bounds and a gentle waviness, as brush, roller or spray leave it.
// The form of the waviness is a training assumption (common practice, no
// source): a sum of plane cosine waves of equal amplitude and random direction.
type CoatingSpec struct {
	MeanUm      []Range // one of these ranges is drawn, then a mean from it
	WavinessUm  float64 // standard deviation of the local thickness over a large area
	WavelengthM Range   // metres
	Patches     []PatchSpec

	SoftUmPerN float64 // dent of a film not yet hard, um for each newton
	RecoverS   float64 // time constant with which a dent closes again, seconds

	// Known is the certificate of a coated reference piece; its film is then
	// drawn from that, and MeanUm is empty. The zero value is no certificate.
	Known Certified
}

// Certified is what the certificate of a coated reference piece says of its
// film: found by another method than the one in hand.
type Certified struct {
	LabelUm     float64 // nominal value marked on the piece
	CertifiedUm float64 // 0: no certificate
	ExpandedUm  float64 // expanded uncertainty of the certified value, um, k = 2
	Certificate string  // certificate number
	Valid       bool    // certificate in date
}

// Present reports whether the piece will have a film.
func (spec *CoatingSpec) Present() bool { return len(spec.MeanUm) > 0 || spec.Known.CertifiedUm > 0 }

// Range is a closed interval.
type Range struct{ Low, High float64 }

// wave is one plane cosine of the film: amplitude um, wave vector rad/m, phase rad.
type wave struct{ amplitudeUm, kx, ky, phase float64 }

// Coating is the realised film of one piece. The zero value is no coating.
type Coating struct {
	MeanUm  float64 // mean of the waves' carrier, um
	waves   []wave
	patches []patch

	SoftUmPerN, RecoverS float64 // as in CoatingSpec
}

const waveCount = 6

// Realise draws the film that spec describes from a stream. The same stream
// state gives the same film, bit for bit.
func (spec CoatingSpec) Realise(s *num.Stream) Coating {
	c := Coating{SoftUmPerN: spec.SoftUmPerN, RecoverS: spec.RecoverS}
	switch {
	case spec.Known.CertifiedUm > 0:
		c.MeanUm = withinCertificate(spec.Known.CertifiedUm, spec.Known.ExpandedUm, s)
	case len(spec.MeanUm) == 0:
		return Coating{}
	default:
		r := spec.MeanUm[s.IntN(len(spec.MeanUm))]
		c.MeanUm = r.Low + float64((r.High-r.Low)*s.Float64())
	}
	if spec.WavinessUm <= 0 {
		c.patches = realisePatches(spec.Patches, s)
		return c
	}
	// n cosines of amplitude a have variance n*a*a/2.
	a := spec.WavinessUm * math.Sqrt(2.0/waveCount)
	for range waveCount {
		length := spec.WavelengthM.Low + float64((spec.WavelengthM.High-spec.WavelengthM.Low)*s.Float64())
		k := 2 * math.Pi / length
		direction := 2 * math.Pi * s.Float64()
		c.waves = append(c.waves, wave{
			amplitudeUm: a,
			kx:          k * num.Cos(direction),
			ky:          k * num.Sin(direction),
			phase:       2 * math.Pi * s.Float64(),
		})
	}
	c.patches = realisePatches(spec.Patches, s)
	return c
}

// Present reports whether there is any film.
func (c *Coating) Present() bool { return c.MeanUm > 0 }

// LocalUm returns the true local thickness in um at (x, y) metres; 0 where
// there is no coating.
func (c *Coating) LocalUm(x, y float64) float64 {
	t := c.MeanUm
	for _, w := range c.waves {
		arg := float64(w.kx*x) + float64(w.ky*y) + w.phase
		t += float64(w.amplitudeUm * num.Cos(arg))
	}
	for i := range c.patches {
		t += c.patches[i].at(x, y)
	}
	if t < 0 {
		return 0
	}
	return t
}

// MeanOverUm returns the true mean thickness in um over an area, by the
// midpoint rule on a 40 x 40 grid. For waves no shorter than a quarter of the
// area's side the error is below 0.1 % of the waviness (tested against the
// closed integral of the cosines).
func (c *Coating) MeanOverUm(a Area) float64 {
	const n = 40
	sum := 0.0
	for i := range n {
		for j := range n {
			x := a.X + float64(a.Width*(float64(i)+0.5)/n)
			y := a.Y + float64(a.Height*(float64(j)+0.5)/n)
			sum += c.LocalUm(x, y)
		}
	}
	return sum / (n * n)
}
