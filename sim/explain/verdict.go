package explain

import (
	"math/bits"

	"foilwright/sim/bench"
)

// Verdict tells how the rule's verdict came about.
type Verdict struct {
	True    string `json:"true"`     // by the job's decision rule from the truth over the area
	ByRule  string `json:"by_rule"`  // by the rule from the mean as reported and the spots as measured
	Given   string `json:"given"`    // by the trainee
	Wrong   bool   `json:"wrong"`    // ByRule is not True
	Shares  []Pull `json:"shares"`   // how far each influence made it wrong; adds up to 1 when Wrong, else to 0
	Flips   []Flip `json:"flips"`    // influences each of which alone, made ideal, changes ByRule
	MustAll []Flip `json:"must_all"` // when Wrong and no single one does: the smallest set that together puts it right
}

// Pull is the Shapley value of an influence in the game whose value is 1 when
// the rule's verdict is wrong and 0 when it is right.
type Pull struct {
	Influence bench.Influence `json:"-"`
	Key       string          `json:"influence"`
	Value     float64         `json:"value"`
}

// Flip names an influence that changes the verdict.
type Flip struct {
	Influence bench.Influence `json:"-"`
	Key       string          `json:"influence"`
	Name      string          `json:"name"`
}

func flip(p bench.Influence) Flip { return Flip{p, p.String(), Name(p)} }

// extras lists what each set of additive influences brings to the mean.
func (g *game) extras() []float64 {
	sets := make([]float64, 1<<len(g.additive))
	for set := range sets {
		for j, um := range g.amount {
			if set>>j&1 == 1 {
				sets[set] += um
			}
		}
	}
	return sets
}

// noteVerdict judges one coalition, its mean moved by byUm, with each set of
// the additive influences.
func (g *game) noteVerdict(coalition uint, byUm float64, out *bench.Rerun) {
	if !g.reported {
		return
	}
	if g.added == nil {
		g.added = g.extras()
		g.truth = g.record.World.TrueVerdict(g.record.HoldingUm())
	}
	for set, um := range g.added {
		verdict := g.replay.Verdict(out, byUm-g.offset+um)
		g.wrong[uint(set)<<len(g.players)|coalition] = verdict != g.truth
	}
}

// verdict attributes the rule's verdict. When the game was sampled only the
// single flips are known.
func (g *game) verdict() *Verdict {
	mean := func(out *bench.Rerun) string { return g.replay.Verdict(out, 0) }
	v := &Verdict{True: g.record.World.TrueVerdict(g.record.HoldingUm()), ByRule: mean(&g.whole), Given: g.record.Result.Verdict}
	v.Wrong = v.ByRule != v.True
	for k, p := range g.players {
		if mean(&g.without[k]) != v.ByRule {
			v.Flips = append(v.Flips, flip(p))
		}
	}
	for j, p := range g.additive {
		if g.replay.Verdict(&g.whole, -g.amount[j]) != v.ByRule {
			v.Flips = append(v.Flips, flip(p))
		}
	}
	if !g.isExact {
		return v
	}
	v.Shares = g.pulls()
	if v.Wrong && len(v.Flips) == 0 {
		v.MustAll = g.smallestCure()
	}
	return v
}

// pulls are the Shapley values of the game of wrong verdicts.
func (g *game) pulls() []Pull {
	players := append(append([]bench.Influence(nil), g.players...), g.additive...)
	n := len(players)
	value := make([]float64, n)
	_, loss := weights(n)
	for set, wrong := range g.wrong {
		if !wrong {
			continue
		}
		size := bits.OnesCount(uint(set))
		for k := range n {
			if set>>k&1 == 1 {
				value[k] += loss[size-1]
			} else {
				value[k] -= loss[size]
			}
		}
	}
	var list []Pull
	for k, p := range players {
		if value[k] > 1e-12 || value[k] < -1e-12 {
			list = append(list, Pull{p, p.String(), value[k]})
		}
	}
	return list
}

// smallestCure returns the fewest influences that, all made ideal, put the
// verdict right.
func (g *game) smallestCure() []Flip {
	players := append(append([]bench.Influence(nil), g.players...), g.additive...)
	best, bestSize := -1, len(players)+1
	for set, wrong := range g.wrong {
		if off := len(players) - bits.OnesCount(uint(set)); !wrong && off < bestSize {
			best, bestSize = set, off
		}
	}
	if best < 0 {
		return nil
	}
	var list []Flip
	for k, p := range players {
		if best>>k&1 == 0 {
			list = append(list, flip(p))
		}
	}
	return list
}
