package explain

import (
	"math"
	"math/bits"
	"slices"

	"foilwright/sim/bench"
	"foilwright/sim/num"
)

// additive influences add the same amount to the error of the mean whatever
// else acts, and nothing to a reading: their Shapley value is that amount, and
// they need no replays.
var additive = []bench.Influence{bench.Recording, bench.Sampling}

// costly orders the influences so that those which change most of a replay
// change last when coalitions are counted through.
var costly = []bench.Influence{
	bench.Resolution, bench.FoilValue, bench.FoilTruth, bench.TooFew,
	bench.Noise, bench.Drift, bench.AirReference,
}

// game is the attribution of one attempt's errors. Game 0 is the reported
// mean, game 1+i the reading at contacts[i].
type game struct {
	record   *bench.Record
	replay   *bench.Counterfactual
	reported bool
	contacts []int

	// players are present and not additive. Old readings, when present, are the
	// last of them: a replay tells what they add, so they need no replays of
	// their own and always act in them.
	players  []bench.Influence
	core     int               // players that replays are made for
	additive []bench.Influence // present
	amount   []float64         // by additive influence: what it adds to the error of the mean
	idle     bench.Influence   // absent: always acting, which changes nothing

	whole, none bench.Rerun   // with everything acting; with no core player acting
	noneUm      float64       // error of the mean with no player acting
	without     []bench.Rerun // by player: with that one off
	offset      float64       // what the additive influences bring to the mean

	value   [][]float64 // by player, then game
	squares [][]float64 // of the samples, when sampled
	samples int
	isExact bool
	replays int
	wrong   []bool    // exact: by coalition of players and additive ones, whether the rule's verdict is wrong
	added   []float64 // by set of additive influences, what they bring to the mean
	truth   string
}

// newGame finds the players: influences whose switch changes the mean or a
// reading, from everything acting or from nothing acting.
func newGame(r *bench.Record) *game {
	g := &game{record: r, replay: r.Counterfactual()}
	for i := range r.Contacts {
		c := &r.Contacts[i]
		if c.Outcome == bench.Read && (c.Mode == bench.Measuring || c.Mode == bench.Verifying) {
			g.contacts = append(g.contacts, i)
		}
	}
	g.whole = g.run(bench.All)
	g.reported = g.whole.Reported
	nothing := g.run(0)
	for _, p := range ordered() {
		if p == bench.OldReadings {
			continue
		}
		without := g.run(bench.All &^ p)
		alone := g.run(p)
		if !g.differ(&g.whole, &without) && !g.differ(&nothing, &alone) {
			g.idle |= p
			continue
		}
		if slices.Contains(additive, p) {
			um := g.whole.MeanErrorUm - without.MeanErrorUm
			g.additive, g.amount = append(g.additive, p), append(g.amount, um)
			g.offset += um
			continue
		}
		g.players = append(g.players, p)
		g.without = append(g.without, without)
	}
	g.core = len(g.players)
	if without := g.run(bench.All &^ bench.OldReadings); without.MeanErrorUm != g.whole.MeanErrorUm {
		g.players, g.without = append(g.players, bench.OldReadings), append(g.without, without)
	}
	g.none = g.run(g.acting(0))
	g.noneUm = g.meanErrorUm(&g.none, false)
	return g
}

// ordered returns every influence in the order of costly.
func ordered() []bench.Influence {
	list := slices.Clone(costly)
	for _, p := range bench.Influences() {
		if !slices.Contains(list, p) {
			list = append(list, p)
		}
	}
	return list
}

// all returns the players, additive ones included, in their usual order.
func (g *game) all() []bench.Influence {
	list := append(slices.Clone(g.players), g.additive...)
	slices.Sort(list)
	return list
}

// run replays and keeps a copy.
func (g *game) run(on bench.Influence) bench.Rerun {
	g.replays++
	return g.replay.Run(on).Clone()
}

