package authoring

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"foilwright/sim/bench"
	"foilwright/sim/inspect"
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
	if e.Chapter == "assessment" && !e.Assessment {
		list = append(list, Doubt{
			Field: "chapter", What: "it stands under Assessment, and is practice: hints and the view of the field are there",
			Remedy: "give mode: assessment, or another chapter",
		})
	}
	list = append(list, probes(e)...)
	list = append(list, mistakes(e)...)
	list = append(list, unused(e)...)
	list = append(list, curved(e)...)
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

// mistakes are the typical mistakes that nobody can make here.
func mistakes(e *bench.Exercise) []Doubt {
	var list []Doubt
	for i, m := range e.Mistakes {
		if !canBeMade(e, m.Check) {
			list = append(list, Doubt{
				Field: fmt.Sprintf("typical_mistakes[%d]", i), What: fmt.Sprintf("the mistake %q cannot be made here, so nobody can be played with it", m.Check),
				Remedy: "name one that can, or give the bench what it takes",
			})
		}
	}
	return list
}

// unused are limits that the named rule does not look at.
func unused(e *bench.Exercise) []Doubt {
	r := &e.Job.Rule
	var list []Doubt
	add := func(field, others string) {
		list = append(list, Doubt{
			Field: "job.rule." + field, What: fmt.Sprintf("the rule %s does not use %s", r.Acceptance, field),
			Remedy: "remove it, or name " + others,
		})
	}
	if r.MaximumUm > 0 && !r.UsesMaximum() {
		add("maximum_um", "a rule with a maximum, such as pa2-level-3")
	}
	if r.MaximumFactor > 0 && !r.UsesMaximumFactor() {
		add("maximum_factor", "iso19840-80-20")
	}
	if r.SpotPercent > 0 && !r.UsesSpotPercent() {
		add("spot_percent", "mean-and-spots")
	}
	return list
}

// alike is how far the radius of a reference piece may be from the part's to
// count as the same, as a share; own choice.
const alike = 0.05

