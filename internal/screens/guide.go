package screens

import (
	"slices"

	"foilwright/internal/say"
	"foilwright/sim/bench"
)

// guide is the one quiet line of the bench: what the instrument is doing and
// what the controls do now. It never says what would be right: that is what is
// being trained.
func guide(s *sitting, u units) string {
	text := guideOfMode(s, u)
	if s.view.Below != "" {
		text += " " + say.T("Two foils lie there, one on the other.")
	}
	return text
}

func guideOfMode(s *sitting, u units) string {
	v := &s.view
	n := len(v.Taken)
	switch v.Mode {
	case bench.Zeroing:
		if n == 0 {
			return say.T("Zero: the next readings are taken as bare metal. Lower the probe to take one; Store ends the zero, Measure leaves it as it was.")
		}
		return say.T("Zero: %s taken. Take more, or Store to set the zero by their mean; Measure leaves it as it was.", readings(n))
	case bench.Foiling:
		if s.exercise.Job.OnCoated() && v.SetFoilUm <= 0 {
			return say.T("Foil: a known thickness, here the film of a coated piece; %s taken. Write its value in the box and press Set (Enter); Store when the readings are taken.", readings(n))
		}
		if v.SetFoilUm <= 0 {
			return say.T("Foil: %s taken. Write the foil's value in the box and press Set (Enter); Store when the readings are taken.", readings(n))
		}
		if n == 0 {
			if s.exercise.Job.OnCoated() {
				return say.T("Foil: set to %s %s. Lower the probe on the coated piece to take readings, then Store.", u.um(v.SetFoilUm), u.name())
			}
			return say.T("Foil: set to %s %s. Lower the probe on the foil to take readings, then Store.", u.um(v.SetFoilUm), u.name())
		}
		return say.T("Foil: set to %s %s, %s taken. Take more, or Store to adjust by their mean.", u.um(v.SetFoilUm), u.name(), readings(n))
	case bench.Verifying:
		limit, taken := tolerance(s, u), onThisFoil(s)
		n = len(taken)
		if n == 0 {
			if s.exercise.Job.OnCoated() {
				return say.T("Verify: readings are compared, nothing is changed. %sTake one or more on a certified piece, then judge; Measure leaves it.", limit)
			}
			return say.T("Verify: readings are compared, nothing is changed. %sTake one or more on a foil, then judge; Measure leaves it.", limit)
		}
		if limit != "" && v.Foil == "" {
			return say.T("Verify: %s on this piece, mean %s %s. %sJudge: Good or Bad.", readings(n), u.um(meanCounts(taken)*u.resolutionUm), u.name(), limit)
		}
		if limit != "" {
			return say.T("Verify: %s on this foil, mean %s %s. %sJudge: Good or Bad.", readings(n), u.um(meanCounts(taken)*u.resolutionUm), u.name(), limit)
		}
		return say.T("Verify: %s here, mean %s %s. Compare with the certificate, then judge: Good or Bad.", readings(n), u.um(meanCounts(taken)*u.resolutionUm), u.name())
	}
	inSpot := 0
	for _, m := range v.Memory {
		if m.Spot == v.Spot {
			inSpot++
		}
	}
	return say.T("Measure: each reading is kept in the memory, now in spot %d (%s). New spot goes on to the next one.", v.Spot, readings(inSpot))
}

// onThisFoil are the readings of a verification since the foil or the piece was
// changed: a mean over two foils is the thickness of neither.
func onThisFoil(s *sitting) []int64 {
	n, contacts := 0, s.Bench.Record().Contacts
	for i := len(contacts) - 1; i >= 0 && n < len(s.view.Taken); i-- {
		c := &contacts[i]
		if c.Outcome != bench.Read || c.Mode != bench.Verifying || c.Deleted {
			continue
		}
		if c.Foil != s.view.Foil || c.Piece != s.view.Piece {
			break
		}
		n++
	}
	return s.view.Taken[len(s.view.Taken)-n:]
}

// tolerance says what the foil on the piece must read to verify the instrument,
// once its certificate has been read.
func tolerance(s *sitting, u units) string {
	f, ok := s.exercise.Known(s.view.Piece, s.view.Foil)
	if !ok || s.view.Below != "" || !slices.Contains(s.view.Certificates, f.ID) {
		return ""
	}
	value, within := u.um(f.CertifiedUm), u.um(s.exercise.Limits.VerificationUm(f.CertifiedUm, f.ExpandedUm))
	_, coated := s.exercise.Known(s.view.Piece, "")
	switch {
	case s.view.Foil == "":
		return say.T("The film is %s, and ± %s %s is in tolerance. ", value, within, u.name())
	case coated:
		return say.T("The foil with the film below it is %s, and ± %s %s is in tolerance. ", value, within, u.name())
	}
	return say.T("The foil is %s, and ± %s %s is in tolerance. ", value, within, u.name())
}

func readings(n int) string {
	if n == 0 {
		return say.T("no readings")
	}
	return say.N(n, "%d reading", "%d readings")
}

func meanCounts(c []int64) float64 {
	sum := 0.0
	for _, x := range c {
		sum += float64(x)
	}
	return sum / float64(max(1, len(c)))
}
