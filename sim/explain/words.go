package explain

import (
	"fmt"
	"math"
	"slices"

	"foilwright/sim/bench"
)

// words are what a trainee is told of an influence.
type words struct {
	name   string
	cause  string // one sentence: how it makes an error
	advice string // one sentence: what to do
	had    string // "had ...": the ideal, for the counterfactual
}

var vocabulary = map[bench.Influence]words{
	bench.Edge: {
		"Edge of the piece",
		"Near an edge part of the probe's field has no metal under it, so the signal drops and the instrument reads too much.",
		"Keep the probe away from edges, when adjusting as well as when measuring.",
		"every reading been taken far from edges",
	},
	bench.Tilt: {
		"Tilted probe",
		"A tilted probe sits higher and sees less metal, so the instrument reads too much.",
		"Hold the probe square to the surface until the reading shows.",
		"the probe been held square each time",
	},
	bench.Settling: {
		"Lifted before it settled",
		"The sleeve needs a moment to sit down; a reading taken before that still has air under the tip.",
		"Hold the probe still until the reading shows, then lift.",
		"the probe been held until it had settled",
	},
	bench.Press: {
		"Pressed too lightly",
		"A probe that is not pressed home leaves a gap under the tip and reads too much.",
		"Press firmly and evenly until the sleeve is home.",
		"the probe been pressed home each time",
	},
	bench.AirReference: {
		"Lifted too little",
		"The instrument takes the top of the lift for free air; metal still in reach there is taken off the next signal, which then reads too much.",
		"Lift the probe well clear of all metal between readings.",
		"the probe been lifted clear each time",
	},
	bench.Noise: {
		"Scatter of the instrument",
		"Each reading scatters by chance, in the adjustment as well as on the part; a mean of more readings scatters less.",
		"Take enough readings for zero, foil and every spot.",
		"the instrument had no scatter",
	},
	bench.Drift: {
		"Drift of the instrument",
		"The instrument's signal changes slowly after it was adjusted.",
		"Verify at intervals and at the end, and adjust again when it has moved.",
		"the instrument not drifted",
	},
	bench.Resolution: {
		"Rounding of the display",
		"The display shows whole steps.",
		"Nothing to do: it is small and averages out.",
		"the display shown every digit",
	},
	bench.TooFew: {
		"Too few readings for an adjustment",
		"A zero or foil adjustment of few readings carries their scatter into every later reading.",
		"Take at least as many zero and foil readings as asked.",
		"as many readings been taken for the adjustment as asked",
	},
	bench.FoilTruth: {
		"Foil against its certificate",
		"A foil is known only within the uncertainty of its certificate, and what is left goes into every reading.",
		"Use foils with small uncertainty, and verify on a second foil.",
		"the foil been exactly what its certificate says",
	},
	bench.BaseMetal: {
		"Base metal",
		"The part's metal differs from the metal the built-in curve was made on; zero and foil take that out, as far as they were done.",
		"Zero and adjust on an uncoated piece of the same metal and condition as the part.",
		"the part been of the metal of the built-in curve",
	},
	bench.Curvature: {
		"Curved surface",
		"On a surface that bulges metal falls away from the probe and it reads too much; in a hollow the metal comes nearer and it reads too little. Zero and foil on a piece of the same curvature take that out.",
		"Zero and adjust on an uncoated piece of the same curvature as the part.",
		"the part been flat",
	},
	bench.Feature: {
		"Something beside the probe",
		"A wall, a hole, a step or a weld near by changes how much metal the probe's field meets.",
		"Keep the probe clear of them, when adjusting as well as when measuring.",
		"every reading been taken clear of walls, holes, steps and welds",
	},
	bench.ThinBase: {
		"Thin base metal",
		"The field reaches through a thin base, so there is less metal to feel than the built-in curve expects; zero and foil on metal of the same thickness take that out.",
		"Zero and adjust on an uncoated piece of the same thickness as the part.",
		"the base been thick enough for the probe",
	},
	bench.Texture: {
		"Rough surface",
		"On a blasted surface the tip stands on peaks while the field sees a plane below them, so the profile is read as film; what the job sheet has deducted for it fits only on average.",
		"Adjust on smooth metal and deduct what the job sheet says, or adjust on metal of the same finish, and take more readings.",
		"the surface been smooth under the film",
	},
	bench.Allowance: {
		"Allowance for roughness",
		"What was deducted for roughness is not what the job sheet says.",
		"Deduct from the mean and from every spot what the job sheet gives for the grade of the surface.",
		"the allowance on the job sheet been deducted",
	},
	bench.Piece: {
		"Piece adjusted on",
		"The piece the instrument was adjusted on does not match the part, so the instrument learned the wrong metal.",
		"Adjust on an uncoated piece of the same metal, condition, thickness, curvature and finish as the part.",
		"the adjustment been made on a matching uncoated piece",
	},
	bench.FoilValue: {
		"Value set for the foil",
		"The value set was not the foil's certified value, and every reading is scaled by that ratio.",
		"Read the foil's certificate and set the value it gives, not the label.",
		"the certified value been set for the foil",
	},
	bench.FoilLeft: {
		"Foil left on the part",
		"A foil lay on the part while it was measured, and its thickness was measured with the coating.",
		"Take the foil away before you measure the part.",
		"no foil been left on the part",
	},
	bench.OldReadings: {
		"Old readings in the memory",
		"Readings of an earlier job were still in the memory and went into the mean.",
		"Clear the memory before the first reading of a job.",
		"the memory been cleared first",
	},
	bench.Recording: {
		"Recorded figure",
		"The figure reported is not the one the instrument showed.",
		"Copy the mean from the instrument and read it back.",
		"the mean been recorded as the instrument showed it",
	},
	bench.Layers: {
		"Layers under the coating",
		"A metallic layer lies between coating and base metal: magnetic induction counts it as coating as far as the zero did not take it out, and eddy current sees through it in part.",
		"Zero and adjust on an uncoated piece with the same layer, or take the principle that ends at it.",
		"no layer been under the coating",
	},
	bench.Principle: {
		"Principle of the probe",
		"The principle used measures something else than the job asks: magnetic induction counts metallic layers as coating, eddy current leaves them out.",
		"Choose the principle by what the job asks and by what lies under the coating.",
		"the principle been the one that measures what the job asks",
	},
	bench.Sampling: {
		"Places measured",
		"The film is not the same everywhere; the places measured were not, on average, what the whole area is.",
		"Spread the spots over the whole area, and take more of them where the film varies.",
		"the places measured stood for the area exactly",
	},
	bench.Dirt: {
		"Dirt under the tip",
		"Dirt on the tip, or dust on piece or foil, holds the tip off the surface, and the instrument reads that gap as coating.",
		"Look at tip, piece and foils before the first reading, and wipe them.",
		"tip, piece and foils been clean",
	},
	bench.Wear: {
		"Worn tip",
		"A worn tip brings the sensor nearer to the metal than the built-in curve expects, so the instrument reads too little as far as zero and foil have not taken it out.",
		"Zero and adjust with the tip as it is, verify on a second foil, and have a worn tip replaced.",
		"the tip not been worn",
	},
	bench.FoilFault: {
		"Fault of a foil",
		"A foil that is creased, burred, curled, worn, not what its sleeve says, or laid on another one is not as thick as its certificate, and the instrument learns the wrong thickness.",
		"Use one flat, whole foil at a time: look at it, smooth it down, stand clear of creases and edges, and check it against a second foil.",
		"every foil been whole and laid flat by itself",
	},
	bench.Softness: {
		"Soft film",
		"The tip sinks into a film that is not yet hard and comes nearer to the metal, so the instrument reads too little, the more the harder it is pressed.",
		"Press lightly and alike each time, do not measure twice in one place, or come back when the film is hard.",
		"the film been hard",
	},
	bench.Temperature: {
		"Temperature",
		"Metal conducts less and steel takes a field more easily when warm, and the instrument itself drifts until it has the temperature of the room.",
		"Let instrument, reference pieces and part come to one temperature before adjusting, and adjust again when it has changed.",
		"everything been at the temperature of the room",
	},
	bench.Remanence: {
		"Residual magnetism",
		"A magnetised steel answers the probe's field more weakly, which looks like a thicker film.",
		"Demagnetise the piece, or adjust on an uncoated piece that is magnetised like the part.",
		"no piece been magnetised",
	},
}

