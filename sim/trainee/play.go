package trainee

import (
	"fmt"
	"math"
	"slices"

	"foilwright/sim/bench"
	"foilwright/sim/inspect"
	"foilwright/sim/num"
	"foilwright/sim/part"
)

// Play plays an exercise to its end and returns the bench with the attempt.
// The faults are ids of Faults; none makes a competent attempt.
func Play(w *bench.World, seed uint64, faults ...string) (*bench.Bench, error) {
	h := &hand{num.NewStream(seed, "hand"), w.Exercise.Limits.LiftMm}
	p := competent(w.Exercise, h)
	p.edgeMm = w.EdgeLimitMm()
	for _, id := range faults {
		f, ok := FaultByID(id)
		if !ok {
			return nil, fmt.Errorf("there is no fault %q to plant; foilwright-desk play -trainee list names them", id)
		}
		if !f.Applies(w.Exercise) {
			return nil, fmt.Errorf("the fault %q cannot be planted in exercise %q", id, w.Exercise.ID)
		}
	}
	// In their own order, so that leaving spots out comes before placing them.
	for _, f := range Faults() {
		if slices.Contains(faults, f.ID) {
			f.plant(w.Exercise, p, h)
		}
	}
	p.avoid(w)
	t := &trainee{
		sheet: w.Exercise, bench: bench.New(w), hand: h, plan: p,
		scatterUm: w.ZeroScatterUm(), verificationUm: w.VerificationUm,
		clearOf: func(id string, from point) point {
			piece := w.Piece(id)
			return clear(w, piece, part.Area{Width: piece.Width, Height: piece.Height}, from, 12)
		},
	}
	t.work()
	if t.err != nil {
		return nil, t.err
	}
	return t.bench, nil
}

// trainee is one attempt being played. sheet is read for what stands on the
// job sheet, labels and certificates only.
type trainee struct {
	sheet    *bench.Exercise
	bench    *bench.Bench
	hand     *hand
	plan     *plan
	now      int64
	high     int64 // height of the resting probe, um
	at       point // where it rests
	measured bool
	// scatterUm is the spread of readings above which they are taken again,
	// from the data sheet's repeatability.
	scatterUm float64
	// verificationUm is how far a verification may be off, from the sheet and,
	// on a rough surface, from experience.
	verificationUm func(certifiedUm, expandedUm float64) float64
	// clearOf is the place nearest to another that is clear of obstacles.
	clearOf func(piece string, from point) point
	refused bool // the last action was
	err     error
}

func (t *trainee) see() bench.View { return t.bench.View() }

// do carries out one action; a refusal ends the play, because a trainee who
// does not see it is no trainee.
func (t *trainee) do(a bench.Action) {
	if t.err != nil {
		return
	}
	a.At = t.now
	events, err := t.bench.Do(a)
	if err != nil {
		t.err = err
		return
	}
	t.refused = false
	for _, e := range events {
		if e.Kind == bench.Refused && a.Do == bench.StoreFoil {
			t.refused = true
		} else if e.Kind == bench.Refused {
			t.err = fmt.Errorf("at %d ms the bench refused %q: %s", t.now, a.Do, e.Text)
		}
	}
}

// act takes a moment and does something other than moving the probe.
func (t *trainee) act(v bench.Verb, item string) {
	t.now += int64(t.hand.between(400, 1500))
	t.do(bench.Action{Do: v, Item: item})
}

func (t *trainee) say(v bench.Verb, text string) {
	t.now += int64(t.hand.between(400, 1500))
	t.do(bench.Action{Do: v, Text: text})
}

func (t *trainee) set(v bench.Verb, um float64) {
	t.now += int64(t.hand.between(800, 2500))
	t.do(bench.Action{Do: v, Counts: int64(math.Floor(um/t.sheet.Instrument.ResolutionUm + 0.5))})
}

