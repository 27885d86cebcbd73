package trainee

import (
	"math"
	"slices"

	"foilwright/sim/bench"
	"foilwright/sim/part"
	"foilwright/sim/probe"
)

// Fault is a mistake a trainee can be made to make.
type Fault struct {
	ID    string
	Check string // id of the check that must find it
	Text  string // what the trainee does, one sentence
	// applies reports whether the exercise gives room for it; nil: always.
	applies func(*bench.Exercise) bool
	plant   func(*bench.Exercise, *plan, *hand)
}

// Applies reports whether the fault can be planted in an exercise.
func (f Fault) Applies(e *bench.Exercise) bool { return f.applies == nil || f.applies(e) }

// Faults lists the faults in the order of the work.
func Faults() []Fault { return append([]Fault(nil), faults...) }

// FaultByID returns the fault with that id.
func FaultByID(id string) (Fault, bool) {
	for _, f := range faults {
		if f.ID == id {
			return f, true
		}
	}
	return Fault{}, false
}

var faults = []Fault{
	// Preparation.
	same("principle-fit", "takes a probe of the wrong principle", func(e *bench.Exercise) bool { return len(unfitProbes(e)) > 0 },
		func(e *bench.Exercise, p *plan, h *hand) {
			unfit := unfitProbes(e)
			at := unfit[h.stream.IntN(len(unfit))]
			if e.Part.Serves(e.Uses(at)) {
				p.probe, p.trusting = e.Offered()[at].ID, true
				p.adjustsWhereItReads(e, e.Uses(at))
			} else {
				p.tryProbe = e.Offered()[at].ID
			}
		}),
	same("probe-fit", "takes a probe that the film or the part is too much for", func(e *bench.Exercise) bool { return len(strained(e)) > 0 },
		func(e *bench.Exercise, p *plan, h *hand) {
			list := strained(e)
			at := list[h.stream.IntN(len(list))]
			p.probe, p.trusting = e.Offered()[at].ID, true
			p.within(e, e.Side(at).RangeUm)
		}),
	same("tip-unchecked", "never looks at the tip", nil, func(_ *bench.Exercise, p *plan, _ *hand) { p.skipTip = true }),
	same("foil-unchecked", "sets the certified values from memory, without the certificates", func(e *bench.Exercise) bool { return len(e.Standards()) > 0 },
		func(_ *bench.Exercise, p *plan, _ *hand) { p.skipCertificates = true }),
	same("memory-uncleared", "leaves the last user's readings in the memory",
		func(e *bench.Exercise) bool { return len(e.Instrument.EarlierReadingUm) > 0 },
		func(_ *bench.Exercise, p *plan, _ *hand) { p.skipClear = true }),

	same("surface-dirty", "wipes neither pieces nor foils", dusty, func(_ *bench.Exercise, p *plan, _ *hand) { p.skipWipe, p.trusting = true, true }),
	same("temperature-unsettled", "does not wait until instrument and pieces have the temperature of the room", warm,
		func(_ *bench.Exercise, p *plan, _ *hand) { p.skipRest, p.trusting = true, true }),
	same("magnetism-left", "leaves the demagnetiser where it is", magnetic,
		func(_ *bench.Exercise, p *plan, _ *hand) { p.skipDemagnetise, p.trusting = true, true }),
	{
		ID: "foil-expired", Check: "foil-unchecked", Text: "verifies on a foil whose certificate has run out",
		applies: func(e *bench.Exercise) bool { return expired(e) != "" },
		plant:   func(e *bench.Exercise, p *plan, _ *hand) { p.verifyFoil = expired(e) },
	},

	// Zero.
	same("zero-missing", "never takes a zero", zeroes, func(_ *bench.Exercise, p *plan, _ *hand) { p.skipZero, p.trusting = true, true }),
	same("zero-few", "takes fewer zero readings than asked", func(e *bench.Exercise) bool { return zeroes(e) && e.Limits.ZeroReadings > 1 },
		func(e *bench.Exercise, p *plan, h *hand) { p.zeroReadings = h.whole(1, e.Limits.ZeroReadings-1) }),
	same("zero-piece-mismatch", "adjusts on a piece that differs from the part", func(e *bench.Exercise) bool { return len(wrongPieces(e)) > 0 },
		func(e *bench.Exercise, p *plan, h *hand) {
			wrong := wrongPieces(e)
			chosen := wrong[h.stream.IntN(len(wrong))]
			if p.trusting = true; p.takesCertified(e, chosen) {
				return
			}
			p.zeroPiece, p.skipZero = chosen, false
			p.foilPiece, p.verifyPiece = p.zeroPiece, p.zeroPiece
		}),
	same("zero-on-coating", "takes the zero on the coated part", nil,
		func(e *bench.Exercise, p *plan, _ *hand) {
			p.zeroPiece, p.skipZero, p.trusting = e.Part.Piece.ID, false, true
		}),
	same("zero-scatter", "stores a zero with a reading that stands out", func(e *bench.Exercise) bool { return zeroes(e) && e.Limits.ZeroReadings >= 3 && !zeroesOnRough(e) },
		func(_ *bench.Exercise, p *plan, _ *hand) { p.scatteredZero, p.trusting = true, true }),
	same("zero-edge", "takes the zero right at the edge of the piece", func(e *bench.Exercise) bool { return zeroes(e) && endsAt(zeroSides(e).Left) },
		func(_ *bench.Exercise, p *plan, _ *hand) { p.zeroAtEdge, p.trusting = true, true }),

	// Foil.
	same("foil-missing", "measures with the zero alone", adjustsWithFoil,
		func(_ *bench.Exercise, p *plan, _ *hand) { p.skipFoil, p.trusting = true, true }),
	same("foil-few", "takes fewer foil readings than asked", func(e *bench.Exercise) bool { return adjustsWithFoil(e) && e.Limits.FoilReadings > 1 },
		func(e *bench.Exercise, p *plan, h *hand) { p.foilReadings = h.whole(1, e.Limits.FoilReadings-1) }),
	same("foil-label", "sets the value printed on the foil", func(e *bench.Exercise) bool { return adjustsWithFoil(e) && labelDiffers(e) },
		func(e *bench.Exercise, p *plan, _ *hand) {
			p.trusting = true
			for _, f := range e.Standards() {
				p.setUm[f.ID] = f.LabelUm
			}
		}),
	same("foil-value", "mistypes the foil's value", adjustsWithFoil,
		func(e *bench.Exercise, p *plan, h *hand) {
			p.trusting = true
			id := p.foils[h.stream.IntN(len(p.foils))]
			p.setUm[id] *= 1 + float64(h.between(0.06, 0.12)*float64(1-2*h.stream.IntN(2)))
		}),
	same("foil-choice", "adjusts on a foil far from the expected thickness", func(e *bench.Exercise) bool { return adjustsWithFoil(e) && len(farFoils(e)) > 0 },
		func(e *bench.Exercise, p *plan, h *hand) {
			far := farFoils(e)
			chosen := far[h.stream.IntN(len(far))]
			p.foils[chosen.place] = chosen.id
			p.verifyFoil = verificationFoil(e, p.foils)
			p.trusting = true
		}),
	same("foil-on-coating", "lays the foil on the coated part", func(e *bench.Exercise) bool { return adjustsWithFoil(e) && len(e.Foils) >= e.Job.Thicknesses() },
		func(e *bench.Exercise, p *plan, _ *hand) {
			if p.foilPiece, p.trusting = e.Part.Piece.ID, true; e.Job.OnCoated() {
				p.foils = chooseFoils(e, e.Foils)
			}
		}),
	same("fallback-unjustified", "adjusts on a coated piece as if its thickness were known", adjustsWithFoil,
		func(e *bench.Exercise, p *plan, _ *hand) {
			p.fallback, p.fallbackPiece, p.trusting = p.foils[len(p.foils)-1], coatedPiece(e), true
			p.setUm[p.fallback] = e.Job.NominalUm
		}),
	same("foil-left", "lays a foil on the part and measures over it", hasFoils,
		func(e *bench.Exercise, p *plan, _ *hand) { p.leaveFoil = byThickness(e.Foils)[0].ID }),
	same("foil-stacked", "leaves one foil lying and lays the next on it", func(e *bench.Exercise) bool { return zeroes(e) && adjustsWithFoil(e) && len(fit(e.Foils)) >= 2 },
		func(_ *bench.Exercise, p *plan, _ *hand) { p.stackedOn, p.trusting = p.verifyFoil, true }),
	same("foil-damaged", "adjusts or verifies on a damaged foil", func(e *bench.Exercise) bool { return adjustsWithFoil(e) && damaged(e) != "" },
		func(e *bench.Exercise, p *plan, _ *hand) {
			if p.trusting = true; len(p.foils) == 2 {
				p.verifyFoil = damaged(e) // in the adjustment it might not bracket
				return
			}
			p.foils[0] = damaged(e)
		}),
	same("foil-airgap", "does not smooth a curled foil down", curled,
		func(_ *bench.Exercise, p *plan, _ *hand) { p.skipSmooth, p.trusting = true, true }),
	same("order", "sets the foil first and zeroes afterwards, which wipes it", func(e *bench.Exercise) bool { return zeroes(e) && adjustsWithFoil(e) },
		func(_ *bench.Exercise, p *plan, _ *hand) { p.foilFirst, p.trusting = true, true }),

	// Verification.
	same("verify-missing-start", "does not verify the adjustment", nil, func(_ *bench.Exercise, p *plan, _ *hand) { p.skipVerify = true }),
	same("verify-failed-ignored", "judges the verification bad and goes on all the same", nil,
		func(_ *bench.Exercise, p *plan, _ *hand) { p.ignoreVerify = true }),
	same("verify-piece-mismatch", "verifies on a piece that differs from the part", func(e *bench.Exercise) bool {
		return len(wrongPieces(e)) > 0 && (zeroes(e) || hasFoils(e))
	},
		func(e *bench.Exercise, p *plan, h *hand) {
			wrong := wrongPieces(e)
			p.verifyPiece, p.trusting = wrong[h.stream.IntN(len(wrong))], true
			if !e.Job.OnCoated() {
				return
			}
			// Bare metal of another kind takes a foil; a coated piece speaks for itself.
			p.verifyFoil = nearest(e.Foils, (e.Job.ExpectedUm.Low+e.Job.ExpectedUm.High)/2)
			if _, certified := e.Known(p.verifyPiece, ""); certified {
				p.verifyFoil = p.verifyPiece
			}
		}),
	same("verify-missing-end", "does not verify at the end", nil, func(_ *bench.Exercise, p *plan, _ *hand) { p.skipLastVerify = true }),
	same("verify-overdue", "waits more than an hour between verification and measuring", nil,
		func(_ *bench.Exercise, p *plan, h *hand) {
			p.waitMs, p.trusting = int64(h.between(65, 110)*60_000), true
		}),
	same("unsafe-readings-kept", "judges the last verification bad and reports the readings all the same", nil,
		func(_ *bench.Exercise, p *plan, _ *hand) { p.judgeLastBad = true }),

	// Handling.
	handling("tilt", "leans the probe", func(h *hand, g *grip) { g.tiltDeg = h.between(7, 14) }),
	handling("dwell-short", "lifts before the probe has settled", func(h *hand, g *grip) { g.holdMs = int64(h.between(140, 400)) }),
	handling("lift-short", "barely lifts the probe between readings", func(h *hand, g *grip) { g.liftMm = h.hop() }),
	handling("slide", "drags the probe over the surface", func(h *hand, g *grip) { g.slideMm = h.between(2, 6) }),
	handling("press", "hardly presses the probe down", func(h *hand, g *grip) { g.pressN = h.between(0.1, 0.7) }),
	{
		ID: "press-hard", Check: "press", Text: "presses hard on a coating that is still soft",
		applies: func(e *bench.Exercise) bool { return e.Part.Coating.SoftUmPerN > 0 && e.Job.Spots*e.Job.PerSpot >= 3 },
		plant:   handling("press-hard", "", func(h *hand, g *grip) { g.pressN = h.between(5, 10) }).plant,
	},
	handling("jerk", "drops the probe onto the surface", func(h *hand, g *grip) { g.landMmPerS = h.between(150, 350) }),

	// Placement and sampling.
	same("spots-few", "leaves spots out", func(e *bench.Exercise) bool { return e.Job.Spots > 1 },
		func(e *bench.Exercise, p *plan, h *hand) {
			keep := h.whole(max(1, e.Job.Spots-2), e.Job.Spots-1)
			p.spots, p.perSpot = p.spots[:keep], p.perSpot[:keep]
		}),
	same("edge-near", "measures right beside the edge or wall", func(e *bench.Exercise) bool {
		return endsAt(e.Part.Piece.Sides.Left) && endsAt(e.Part.Piece.Sides.Right)
	}, func(e *bench.Exercise, p *plan, h *hand) {
		p.byEdge(e, h, func() float64 { return p.edgeMm * h.between(0.1, 0.5) })
	}),
	{ID: "feature-near", Check: "edge-near", Text: "measures right beside a hole, a step, a weld or a bend",
		applies: func(e *bench.Exercise) bool { return len(e.Part.Piece.Features) > 0 },
		plant:   func(e *bench.Exercise, p *plan, h *hand) { p.byFeature(e, h) }},
	same("area-outside", "measures outside the marked area", func(e *bench.Exercise) bool { return marginMm(e) >= 20 },
		func(e *bench.Exercise, p *plan, h *hand) {
			p.byEdge(e, h, func() float64 { return marginMm(e) * h.between(0.6, 0.85) })
		}),
	same("readings-few", "takes fewer readings than asked in some spots", func(e *bench.Exercise) bool { return e.Job.PerSpot > 1 },
		func(e *bench.Exercise, p *plan, h *hand) {
			p.perSpot[h.stream.IntN(len(p.perSpot))] = h.whole(1, e.Job.PerSpot-1)
		}),
	same("spots-clustered", "takes all spots close together", func(e *bench.Exercise) bool { return e.Job.Spots >= 3 },
		func(e *bench.Exercise, p *plan, h *hand) {
			a := e.Job.Area
			x := float64(a.X*1e3) + float64(a.Width*1e3*h.between(0.25, 0.75))
			y := float64(a.Y*1e3) + float64(a.Height*1e3*h.between(0.25, 0.75))
			for i := range p.spots {
				p.spots[i] = point{x + float64(a.Width*1e3*h.between(-0.09, 0.09)), y + float64(a.Height*1e3*h.between(-0.09, 0.09))}
			}
		}),
	same("spot-wide", "takes the readings of one spot far apart", func(e *bench.Exercise) bool {
		return e.Job.PerSpot > 1 && e.Job.Area.Width*1e3 > 2*e.Limits.SpotMm
	}, func(e *bench.Exercise, p *plan, _ *hand) { p.spreadMm = 1.5 * e.Limits.SpotMm }),

	// Record and decision.
	same("discard-unexplained", "deletes a reading and gives no reason", nil,
		func(_ *bench.Exercise, p *plan, _ *hand) { p.discard = 1 }),
	same("discard-excess", "deletes and repeats one reading after another", nil,
		func(e *bench.Exercise, p *plan, h *hand) {
			p.discard = e.Job.Spots*e.Job.PerSpot/5 + h.whole(1, 2)
			p.discardWhy = "the probe wobbled"
		}),
	same("spots-picked", "drops readings it does not like and takes them elsewhere", func(e *bench.Exercise) bool {
		return e.Job.Spots*e.Job.PerSpot >= 10 && e.Job.PerSpot > 1 && e.Job.Area.Width > 0.06
	}, func(_ *bench.Exercise, p *plan, _ *hand) {
		p.discard, p.discardWhy, p.moveMm = 2, "it looked wrong", 18
	}),
	same("record-wrong", "copies the mean wrongly", nil, func(e *bench.Exercise, p *plan, h *hand) {
		um := h.between(2, 9) * float64(1-2*h.stream.IntN(2))
		p.misrecord = int64(math.Floor(um / e.Instrument.ResolutionUm))
	}),
	same("allowance-missed", "deducts nothing for roughness", deducts,
		func(_ *bench.Exercise, p *plan, _ *hand) { p.allowanceUm = 0 }),
	same("allowance-wrong", "deducts what belongs to another grade of roughness", deducts,
		func(e *bench.Exercise, p *plan, h *hand) {
			others := slices.DeleteFunc([]float64{10, 25, 40}, func(um float64) bool { return math.Abs(um-e.Job.AllowanceUm) < 5 })
			p.allowanceUm = others[h.stream.IntN(len(others))]
		}),
	same("report-missing", "finishes without reporting a result", nil,
		func(_ *bench.Exercise, p *plan, _ *hand) { p.skipReport = true }),
	same("uncertainty-missing", "leaves the uncertainty of the mean out", asksUncertainty,
		func(_ *bench.Exercise, p *plan, _ *hand) { p.stateTimes = 0 }),
	same("uncertainty-wrong", "states an uncertainty out of the air", asksUncertainty,
		func(e *bench.Exercise, p *plan, h *hand) {
			p.stateTimes = e.Limits.UncertaintyFactor * h.between(1.5, 2.5)
		}),
	same("decision-wrong", "decides against the rule", nil, func(_ *bench.Exercise, p *plan, _ *hand) { p.flip = true }),
}

