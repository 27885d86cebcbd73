package screens

import (
	"slices"
	"unicode"
	"unicode/utf8"

	"foilwright/internal/say"
	"foilwright/sim/bench"
	"foilwright/sim/grade"
)

// coach gives hints at practice: what grading would find, said while it can
// still be put right. It speaks of one thing at a time, of each kind once, and
// never in an assessment.
type coach struct {
	told    map[string]int // by check: how many entries it rested on when it was told
	hint    string
	untilMs int64 // attempt time at which the hint goes
	seen    int   // entries of the log judged so far
}

// hintMs is how long a hint stays when nothing takes its place.
const hintMs = 15_000

// When a check can be hinted at. All others: as soon as they find something.
var (
	// These speak of work that may still be coming until a report is handed in.
	afterReport = map[string]bool{
		"report-missing": true, "verify-missing-end": true, "verify-overdue": true, "spots-few": true, "readings-few": true,
		"spots-clustered": true, "spots-picked": true, "decision-wrong": true, "record-wrong": true, "memory-uncleared": true,
		"discard-excess": true, "uncertainty-missing": true, "uncertainty-wrong": true, "allowance-missed": true, "allowance-wrong": true,
	}
	// These are due before the part is measured.
	onPart = map[string]bool{"zero-missing": true, "foil-missing": true, "verify-missing-start": true}
)

// beingMended are checks of an adjustment that is being made anew.
var beingMended = map[bench.Mode][]string{
	bench.Zeroing: {"zero-few", "zero-scatter"},
	bench.Foiling: {"foil-few"},
}

// listen judges what has happened since it last did and may give a hint. It
// waits for the probe to be off the metal: nobody reads while measuring.
func (c *coach) listen(s *sitting) {
	if c.hint != "" && s.lastMs >= c.untilMs {
		c.hint = ""
	}
	v := &s.view
	if v.Touching || v.Finished || v.Entries == c.seen {
		return
	}
	entries := s.Bench.Record().Entries[c.seen:]
	c.seen = v.Entries
	if !worthJudging(entries) {
		return
	}
	c.choose(grade.Grade(s.Bench.Record()).Findings, s)
}

// worthJudging reports whether something happened that a check could speak of.
func worthJudging(entries []bench.Entry) bool {
	for _, e := range entries {
		for _, ev := range e.Events {
			switch ev.Kind {
			case bench.ReadingNew, bench.Adjusted, bench.Verified, bench.Deleted, bench.Cleared, bench.Reported:
				return true
			}
		}
	}
	return false
}

var gravity = map[grade.Severity]int{grade.Critical: 3, grade.Major: 2, grade.Minor: 1}

// choose gives the gravest finding that has news as the hint.
func (c *coach) choose(findings []grade.Finding, s *sitting) {
	var best *grade.Finding
	for i := range findings {
		f := &findings[i]
		if !c.due(f, s) {
			continue
		}
		if best == nil || gravity[f.Severity] > gravity[best.Severity] {
			best = f
		}
	}
	if best == nil {
		return
	}
	if c.told == nil {
		c.told = map[string]int{}
	}
	c.told[best.Check] = max(1, len(best.Entries))
	c.hint = say.T("Hint: %s. %s", lower(best.Name), quoted(best.Do))
	c.untilMs = s.lastMs + hintMs
}

// lower writes the first letter small.
func lower(s string) string {
	first, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToLower(first)) + s[n:]
}

// due reports whether a finding can be hinted at now and has not been already,
// or has come twice as often since.
func (c *coach) due(f *grade.Finding, s *sitting) bool {
	if n := c.told[f.Check]; n > 0 && len(f.Entries) < 2*n {
		return false
	}
	switch {
	case slices.Contains(beingMended[s.view.Mode], f.Check):
		return false
	case afterReport[f.Check]:
		return s.view.Result != nil
	case onPart[f.Check]:
		return measuredPart(s)
	}
	return true
}

// measuredPart reports whether the newest reading is one of the part's series.
func measuredPart(s *sitting) bool {
	contacts := s.Bench.Record().Contacts
	for i := len(contacts) - 1; i >= 0; i-- {
		if c := &contacts[i]; c.Outcome == bench.Read {
			return c.Mode == bench.Measuring && c.Piece == s.World.Part.ID
		}
	}
	return false
}

// coached reports whether hints are given at the sitting.
func (a *App) coached() bool {
	return !a.settings.NoHints && !a.sitting.Assessment && a.lesson == nil
}

// toggleHints switches coaching on or off, for good.
func (a *App) toggleHints() {
	s := a.sitting
	if s.Assessment {
		s.refusal = say.T("there are no hints in an assessment")
		return
	}
	a.settings.NoHints = !a.settings.NoHints
	a.keep()
	a.desk.coach.hint = ""
	word := say.T("Hints are on.")
	if a.settings.NoHints {
		word = say.T("Hints are off. H switches them on again.")
	}
	a.ui.Notify(0, word)
}
