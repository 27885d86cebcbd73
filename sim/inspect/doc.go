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
