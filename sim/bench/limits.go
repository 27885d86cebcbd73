package bench

import (
	"foilwright/sim/inspect"
	"foilwright/sim/probe"
)

// Limits are the thresholds of the checks. An exercise may set each of them;
// Thresholds names them.
type Limits struct {
	ZeroReadings, FoilReadings int
	LiftMm                     float64
	TiltDeg                    float64
	DwellMs                    int64
	EdgeMm                     float64 // 0: by the job sheet's edge rule or derived from the probe
	SpotMm                     float64
	SlideMm                    float64
	PassTechnique              float64
	PressLowN, PressHighN      float64
	LandMmPerS                 float64
	OverdueMin                 float64
	ClusteredPercent           float64
	ClusteredFewPercent        float64
	AreaGraceMm                float64
	DiscardPercent             float64
	Habit                      int
	TolerancePercent           float64
	ToleranceUm                float64
	ScatterTimes               float64
	ScatterUm                  float64
	UncertaintyFactor          float64
	PressSoftN                 float64
	SettledK                   float64
	FoilFaultUm                float64
}

// DefaultLimits are the usual thresholds. Common practice, no source, unless a
// source stands beside the threshold.
func DefaultLimits() Limits {
	return Limits{
		ZeroReadings: 5, FoilReadings: 5, LiftMm: 25, TiltDeg: 5, DwellMs: probe.CaptureAfterMs,
		SpotMm: 40, SlideMm: 1, PassTechnique: 70,
		PressLowN: 1, PressHighN: 15, LandMmPerS: 80, OverdueMin: 60,
		ClusteredPercent: 35, ClusteredFewPercent: 25, AreaGraceMm: 1, DiscardPercent: 20, Habit: 2,
		TolerancePercent: 3, ToleranceUm: 1.5, ScatterTimes: 7, ScatterUm: 2, UncertaintyFactor: 2,
		PressSoftN: 2.5, SettledK: 3, FoilFaultUm: 0.5,
	}
}

// Threshold is one of the limits: how an exercise writes it and what uses it.
type Threshold struct {
	Key       string // in the limits of an exercise
	Unit      string
	Text      string // what it bounds
	Low, High float64
	Checks    []string

	at    func(*Limits) *float64
	whole func(*Limits) *int
}

