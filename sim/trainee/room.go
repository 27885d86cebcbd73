package trainee

import (
	"math"
	"slices"

	"foilwright/sim/bench"
	"foilwright/sim/part"
)

// What an exercise gives room for, as far as the condition of things goes:
// whether a piece or foil that a careful trainee uses is dusty, warm, magnetic
// or curled, and which foils a careful trainee leaves aside.

func dusty(e *bench.Exercise) bool {
	return anyPiece(e, func(p *part.Piece) bool { return p.DustUm > 0 }) || anyFoil(e, func(f *part.FoilSpec) bool { return f.DustUm > 0 })
}

func warm(e *bench.Exercise) bool {
	off := func(celsius float64) bool { return celsius != 0 && math.Abs(celsius-part.RoomC) > 8 }
	return off(e.Instrument.TemperatureC) || anyPiece(e, func(p *part.Piece) bool { return off(p.TemperatureC) })
}

func magnetic(e *bench.Exercise) bool {
	return e.Demagnetiser && anyPiece(e, func(p *part.Piece) bool { return p.RemanenceT > 0 && p.Metal.Field.RelPermeability > 1 })
}

func curled(e *bench.Exercise) bool {
	return anyFoil(e, func(f *part.FoilSpec) bool { return f.CurlUm > 5 })
}

func anyPiece(e *bench.Exercise, is func(*part.Piece) bool) bool {
	for _, r := range e.References {
		if r.Piece.ID == matching(e) && is(&r.Piece) {
			return true
		}
	}
	return is(&e.Part.Piece)
}

func anyFoil(e *bench.Exercise, is func(*part.FoilSpec) bool) bool {
	var used []string
	if e.Job.Adjustment != "zero" {
		used = chooseFoils(e, e.Standards())
	}
	used = append(used, verificationFoil(e, used))
	for i := range e.Foils {
		if slices.Contains(used, e.Foils[i].ID) && is(&e.Foils[i]) {
			return true
		}
	}
	return false
}

// expired is a foil whose certificate alone speaks against it, damaged one that
// shows damage; empty where there is none.
func expired(e *bench.Exercise) string {
	for _, f := range e.Standards() {
		if !f.Valid && !f.Damaged() && fit(e.Standards())[0].Fit() {
			return f.ID
		}
	}
	return ""
}

func damaged(e *bench.Exercise) string {
	for _, f := range e.Foils {
		if !e.Job.OnCoated() && f.Damaged() && f.Valid && f.FaultUm.Low >= 4 {
			return f.ID
		}
	}
	return ""
}
