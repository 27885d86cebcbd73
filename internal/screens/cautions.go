package screens

import "foilwright/internal/say"

// cautions are shown at the start and in the debrief of every exercise.
var cautions = []say.Text{
	"A training aid. It certifies nobody and does not replace the instrument maker's instructions, the contract, local codes or licensed practice.",
	"On real work: isolate hot and moving plant; no work at height or in confined space without the permit and training it needs; guard against solvents and blasting dust; take damaged leads and loose or wrong batteries out of use.",
}
