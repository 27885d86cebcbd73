package field

import "foilwright/sim/num"

// Tables of edges hold t = log(ratio/(1-ratio)); what is wanted of them is the logarithm of the loss,
// -log(ratio) = log(1 + e^-t). On the reading path it comes from a table of its own, instead of an exponential and two
// logarithms: quintics with its value and first two derivatives at both ends of cells of 1/8. Its nearest singularity, at
// t = i pi, holds their error within 1e-10 of the loss (tested).
const (
	lossNear    = -16
	lossFar     = 40
	lossPerUnit = 8
)

var lossCells = func() (cells [(lossFar - lossNear) * lossPerUnit][6]float64) {
	const h = 1.0 / lossPerUnit
	node := func(i int) (value, rise, bend float64) {
		t := lossNear + float64(float64(i)*h)
		loss := exactLoss(t)
		p := 1 / (1 + num.Exp(t)) // 1 - ratio
		q := p / loss
		return num.Log(loss), float64(-q * h), float64(q * ((1 - p) - q) * (h * h))
	}
	f, d, s := node(0)
	for i := range cells {
		f1, d1, s1 := node(i + 1)
		up := f1 - f
		cells[i] = [6]float64{
			f, d, s / 2,
			float64(10*up) - float64(6*d) - 4*d1 - float64(1.5*s) + s1/2,
			float64(-15*up) + 8*d + float64(7*d1) + float64(1.5*s) - s1,
			float64(6*up) - float64(3*d) - float64(3*d1) - s/2 + s1/2,
		}
		f, d, s = f1, d1, s1
	}
	return cells
}()

// exactLoss is the loss -log(ratio) for t = log(ratio/(1-ratio)).
func exactLoss(t float64) float64 { return num.Log1p(num.Exp(-t)) }

// logLoss is the logarithm of the loss.
func logLoss(t float64) float64 {
	at := float64((t - lossNear) * lossPerUnit)
	if !(at >= 0 && at < float64(len(lossCells))) {
		if t >= lossFar {
			return -t
		}
		return num.Log(exactLoss(t))
	}
	i := int(at)
	c, u := &lossCells[i], at-float64(i)
	u2 := float64(u * u)
	return (c[0] + float64(c[1]*u)) + float64(u2*((c[2]+float64(c[3]*u))+float64(u2*(c[4]+float64(c[5]*u)))))
}
