package bench

import (
	"math"

	"foilwright/sim/field"
)

// EdgeLimitMm is how near an edge of the part the probe may measure with an
// adjustment made away from edges: the exercise's limit, or else found the way
// the standards tell an inspector to find it, by moving toward an edge until
// the reading departs by more than what is accepted.
//
// Procedure: ISO 2178 and ISO 2360, clause on the edge effect (from memory).
// Accepted departure: 2 % of the nominal thickness, at least 1 µm; common
// practice, no source.
func (w *World) EdgeLimitMm() float64 { return w.edgeLimitMm(w.fitting()) }

// EdgeLimitWithMm is EdgeLimitMm for the probe of that id.
func (w *World) EdgeLimitWithMm(design string) float64 { return w.edgeLimitMm(w.channelOf(design)) }

func (w *World) edgeLimitMm(ch *channel) float64 {
	if set := w.Exercise.Limits.EdgeMm; set > 0 {
		return set
	}
	filmUm := w.Exercise.Job.NominalUm
	accepted := math.Max(1, 0.02*filmUm)
	over := ch.bases[0].own
	zero := over.Amplitude(field.Flat(0))
	// The instrument is zeroed on the part's own metal, away from edges.
	read := func(edgeM float64) float64 {
		s := over.Amplitude(field.Place{Gap: filmUm * 1e-6, EdgeDistance: edgeM})
		return ch.curve.ThicknessUm(s * ch.curve.SignalAtZero() / zero)
	}
	far := read(field.NoEdge)
	low, high := 0.0, 0.1
	if math.Abs(read(high)-far) > accepted {
		return high * 1e3
	}
	for range 30 {
		middle := (low + high) / 2
		if math.Abs(read(middle)-far) > accepted {
			low = middle
		} else {
			high = middle
		}
	}
	return high * 1e3
}

// RepeatabilityUm is the standard deviation of single readings that the
// instrument itself brings, at a film thickness on the part's metal; as the
// maker's data sheet would state it.
func (w *World) RepeatabilityUm(filmUm float64) float64 {
	over := w.fitting().bases[0].own
	const step = 1e-6
	s := float64(over.Amplitude(field.Flat(filmUm * 1e-6)))
	slope := (s - float64(over.Amplitude(field.Flat(float64(filmUm*1e-6)+step)))) / (step * 1e6)
	return w.Exercise.Instrument.NoiseRelative * s / slope
}
