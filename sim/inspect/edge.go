package inspect

// EdgeRule is a standard's statement of how far from an edge to measure. The standards differ; the job sheet names one.
type EdgeRule struct {
	ID         string
	LeastMm    float64 // no closer than this; 0 when not stated
	MostMm     float64 // no farther than this, for readings meant for the boundary; 0 when not stated
	Standard   string
	Confidence Confidence
}

// EdgeRules lists the statements in fixed order.
func EdgeRules() []EdgeRule {
	return []EdgeRule{
		{"mil-hdbk-1110", 25.4, 0, "MIL-HDBK-1110 10.3.11 c: 25 mm (1 in) from edges and corners", Read},
		{"pa2", 25.4, 0, "SSPC-PA 2: 25 mm (1 in), edges by a separate appendix", FromMemory},
		{"imo-boundary", 0, 15, "IMO MSC.215(82) annex 3: boundary readings close to the edge, not beyond 15 mm", Read},
	}
}

// EdgeRuleByID returns the named statement.
func EdgeRuleByID(id string) (EdgeRule, bool) {
	for _, r := range EdgeRules() {
		if r.ID == id {
			return r, true
		}
	}
	return EdgeRule{}, false
}

// Allows tells whether a reading at this distance from the edge follows the rule.
func (r EdgeRule) Allows(distanceMm float64) bool {
	return !below(distanceMm, r.LeastMm) && (r.MostMm == 0 || !above(distanceMm, r.MostMm))
}