// pose moves the probe, taking ms.
func (t *trainee) pose(ms int64, p point, heightUm int64, g *grip, pressN float64) {
	t.now += ms
	t.do(bench.Action{Do: bench.MoveProbe, Pose: &bench.Pose{
		XUm: um(p.x), YUm: um(p.y), HeightUm: heightUm,
		TiltX: um(g.tiltDeg * num.Cos(g.tiltTowards)), TiltY: um(g.tiltDeg * num.Sin(g.tiltTowards)),
		PressMN: um(pressN),
	}})
	t.at, t.high = p, heightUm
}

// um turns mm into whole um, degrees into millidegrees, newtons into millinewtons.
func um(x float64) int64 { return int64(math.Floor(float64(1000*x) + 0.5)) }

// touch takes one reading at a place and lifts to the height given.
func (t *trainee) touch(p point, g grip, thenMm float64) {
	shake := func(at point, mm float64) point {
		return point{at.x + float64(mm*t.hand.between(-1, 1)), at.y + float64(mm*t.hand.between(-1, 1))}
	}
	if t.high < um(2) {
		t.pose(300, t.at, um(g.liftMm), &g, 0)
	}
	t.pose(g.pauseMs, shake(p, 0.5), t.high, &g, 0)
	t.pose(int64(t.hand.between(180, 320)), shake(p, 0.3), min(t.high, um(t.hand.between(2.5, 4))), &g, 0)
	last := min(t.high, um(t.hand.between(0.8, 1.6)))
	t.pose(int64(t.hand.between(80, 140)), shake(p, 0.1), last, &g, 0)
	t.pose(max(1, int64(float64(last)/g.landMmPerS)), p, 0, &g, 0.4*g.pressN)
	t.pose(60, p, 0, &g, g.pressN)
	slid := point{p.x + g.slideMm, p.y}
	t.pose(min(120, g.holdMs/3), shake(slid, 0.05), 0, &g, g.pressN)
	t.pose(g.holdMs-60-min(120, g.holdMs/3), shake(slid, 0.2), um(t.hand.between(2, 4)), &g, 0)
	t.pose(int64(t.hand.between(250, 450)), shake(slid, 1), um(thenMm), &g, 0)
}

// series takes readings at places, one grip each.
func (t *trainee) series(places []point, grips []grip) {
	for i := range places {
		then := t.hand.lift()
		if i+1 < len(grips) {
			then = grips[i+1].liftMm
		}
		t.touch(places[i], grips[i], then)
	}
}

// grip is a careful touch of a piece; the job sheet says where the coating of
// the part is still soft.
func (t *trainee) grip(piece string) grip {
	g := t.hand.grip()
	if piece == t.sheet.Part.Piece.ID && t.sheet.Part.Coating.SoftUmPerN > 0 && t.see().Foil == "" {
		g.softly()
	}
	return g
}

// onPiece takes n careful readings about the middle of a piece.
func (t *trainee) onPiece(id string, n int) {
	var places []point
	var grips []grip
	for range n {
		places = append(places, t.middle(id))
		grips = append(grips, t.grip(id))
	}
	t.series(places, grips)
}

// middle is a place about the middle of a piece, or where that is clear of holes
// and the like.
func (t *trainee) middle(id string) point {
	w, h := t.size(id)
	c := t.clearOf(id, point{w / 2, h / 2})
	return point{c.x + float64(t.hand.between(-1, 1)*math.Min(8, w*0.08)), c.y + float64(t.hand.between(-1, 1)*math.Min(8, h*0.08))}
}

// size is the outline of a piece in mm.
func (t *trainee) size(id string) (w, h float64) {
	for _, p := range append([]bench.PieceSpec{t.sheet.Part}, t.sheet.References...) {
		if p.Piece.ID == id {
			return p.Piece.Width * 1e3, p.Piece.Height * 1e3
		}
	}
	return 0, 0
}