// curved are the doubts about a part that is not flat.
func curved(e *bench.Exercise) []Doubt {
	p := &e.Part.Piece
	if p.RadiusX == 0 && p.RadiusY == 0 {
		return nil
	}
	same := func(a, b float64) bool { return math.Abs(a-b) <= alike*math.Abs(a) }
	var list []Doubt
	if !slices.ContainsFunc(e.References, func(r bench.PieceSpec) bool {
		return same(p.RadiusX, r.Piece.RadiusX) && same(p.RadiusY, r.Piece.RadiusY)
	}) {
		list = append(list, Doubt{
			Field: "references", What: "the part is curved, and no reference piece is of its radius, so nobody can adjust for it",
			Remedy: "lay out a piece of the same radius",
		})
	}
	round := func(length, radius float64, one, other part.Ending, field, names string) {
		if radius > 0 && length > 0.98*2*math.Pi*radius && (one != part.GoesOn || other != part.GoesOn) {
			list = append(list, Doubt{
				Field: field, What: "the part goes all the way round, and its ends are edges: there is a slit along it, which bends the field",
				Remedy: "give sides: {" + names + "} where the metal is closed",
			})
		}
	}
	round(p.Width, p.RadiusX, p.Sides.Left, p.Sides.Right, "part.width_mm", "left: none, right: none")
	round(p.Height, p.RadiusY, p.Sides.Bottom, p.Sides.Top, "part.height_mm", "bottom: none, top: none")
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
// film, by the decision rule of the job with its guard band: within one range
// this way and that, or over all of them one way only.
func verdicts(w *bench.World) []Doubt {
	e := w.Exercise
	var list []Doubt
	all := map[string]bool{}
	for i, r := range e.Part.Coating.MeanUm {
		found := map[string]bool{}
		for _, um := range meansToTry(e, r) {
			for _, verdict := range truths(w, um) {
				found[verdict], all[verdict] = true, true
			}
		}
		if len(found) > 1 {
			list = append(list, Doubt{
				Field:  fmt.Sprintf("part.coating.mean_um[%d]", i),
				What:   fmt.Sprintf("for films from %g to %g µm the right verdict is %s, %s: the verdict hangs on luck", r.Low, r.High, strings.Join(inOrder(e, found), " or "), hangsOn(e)),
				Remedy: "keep the range, with the film's waviness, clear of " + bounds(e) + ", and give the other verdict a range of its own",
			})
		}
	}
	if len(all) == 1 {
		list = append(list, Doubt{
			Field: "part.coating.mean_um", What: fmt.Sprintf("the right verdict is %s with every seed", inOrder(e, all)[0]),
			Remedy: "give a range for another verdict too, unless that is meant: trainees learn the answer by heart", Info: true,
		})
	}
	return list
}

// inOrder lists verdicts as the trainee is offered them.
func inOrder(e *bench.Exercise, found map[string]bool) []string {
	return slices.DeleteFunc(e.Job.Rule.Verdicts(), func(v string) bool { return !found[v] })
}

// truths are the right verdicts for films of a mean, over some seeds and over
// the uncertainties that a guard band of the trainee's own may have.
func truths(w *bench.World, meanUm float64) []string {
	there, some := *w.Exercise, *w
	there.Part.Coating.MeanUm = []part.Range{{Low: meanUm, High: meanUm}}
	some.Exercise = &there
	var list []string
	for seed := range uint64(drawn) {
		film := some.Reseed(seed + 1)
		list = append(list, film.TrueVerdict(0))
		if own := ownBandUm(w.Exercise); own > 0 {
			list = append(list, film.TrueVerdict(own))
		}
	}
	return list
}

// meansToTry are the ends of a range and the acceptance limits within it.
func meansToTry(e *bench.Exercise, r part.Range) []float64 {
	list := []float64{r.Low, r.High}
	for _, b := range acceptanceLimits(e) {
		if b.um > r.Low && b.um < r.High {
			list = append(list, b.um)
		}
	}
	return list
}

// ownBandUm is the widest guard band that a trainee's own uncertainty can make:
// the largest that still supports a result. 0 where the sheet fixes the band or
// keeps none.
func ownBandUm(e *bench.Exercise) float64 {
	r := &e.Job.Rule
	if r.Decision == "" || r.Decision == inspect.SimpleAcceptance.ID || r.GuardUm > 0 {
		return 0
	}
	return r.Tolerance().At(e.Job.NominalUm)
}

// acceptanceLimit is a value of the mean at which the verdict changes.
type acceptanceLimit struct {
	um    float64
	words string
}

// acceptanceLimits lists where the verdict on the mean changes, the guard band
// at its widest.
func acceptanceLimits(e *bench.Exercise) []acceptanceLimit {
	r := &e.Job.Rule
	guard := r.GuardUm + ownBandUm(e)
	word := "guard band"
	if r.GuardUm == 0 {
		word = "the largest uncertainty"
	}
	sides := []float64{0}
	switch {
	case r.Decision == inspect.NonBinary.ID:
		sides = []float64{-1, 0, 1}
	case guard > 0 && r.GuardUm > 0:
		sides = []float64{1}
	case guard > 0:
		sides = []float64{0, 1}
	}
	var list []acceptanceLimit
	add := func(um, inward float64, name string) {
		for _, side := range sides {
			sign := map[bool]string{true: "+", false: "-"}[side*inward > 0]
			l := acceptanceLimit{um + side*inward*guard, fmt.Sprintf("%s (%g µm)", name, um)}
			if side != 0 {
				l.words = fmt.Sprintf("%s %s %s (%g µm)", name, sign, word, l.um)
			}
			list = append(list, l)
		}
	}
	add(r.MinimumUm, 1, "minimum")
	if r.MaximumUm > 0 {
		add(r.MaximumUm, -1, "maximum")
	}
	return list
}

// bounds says in words where the verdict changes.
func bounds(e *bench.Exercise) string {
	var list []string
	for _, b := range acceptanceLimits(e) {
		list = append(list, b.words)
	}
	text := list[0]
	if n := len(list); n > 1 {
		text = strings.Join(list[:n-1], ", ") + " and " + list[n-1]
	}
	if r := &e.Job.Rule; r.Acceptance == "imo-90-10" || r.Acceptance == "local-minimum" || r.Acceptance == "iso19840-80-20" {
		text += ", and of the limits for single places"
	}
	return text
}

// hangsOn says what decides within a range that gives several verdicts.
func hangsOn(e *bench.Exercise) string {
	if ownBandUm(e) > 0 {
		return "by the seed and by the trainee's own uncertainty, which is the guard band"
	}
	return "by the seed"
}