// same is a fault whose id is that of the check that finds it.
func same(id, text string, applies func(*bench.Exercise) bool, plant func(*bench.Exercise, *plan, *hand)) Fault {
	return Fault{ID: id, Check: id, Text: text, applies: applies, plant: plant}
}

// handling is a fault of the hands in about half of the readings of the part.
func handling(id, text string, spoil func(*hand, *grip)) Fault {
	return same(id, text, func(e *bench.Exercise) bool { return e.Job.Spots*e.Job.PerSpot >= 3 },
		func(_ *bench.Exercise, p *plan, _ *hand) {
			before := p.spoil
			p.spoil = func(h *hand, g []grip) {
				if before != nil {
					before(h, g)
				}
				for i, bad := range h.some(len(g), 0.5) {
					if bad {
						spoil(h, &g[i])
					}
				}
			}
		})
}

func deducts(e *bench.Exercise) bool { return e.Job.AllowanceUm > 0 }

// fittingPrinciple is the principle that a trainee who knows the work uses.
func fittingPrinciple(e *bench.Exercise) probe.Principle {
	for i := range e.Offered() {
		if p := e.Uses(i); e.Suits(p) {
			return p
		}
	}
	return e.Uses(0)
}

// unfitProbes lists the probes on the bench that do not measure what the job
// asks.
func unfitProbes(e *bench.Exercise) []int {
	var list []int
	for i := range e.Offered() {
		if !e.Suits(e.Uses(i)) {
			list = append(list, i)
		}
	}
	return list
}

