package detection

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"

	"foilwright/sim/bench"
	"foilwright/sim/grade"
	"foilwright/sim/inspect"
	"foilwright/sim/trainee"
)

// Plan says which population to play.
type Plan struct {
	Exercises []*bench.Exercise
	Seeds     int    // worlds for each exercise
	FirstSeed uint64 // of the worlds
	Competent int    // competent attempts in each world
	Pairs     int    // attempts with two planted faults in each world
	Levels    bool   // also play trainees of graded skill
	// Progress, when set, is told how many worlds are done of how many, from any
	// goroutine but never from two at once.
	Progress func(done, total int)
}

// Rate is a count with its Wilson interval at 95 %.
type Rate struct {
	Count int     `json:"count"`
	Of    int     `json:"of"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

// Share is the proportion; 0 of none.
func (r Rate) Share() float64 {
	if r.Of == 0 {
		return 0
	}
	return float64(r.Count) / float64(r.Of)
}

func (r *Rate) close() {
	r.Low, r.High, _ = inspect.Wilson(r.Count, r.Of, 0.95)
}

// CheckRow is what became of one check.
type CheckRow struct {
	Check  string `json:"check"`
	Single Rate   `json:"single"` // planted alone: found
	Alone  Rate   `json:"alone"`  // planted alone: found and nothing else
	InPair Rate   `json:"in_pair"`
	False  Rate   `json:"false"` // found in a competent attempt
}

// Table is the outcome.
type Table struct {
	Rows      []CheckRow `json:"rows"`
	Competent Rate       `json:"competent"` // competent attempts with any finding
	Within    Rate       `json:"within"`    // competent attempts with |error| <= U
	Right     Rate       `json:"right"`     // competent attempts with the right verdict
	Pairs     Rate       `json:"pairs"`     // planted faults in pairs that were found
	Single    Rate       `json:"single"`
	Levels    []Level    `json:"levels,omitempty"`
	Hardness  []Hardness `json:"hardness,omitempty"`
	Misses    []Miss     `json:"misses,omitempty"`
}

// Miss is one attempt that did not come out as planted, to be looked into.
type Miss struct {
	Exercise string   `json:"exercise"`
	Seed     uint64   `json:"seed,string"`
	Hand     uint64   `json:"hand,string"`
	Planted  []string `json:"planted"`
	Found    []string `json:"found"`
}

// Level is how attempts of one skill level scored against the next higher one.
type Level struct {
	Skill     trainee.Skill `json:"-"`
	Name      string        `json:"name"`
	Attempts  int           `json:"attempts"`
	MeanScore float64       `json:"mean_score"`
	// AreaToNext is the probability that an attempt of the next level scores
	// higher, ties counting half; 0 for the highest.
	AreaToNext float64 `json:"area_to_next,omitempty"`
}

// job is the work of one world; jobs are independent.
type job struct {
	exercise int
	seed     uint64
}

// tally is what one world gave.
type tally struct {
	rows                     []CheckRow
	competent, within, right Rate
	pairs, single            Rate
	levels                   [][]float64
	errors                   []float64 // |error| over U of the competent attempts
	marginU                  float64   // of the true mean from the limit, over the mean U
	misses                   []Miss
	err                      error
}

// Measure plays the population. The outcome does not depend on the number of
// processors.
func Measure(p Plan) (*Table, error) {
	worlds := make([]*bench.World, len(p.Exercises))
	var jobs []job
	for i, e := range p.Exercises {
		w, err := bench.NewWorld(e, p.FirstSeed)
		if err != nil {
			return nil, err
		}
		worlds[i] = w
		for s := range p.Seeds {
			jobs = append(jobs, job{i, p.FirstSeed + uint64(s)})
		}
	}
	results := make([]tally, len(jobs))
	var told sync.Mutex
	done := 0
	next := make(chan int)
	var group sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		group.Go(func() {
			for i := range next {
				results[i] = p.world(worlds[jobs[i].exercise].Reseed(jobs[i].seed))
				if p.Progress != nil {
					told.Lock()
					done++
					p.Progress(done, len(jobs))
					told.Unlock()
				}
			}
		})
	}
	for i := range jobs {
		next <- i
	}
	close(next)
	group.Wait()
	return p.gather(jobs, results)
}

// gather adds up in the order of the jobs.
func (p Plan) gather(jobs []job, results []tally) (*Table, error) {
	t := &Table{Rows: emptyRows()}
	for _, e := range p.Exercises {
		t.Hardness = append(t.Hardness, Hardness{Exercise: e.ID})
	}
	add := func(to *Rate, from Rate) { to.Count, to.Of = to.Count+from.Count, to.Of+from.Of }
	var levels [][]float64
	for i := range results {
		r := &results[i]
		if r.err != nil {
			return nil, r.err
		}
		for k := range r.rows {
			add(&t.Rows[k].Single, r.rows[k].Single)
			add(&t.Rows[k].Alone, r.rows[k].Alone)
			add(&t.Rows[k].InPair, r.rows[k].InPair)
			add(&t.Rows[k].False, r.rows[k].False)
		}
		add(&t.Competent, r.competent)
		add(&t.Within, r.within)
		add(&t.Right, r.right)
		add(&t.Pairs, r.pairs)
		add(&t.Single, r.single)
		t.Misses = append(t.Misses, r.misses...)
		for k := range r.levels {
			if k == len(levels) {
				levels = append(levels, nil)
			}
			levels[k] = append(levels[k], r.levels[k]...)
		}
	}
	for k := range t.Rows {
		for _, r := range []*Rate{&t.Rows[k].Single, &t.Rows[k].Alone, &t.Rows[k].InPair, &t.Rows[k].False} {
			r.close()
		}
	}
	for _, r := range []*Rate{&t.Competent, &t.Within, &t.Right, &t.Pairs, &t.Single} {
		r.close()
	}
	if err := t.addLevels(levels); err != nil {
		return nil, err
	}
	return t, t.addHardness(jobs, results)
}

func (t *Table) addLevels(scores [][]float64) error {
	for k, s := range scores {
		l := Level{Skill: trainee.Skills()[k], Name: trainee.Skills()[k].Name, Attempts: len(s), MeanScore: inspect.Describe(s).Mean}
		if k+1 < len(scores) {
			area, err := inspect.ROCArea(s, scores[k+1])
			if err != nil {
				return err
			}
			l.AreaToNext = area
		}
		t.Levels = append(t.Levels, l)
	}
	return nil
}

func emptyRows() []CheckRow {
	var rows []CheckRow
	for _, c := range grade.Checks() {
		rows = append(rows, CheckRow{Check: c.ID})
	}
	return rows
}

// world plays everything planned for one world.
func (p Plan) world(w *bench.World) tally {
	t := tally{rows: emptyRows()}
	sumU := 0.0
	for k := range p.Competent {
		if r := t.competentAttempt(w, w.Seed*1000+uint64(k)); r != nil {
			t.errors = append(t.errors, math.Abs(r.ErrorUm)/r.ExpandedUm)
			sumU += r.ExpandedUm
		}
	}
	t.marginU = math.Abs(w.TrueMeanUm-w.Exercise.Job.Rule.MinimumUm) / (sumU / float64(len(t.errors)))
	var faults []trainee.Fault
	for _, f := range trainee.Faults() {
		if f.Applies(w.Exercise) {
			faults = append(faults, f)
		}
	}
	for _, f := range faults {
		t.singleFault(w, f)
	}
	for k := range p.Pairs {
		t.pairOfFaults(w, faults, k)
	}
	if p.Levels {
		for _, s := range trainee.Skills() {
			b, err := trainee.PlaySkill(w, w.Seed, s)
			if err != nil {
				t.fail(w, err)
				return t
			}
			t.levels = append(t.levels, []float64{grade.Grade(b.Record()).Technique})
		}
	}
	return t
}

func (t *tally) fail(w *bench.World, err error) {
	if t.err == nil {
		t.err = fmt.Errorf("exercise %s, seed %d: %w", w.Exercise.ID, w.Seed, err)
	}
}

func found(s *grade.Sheet) []string {
	list := []string{}
	for _, f := range s.Findings {
		list = append(list, f.Check)
	}
	return list
}

func (t *tally) row(check string) *CheckRow {
	return &t.rows[slices.IndexFunc(t.rows, func(r CheckRow) bool { return r.Check == check })]
}

func count(r *Rate, yes bool) {
	r.Of++
	if yes {
		r.Count++
	}
}

func (t *tally) competentAttempt(w *bench.World, hand uint64) *grade.Result {
	b, err := trainee.Play(w, hand)
	if err != nil {
		t.fail(w, err)
		return nil
	}
	s := grade.Grade(b.Record())
	list := found(s)
	for k := range t.rows {
		count(&t.rows[k].False, slices.Contains(list, t.rows[k].Check))
	}
	count(&t.competent, len(list) > 0)
	count(&t.within, s.Result != nil && s.Result.Within)
	count(&t.right, s.Result != nil && s.Result.Right)
	if len(list) > 0 {
		t.misses = append(t.misses, Miss{w.Exercise.ID, w.Seed, hand, []string{}, list})
	}
	return s.Result
}

func (t *tally) singleFault(w *bench.World, f trainee.Fault) {
	b, err := trainee.Play(w, w.Seed, f.ID)
	if err != nil {
		t.fail(w, err)
		return
	}
	list := found(grade.Grade(b.Record()))
	hit := slices.Contains(list, f.Check)
	row := t.row(f.Check)
	count(&row.Single, hit)
	count(&row.Alone, hit && len(list) == 1)
	count(&t.single, hit)
	if !hit || len(list) > 1 {
		t.misses = append(t.misses, Miss{w.Exercise.ID, w.Seed, w.Seed, []string{f.ID}, list})
	}
}

// pairOfFaults plants two faults that can be planted together. Which two goes
// round with the number of the pair and the seed.
func (t *tally) pairOfFaults(w *bench.World, faults []trainee.Fault, k int) {
	pairs := trainee.Pairs(faults)
	if len(pairs) == 0 {
		return
	}
	const stride = 7919 // a prime, so that the pairs are gone through evenly
	pair := pairs[(int(w.Seed%1e6)*stride+k*104729)%len(pairs)]
	b, err := trainee.Play(w, w.Seed+uint64(k)<<32, pair[0].ID, pair[1].ID)
	if err != nil {
		t.fail(w, err)
		return
	}
	list := found(grade.Grade(b.Record()))
	both := true
	for _, f := range pair {
		hit := slices.Contains(list, f.Check)
		count(&t.row(f.Check).InPair, hit)
		count(&t.pairs, hit)
		both = both && hit
	}
	if !both {
		t.misses = append(t.misses, Miss{w.Exercise.ID, w.Seed, w.Seed + uint64(k)<<32, []string{pair[0].ID, pair[1].ID}, list})
	}
}
