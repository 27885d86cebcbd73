package part

import "foilwright/sim/num"

// FoilSpec is a foil as an exercise describes it.
type FoilSpec struct {
	ID          string
	LabelUm     float64 // nominal value printed on the foil
	CertifiedUm float64 // value on its certificate
	ExpandedUm  float64 // expanded uncertainty of the certified value, um, k = 2
	Certificate string  // certificate number
	Valid       bool    // certificate in date
}

// Foil is a foil with its hidden true thickness.
type Foil struct {
	FoilSpec
	TrueUm float64
}

// Realise draws the true thickness: normal about the certified value with half
// the expanded uncertainty as standard deviation, cut at the expanded
// uncertainty so that a certificate in good order is never plainly wrong.
func (spec FoilSpec) Realise(s *num.Stream) Foil {
	z := s.Normal()
	if z > 2 {
		z = 2
	}
	if z < -2 {
		z = -2
	}
	return Foil{FoilSpec: spec, TrueUm: spec.CertifiedUm + float64(z*spec.ExpandedUm/2)}
}
