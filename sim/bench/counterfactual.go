package bench

import (
	"math"
	"slices"

	"foilwright/sim/inspect"
)

// Counterfactual replays one attempt again and again, each time with another
// set of influences acting. What does not depend on the set is worked out
// once, so that an explanation can afford thousands of replays. It must not be
// used by two goroutines at once.
type Counterfactual struct {
	record  *Record
	session *session
	filmUm  []float64 // true local film under each contact
	byEntry []int     // contact whose reading came at an entry; -1: none
	rerun   Rerun
}

// Rerun is what would have come of the attempt. Its slices belong to the
// Counterfactual and hold until the next Run.
type Rerun struct {
	// ReadingUm is what the instrument would have shown at each contact and
	// ErrorUm that minus the truth there; NaN where no reading was taken.
	ReadingUm, ErrorUm []float64

	Reported    bool           // there is a report, and it holds readings taken here
	MeanUm      float64        // what would have been reported
	MeanErrorUm float64        // that minus the truth
	OldUm       float64        // what readings of an earlier job add to MeanUm
	Spots       []inspect.Spot // of the reported series, without readings of an earlier job
}

// Counterfactual prepares an attempt for replays. Entries added to the record
// afterwards are not seen.
func (r *Record) Counterfactual() *Counterfactual {
	n := len(r.Contacts)
	c := &Counterfactual{
		record: r, session: newSession(r.World, All), byEntry: make([]int, len(r.Entries)+2), filmUm: make([]float64, n),
		rerun: Rerun{ReadingUm: make([]float64, n), ErrorUm: make([]float64, n)},
	}
	c.session.recall = newRecall(r.World, r.Contacts)
	for i := range c.byEntry {
		c.byEntry[i] = -1
	}
	for i := range r.Contacts {
		if r.Contacts[i].Outcome == Read {
			c.byEntry[r.Contacts[i].Entry] = i
			c.filmUm[i] = r.World.filmUm(&r.Contacts[i])
		}
	}
	return c
}

// Run plays the tape of the attempt with only the influences in on acting.
// Nothing the trainee did changes.
func (c *Counterfactual) Run(on Influence) *Rerun {
	out := &c.rerun
	for i := range out.ReadingUm {
		out.ReadingUm[i], out.ErrorUm[i] = math.NaN(), math.NaN()
	}
	out.Reported = false
	s := c.session
	s.restart(on)
	report := -1
	if c.record.Result != nil {
		report = c.record.Result.Entry
	}
	reported := false
	for _, st := range c.record.tape {
		if !reported && report >= 0 && st.entry > report {
			c.report(on)
			reported = true
		}
		if st.contact < 0 {
			s.operate(st)
			continue
		}
		contact := &c.record.Contacts[st.contact]
		got := s.read(contact)
		s.take(contact, got)
		out.ReadingUm[st.contact] = got.um
		out.ErrorUm[st.contact] = got.um - c.trueUm(st.contact, on)
	}
	if !reported && report >= 0 {
		c.report(on)
	}
	return out
}

// Clone is a copy that later replays leave alone.
func (r *Rerun) Clone() Rerun {
	out := *r
	out.ReadingUm, out.ErrorUm, out.Spots = slices.Clone(r.ReadingUm), slices.Clone(r.ErrorUm), slices.Clone(r.Spots)
	for i := range out.Spots {
		out.Spots[i].ReadingsUm = slices.Clone(out.Spots[i].ReadingsUm)
	}
	return out
}

// report evaluates the memory as it stands when the trainee reports.
func (c *Counterfactual) report(on Influence) {
	out, s := &c.rerun, c.session
	truth, all, n := 0.0, 0.0, 0
	rule := &c.record.World.Exercise.Job.Rule
	spots, spot := out.Spots[:0], 0
	allowance := c.record.allowanceUm(on)
	for _, m := range s.memory.Readings {
		i := c.byEntry[m.Entry]
		if i < 0 { // of an earlier job
			continue
		}
		truth += c.trueUm(i, on)
		n++
		if m.Spot != spot || len(spots) == 0 {
			spots = c.room(spots)
			spots[len(spots)-1].Area = rule.area(len(spots) - 1)
		}
		spot = m.Spot
		all += m.Um
		last := &spots[len(spots)-1]
		last.ReadingsUm = append(last.ReadingsUm, m.Um-allowance)
	}
	out.Spots = spots
	if out.Reported = n > 0; !out.Reported {
		return
	}
	out.MeanUm, out.OldUm = s.meanUm(), 0
	if n < len(s.memory.Readings) {
		out.OldUm = out.MeanUm - all/float64(n)
	}
	out.MeanUm -= allowance
	if on.Has(Recording) {
		out.MeanUm += c.record.RecordedOffUm()
	}
	if on.Has(Sampling) {
		out.MeanErrorUm = out.MeanUm - c.record.World.TrueMeanUm
		return
	}
	out.MeanErrorUm = out.MeanUm - truth/float64(n)
}

