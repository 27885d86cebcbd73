package authoring

import (
	"fmt"
	"strings"

	"foilwright/sim/bench"
	"foilwright/sim/part"
)

// Doubt is something in an exercise that loads and can be played, and that its
// author hardly meant.
type Doubt struct {
	Field  string // path such as job.rule.minimum_um
	What   string
	Remedy string
	Info   bool // may well be meant
}

// drawn is how many films are drawn at each end of a range to see how the truth
// decides.
const drawn = 4

// Doubts looks an exercise over without playing it. Its world, of any seed, is
// w; known tells of the ids that prerequisites may name.
func Doubts(w *bench.World, known func(id string) bool) []Doubt {
	e := w.Exercise
	var list []Doubt
	for i, id := range e.Prerequisites {
		if !known(id) {
			list = append(list, Doubt{
				Field: fmt.Sprintf("prerequisites[%d]", i), What: fmt.Sprintf("no exercise here has the id %q", id),
				Remedy: "name a shipped exercise, or one that is checked together with this one",
			})
		}
	}
	list = append(list, probes(e)...)
	return append(list, verdicts(w)...)
}

// probes are the doubts whether any probe on the bench measures the job.
func probes(e *bench.Exercise) []Doubt {
	suits, beyond := false, ""
	mostUm := 0.0
	for i := range e.Offered() {
		side := e.Side(i)
		if !e.Suits(side.Principle) {
			continue
		}
		if suits, mostUm = true, max(mostUm, side.RangeUm); mostUm == side.RangeUm {
			beyond = side.ID
		}
	}
	if !suits {
		return []Doubt{{
			Field: "probe", What: fmt.Sprintf("no probe on the bench measures the film the job asks for on %s%s", e.Part.Piece.Metal.ID, layersOf(e)),
			Remedy: "take a magnetic-induction probe for films on steel or iron, an eddy-current one for films on other metals, or both",
		}}
	}
	var list []Doubt
	if e.Job.ExpectedUm.High > mostUm {
		list = append(list, Doubt{
			Field: "job.expected_um", What: fmt.Sprintf("up to %g µm are expected, and %s measures up to %g µm", e.Job.ExpectedUm.High, beyond, mostUm),
			Remedy: "take a probe of a longer range, or expect a thinner film",
		})
	}
	for i, r := range e.Part.Coating.MeanUm {
		if r.High > mostUm {
			list = append(list, Doubt{
				Field: fmt.Sprintf("part.coating.mean_um[%d]", i), What: fmt.Sprintf("films of up to %g µm are drawn, and %s measures up to %g µm", r.High, beyond, mostUm),
				Remedy: "take a probe of a longer range, or draw a thinner film",
			})
		}
	}
	return list
}

func layersOf(e *bench.Exercise) string {
	var metals []string
	for _, l := range e.Part.Piece.Layers {
		metals = append(metals, l.Metal.ID)
	}
	if len(metals) == 0 {
		return ""
	}
	return " under " + strings.Join(metals, " and ")
}

// verdicts are the doubts about how the truth decides over the ranges of the
// film: within one range both ways, or over all of them one way only.
func verdicts(w *bench.World) []Doubt {
	e := w.Exercise
	var list []Doubt
	accepts, rejects := 0, 0
	for i, r := range e.Part.Coating.MeanUm {
		yes, no := 0, 0
		for _, um := range []float64{r.Low, r.High} {
			there, some := *e, *w
			there.Part.Coating.MeanUm = []part.Range{{Low: um, High: um}}
			some.Exercise = &there
			for seed := range uint64(drawn) {
				if bench.Accepts(some.Reseed(seed + 1).TrueVerdict()) {
					yes++
				} else {
					no++
				}
			}
		}
		if yes > 0 && no > 0 {
			list = append(list, Doubt{
				Field: fmt.Sprintf("part.coating.mean_um[%d]", i), What: fmt.Sprintf("films from %g to %g µm are accepted with some seeds and rejected with others: the verdict hangs on luck", r.Low, r.High),
				Remedy: "keep the range, with the film's waviness, on one side of what the rule asks, and give the other side a range of its own",
			})
		}
		accepts, rejects = accepts+yes, rejects+no
	}
	if word := map[bool]string{true: "accept", false: "reject"}[accepts > 0]; accepts == 0 || rejects == 0 {
		list = append(list, Doubt{
			Field: "part.coating.mean_um", What: fmt.Sprintf("the right verdict is %s with every seed", word),
			Remedy: "give a range for the other verdict too, unless that is meant: trainees learn the answer by heart", Info: true,
		})
	}
	return list
}
