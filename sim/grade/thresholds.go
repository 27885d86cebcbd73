package grade

import "foilwright/sim/bench"

// LimitUsed is one threshold as it was used in marking an attempt.
type LimitUsed struct {
	Key    string   `json:"key"`
	Text   string   `json:"text"`
	Value  float64  `json:"value"`
	Unit   string   `json:"unit,omitempty"`
	Usual  bool     `json:"usual"` // it is the default
	Checks []string `json:"checks,omitempty"`
}

// LimitsUsed lists the thresholds of an exercise, those it set itself first.
func LimitsUsed(e *bench.Exercise) []LimitUsed {
	usual := bench.DefaultLimits()
	own, rest := []LimitUsed{}, []LimitUsed{}
	for _, t := range bench.Thresholds() {
		u := LimitUsed{t.Key, t.Text, t.Of(&e.Limits), t.Unit, t.Of(&e.Limits) == t.Of(&usual), t.Checks}
		if u.Usual {
			rest = append(rest, u)
		} else {
			own = append(own, u)
		}
	}
	return append(own, rest...)
}
