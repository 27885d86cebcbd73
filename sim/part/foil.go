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

	Condition FoilCondition // zero value: good
	FaultUm   Range         // height of its crease or burr, or depth of its wear; drawn from the seed
	CurlUm    float64       // gap under the middle of the foil as it comes from its sleeve, pressed by nothing
	DustUm    float64       // coarsest grain lying on it
	ActualUm  float64       // thickness of the foil that is in the sleeve; 0: the certified one
}

// Foil is a foil with its hidden true thickness.
type Foil struct {
	FoilSpec
	TrueUm float64 // of a foil in good order
	Fault  FoilFault
}

// Realise draws the true thickness and the fault of the foil.
func (spec FoilSpec) Realise(s *num.Stream) Foil {
	f := Foil{FoilSpec: spec, TrueUm: withinCertificate(spec.CertifiedUm, spec.ExpandedUm, s)}
	f.Fault = spec.fault(s)
	return f
}

// withinCertificate draws a true thickness: normal about the certified value
// with half the expanded uncertainty as standard deviation, cut at the expanded
// uncertainty so that a certificate in good order is never plainly wrong.
func withinCertificate(certifiedUm, expandedUm float64, s *num.Stream) float64 {
	z := s.Normal()
	if z > 2 {
		z = 2
	}
	if z < -2 {
		z = -2
	}
	return certifiedUm + float64(z*expandedUm/2)
}
