package trainee

import (
	"math"

	"foilwright/sim/num"
)

// grip is how one touch of the probe is made.
type grip struct {
	liftMm      float64 // height before the touch
	landMmPerS  float64
	tiltDeg     float64
	tiltTowards float64 // radians
	holdMs      int64
	pressN      float64
	slideMm     float64
	pauseMs     int64 // travel before it
}

// hand draws grips.
type hand struct {
	stream      *num.Stream
	leastLiftMm float64 // what the job asks for at the least
}

// usualLiftMm is the least lift that jobs ask for where they say nothing.
const usualLiftMm = 25

// lift is a height well clear of the metal: above what the job asks for, and
// never lower than the hand is used to.
func (h *hand) lift() float64 {
	return h.between(28, 50) + math.Max(0, h.leastLiftMm-usualLiftMm)
}

// hop is a height that falls plainly short of what the job asks for.
func (h *hand) hop() float64 { return h.between(4, 15) * h.leastLiftMm / usualLiftMm }

func (h *hand) between(low, high float64) float64 {
	return low + float64((high-low)*h.stream.Float64())
}

func (h *hand) whole(low, high int) int { return low + h.stream.IntN(high-low+1) }

// grip is a careful touch: nearly square, gentle, firm, still, well lifted.
func (h *hand) grip() grip {
	return grip{
		liftMm:     h.lift(),
		landMmPerS: h.between(10, 40),
		// The length of a two-dimensional normal lean, cut at 2.5 degrees.
		tiltDeg:     math.Min(2.5, num.Hypot(0.8*h.stream.Normal(), 0.8*h.stream.Normal())),
		tiltTowards: h.between(0, 2*math.Pi),
		holdMs:      int64(h.between(700, 1100)),
		pressN:      h.between(1.6, 3.6),
		pauseMs:     int64(h.between(350, 900)),
	}
}

// softly presses no more than brings the sleeve home.
func (g *grip) softly() { g.pressN = 1.1 + float64(0.4*(g.pressN-1.6)) }

// some picks about a share of n touches to go wrong, at least two where there
// are two, never the first.
func (h *hand) some(n int, share float64) []bool {
	picked := make([]bool, n)
	count := 0
	for i := 1; i < n; i++ {
		if h.stream.Float64() < share {
			picked[i] = true
			count++
		}
	}
	for i := n - 1; i > 0 && count < 2; i-- {
		if !picked[i] {
			picked[i] = true
			count++
		}
	}
	return picked
}