// strained lists the probes on the bench that measure what the job asks, but
// whose data sheet leaves the film or the part out while another's does not.
func strained(e *bench.Exercise) []int {
	var list []int
	if _, within := e.Best(); !within {
		return nil
	}
	for i := range e.Offered() {
		if ofRange, ofShape := e.Beyond(i); ofRange+ofShape != "" && e.Suits(e.Uses(i)) {
			list = append(list, i)
		}
	}
	return list
}

// within puts in place of foils beyond a probe's range the thickest within it.
func (p *plan) within(e *bench.Exercise, rangeUm float64) {
	most := ""
	for _, f := range byThickness(e.Standards()) {
		if f.CertifiedUm <= rangeUm {
			most = f.ID
		}
	}
	for i, id := range p.foils {
		if p.setUm[id] > rangeUm {
			p.foils[i] = most
		}
	}
	if p.setUm[p.verifyFoil] > rangeUm {
		p.verifyFoil = most
	}
}

// adjustsWhereItReads moves the adjustment to a piece on which a principle gives
// readings at all, where the piece of choice gives it none: whoever holds the
// wrong probe soon sees that much.
func (p *plan) adjustsWhereItReads(e *bench.Exercise, principle probe.Principle) {
	reads := func(r bench.PieceSpec) bool { return uncoated(r) && r.Serves(principle) }
	first := ""
	for _, r := range e.References {
		if !reads(r) {
			continue
		}
		if r.Piece.ID == p.zeroPiece {
			return
		}
		if first == "" {
			first = r.Piece.ID
		}
	}
	if first != "" {
		p.zeroPiece, p.foilPiece, p.verifyPiece = first, first, first
	}
}

