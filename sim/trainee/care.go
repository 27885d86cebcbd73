package trainee

import (
	"slices"

	"foilwright/sim/bench"
	"foilwright/sim/part"
)

// settledK is how far from the temperature of the room a careful trainee lets
// piece and instrument be, and restMs how long a rest is before looking again.
const (
	settledK = 1
	restMs   = 10 * 60_000
	mostRest = 24
)

// careForFoil looks at a foil and wipes it where there is dust on it.
func (t *trainee) careForFoil(id string) {
	if t.plan.skipLook || t.isPiece(id) {
		return
	}
	t.act(bench.LookAtFoil, id)
	i := slices.IndexFunc(t.sheet.Foils, func(f part.FoilSpec) bool { return f.ID == id })
	if t.see().Foils[i].Dusty && !t.plan.skipWipe {
		t.act(bench.WipeFoil, id)
	}
}

// careForPieces looks over the pieces that will be used, sees to what shows,
// and rests until everything has the temperature of the room.
func (t *trainee) careForPieces() {
	p := t.plan
	for _, id := range p.usedPieces(t.sheet.Part.Piece.ID, t.isPiece) {
		t.act(bench.PlacePiece, id)
		t.act(bench.LookAtPiece, "")
		if t.see().Over.Dusty && !p.skipWipe {
			t.act(bench.WipePiece, "")
		}
		if t.see().Over.Magnetic && t.sheet.Demagnetiser && !p.skipDemagnetise {
			t.act(bench.Demagnetise, "")
		}
		for rests := 0; rests < mostRest && !p.skipRest && !settled(t.see().Over); rests++ {
			t.now += restMs
			t.do(bench.Action{Do: bench.Wait})
			t.act(bench.LookAtPiece, "")
		}
	}
}

func settled(s bench.PieceSeen) bool {
	near := func(celsius int64) bool { return celsius >= part.RoomC-settledK && celsius <= part.RoomC+settledK }
	return near(s.PieceC) && near(s.InstrumentC)
}

// usedPieces lists the pieces of the plan, the part last.
func (p *plan) usedPieces(part string, isPiece func(string) bool) []string {
	var list []string
	all := []string{p.zeroPiece, p.foilPiece, p.verifyPiece}
	for _, id := range p.usedFoils() {
		if isPiece(id) {
			all = append(all, id)
		}
	}
	for _, id := range append(all, part) {
		if id != "" && !slices.Contains(list, id) && (id != part || len(list) > 0 || p.zeroPiece == part) {
			list = append(list, id)
		}
	}
	return list
}

// clear takes away what foils lie on the piece.
func (t *trainee) clear() {
	for t.err == nil && t.see().Foil != "" {
		t.act(bench.TakeFoilAway, "")
	}
}

// lay lays a foil on the piece, in place of what lies there, and smooths it
// down where it curls.
func (t *trainee) lay(foil string) {
	v := t.see()
	if v.Foil != foil || v.Below != "" && t.plan.stackedOn == "" {
		t.clear()
		t.act(bench.LayFoil, foil)
	}
	i := slices.IndexFunc(t.sheet.Foils, func(f part.FoilSpec) bool { return f.ID == foil })
	if v = t.see(); t.err == nil && v.Foils[i].Curled && !v.Smoothed && !t.plan.skipSmooth {
		t.act(bench.SmoothFoil, "")
	}
}

// distrust changes foils after a verification that failed: first the one
// verified on, then those adjusted on.
func (t *trainee) distrust(try int) {
	p := t.plan
	if t.sheet.Job.OnCoated() {
		return
	}
	without := *t.sheet
	without.Foils = slices.DeleteFunc(slices.Clone(t.sheet.Foils), func(f part.FoilSpec) bool {
		return try == 0 && f.ID == p.verifyFoil || try > 0 && slices.Contains(p.foils, f.ID)
	})
	if len(without.Foils) <= len(p.foils) || p.verifyFoil == "" || p.fallback != "" {
		return
	}
	if try > 0 && len(p.foils) > 0 {
		p.foils = chooseFoils(&without, without.Foils)
	}
	p.verifyFoil = verificationFoil(&without, p.foils)
	for _, f := range p.usedFoils() {
		if !p.skipCertificates && !slices.Contains(t.see().Certificates, f) {
			t.act(bench.ReadCertificate, f)
			t.careForFoil(f)
		}
	}
}
