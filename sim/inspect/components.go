package inspect

import (
	"fmt"
	"math"
)

// known stands for the degrees of freedom of an uncertainty that is taken as known.
var known = math.Inf(1)

// Normal returns a component from a stated expanded uncertainty and its coverage factor, as on a foil certificate.
// Sensitivity 1, degrees of freedom unlimited. Source: GUM 4.3.3.
func Normal(name string, expanded, coverageFactor float64) Component {
	return Component{
		Name:                name,
		Evaluation:          fmt.Sprintf("stated U = %s, k = %s", figure(expanded), figure(coverageFactor)),
		StandardUncertainty: expanded / coverageFactor,
		DegreesOfFreedom:    known,
		Sensitivity:         1,
	}
}

// Rectangular returns a component that may lie anywhere within plus or minus halfWidth with equal probability.
// Sensitivity 1, degrees of freedom unlimited. Source: GUM 4.3.7.
func Rectangular(name string, halfWidth float64) Component {
	return Component{
		Name:                name,
		Evaluation:          fmt.Sprintf("within ±%s, all values alike", figure(halfWidth)),
		StandardUncertainty: halfWidth / math.Sqrt(3),
		DegreesOfFreedom:    known,
		Sensitivity:         1,
	}
}

// Triangular returns a component within plus or minus halfWidth whose middle is likelier than its ends. Sensitivity 1,
// degrees of freedom unlimited. Source: GUM 4.3.9.
func Triangular(name string, halfWidth float64) Component {
	c := Rectangular(name, halfWidth)
	c.Evaluation = fmt.Sprintf("within ±%s, the middle likelier", figure(halfWidth))
	c.StandardUncertainty = halfWidth / math.Sqrt(6)
	return c
}

// Arcsine returns a component that swings like a sine between plus and minus the amplitude. Sensitivity 1, degrees of
// freedom unlimited. Source: GUM H.1.3.4.
func Arcsine(name string, amplitude float64) Component {
	c := Rectangular(name, amplitude)
	c.Evaluation = fmt.Sprintf("swings by ±%s", figure(amplitude))
	c.StandardUncertainty = amplitude / math.Sqrt2
	return c
}

// MeanOf returns the uncertainty of the mean of readings: s/sqrt(n) with n-1 degrees of freedom. Two readings at least;
// with fewer the budget refuses the component. Source: GUM 4.2.3.
func MeanOf(name string, readings Statistics) Component {
	return Component{
		Name:                name,
		Evaluation:          fmt.Sprintf("standard deviation of the mean of %d readings", readings.N),
		StandardUncertainty: readings.SD / math.Sqrt(float64(readings.N)),
		DegreesOfFreedom:    float64(readings.N - 1),
		Sensitivity:         1,
	}
}

// DegreesFromReliability returns the degrees of freedom of a standard uncertainty that is itself uncertain by the given
// fraction: 0.25 gives 8. Source: GUM eq. G.3.
func DegreesFromReliability(fraction float64) float64 { return 1 / (2 * fraction * fraction) }

// Repeatability is the scatter of the readings on the part: the mean of the readings is reported, so s/sqrt(n).
func Repeatability(readings Statistics) Component { return MeanOf("repeatability", readings) }

// PooledRepeatability is Repeatability from a pooled standard deviation, for few readings in each of many spots.
// n is the number of readings whose mean is reported; um.
func PooledRepeatability(sd float64, degreesOfFreedom, n int) Component {
	return Component{
		Name:                "repeatability",
		Evaluation:          fmt.Sprintf("pooled standard deviation within spots, mean of %d readings", n),
		StandardUncertainty: sd / math.Sqrt(float64(n)),
		DegreesOfFreedom:    float64(degreesOfFreedom),
		Sensitivity:         1,
	}
}

// Resolution is the rounding of the display: half a step either way. One reading's worth is taken even for a mean,
// since readings of one place round the same way. um. Source: GUM F.2.2.1.
func Resolution(stepUm float64) Component { return Rectangular("resolution", stepUm/2) }

// Texture is the uncertainty of the allowance for a rough base found from readings on the bare surface, whose mean is
// subtracted. um.
func Texture(bare Statistics) Component { return MeanOf("texture of the base", bare) }

// TextureBound is the uncertainty of an allowance taken from a table, from the bound on its error. um.
func TextureBound(halfWidthUm float64) Component {
	return Rectangular("texture of the base", halfWidthUm)
}

// Shape is what is left of edge, curvature and thin base after the adjustment, from the bound on it. um.
func Shape(halfWidthUm float64) Component { return Rectangular("shape of the part", halfWidthUm) }

// Curve returns the component of a built-in curve that no foil holds: a result within +-halfWidthUm of it, the
// tolerance that the instrument's maker states. Rectangular (GUM 4.3.7).
func Curve(halfWidthUm float64) Component { return Rectangular("curve of the instrument", halfWidthUm) }

// AdjustmentPoint is one point at which the instrument was set: the bare piece (ValueUm 0, no certificate) or a foil.
type AdjustmentPoint struct {
	Name                string // "zero", "foil 75"
	ValueUm             float64
	Readings            Statistics // of the readings taken for the setting
	CertificateUm       float64    // expanded uncertainty of the foil; 0 for the bare piece
	CertificateCoverage float64    // its coverage factor, mostly 2; not used when CertificateUm is 0
}

// Adjustment returns what the adjustment brings into a measurement at the thickness atUm: for each point that counts
// there, the scatter of its readings and the certificate of its foil. Points in ascending order of value.
//
// An error e at a point moves the indication in proportion, so between two points it enters with the weights of linear
// interpolation, outside the outer two of linear extrapolation (which is why measuring outside the bracket costs), and
// with one point alone with weight 1. Own derivation; treats the instrument's curve as exact between the points.
//
// Errors: no point, points not ascending, a certificate without coverage factor.
func Adjustment(points []AdjustmentPoint, atUm float64) ([]Component, error) {
	if len(points) == 0 {
		return nil, fmt.Errorf("inspect: adjustment has no point; give the zero at least")
	}
	for i, p := range points {
		if i > 0 && !(p.ValueUm > points[i-1].ValueUm) {
			return nil, fmt.Errorf("inspect: adjustment points must ascend: %s at %s µm follows %s at %s µm",
				p.Name, figure(p.ValueUm), points[i-1].Name, figure(points[i-1].ValueUm))
		}
		if p.CertificateUm != 0 && !(p.CertificateCoverage > 0) {
			return nil, fmt.Errorf("inspect: adjustment point %s has an expanded uncertainty without coverage factor, expected one such as 2", p.Name)
		}
	}
	if len(points) == 1 {
		return points[0].components(1), nil
	}
	low := 0
	for low < len(points)-2 && atUm > points[low+1].ValueUm {
		low++
	}
	below, above := points[low], points[low+1]
	weight := (atUm - below.ValueUm) / (above.ValueUm - below.ValueUm)
	return append(below.components(1-weight), above.components(weight)...), nil
}

func (p AdjustmentPoint) components(weight float64) []Component {
	readings := MeanOf("adjustment, "+p.Name+" readings", p.Readings)
	readings.Sensitivity = weight
	list := []Component{readings}
	if p.CertificateUm != 0 {
		certificate := Normal("certificate of "+p.Name, p.CertificateUm, p.CertificateCoverage)
		certificate.Sensitivity = weight
		list = append(list, certificate)
	}
	return list
}