func asksUncertainty(e *bench.Exercise) bool { return e.Job.StateUncertainty }

func hasFoils(e *bench.Exercise) bool { return len(e.Foils) > 0 }

// zeroes reports whether the job is to be zeroed on bare metal.
func zeroes(e *bench.Exercise) bool { return !e.Job.OnCoated() }

// adjustsWithFoil reports whether the job is adjusted on foils, or on coated
// pieces in their place.
func adjustsWithFoil(e *bench.Exercise) bool {
	return e.Job.Adjustment != bench.ZeroOnly && len(e.Standards()) > 0
}

// takesCertified puts a certified piece in the place of that of the plan which is
// nearest to it in thickness; false where the piece has no certificate.
func (p *plan) takesCertified(e *bench.Exercise, id string) bool {
	known, ok := e.Known(id, "")
	if !ok || !e.Job.OnCoated() {
		return false
	}
	nearest, off := 0, math.Inf(1)
	for i, other := range p.foils {
		if d := math.Abs(p.setUm[other] - known.CertifiedUm); d < off {
			nearest, off = i, d
		}
	}
	p.foils[nearest], p.setUm[id] = id, known.CertifiedUm
	return true
}

// labelDiffers reports whether the label of the foils of choice is off by more
// than half a display step.
func labelDiffers(e *bench.Exercise) bool {
	for _, id := range chooseFoils(e, e.Standards()) {
		for _, f := range e.Standards() {
			if f.ID == id && math.Abs(f.LabelUm-f.CertifiedUm) > e.Instrument.ResolutionUm {
				return true
			}
		}
	}
	return false
}