// room adds an empty spot, using again what an earlier replay left.
func (c *Counterfactual) room(spots []inspect.Spot) []inspect.Spot {
	if len(spots) == cap(spots) {
		return append(spots, inspect.Spot{})
	}
	spots = spots[:len(spots)+1]
	last := &spots[len(spots)-1]
	last.ReadingsUm = last.ReadingsUm[:0]
	return spots
}

// Verdict is what the job's rule says of a replay: of its spots, with the mean
// as it would have been reported against the true mean over the area, moved by
// byUm, and with the uncertainty that holds for the report.
func (c *Counterfactual) Verdict(out *Rerun, byUm float64) string {
	w := c.record.World
	return w.Exercise.Job.Rule.Verdict(out.Spots, inspect.Stated{
		MeanUm: w.TrueMeanUm + out.MeanErrorUm + byUm, ExpandedUm: c.record.HoldingUm(),
	})
}

// allowanceUm is what is deducted for roughness with the influences in on
// acting: what the job sheet says where the surface is rough at all, or else what
// the trainee deducted.
func (r *Record) allowanceUm(on Influence) float64 {
	asked, um := r.World.Exercise.Job.AllowanceUm, 0.0
	if on.Has(Texture) {
		um = asked
	}
	if r.Result != nil && on.Has(Allowance) {
		um += r.Result.AllowanceUm - asked
	}
	return um
}

// RecordedOffUm is by how much the recorded mean differs from what the
// instrument showed, in um; 0 without a report.
func (r *Record) RecordedOffUm() float64 {
	if r.Result == nil {
		return 0
	}
	res := r.World.Exercise.Instrument.ResolutionUm
	return r.Result.RecordedUm - float64(r.Result.Shown.Mean*res)
}

// trueUm is World.trueUm with the film remembered.
func (c *Counterfactual) trueUm(contact int, on Influence) float64 {
	return c.record.World.trueOver(&c.record.Contacts[contact], c.filmUm[contact], on)
}

// operate repeats one operation that the bench had accepted. In a
// counterfactual an adjustment may become impossible (no foil effect left);
// the instrument then keeps the one it had, as it would on a real bench.
func (s *session) operate(st step) {
	switch st.verb {
	case BeginZero:
		s.begin(Zeroing)
	case BeginFoil:
		s.begin(Foiling)
	case BeginVerify:
		s.begin(Verifying)
	case BeginMeasure:
		s.begin(Measuring)
	case StoreZero:
		if s.storeZero() != nil {
			s.begin(Measuring)
		}
	case StoreFoil:
		if s.storeFoil() != nil {
			s.begin(Measuring)
		}
	case SetFoilValue:
		s.setUm = st.setUm
	case ResetAdjustment:
		s.reset()
		s.begin(Measuring)
	case ChooseProbe:
		s.hold(st.probe)
	case NewSpot:
		s.memory.Spot++
	case DeleteLast:
		s.memory.DeleteLast()
	case ClearMemory:
		s.memory.Clear()
	}
}

// MeanErrorUm returns the error in um of the reported mean against the true
// mean over the area, had only the influences in on acted; false when nothing
// was reported. With no influence at all it is zero to rounding. For many sets
// of influences use a Counterfactual.
func (r *Record) MeanErrorUm(on Influence) (float64, bool) {
	if r.Result == nil {
		return 0, false
	}
	out := r.Counterfactual().Run(on)
	return out.MeanErrorUm, out.Reported
}

// ReadingErrorUm returns the error in um of the reading taken at a contact
// against the true local thickness there, had only the influences in on acted;
// false when the contact gave no reading.
func (r *Record) ReadingErrorUm(contact int, on Influence) (float64, bool) {
	if contact < 0 || contact >= len(r.Contacts) || r.Contacts[contact].Outcome != Read {
		return 0, false
	}
	um := r.Counterfactual().Run(on).ErrorUm[contact]
	return um, !math.IsNaN(um)
}

// ContactAt returns the contact whose reading came at a log entry, nil when
// there is none.
func (r *Record) ContactAt(entry int) *Contact {
	if entry <= 0 {
		return nil
	}
	for i := range r.Contacts {
		if r.Contacts[i].Entry == entry && r.Contacts[i].Outcome == Read {
			return &r.Contacts[i]
		}
	}
	return nil
}

// TrueUm returns the true local thickness in um under a contact.
func (r *Record) TrueUm(contact int) float64 { return r.World.trueUm(&r.Contacts[contact], All) }