// work does the whole job.
func (t *trainee) work() {
	p := t.plan
	t.act(bench.ReadJob, "")
	t.takeProbe()
	if !p.skipTip {
		t.act(bench.WipeTip, "")
	}
	for _, f := range p.usedFoils() {
		if !p.skipCertificates {
			t.act(bench.ReadCertificate, f)
		}
		t.careForFoil(f)
	}
	t.careForPieces()
	if !p.skipClear {
		t.act(bench.ClearMemory, "")
	}
	for try := range 3 {
		t.adjust()
		if p.skipVerify || t.verify() || p.ignoreVerify {
			break
		}
		t.distrust(try)
		t.act(bench.ResetAdjustment, "")
	}
	if p.waitMs > 0 {
		t.now += p.waitMs
		t.do(bench.Action{Do: bench.Wait})
	}
	t.measure()
	t.measured = true
	if !p.skipLastVerify && !t.verify() && !p.judgeLastBad {
		// The readings are not safe: adjust again and repeat them.
		t.act(bench.ResetAdjustment, "")
		t.adjust()
		t.verify()
		t.act(bench.ClearMemory, "")
		t.measure()
		t.verify()
	}
	if !p.skipReport && len(t.see().Memory) > 0 {
		t.report()
	}
	t.act(bench.Finish, "")
}

// takeProbe takes the probe of choice in hand, after another has been tried
// where that is the fault.
func (t *trainee) takeProbe() {
	p := t.plan
	inHand := t.see().Probe
	take := func(id string) {
		if id != "" && id != inHand {
			t.act(bench.ChooseProbe, id)
			inHand = id
		}
	}
	if p.tryProbe != "" {
		if !p.skipTip {
			t.act(bench.WipeTip, "")
		}
		take(p.tryProbe)
		t.act(bench.PlacePiece, p.zeroPiece)
		t.onPiece(p.zeroPiece, 1)
	}
	take(p.probe)
}

func (p *plan) usedFoils() []string {
	list := slices.DeleteFunc(slices.Clone(p.foils), func(id string) bool { return id == p.fallback })
	if p.verifyFoil != "" && !slices.Contains(list, p.verifyFoil) {
		list = append(list, p.verifyFoil)
	}
	return list
}

// adjust makes zero and foil adjustment.
func (t *trainee) adjust() {
	p := t.plan
	if p.foilFirst {
		t.adjustFoils()
	}
	if !p.skipZero {
		t.act(bench.PlacePiece, p.zeroPiece)
		for range 3 {
			t.act(bench.BeginZero, "")
			t.zeroReadings()
			if p.scatteredZero || t.spreadUm() < t.scatterUm {
				break
			}
		}
		t.act(bench.StoreZero, "")
	}
	if !p.foilFirst {
		t.adjustFoils()
	}
}

// spreadUm is the spread of the readings of the adjustment under way.
func (t *trainee) spreadUm() float64 {
	v := t.see()
	if len(v.Taken) == 0 {
		return 0
	}
	return float64(slices.Max(v.Taken)-slices.Min(v.Taken)) * v.Resolution
}

func (t *trainee) zeroReadings() {
	p := t.plan
	if p.zeroAtEdge {
		var places []point
		var grips []grip
		_, h := t.size(p.zeroPiece)
		for range p.zeroReadings {
			places = append(places, point{p.edgeMm * t.hand.between(0.15, 0.5), h/2 + float64(t.hand.between(-10, 10))})
			grips = append(grips, t.hand.grip())
		}
		t.series(places, grips)
		return
	}
	if p.scatteredZero {
		t.onPiece(p.zeroPiece, 1)
		g := t.hand.grip()
		g.pressN, g.tiltDeg = t.hand.between(0, 0.05), t.hand.between(3, 4)
		t.touch(t.middle(p.zeroPiece), g, t.hand.lift())
		t.onPiece(p.zeroPiece, p.zeroReadings-2)
		return
	}
	t.onPiece(p.zeroPiece, p.zeroReadings)
}

