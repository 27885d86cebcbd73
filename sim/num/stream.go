package num

import (
	"math"
	"math/bits"

	"golang.org/x/exp/rand"
)

// Stream is one sequence of random numbers. It repeats exactly for the same seed, purpose and indices, on any machine.
// It must not be used by two goroutines at once.
type Stream struct {
	source rand.PCGSource
}

// NewStream returns the stream of one purpose ("texture", "noise", ...) derived from a seed. Indices tell streams of
// one purpose apart, for instance by reading number. Streams are independent of each other, so that adding a purpose
// to the program never shifts the numbers of another.
//
// Generator: M. E. O'Neill, PCG, 2014. Derivation: FNV-1a over the purpose, then the SplitMix64 finaliser for each
// word (G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014).
//
// It is small enough to be inlined, so that a stream of a few draws takes no memory.
func NewStream(seed uint64, purpose string, index ...uint64) *Stream {
	s := &Stream{}
	s.start(NewStem(seed, purpose), index)
	return s
}

// Stem is what the streams of one purpose have in common, worked out once where many of them are drawn from.
type Stem uint64

// NewStem returns what the streams of a purpose, derived from a seed, have in common whose indices begin with those given.
func NewStem(seed uint64, purpose string, index ...uint64) Stem {
	const prime, offset = 1099511628211, 14695981039346656037
	name := uint64(offset)
	for i := 0; i < len(purpose); i++ {
		name = (name ^ uint64(purpose[i])) * prime
	}
	return Stem(mix(mix(seed) ^ name)).with(index)
}

// Stream returns the stream with further indices: NewStem(seed, purpose, a).Stream(b) is NewStream(seed, purpose, a, b).
func (stem Stem) Stream(index ...uint64) *Stream {
	s := &Stream{}
	s.start(stem, index)
	return s
}

func (stem Stem) with(index []uint64) Stem {
	key := uint64(stem)
	for _, i := range index {
		key = mix(key ^ mix(i+0x9e3779b97f4a7c15))
	}
	return Stem(key)
}

func (s *Stream) start(stem Stem, index []uint64) {
	s.source.Seed(uint64(stem.with(index)))
	// The source starts with two equal words of state; a few steps spread them.
	for range 4 {
		s.source.Uint64()
	}
}

// mix is the SplitMix64 finaliser, a one-to-one scrambling of 64 bits.
func mix(z uint64) uint64 {
	z += 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// Uint64 returns 64 random bits. It takes one draw.
func (s *Stream) Uint64() uint64 { return s.source.Uint64() }

// Float64 returns a number in [0, 1), a multiple of 2^-53. It takes one draw.
func (s *Stream) Float64() float64 { return float64(s.source.Uint64()>>11) * 0x1p-53 }

// Normal returns a draw from the normal distribution with mean 0 and standard deviation 1. It always takes two draws,
// so that what follows in the stream never depends on the value. Method: G. E. P. Box and M. E. Muller, Ann. Math.
// Stat. 29 (1958) 610.
func (s *Stream) Normal() float64 {
	radius := math.Sqrt(-2 * Log(1-s.Float64()))
	return radius * Cos(2*math.Pi*s.Float64())
}

// IntN returns a whole number in [0, n), each equally likely; it panics when n is not positive. It takes one draw,
// rarely more. Method: D. Lemire, ACM Trans. Model. Comput. Simul. 29 (2019) 3.
func (s *Stream) IntN(n int) int {
	if n <= 0 {
		panic("num: IntN needs a positive n")
	}
	bound := uint64(n)
	high, low := bits.Mul64(s.source.Uint64(), bound)
	for threshold := -bound % bound; low < threshold; {
		high, low = bits.Mul64(s.source.Uint64(), bound)
	}
	return int(high)
}