// Name is what a trainee is told an influence is called.
func Name(p bench.Influence) string {
	if w, ok := vocabulary[p]; ok {
		return w.name
	}
	return p.String()
}

// Words are one sentence of how an influence makes an error and one of what to
// do about it.
func Words(p bench.Influence) (cause, advice string) {
	w := vocabulary[p]
	return w.cause, w.advice
}

// onCoated replaces words where the job has no bare metal and is adjusted on
// coated pieces of certified thickness.
var onCoated = map[bench.Influence]words{
	bench.BaseMetal: {
		cause:  "The part's metal differs from the metal the built-in curve was made on. Without bare metal there is no zero to take that out; a coated piece takes it out at its own thickness, and less and less away from that.",
		advice: "Set the instrument on certified pieces of the part's metal, as near to the expected thickness as there are, or on two that bracket it, and state the uncertainty.",
	},
	bench.ThinBase: {
		cause:  "The field reaches through a thin base, so there is less metal to feel than the built-in curve expects; without bare metal only coated pieces of the same base thickness take that out, at their own thickness.",
		advice: "Set the instrument on certified pieces whose base is as thick as the part's.",
	},
	bench.Curvature: {
		cause:  "The surface is curved, and without bare metal only coated pieces of the same curvature take that out, at their own thickness.",
		advice: "Set the instrument on certified pieces of the part's curvature.",
	},
	bench.Wear: {
		cause:  "A worn tip brings the sensor nearer to the metal than the built-in curve expects; without a zero only the coated piece takes that out, at its own thickness.",
		advice: "Set the instrument on a certified piece with the tip as it is, verify on a second one, and have a worn tip replaced.",
	},
	bench.FoilTruth: {
		cause:  "The film of a certified piece is known only within the uncertainty of its certificate and is not the same everywhere on it; what is left goes into every reading.",
		advice: "Use pieces with small uncertainty, read in the middle of them, and verify on a second one.",
		had:    "the film of the coated piece been exactly what its certificate says",
	},
	bench.FoilValue: {
		cause:  "The value set was not the certified thickness of the coated piece, and every reading is scaled by that ratio.",
		advice: "Read the certificate of the coated piece and set the value it gives, not the one marked on it.",
		had:    "the certified value been set for the coated piece",
	},
	bench.Piece: {
		cause:  "The piece the instrument was adjusted on is not like the part, or its film was taken for bare metal, so the instrument learned the wrong metal.",
		advice: "Set the instrument on a certified piece of the part's metal, thickness and finish, on its own coating.",
		had:    "the adjustment been made on a matching certified piece",
	},
}

