package inspect

// VerificationCheck is one check of the instrument on a foil during a job.
type VerificationCheck struct {
	At   int64 // time or event number, on the same scale as the readings
	Good bool
}

// Suspect tells for each reading whether a failed verification took its ground away: the check before it or the check
// after it failed. So after a failed check all readings back to the last good one are suspect, and so are readings
// taken between a failed check and the next good one. A reading at the moment of a check belongs before it. Readings
// that no check follows are not marked here; the missing end check is a finding of its own. Checks in ascending order.
//
// Source: SSPC-PA 2 and ASTM D7091 practice (from memory).
func Suspect(checks []VerificationCheck, readingAt []int64) []bool {
	suspect := make([]bool, len(readingAt))
	for i, at := range readingAt {
		for k, c := range checks {
			last := k == len(checks)-1
			followed := c.At < at && (last || checks[k+1].At >= at)
			preceded := c.At >= at && (k == 0 || checks[k-1].At < at)
			if !c.Good && (followed || preceded) {
				suspect[i] = true
			}
		}
	}
	return suspect
}
