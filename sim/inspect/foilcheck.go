package inspect

import "fmt"

// FoilCheck is the outcome of measuring a foil again on the bare piece.
type FoilCheck struct {
	Statistics
	CertifiedUm float64
	ErrorUm     float64 // mean minus certified value
	AllowedUm   float64 // combined tolerance
	Uncertainty Uncertainty
	Good        bool
}

// CheckFoil verifies an adjustment on a foil: the mean of the readings must lie within the combined tolerance of foil
// and instrument of the certified value (never of the label). Readings in um; instrumentToleranceUm is the instrument's
// own tolerance at this thickness; expandedUm and coverage are the foil's certificate; stepUm the display step.
//
// The uncertainty reported with it has three components (repeatability, certificate, resolution) and k = 2; it needs
// two readings.
//
// Source: combination in quadrature as in SSPC-PA 2 (from memory); budget as GUM 5.1.2. Worked example FOIL-U of the
// reference table.
func CheckFoil(readingsUm []float64, certifiedUm, expandedUm, coverage, stepUm, instrumentToleranceUm float64) (FoilCheck, error) {
	if len(readingsUm) < 2 {
		return FoilCheck{}, fmt.Errorf("inspect: foil check has %d readings, expected at least 2; read the foil again", len(readingsUm))
	}
	if !(coverage > 0) {
		return FoilCheck{}, fmt.Errorf("inspect: foil check: coverage factor of the certificate is %v, expected one such as 2", coverage)
	}
	s := Describe(readingsUm)
	u, err := Budget{
		Repeatability(s),
		Normal("foil certificate", expandedUm, coverage),
		Resolution(stepUm),
	}.EvaluateWithFactor(2)
	if err != nil {
		return FoilCheck{}, err
	}
	c := FoilCheck{Statistics: s, CertifiedUm: certifiedUm, ErrorUm: s.Mean - certifiedUm, Uncertainty: u}
	c.AllowedUm = CombinedTolerance(instrumentToleranceUm, expandedUm)
	c.Good = within(c.ErrorUm, -c.AllowedUm, c.AllowedUm)
	return c, nil
}
