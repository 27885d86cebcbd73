package part

import (
	"math"

	"foilwright/sim/num"
)

// Grade names the finish of a surface.
type Grade string

// The grades. The zero value is smooth; fine, medium and coarse are those of
// blast-cleaned steel after ISO 8503-2.
const (
	Smooth   Grade = ""
	Machined Grade = "machined"
	Fine     Grade = "fine"
	Medium   Grade = "medium"
	Coarse   Grade = "coarse"
)

// Texture is the roughness of a surface: a Gaussian height field whose
// autocorrelation falls as exp(-(r/Correlation)^2).
type Texture struct {
	Grade       Grade
	RzUm        float64 // greatest height within 2.5 mm, mean of five such lengths (Ry5), um; 0: smooth
	Correlation float64 // correlation length, metres
}

// Textures are the finishes an exercise may name, with their usual height.
//
// Grit comparator after ISO 8503-1 (from memory): fine 25 to 60 um, medium to
// 100, coarse to 150. The correlation length, and the heights within those
// bounds, were chosen so that a tip of 1.5 mm on the bare surface stands as high
// above the plane that the field sees as ISO 19840 has one deduct: 10, 25 and
// 40 um (from memory). That is a calibration, not a prediction. Machined is a
// turned or milled face (training value).
var Textures = []Texture{
	{Machined, 9, 30e-6},
	{Fine, 35, 90e-6},
	{Medium, 75, 90e-6},
	{Coarse, 117, 90e-6},
}

// TextureOf returns the usual texture of a grade.
func TextureOf(g Grade) (Texture, bool) {
	for _, t := range Textures {
		if t.Grade == g {
			return t, true
		}
	}
	return Texture{}, g == Smooth
}

// Rough reports whether there is any texture.
func (t Texture) Rough() bool { return t.RzUm > 0 }

// SqUm is the standard deviation of the height, um. Rz over it is the mean range
// of a Gaussian profile over 2.5 mm, which grows slowly with the number of
// correlation lengths in it; found on realised reliefs (tested).
func (t Texture) SqUm() float64 {
	if !t.Rough() {
		return 0
	}
	return t.RzUm / (4.28 + float64(0.48*num.Log(2.5e-3/(27.8*t.Correlation))))
}

// DeductUm is what ISO 19840 has one deduct from a reading for a grade where
// the instrument was adjusted on smooth steel (from memory): 10, 25 and 40 um;
// 25 um where the grade is not known.
func (g Grade) DeductUm() float64 {
	switch g {
	case Smooth, Machined:
		return 0
	case Fine:
		return 10
	case Coarse:
		return 40
	}
	return 25
}

// Size of a realised relief.
const (
	reliefNodes  = 128 // along each side of the tile
	perLength    = 4   // nodes to a correlation length
	kernelReach  = 7   // nodes, beyond which the smoothing kernel is left out
	kernelRelief = 0.5 // width of that kernel in correlation lengths
)

// Relief is one realised texture: a tile of heights that repeats. The same
// place always has the same height.
type Relief struct {
	Texture Texture
	Step    float64   // between nodes, metres
	N       int       // nodes along each side of the tile
	Um      []float64 // heights by row, um, about a mean of 0
}

// Realise draws a relief; nil where the surface is smooth. White noise smoothed
// by a Gaussian has the wanted autocorrelation: that of a kernel of width s is
// exp(-(r/2s)^2).
func (t Texture) Realise(s *num.Stream) *Relief {
	if !t.Rough() {
		return nil
	}
	const n = reliefNodes
	r := &Relief{Texture: t, Step: t.Correlation / perLength, N: n, Um: make([]float64, n*n)}
	var kernel [2*kernelReach + 1]float64
	squares := 0.0
	for i := range kernel {
		x := float64(i-kernelReach) / (perLength * kernelRelief)
		kernel[i] = num.Exp(-x * x / 2)
		squares += float64(kernel[i] * kernel[i])
	}
	for i := range kernel {
		kernel[i] /= math.Sqrt(squares) // each pass keeps the variance
	}
	noise := make([]float64, n*n)
	for i := range noise {
		noise[i] = s.Normal()
	}
	rows := make([]float64, n*n)
	smooth(noise, rows, kernel[:], 1, n)
	smooth(rows, r.Um, kernel[:], n, 1)
	mean := num.Sum(r.Um) / float64(n*n)
	sq := t.SqUm()
	for i := range r.Um {
		r.Um[i] = float64(sq * (r.Um[i] - mean))
	}
	return r
}

// smooth runs a kernel along one direction of a tile that repeats.
func smooth(from, to, kernel []float64, along, across int) {
	const n = reliefNodes
	reach := len(kernel) / 2
	for line := range n {
		at := line * across
		for i := range n {
			sum := 0.0
			for k, weight := range kernel {
				j := (i + k - reach + n) & (n - 1)
				sum += float64(weight * from[at+j*along])
			}
			to[at+i*along] = sum
		}
	}
}