func (g *game) differ(a, b *bench.Rerun) bool {
	if a.MeanErrorUm != b.MeanErrorUm {
		return true
	}
	for _, i := range g.contacts {
		if math.Float64bits(a.ErrorUm[i]) != math.Float64bits(b.ErrorUm[i]) {
			return true
		}
	}
	return false
}

// acting turns a coalition of players into the influences that act. Old
// readings and the additive ones always act; what they bring is taken off
// where it matters.
func (g *game) acting(coalition uint) bench.Influence {
	on := g.idle | bench.OldReadings
	for _, p := range g.additive {
		on |= p
	}
	for k, p := range g.players[:g.core] {
		if coalition>>k&1 == 1 {
			on |= p
		}
	}
	return on
}

// meanErrorUm is the error of the mean in a replay, with the old readings or
// without.
func (g *game) meanErrorUm(out *bench.Rerun, old bool) float64 {
	if old {
		return out.MeanErrorUm
	}
	return out.MeanErrorUm - out.OldUm
}

// old reports whether old readings are a player.
func (g *game) old() bool { return g.core < len(g.players) }

// begin makes room for the values.
func (g *game) begin() {
	g.value = make([][]float64, len(g.players))
	g.squares = make([][]float64, len(g.players))
	for k := range g.players {
		g.value[k] = make([]float64, 1+len(g.contacts))
		g.squares[k] = make([]float64, 1+len(g.contacts))
	}
}

// weights of a game of n players: gain[s] weighs a coalition of s players for
// those in it, loss[s] for those not in it: (s-1)!(n-s)!/n! and s!(n-s-1)!/n!.
func weights(n int) (gain, loss []float64) {
	gain, loss = make([]float64, n+1), make([]float64, n+1)
	for s := range n {
		w := 1 / float64(n)
		for i := 1; i <= s; i++ {
			w *= float64(i) / float64(n-i)
		}
		loss[s], gain[s+1] = w, w
	}
	return gain, loss
}

// exact replays every coalition.
func (g *game) exact(progress func(done, total int)) {
	g.begin()
	g.isExact = true
	gain, loss := weights(g.core)
	meanGain, meanLoss := weights(len(g.players))
	total := uint(1) << g.core
	g.wrong = make([]bool, uint(1)<<(len(g.players)+len(g.additive)))
	errors := make([]float64, 1+len(g.contacts))
	for coalition := range total {
		if coalition&0x3ff == 0 {
			progress(int(coalition), int(total))
		}
		out := g.replay.Run(g.acting(coalition))
		g.replays++
		g.errors(out, errors)
		size := bits.OnesCount(coalition)
		for k := range g.core {
			w := -loss[size]
			if coalition>>k&1 == 1 {
				w = gain[size]
			}
			value := g.value[k]
			for i := 1; i < len(errors); i++ {
				value[i] += float64(w * errors[i])
			}
		}
		with := coalition
		if g.old() {
			g.addMean(coalition, g.meanErrorUm(out, false), meanGain, meanLoss)
			g.noteVerdict(coalition, -out.OldUm, out)
			with |= 1 << g.core
		}
		g.addMean(with, out.MeanErrorUm, meanGain, meanLoss)
		g.noteVerdict(with, 0, out)
	}
	progress(int(total), int(total))
}

// addMean adds one coalition to the values of the mean.
func (g *game) addMean(coalition uint, um float64, gain, loss []float64) {
	size := bits.OnesCount(coalition)
	for k := range g.players {
		w := -loss[size]
		if coalition>>k&1 == 1 {
			w = gain[size]
		}
		g.value[k][0] += float64(w * um)
	}
}

// errors lists the values of all games for one replay.
func (g *game) errors(out *bench.Rerun, into []float64) {
	into[0] = out.MeanErrorUm
	for i, contact := range g.contacts {
		into[1+i] = out.ErrorUm[contact]
	}
}

