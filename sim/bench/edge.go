package bench

import (
	"math"

	"foilwright/sim/field"
	"foilwright/sim/num"
	"foilwright/sim/part"
	"foilwright/sim/probe"
)

// EdgeLimitMm is LimitMm for the edge of the part.
func (w *World) EdgeLimitMm() float64 { return w.LimitMm(part.AtEdge) }

// EdgeLimitWithMm is EdgeLimitMm for the probe of that id.
func (w *World) EdgeLimitWithMm(design string) float64 {
	return w.limitMm(w.channelOf(design), part.AtEdge)
}

// LimitMm is how near an obstacle of the part the probe may measure with an
// adjustment made away from it: the exercise's limit, or else found the way the
// standards tell an inspector to find it, by moving toward it until the reading
// departs by more than what is accepted.
//
// Procedure: ISO 2178 and ISO 2360, clause on the edge effect (from memory).
// Accepted departure: 2 % of the nominal thickness, at least 1 µm; common
// practice, no source.
func (w *World) LimitMm(o part.Obstacle) float64 { return w.limitMm(w.fitting(), o) }

func (w *World) limitMm(ch *channel, o part.Obstacle) float64 {
	if set := w.Exercise.Limits.EdgeMm; set > 0 {
		return set
	}
	if named, ok := w.Exercise.Job.Rule.Edge(); ok && named.LeastMm > 0 {
		return named.LeastMm
	}
	filmUm := w.Exercise.Job.NominalUm
	accepted := AcceptedDepartureUm(filmUm)
	over := ch.bases[0].own()
	zero := over.Amplitude(w.plain(0))
	// The instrument is zeroed on the part's own metal, away from edges.
	read := func(distance float64) float64 {
		place := w.plain(filmUm * 1e-6)
		ch.besideOne(&place, &w.pieces[0].Piece, o, distance)
		s := over.Amplitude(place)
		return ch.curve.ThicknessUm(s * ch.curve.SignalAtZero() / zero)
	}
	far := read(math.Inf(1))
	low, high := 0.0, 0.1
	if math.Abs(read(low)-far) <= accepted {
		return 0
	}
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

// ScatterUm is the standard deviation of single readings at a film thickness on
// the metal the job is to be adjusted on: the instrument's own and that of a
// rough surface.
func (w *World) ScatterUm(filmUm float64) float64 {
	own := w.RepeatabilityUm(filmUm)
	if rest := w.fittingRest(); rest != nil && w.Exercise.Job.AllowanceUm == 0 {
		return num.Hypot(own, rest.ScatUm*rest.Bridging(filmUm))
	}
	return own
}

// leastVerified is how many readings a verification has at least, as the
// allowance for a rough surface takes it.
const leastVerified = 3

// verificationScatterUm is three times the standard deviation, um, that a rough
// surface brings to the mean of a verification on a foil: by the zero readings,
// the foil readings and the verification's own.
func (w *World) verificationScatterUm(foilUm float64) float64 {
	rest := w.fittingRest()
	if rest == nil || w.Exercise.Job.AllowanceUm > 0 {
		return 0
	}
	zero, foil := rest.ScatUm, rest.ScatUm*rest.Bridging(foilUm)
	limits := w.Exercise.Limits
	variance := float64(zero*zero)/float64(limits.ZeroReadings) + float64(foil*foil*(1/float64(limits.FoilReadings)+1.0/leastVerified))
	return 3 * math.Sqrt(variance)
}

// VerificationUm is how far the mean of a verification may be from the foil's
// certified value, um: the limit of the sheet, and what a rough surface brings.
func (w *World) VerificationUm(certifiedUm, expandedUm float64) float64 {
	return num.Hypot(w.Exercise.Limits.VerificationUm(certifiedUm, expandedUm), w.verificationScatterUm(certifiedUm))
}

// fittingRest is how the fitting probe rests on the part; nil where it is smooth.
func (w *World) fittingRest() *probe.Rest {
	for k := range w.channels {
		if &w.channels[k] == w.fitting() {
			return w.rests[k][0]
		}
	}
	return nil
}

// plain is a place on the part away from everything, gap in metres.
func (w *World) plain(gap float64) field.Place {
	return field.Place{Gap: gap, EdgeDistance: field.NoEdge, Curvature: w.pieces[0].Curvature()}
}

// RepeatabilityUm is the standard deviation of single readings that the
// instrument itself brings, at a film thickness on the part's metal; as the
// maker's data sheet would state it.
func (w *World) RepeatabilityUm(filmUm float64) float64 {
	over := w.fitting().bases[0].own()
	const step = 1e-6
	s := float64(over.Amplitude(w.plain(filmUm * 1e-6)))
	slope := (s - float64(over.Amplitude(w.plain(float64(filmUm*1e-6)+step)))) / (step * 1e6)
	return w.Exercise.Instrument.NoiseRelative * s / slope
}

// AcceptedDepartureUm is by how much a reading may depart near an edge before
// that counts: 2 % of the nominal thickness, at least 1 µm. Common practice, no
// source.
func AcceptedDepartureUm(nominalUm float64) float64 { return max(1, 0.02*nominalUm) }
