package explain

import (
	"math"
	"slices"

	"foilwright/sim/bench"
)

// Explanation is the error of an attempt, shared out. Thicknesses are
// micrometres.
type Explanation struct {
	Players []string `json:"influences"` // present in this attempt
	Exact   bool     `json:"exact"`      // false: sampled, with standard errors
	Replays int      `json:"replays"`

	Reported   bool      `json:"reported"` // there is a report to explain
	ReportedUm float64   `json:"reported_um"`
	TrueUm     float64   `json:"true_um"` // mean over the area asked for
	Mean       Breakdown `json:"mean"`

	Readings []Reading `json:"readings"`
	Verdict  *Verdict  `json:"verdict,omitempty"` // nil without a report
}

// Breakdown shares out one error. Remainder and shares add up to the total.
type Breakdown struct {
	TotalUm     float64 `json:"total_um"`
	RemainderUm float64 `json:"remainder_um"` // left with every present influence ideal
	Shares      []Share `json:"shares"`       // largest first
}

// Share is what one influence brought in.
type Share struct {
	Influence bench.Influence `json:"-"`
	Key       string          `json:"influence"`
	Name      string          `json:"name"`
	Um        float64         `json:"um"`
	StdErrUm  float64         `json:"std_err_um,omitempty"` // of Um, when sampled
	// WithoutUm is what the reported mean, or the reading, would have been had
	// this one influence been ideal and everything else as it was.
	WithoutUm float64 `json:"without_um"`
	// In words, for the mean only.
	Cause   string `json:"cause,omitempty"`
	Advice  string `json:"advice,omitempty"`
	Rest    string `json:"rest,omitempty"` // in place of Advice where nothing was done wrong
	WhatIf  string `json:"what_if,omitempty"`
	Entries []int  `json:"entries,omitempty"` // log entries it came in by
}

// Reading is the breakdown of one reading of the part or of a verification.
type Reading struct {
	Contact int        `json:"contact"`
	Entry   int        `json:"entry"`
	Mode    bench.Mode `json:"mode"`
	Spot    int        `json:"spot,omitempty"`
	ShownUm float64    `json:"shown_um"`
	TrueUm  float64    `json:"true_um"`
	Breakdown
}

// Options change how much is computed. The zero value is what Explain uses.
type Options struct {
	// MaxExact is the largest number of players, not counting those that need
	// no replays, for which every coalition is replayed; 0 means 14, which is
	// 16,384 coalitions and holds all but attempts with nearly every fault.
	MaxExact int
	// Pairs of permutations to sample beyond that; 0 means 400.
	Pairs int
	// Progress, when set, is told how many replays are done of how many.
	Progress func(done, total int)
}

// Explain shares out the error of the reported mean, of every reading and of
// the verdict.
func Explain(r *bench.Record) *Explanation { return ExplainWith(r, Options{}) }

// ExplainWith is Explain with options.
func ExplainWith(r *bench.Record, o Options) *Explanation {
	if o.MaxExact == 0 {
		o.MaxExact = 14
	}
	if o.Pairs == 0 {
		o.Pairs = 400
	}
	if o.Progress == nil {
		o.Progress = func(int, int) {}
	}
	g := newGame(r)
	if g.core <= o.MaxExact {
		g.exact(o.Progress)
	} else {
		g.sampled(o.Pairs, o.Progress)
	}
	return g.explanation()
}

// explanation puts the game's values into words.
func (g *game) explanation() *Explanation {
	r := g.record
	e := &Explanation{Exact: g.isExact, Replays: g.replays, Reported: g.reported, TrueUm: r.World.TrueMeanUm}
	for _, p := range g.all() {
		e.Players = append(e.Players, p.String())
	}
	if g.reported {
		e.ReportedUm = r.Result.MeanUm
		e.Mean = g.meanBreakdown()
		e.Verdict = g.verdict()
	}
	for i, contact := range g.contacts {
		c := &r.Contacts[contact]
		reading := Reading{
			Contact: contact, Entry: c.Entry, Mode: c.Mode, Spot: c.Spot,
			ShownUm: g.whole.ReadingUm[contact], TrueUm: r.TrueUm(contact),
		}
		reading.TotalUm, reading.RemainderUm = g.whole.ErrorUm[contact], g.none.ErrorUm[contact]
		for k, p := range g.players[:g.core] {
			um := g.value[k][1+i]
			without := g.without[k].ReadingUm[contact]
			if um == 0 && without == reading.ShownUm {
				continue
			}
			reading.Shares = append(reading.Shares, Share{
				Influence: p, Key: p.String(), Name: Name(p), Um: um, StdErrUm: g.stdErr(k, 1+i), WithoutUm: without,
			})
		}
		sortShares(reading.Shares)
		e.Readings = append(e.Readings, reading)
	}
	return e
}

func (g *game) meanBreakdown() Breakdown {
	b := Breakdown{TotalUm: g.whole.MeanErrorUm, RemainderUm: g.noneUm - g.offset}
	add := func(p bench.Influence, um, stdErr, withoutErrorUm float64) {
		s := Share{
			Influence: p, Key: p.String(), Name: Name(p), Um: um, StdErrUm: stdErr,
			WithoutUm: g.record.World.TrueMeanUm + withoutErrorUm,
		}
		g.describe(&s)
		b.Shares = append(b.Shares, s)
	}
	for k, p := range g.players {
		add(p, g.value[k][0], g.stdErr(k, 0), g.without[k].MeanErrorUm)
	}
	for j, p := range g.additive {
		add(p, g.amount[j], 0, g.whole.MeanErrorUm-g.amount[j])
	}
	sortShares(b.Shares)
	return b
}

func sortShares(s []Share) {
	slices.SortStableFunc(s, func(a, b Share) int {
		switch x, y := math.Abs(a.Um), math.Abs(b.Um); {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
}