// sampled follows random orders in which the players come in, each order also
// backward. What a player changes when it comes in is one sample.
func (g *game) sampled(pairs int, progress func(done, total int)) {
	g.begin()
	orders := g.orders(pairs)
	all := g.replayed(orders, progress)
	pair := make([][]float64, len(g.players))
	for k := range pair {
		pair[k] = make([]float64, 1+len(g.contacts))
	}
	for _, order := range orders {
		for k := range pair {
			clear(pair[k])
		}
		for range 2 {
			coalition := uint(0)
			before, beforeUm := all.errors(0)
			for _, k := range order {
				coalition |= 1 << k
				after, afterUm := all.errors(coalition)
				pair[k][0] += (afterUm - beforeUm) / 2
				for i := range after {
					pair[k][1+i] += (after[i] - before[i]) / 2
				}
				before, beforeUm = after, afterUm
			}
			slices.Reverse(order)
		}
		for k := range pair {
			for i, um := range pair[k] {
				g.value[k][i] += um
				g.squares[k][i] += float64(um * um)
			}
		}
		g.samples++
	}
	for k := range g.value {
		for i := range g.value[k] {
			g.value[k][i] /= float64(g.samples)
		}
	}
}

// orders draws orders of the players.
func (g *game) orders(count int) [][]int {
	stream := num.NewStream(g.record.World.Seed, "explain")
	orders := make([][]int, count)
	order := make([]int, len(g.players))
	for p := range orders {
		for i := range order {
			j := stream.IntN(i + 1)
			order[i] = order[j]
			order[j] = i
		}
		orders[p] = slices.Clone(order)
	}
	return orders
}

// replayed are the errors with every coalition that is met on the way in some
// orders and back. Many are met more than once.
type replayed struct {
	coalitions []uint // of core players, rising
	mean       [][2]float64
	readings   []float64
	core       uint
}

// replayed replays what is met in some orders, each coalition once and in rising
// order, so that little changes from one replay to the next.
func (g *game) replayed(orders [][]int, progress func(done, total int)) *replayed {
	core := uint(1)<<g.core - 1
	m := &replayed{coalitions: []uint{0}, core: core}
	for _, order := range orders {
		for range 2 {
			coalition := uint(0)
			for _, k := range order {
				coalition |= 1 << k & core
				m.coalitions = append(m.coalitions, coalition)
			}
			slices.Reverse(order)
		}
	}
	slices.Sort(m.coalitions)
	m.coalitions = slices.Compact(m.coalitions)
	m.mean, m.readings = make([][2]float64, 0, len(m.coalitions)), make([]float64, 0, len(m.coalitions)*len(g.contacts))
	for i, coalition := range m.coalitions {
		if i&0xff == 0 {
			progress(i, len(m.coalitions))
		}
		out := g.replay.Run(g.acting(coalition))
		g.replays++
		m.mean = append(m.mean, [2]float64{g.meanErrorUm(out, false), g.meanErrorUm(out, true)})
		for _, contact := range g.contacts {
			m.readings = append(m.readings, out.ErrorUm[contact])
		}
	}
	progress(len(m.coalitions), len(m.coalitions))
	return m
}

// errors are those of the readings and of the mean with a coalition.
func (m *replayed) errors(coalition uint) (readings []float64, meanUm float64) {
	i, _ := slices.BinarySearch(m.coalitions, coalition&m.core)
	n := len(m.readings) / len(m.coalitions)
	old := 0
	if coalition&^m.core != 0 {
		old = 1
	}
	return m.readings[i*n : (i+1)*n], m.mean[i][old]
}

// stdErr is the standard error of a sampled value; 0 when exact.
func (g *game) stdErr(k, i int) float64 {
	if g.isExact || g.samples < 2 {
		return 0
	}
	n := float64(g.samples)
	variance := (g.squares[k][i] - float64(n*g.value[k][i]*g.value[k][i])) / (n - 1)
	return math.Sqrt(math.Max(variance, 0) / n)
}