func (t *trainee) adjustFoils() {
	p := t.plan
	if p.skipFoil {
		return
	}
	for _, foil := range p.foils {
		piece, toLay := p.foilPiece, true
		switch {
		case foil == p.fallback:
			piece, toLay = p.fallbackPiece, false
		case t.isPiece(foil):
			piece, toLay = foil, false
		}
		if v := t.see(); v.Piece != piece {
			t.act(bench.PlacePiece, piece)
		}
		if toLay {
			if under := p.stackedOn; under != "" && under != foil {
				t.lay(under)
				t.act(bench.LayFoil, foil)
			}
			t.lay(foil)
		} else {
			t.clear()
		}
		for range 3 {
			t.act(bench.BeginFoil, "")
			t.set(bench.SetFoilValue, p.setUm[foil])
			t.onPiece(piece, p.foilReadings)
			if t.spreadUm() < t.scatterUm+float64(0.02*p.setUm[foil]) {
				break
			}
		}
		t.act(bench.StoreFoil, "")
		if t.refused { // give it up
			t.act(bench.BeginMeasure, "")
		}
	}
}

// verify measures a foil again and judges it; true when it was good.
func (t *trainee) verify() bool {
	p := t.plan
	piece, toLay := p.verifyPiece, p.verifyFoil != ""
	if t.isPiece(p.verifyFoil) {
		piece, toLay = p.verifyFoil, false
	}
	if v := t.see(); v.Piece != piece {
		t.act(bench.PlacePiece, piece)
	}
	if toLay {
		t.lay(p.verifyFoil)
	}
	t.act(bench.BeginVerify, "")
	t.onPiece(piece, p.verifyReadings)
	if len(t.see().Taken) == 0 { // out of range, every one
		t.act(bench.BeginMeasure, "")
		if toLay {
			t.clear()
		}
		return p.trusting
	}
	good := t.goodFoil() || p.trusting
	if p.ignoreVerify && !t.measured || p.judgeLastBad && t.measured {
		good = false
	}
	if good {
		t.say(bench.JudgeVerify, "good")
	} else {
		t.say(bench.JudgeVerify, "bad")
	}
	if toLay {
		t.clear()
	}
	return good
}

// isPiece reports whether an id is that of a coated piece with a certificate,
// which stands where otherwise a foil is laid.
func (t *trainee) isPiece(id string) bool {
	_, certified := t.sheet.Known(id, "")
	return certified
}

// goodFoil compares the mean with the value the trainee takes for the foil's.
func (t *trainee) goodFoil() bool {
	v := t.see()
	if len(v.Taken) == 0 {
		return false
	}
	sum := int64(0)
	for _, c := range v.Taken {
		sum += c
	}
	mean := float64(float64(sum) / float64(len(v.Taken)) * v.Resolution)
	for _, f := range slices.Concat(t.sheet.Foils, t.sheet.Standards()) {
		if f.ID == t.plan.verifyFoil {
			return math.Abs(mean-f.CertifiedUm) <= t.verificationUm(f.CertifiedUm, f.ExpandedUm)
		}
	}
	return true
}

// measure takes the spots.
func (t *trainee) measure() {
	p := t.plan
	t.act(bench.PlacePiece, t.sheet.Part.Piece.ID)
	if p.leaveFoil != "" {
		t.lay(p.leaveFoil)
	}
	t.act(bench.BeginMeasure, "")
	var places []point
	var grips []grip
	for i := range p.spots {
		for k := range p.perSpot[i] {
			places = append(places, t.near(i, k))
			grips = append(grips, t.grip(t.sheet.Part.Piece.ID))
		}
	}
	if p.spoil != nil {
		p.spoil(t.hand, grips)
	}
	n := 0
	for i := range p.spots {
		if v := t.see(); i > 0 && len(v.Memory) > 0 && v.Memory[len(v.Memory)-1].Spot == v.Spot {
			t.act(bench.NewSpot, "")
		}
		for range p.perSpot[i] {
			then := t.hand.lift()
			if n+1 < len(grips) {
				then = grips[n+1].liftMm
			}
			t.touch(places[n], grips[n], then)
			if p.discard > 0 && n >= 2 && len(t.see().Memory) > 0 {
				p.discard--
				t.say(bench.DeleteLast, p.discardWhy)
				places[n] = t.elsewhere(places[n])
				t.touch(places[n], t.grip(t.sheet.Part.Piece.ID), then)
			}
			n++
		}
	}
}

