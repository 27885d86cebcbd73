package screens

import (
	"strings"

	"foilwright/internal/say"
	"foilwright/sim/bench"
	"foilwright/sim/grade"
)

// What the simulation calls by a key of its own has its name for trainees here.
var (
	modeNames = map[bench.Mode]say.Text{
		bench.Zeroing: "zero", bench.Foiling: "foil", bench.Verifying: "verify", bench.Measuring: "measure",
	}
	severityNames = map[grade.Severity]say.Text{
		grade.Minor: "minor", grade.Major: "major", grade.Critical: "critical",
	}
	groupNames = map[grade.Group]say.Text{
		grade.Preparation: "Preparation", grade.Adjustment: "Adjustment", grade.Verification: "Verification",
		grade.Handling: "Handling", grade.Placement: "Placement and sampling", grade.Recording: "Record and decision",
	}
	judgements = map[string]say.Text{"good": "good", "bad": "bad"}
	verbNames  = map[bench.Verb]say.Text{
		bench.ReadJob: "Read job sheet", bench.LookAtTip: "Look at tip", bench.WipeTip: "Wipe tip",
		bench.ReadCertificate: "Read certificate", bench.ChooseProbe: "Choose probe", bench.PlacePiece: "Place",
		bench.LayFoil: "Lay foil", bench.TakeFoilAway: "Take foil away",
		bench.BeginZero: "Begin zero", bench.StoreZero: "Store zero", bench.BeginFoil: "Begin foil",
		bench.SetFoilValue: "Set foil value", bench.StoreFoil: "Store foil", bench.BeginVerify: "Begin verify",
		bench.JudgeVerify: "Judge verify", bench.BeginMeasure: "Begin measure", bench.ResetAdjustment: "Reset adjustment",
		bench.NewSpot: "New spot", bench.DeleteLast: "Delete last", bench.ClearMemory: "Clear memory",
		bench.Report: "Report", bench.Finish: "Finish", bench.LookAtPiece: "Look at piece", bench.WipePiece: "Wipe piece",
		bench.Demagnetise: "Demagnetise", bench.LookAtFoil: "Look at foil", bench.WipeFoil: "Wipe foil",
		bench.SmoothFoil: "Smooth foil", bench.WriteRecord: "Write record",
	}
)

func modeName(m bench.Mode) string         { return say.T(modeNames[m]) }
func severityName(s grade.Severity) string { return say.T(severityNames[s]) }
func groupName(g grade.Group) string       { return named(groupNames[g], string(g)) }
func judged(key string) string             { return named(judgements[key], key) }
func verbName(v bench.Verb) string         { return named(verbNames[v], string(v)) }

// named is a name, or the key in words where there is none.
func named(name say.Text, key string) string {
	if name == "" {
		return capital(strings.ReplaceAll(key, "-", " "))
	}
	return say.T(name)
}