// words are those of an influence in this attempt.
func (g *game) words(p bench.Influence) words {
	w := vocabulary[p]
	if !g.record.World.Exercise.Job.OnCoated() {
		return w
	}
	if other, ok := onCoated[p]; ok {
		w.cause, w.advice = other.cause, other.advice
		if other.had != "" {
			w.had = other.had
		}
	}
	return w
}

// describe fills in the words and the entries of a share of the mean.
func (g *game) describe(s *Share) {
	w := g.words(s.Influence)
	s.Cause, s.Advice = w.cause, w.advice
	s.Entries = g.entries(s.Influence)
	had := w.had
	if s.Influence == bench.Piece {
		if twin := g.twin(); twin != "" {
			had = fmt.Sprintf("the adjustment been made on %q", twin)
		}
	}
	if s.Influence == bench.FoilValue {
		if set, certified, ok := g.firstFoilValue(); ok {
			on := "foil"
			if g.record.World.Exercise.Job.OnCoated() {
				on = "coated piece"
			}
			had = fmt.Sprintf("the certified %.1f µm been set for the %s instead of %.1f µm", certified, on, set)
		}
	}
	if s.Influence == bench.Sampling && math.Abs(s.Um) >= 0.05 {
		than := "thicker"
		if s.Um < 0 {
			than = "thinner"
		}
		s.Cause = fmt.Sprintf("The film is not the same everywhere; the places measured were on average %s than the whole area.", than)
	}
	if had != "" {
		s.WhatIf = fmt.Sprintf("Had %s, the mean would have read %.1f µm.", had, s.WithoutUm)
	}
	// Alone an influence may change something else than its share.
	if alone := g.record.Result.MeanUm - s.WithoutUm; math.Abs(alone-s.Um) > math.Max(1, 0.25*math.Abs(s.Um)) {
		s.WhatIf += " The causes act on each other here, so its share is its part on average, whichever of the others act with it."
	}
}