// wrongPieces lists the references of the kind to adjust on, or bare, that do not
// match the part.
func wrongPieces(e *bench.Exercise) []string {
	var ids []string
	for _, r := range e.References {
		certified := e.Job.OnCoated() && r.Coating.Known.CertifiedUm > 0
		if (uncoated(r) || certified) && len(e.Mismatch(&r.Piece)) > 0 && r.Serves(fittingPrinciple(e)) {
			ids = append(ids, r.Piece.ID)
		}
	}
	return ids
}

// endsAt reports whether there is an edge or a wall at a side.
func endsAt(e part.Ending) bool { return e != part.GoesOn }

// zeroesOnRough reports whether the piece to zero on is rough: its texture
// scatters the readings so that none stands out.
func zeroesOnRough(e *bench.Exercise) bool {
	id := matching(e)
	for _, r := range e.References {
		if r.Piece.ID == id {
			return r.Piece.Texture.Rough()
		}
	}
	return false
}

// zeroSides are the sides of the piece to be zeroed on.
func zeroSides(e *bench.Exercise) part.Sides {
	for _, r := range e.References {
		if r.Piece.ID == matching(e) {
			return r.Piece.Sides
		}
	}
	return e.Part.Piece.Sides
}

// coatedPiece is a coated reference piece that the job is not to be adjusted on,
// or the part where there is none.
func coatedPiece(e *bench.Exercise) string {
	for _, r := range e.References {
		if !uncoated(r) && r.Coating.Known.CertifiedUm == 0 {
			return r.Piece.ID
		}
	}
	return e.Part.Piece.ID
}

