package bench

import (
	"fmt"
	"slices"
	"strings"
)

// mostWritten bounds a line of the record sheet, in bytes.
const mostWritten = 400

// act carries out one action; time has been advanced to it.
func (b *Bench) act(a Action) {
	s := b.session
	switch a.Do {
	case MoveProbe:
		b.move(a.At, *a.Pose)
	case Wait:
	case ReadJob:
		b.look(a.Do, "")
	case LookAtTip, WipeTip, LookAtPiece, WipePiece, Demagnetise, LookAtFoil, WipeFoil, SmoothFoil:
		b.care(a)
	case ReadCertificate:
		w := b.record.World
		_, certified := w.Exercise.Known(a.Item, "")
		switch {
		case w.foilIndex(a.Item) >= 0 || certified:
			b.look(a.Do, a.Item)
		case w.pieceIndex(a.Item) >= 0:
			b.refuse(fmt.Sprintf("the piece %q has no certificate", a.Item))
		default:
			b.refuse(fmt.Sprintf("there is no foil %q on the bench", a.Item))
		}
	case ChooseProbe:
		b.choose(a.Item)
	case PlacePiece:
		b.place(a.Item)
	case LayFoil, TakeFoilAway:
		b.layFoil(a)
	case BeginZero, BeginFoil, BeginVerify, BeginMeasure:
		b.begin(map[Verb]Mode{BeginZero: Zeroing, BeginFoil: Foiling, BeginVerify: Verifying, BeginMeasure: Measuring}[a.Do], a.Do)
	case StoreZero, StoreFoil:
		b.store(a.Do)
	case SetFoilValue:
		b.setFoil(a.Counts)
	case JudgeVerify:
		b.judge(a.Text)
	case ResetAdjustment:
		s.reset()
		s.begin(Measuring)
		b.did(a.Do)
		b.see(Event{Kind: Adjusted, Text: s.describe()})
	case NewSpot, DeleteLast, ClearMemory:
		b.edit(a)
	case WriteRecord:
		if a.Item == "" || len(a.Text) > mostWritten {
			b.refuse(fmt.Sprintf("a line of the record sheet needs its name and at most %d bytes of text", mostWritten))
		}
	case Report:
		b.report(a)
	case Finish:
		if b.hand.touching {
			b.refuse("lift the probe before you finish")
			return
		}
		b.record.Finished = true
		b.see(Event{Kind: Finished})
	}
}

// place puts a piece under the probe.
func (b *Bench) place(id string) {
	i := b.record.World.pieceIndex(id)
	switch {
	case i < 0:
		b.refuse(fmt.Sprintf("there is no piece %q on the bench", id))
	case b.hand.touching:
		b.refuse("lift the probe before you change the piece")
	default:
		b.placed, b.foil, b.below = i, -1, -1
	}
}

// layFoil lays a foil on the piece or takes it away.
func (b *Bench) layFoil(a Action) {
	i := b.record.World.foilIndex(a.Item)
	switch {
	case b.hand.touching:
		b.refuse("lift the probe before you move a foil")
	case b.placed < 0:
		b.refuse("place a piece first: a foil needs metal under it")
	case a.Do == TakeFoilAway:
		b.foil, b.below = b.below, -1
		b.things.smooth = false
	case i < 0:
		b.refuse(fmt.Sprintf("there is no foil %q on the bench", a.Item))
	case i == b.foil:
		b.refuse("that foil lies there already")
	case i == b.below:
		b.refuse("that foil lies there already, under the other one")
	case b.below >= 0:
		b.refuse("two foils lie there already; take the upper one away first")
	default:
		// A foil laid where one lies comes to lie on it.
		b.foil, b.below = i, b.foil
		b.things.smooth = false
		// That it curls is plain to see as it lies there.
		b.things.foils[i].Curled = b.record.World.Foils[i].CurlUm > 0
	}
}

func (b *Bench) begin(m Mode, v Verb) {
	if b.hand.touching {
		b.refuse("lift the probe before you change what the instrument does")
		return
	}
	b.session.begin(m)
	b.did(v)
}

// store ends a zero or a foil adjustment with the readings taken.
func (b *Bench) store(v Verb) {
	s := b.session
	mode, store := Zeroing, s.storeZero
	if v == StoreFoil {
		mode, store = Foiling, s.storeFoil
	}
	if s.mode != mode {
		b.refuse(fmt.Sprintf("begin the %s adjustment first", mode))
		return
	}
	adj := Adjusting{
		Entry: b.entry(), Mode: mode, Contacts: slices.Clone(s.contacts), Taken: slices.Clone(s.taken), SetUm: s.setUm,
	}
	if n := len(s.contacts); n > 0 {
		c := &b.record.Contacts[s.contacts[n-1]]
		adj.Piece, adj.Foil = c.Piece, c.Foil
	}
	if err := store(); err != nil {
		b.refuse(err.Error())
		return
	}
	asked := b.record.World.Exercise.Limits.ZeroReadings
	if mode == Foiling {
		asked = b.record.World.Exercise.Limits.FoilReadings
	}
	for _, i := range adj.Contacts {
		b.record.Contacts[i].asked, b.record.Contacts[i].took = asked, len(adj.Contacts)
	}
	adj.After = *s.adjust()
	b.record.Adjustings = append(b.record.Adjustings, adj)
	b.did(v)
	b.see(Event{Kind: Adjusted, Text: s.describe(), N: len(adj.Contacts)})
}