// twin is the label of a piece to adjust on that matches the part.
func (g *game) twin() string {
	for _, p := range g.record.World.References {
		if g.record.World.Matches(p.ID) {
			return p.Name
		}
	}
	return ""
}

// firstFoilValue finds the first foil set to another value than certified.
func (g *game) firstFoilValue() (setUm, certifiedUm float64, ok bool) {
	for _, a := range g.record.Adjustings {
		if certified, known := g.certifiedUm(a); known && certified != a.SetUm {
			return a.SetUm, certified, true
		}
	}
	return 0, 0, false
}

// cameInBy tells whether an influence of the adjustment came in by this one.
func (g *game) cameInBy(p bench.Influence, a bench.Adjusting) bool {
	switch p {
	case bench.Piece:
		return !g.record.World.Matches(a.Piece)
	case bench.FoilTruth:
		return a.Mode == bench.Foiling
	case bench.TooFew:
		limits := g.record.World.Exercise.Limits
		return len(a.Contacts) < limits.ZeroReadings && a.Mode == bench.Zeroing ||
			len(a.Contacts) < limits.FoilReadings && a.Mode == bench.Foiling
	}
	certified, ok := g.certifiedUm(a)
	return ok && certified != a.SetUm
}

// certifiedUm is the certified value of the foil or coated piece an adjustment
// was made with.
func (g *game) certifiedUm(a bench.Adjusting) (float64, bool) {
	if a.Mode != bench.Foiling {
		return 0, false
	}
	f, ok := g.record.World.Exercise.Known(a.Piece, a.Foil)
	return f.CertifiedUm, ok
}

// mostEntries is how many entries a share points at.
const mostEntries = 8

// entries finds the log entries by which an influence came in: what the
// trainee did where it was a choice, the readings it changed most otherwise.
func (g *game) entries(p bench.Influence) []int {
	r := g.record
	var list []int
	switch p {
	case bench.Noise, bench.Drift, bench.Resolution, bench.BaseMetal, bench.Curvature, bench.ThinBase, bench.Wear:
		return nil
	case bench.OldReadings, bench.Recording, bench.Sampling, bench.Allowance:
		return []int{r.Result.Entry}
	case bench.Piece, bench.FoilValue, bench.FoilTruth, bench.TooFew:
		for _, a := range r.Adjustings {
			if g.cameInBy(p, a) {
				list = append(list, a.Entry)
			}
		}
		return list
	}
	type touched struct {
		entry int
		by    float64
	}
	without := g.replay.Run(bench.All &^ p)
	most := 0.0
	var all []touched
	for i := range r.Contacts {
		by := math.Abs(g.whole.ErrorUm[i] - without.ErrorUm[i])
		if r.Contacts[i].Outcome == bench.Read && !math.IsNaN(by) {
			all = append(all, touched{r.Contacts[i].Entry, by})
			most = math.Max(most, by)
		}
	}
	slices.SortStableFunc(all, func(a, b touched) int {
		if a.by > b.by {
			return -1
		}
		if a.by < b.by {
			return 1
		}
		return 0
	})
	for _, t := range all {
		if t.by > most/2 && len(list) < mostEntries {
			list = append(list, t.entry)
		}
	}
	slices.Sort(list)
	return list
}