// misplaced is a foil taken in place of the first or the second of those that a
// competent trainee chooses.
type misplaced struct {
	place int
	id    string
}

// certifiedUm is the value on the certificate of a foil, um; 0 where there is no such foil.
func certifiedUm(e *bench.Exercise, id string) float64 {
	for _, f := range e.Standards() {
		if f.ID == id {
			return f.CertifiedUm
		}
	}
	return 0
}

// farFoils are the wrong choices of a foil: one outside the expected range, or
// one with which two foils no longer bracket it.
func farFoils(e *bench.Exercise) []misplaced {
	chosen := chooseFoils(e, e.Standards())
	expected := e.Job.ExpectedUm
	var wrong []misplaced
	for _, f := range fit(e.Standards()) {
		um := f.CertifiedUm
		switch {
		case len(chosen) == 1 && f.ID != chosen[0] && (um < expected.Low || um > expected.High):
			wrong = append(wrong, misplaced{0, f.ID})
		case len(chosen) == 2:
			if um > expected.Low && certifiedUm(e, chosen[0]) <= expected.Low && f.ID != chosen[1] {
				wrong = append(wrong, misplaced{0, f.ID})
			}
			if um < expected.High && certifiedUm(e, chosen[1]) >= expected.High && f.ID != chosen[0] {
				wrong = append(wrong, misplaced{1, f.ID})
			}
		}
	}
	return wrong
}

// marginMm is the smallest distance of the area asked for from an edge of the
// part.
func marginMm(e *bench.Exercise) float64 {
	a, p := e.Job.Area, e.Part.Piece
	return 1e3 * math.Min(math.Min(a.X, a.Y), math.Min(p.Width-a.X-a.Width, p.Height-a.Y-a.Height))
}

// byEdge moves one or two spots to a distance from the left or right edge.
func (p *plan) byEdge(e *bench.Exercise, h *hand, distanceMm func() float64) {
	if p.edgeSpots == nil {
		p.edgeSpots = make([]point, e.Job.Spots)
	}
	width := float64(e.Part.Piece.Width * 1e3)
	n := h.whole(1, min(2, len(p.spots)))
	first := h.stream.IntN(len(p.spots) - n + 1)
	for i := first; i < first+n; i++ {
		x := distanceMm()
		if p.spots[i].x > width/2 {
			x = width - x
		}
		p.edgeSpots[i] = point{x, p.spots[i].y}
	}
}