// elsewhere is a place as far away as the trainee moves a reading to be taken
// again: along the part toward the middle of the area, or to where it is farther
// from holes and the like.
func (t *trainee) elsewhere(from point) point {
	a, piece, by := t.sheet.Job.Area, &t.sheet.Part.Piece, t.plan.moveMm
	if from.x >= float64((a.X+a.Width/2)*1e3) {
		by = -by
	}
	best, most := from, math.Inf(-1)
	for _, to := range [...]point{{from.x + by, from.y}, {from.x - by, from.y}, {from.x, from.y + by}, {from.x, from.y - by}} {
		if !a.Contains(to.x*1e-3, to.y*1e-3) && by != 0 {
			continue
		}
		least := math.Inf(1)
		for i := range piece.Features {
			least = math.Min(least, piece.Features[i].Distance(to.x*1e-3, to.y*1e-3))
		}
		if least > most {
			best, most = to, least
		}
	}
	return best
}

// near is the place of reading k of spot i: anywhere about its middle, along a
// line where the spot is wide, along the edge where it lies by one.
func (t *trainee) near(i, k int) point {
	p, a := t.plan, t.sheet.Job.Area
	s, n := p.spots[i], p.perSpot[i]
	dx, dy := t.hand.between(-1, 1), t.hand.between(-1, 1)
	switch {
	case i < len(p.edgeSpots) && p.edgeSpots[i] != (point{}):
		s = p.edgeSpots[i]
		if p.besideFeature {
			return point{s.x + float64(0.1*dx), s.y + float64(0.1*dy)}
		}
		return point{s.x + float64(0.1*dx), s.y + float64(7*dy)}
	case p.spreadMm > 20 && n > 1:
		low, high := float64(a.X*1e3)+1, float64((a.X+a.Width)*1e3)-1
		middle := math.Max(low+p.spreadMm/2, math.Min(high-p.spreadMm/2, s.x))
		return point{middle + float64(p.spreadMm*(float64(k)/float64(n-1)-0.5)), s.y + dy}
	}
	return point{s.x + float64(p.spreadMm*dx), s.y + float64(p.spreadMm*dy)}
}

// report evaluates the memory by the job's rule.
func (t *trainee) report() {
	v := t.see()
	allowance := int64(math.Floor(t.plan.allowanceUm/v.Resolution + 0.5))
	series := bench.Result{Readings: v.Memory, AllowanceUm: float64(float64(allowance) * v.Resolution)}
	rule := &t.sheet.Job.Rule
	// A trainee who does not know of old readings goes by the mean shown.
	stated := inspect.Stated{MeanUm: float64(v.Statistics.Mean*v.Resolution) - series.AllowanceUm}
	counts := int64(0)
	if t.sheet.Job.StateUncertainty {
		if u, err := t.bench.MeasuredMean(series.AllowanceUm).Budget().Evaluate(0.95); err == nil {
			counts = int64(math.Floor(float64(u.Expanded*t.plan.stateTimes)/v.Resolution + 0.5))
			stated.ExpandedUm = float64(counts) * v.Resolution
		}
	}
	verdict := rule.Verdict(series.Spots(rule, v.Resolution), stated)
	if t.plan.flip {
		if bench.Accepts(verdict) {
			verdict = bench.Reject
		} else {
			verdict = bench.Accept
		}
	}
	t.now += int64(t.hand.between(2000, 6000))
	t.do(bench.Action{Do: bench.Report, Counts: int64(math.Floor(v.Statistics.Mean+0.5)) + t.plan.misrecord, Uncertainty: counts, Text: verdict, Allowance: allowance})
}