func (b *Bench) setFoil(counts int64) {
	s := b.session
	um := float64(counts) * b.record.World.Exercise.Instrument.ResolutionUm
	switch {
	case s.mode != Foiling:
		b.refuse("begin the foil adjustment before you set a foil value")
	case um <= 0 || um > s.rangeUm():
		b.refuse(fmt.Sprintf("%.1f µm is outside the probe's range of %.0f µm", um, s.rangeUm()))
	default:
		s.setUm = um
		b.tape(step{contact: -1, verb: SetFoilValue, setUm: um})
	}
}

// judge ends a verification with the trainee's word on it.
func (b *Bench) judge(text string) {
	s := b.session
	switch {
	case s.mode != Verifying:
		b.refuse("begin a verification first")
		return
	case len(s.taken) == 0:
		b.refuse("no readings taken for this verification; measure a foil on the uncoated piece first")
		return
	case text != "good" && text != "bad":
		b.refuse("say whether the verification is good or bad")
		return
	}
	sum := 0.0
	for _, um := range s.takenUm {
		sum += um
	}
	c := &b.record.Contacts[s.contacts[len(s.contacts)-1]]
	v := Verification{
		Entry: b.entry(), Contacts: slices.Clone(s.contacts), Piece: c.Piece, Foil: c.Foil,
		MeanUm: sum / float64(len(s.takenUm)), Judged: text,
	}
	b.record.Verifications = append(b.record.Verifications, v)
	s.begin(Measuring)
	b.did(BeginMeasure)
	b.see(Event{Kind: Verified, Counts: toCounts(v.MeanUm, b.record.World.Exercise.Instrument.ResolutionUm), N: len(v.Contacts), Text: text})
}

// edit changes the memory.
func (b *Bench) edit(a Action) {
	s := b.session
	switch a.Do {
	case NewSpot:
		if n := len(s.memory.Readings); n == 0 || s.memory.Readings[n-1].Spot != s.memory.Spot {
			b.refuse("the open spot has no readings yet")
			return
		}
		s.memory.Spot++
	case DeleteLast:
		last, ok := s.memory.DeleteLast()
		if !ok {
			b.refuse("the memory is empty")
			return
		}
		for i := range b.record.Contacts {
			if c := &b.record.Contacts[i]; c.Entry == last.Entry && c.Mode == Measuring && c.Outcome == Read {
				c.Deleted, c.Reason = true, a.Text
			}
		}
		b.see(Event{Kind: Deleted, Counts: last.Counts, N: len(s.memory.Readings)})
	case ClearMemory:
		n := len(s.memory.Readings)
		s.memory.Clear()
		b.record.Cleared = append(b.record.Cleared, b.entry())
		b.see(Event{Kind: Cleared, Counts: int64(n)})
	}
	b.did(a.Do)
}

// report takes the trainee's result; a later report replaces an earlier one.
func (b *Bench) report(a Action) {
	s := b.session
	switch {
	case !slices.Contains(b.record.World.Exercise.Job.Rule.Verdicts(), a.Text):
		b.refuse("say whether you accept or reject the coating: " + strings.Join(b.record.World.Exercise.Job.Rule.Verdicts(), ", "))
		return
	case a.Uncertainty < 0:
		b.refuse("an uncertainty is not below 0")
		return
	case a.Allowance < 0:
		b.refuse("an allowance is deducted: give it as 0 or more")
		return
	case len(s.memory.Readings) == 0:
		b.refuse("there are no readings to report")
		return
	}
	res := b.record.World.Exercise.Instrument.ResolutionUm
	recorded, allowance := float64(float64(a.Counts)*res), float64(float64(a.Allowance)*res)
	budgetUm := 0.0
	if u, err := b.MeasuredMean(allowance).Budget().Evaluate(0.95); err == nil {
		budgetUm = u.Expanded
	}
	b.record.Result = &Result{
		Entry:  b.entry(),
		MeanUm: recorded - allowance, RecordedUm: recorded, AllowanceUm: allowance,
		ExpandedUm: float64(float64(a.Uncertainty) * res), BudgetUm: budgetUm,
		Verdict: a.Text, Shown: s.memory.Statistics(),
		Readings: append(s.memory.Readings[:0:0], s.memory.Readings...),
	}
	b.see(Event{Kind: Reported, Counts: a.Counts, N: len(s.memory.Readings), Text: a.Text})
}