// Thresholds lists every limit in a fixed order.
func Thresholds() []Threshold {
	return []Threshold{
		{Key: "zero_readings", Text: "Least readings of a zero", Low: 1, High: 50, Checks: []string{"zero-few"}, whole: func(l *Limits) *int { return &l.ZeroReadings }},
		{Key: "foil_readings", Text: "Least readings on a foil", Low: 1, High: 50, Checks: []string{"foil-few"}, whole: func(l *Limits) *int { return &l.FoilReadings }},
		{Key: "lift_mm", Unit: "mm", Text: "Least lift between readings", Low: 1, High: 200, Checks: []string{"lift-short"}, at: func(l *Limits) *float64 { return &l.LiftMm }},
		{Key: "tilt_deg", Unit: "°", Text: "Greatest tilt", Low: 0.5, High: 45, Checks: []string{"tilt"}, at: func(l *Limits) *float64 { return &l.TiltDeg }},
		{Key: "dwell_ms", Unit: "ms", Text: "Least time in contact", Low: 100, High: 5000, Checks: []string{"dwell-short"}},
		{Key: "edge_mm", Unit: "mm", Text: "Least distance from an edge; 0: by the job sheet's edge rule or derived from the probe", Low: 0, High: 200, Checks: []string{"edge-near", "zero-edge"}, at: func(l *Limits) *float64 { return &l.EdgeMm }},
		{Key: "spot_mm", Unit: "mm", Text: "Greatest width of a spot; 40 mm by SSPC-PA 2:2012 (read in summary)", Low: 5, High: 500, Checks: []string{"spot-wide"}, at: func(l *Limits) *float64 { return &l.SpotMm }},
		{Key: "slide_mm", Unit: "mm", Text: "Greatest sideways slip in contact", Low: 0.1, High: 50, Checks: []string{"slide"}, at: func(l *Limits) *float64 { return &l.SlideMm }},
		{Key: "pass_technique", Unit: "points", Text: "Technique score to pass", Low: 0, High: 100, at: func(l *Limits) *float64 { return &l.PassTechnique }},
		{Key: "press_low_n", Unit: "N", Text: "Force below which the sleeve is not home", Low: 0, High: 50, Checks: []string{"press"}, at: func(l *Limits) *float64 { return &l.PressLowN }},
		{Key: "press_high_n", Unit: "N", Text: "Force above which the tip marks paint", Low: 0.1, High: 100, Checks: []string{"press"}, at: func(l *Limits) *float64 { return &l.PressHighN }},
		{Key: "landing_mm_per_s", Unit: "mm/s", Text: "Greatest speed of a landing", Low: 1, High: 2000, Checks: []string{"jerk"}, at: func(l *Limits) *float64 { return &l.LandMmPerS }},
		{Key: "verify_minutes", Unit: "min", Text: "Longest time between a verification and the readings after it", Low: 1, High: 1440, Checks: []string{"verify-overdue"}, at: func(l *Limits) *float64 { return &l.OverdueMin }},
		{Key: "clustered_percent", Unit: "%", Text: "How far the spots must reach across, of the diagonal of the area", Low: 0, High: 100, Checks: []string{"spots-clustered"}, at: func(l *Limits) *float64 { return &l.ClusteredPercent }},
		{Key: "clustered_few_percent", Unit: "%", Text: "The same where spots are missing", Low: 0, High: 100, Checks: []string{"spots-clustered"}, at: func(l *Limits) *float64 { return &l.ClusteredFewPercent }},
		{Key: "area_grace_mm", Unit: "mm", Text: "How far outside the marked area is still let pass", Low: 0, High: 50, Checks: []string{"area-outside"}, at: func(l *Limits) *float64 { return &l.AreaGraceMm }},
		{Key: "discard_percent", Unit: "%", Text: "Readings that may be dropped and repeated; a fifth by ISO 19840 (from memory)", Low: 0, High: 100, Checks: []string{"discard-excess"}, at: func(l *Limits) *float64 { return &l.DiscardPercent }},
		{Key: "habit", Text: "Times from which a slip of the hand counts as a habit", Low: 1, High: 50, Checks: []string{"tilt"}, whole: func(l *Limits) *int { return &l.Habit }},
		{Key: "instrument_percent", Unit: "%", Text: "How far the instrument may be off, of the thickness", Low: 0.1, High: 50, Checks: []string{"verify-failed-ignored", "unsafe-readings-kept", "zero-piece-mismatch", "foil-value"}, at: func(l *Limits) *float64 { return &l.TolerancePercent }},
		{Key: "instrument_um", Unit: "µm", Text: "The same at least; 1.5 µm is the floor of ISO 2178:1982, clause 8 (from memory)", Low: 0, High: 100, Checks: []string{"verify-failed-ignored", "unsafe-readings-kept", "zero-piece-mismatch", "foil-value"}, at: func(l *Limits) *float64 { return &l.ToleranceUm }},
		{Key: "scatter_times", Text: "Widest spread of zero readings, in multiples of the instrument's repeatability: for five to seven normal readings a wider one than 7 comes up less than once in a thousand", Low: 1, High: 50, Checks: []string{"zero-scatter"}, at: func(l *Limits) *float64 { return &l.ScatterTimes }},
		{Key: "scatter_um", Unit: "µm", Text: "The same at least", Low: 0, High: 1000, Checks: []string{"zero-scatter"}, at: func(l *Limits) *float64 { return &l.ScatterUm }},
		{Key: "uncertainty_factor", Text: "How many times larger or smaller a stated uncertainty may be than the budget gives", Low: 1.05, High: 20, Checks: []string{"uncertainty-wrong"}, at: func(l *Limits) *float64 { return &l.UncertaintyFactor }},
		{Key: "press_soft_n", Unit: "N", Text: "Greatest force on a coating that is still soft", Low: 0.1, High: 100, Checks: []string{"press"}, at: func(l *Limits) *float64 { return &l.PressSoftN }},
		{Key: "settled_k", Unit: "K", Text: "Greatest difference of temperature between adjusting and measuring", Low: 0.5, High: 50, Checks: []string{"temperature-unsettled"}, at: func(l *Limits) *float64 { return &l.SettledK }},
		{Key: "foil_fault_um", Unit: "µm", Text: "Most that crease, burr, wear or curl of a foil may bring", Low: 0, High: 100, Checks: []string{"foil-damaged", "foil-airgap"}, at: func(l *Limits) *float64 { return &l.FoilFaultUm }},
	}
}

// IsWhole reports whether the threshold takes whole numbers only.
func (t *Threshold) IsWhole() bool { return t.whole != nil }

// Of is the value of the threshold.
func (t *Threshold) Of(l *Limits) float64 {
	switch {
	case t.at != nil:
		return *t.at(l)
	case t.whole != nil:
		return float64(*t.whole(l))
	}
	return float64(l.DwellMs)
}

// Set gives the threshold a value.
func (t *Threshold) Set(l *Limits, v float64) {
	switch {
	case t.at != nil:
		*t.at(l) = v
	case t.whole != nil:
		*t.whole(l) = int(v)
	default:
		l.DwellMs = int64(v)
	}
}

// InstrumentUm is how far the instrument itself may be off at a thickness, um.
func (l *Limits) InstrumentUm(um float64) float64 {
	return max(l.ToleranceUm, l.TolerancePercent*um/100)
}

// VerificationUm is how far the mean of a verification may be from the foil's
// certified value: instrument and certificate combined, um.
func (l *Limits) VerificationUm(certifiedUm, expandedUm float64) float64 {
	return inspect.CombinedTolerance(l.InstrumentUm(certifiedUm), expandedUm)
}

// ZeroScatterUm is the widest spread of zero readings, from highest to lowest,
// that may be stored, um.
func (w *World) ZeroScatterUm() float64 {
	l := &w.Exercise.Limits
	return max(l.ScatterUm, l.ScatterTimes*w.ScatterUm(0))
}
