// Package inspect is the inspector's arithmetic: statistics of readings, uncertainty, sampling plans, acceptance rules
// and the statistics of assessment.
//
// Start with [Describe], [Budget], [PlanFor] and [Judge]. Nothing here knows of probes, parts or the hidden truth;
// readings come in as plain numbers in micrometres and verdicts go out with their reasons in words. Every rule says
// which standard it follows and how sure we are of its wording ([Confidence]): most standards could not be read in full.
//
// Verdicts are stored and replayed, so the whole package keeps the promise of package num: the same bits on every
// machine. Sums run in fixed order and products are rounded before they are added.
//
// A guard band (JCGM 106:2012, 8.3) is kept by the mean alone, inward from its limits: with a minimum of 240 um and a band
// of 15 um a mean is accepted from 255 um. The same rule judges a known truth, so a film of 247 um is rightly rejected
// although it meets its specification: the consumer is spared the risk, the producer bears it. Where the expanded
// uncertainty is the band, the right answer to a truth inside it is that of the uncertainty which the measurement bears
// out. "non-binary" has both edges of the band and the limit between them, and so four answers.
//
// What this package leaves out: correlation between the components of a budget (they are taken as independent), and
// confidence intervals of agreement statistics.
package inspect

// Confidence says where a rule or number was taken from.
type Confidence string

// The kinds of evidence behind a rule.
const (
	Read           Confidence = "read"            // read in public text
	FromMemory     Confidence = "from memory"     // clause remembered; obtain the standard before relying on it
	CommonPractice Confidence = "common practice" // trade usage without a source
	Computed       Confidence = "computed"        // computed from a published formula
)
