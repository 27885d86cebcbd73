package field

import (
	"math"

	"foilwright/sim/num"
)

// rule is a quadrature rule: sum of weight[i] f(node[i]).
type rule struct {
	node, weight []float64
}

// gaussLegendre returns the n-point Gauss-Legendre rule on (low, high). Nodes by Newton's method on the three-term
// recurrence of the Legendre polynomials; Abramowitz and Stegun 25.4.30.
func gaussLegendre(n int, low, high float64) rule {
	q := rule{make([]float64, n), make([]float64, n)}
	half, middle := (high-low)/2, (high+low)/2
	for i := range n {
		x := num.Cos(math.Pi * (float64(n-1-i) + 0.75) / (float64(n) + 0.5))
		slope := 0.0
		for range 12 {
			p0, p1 := 1.0, x
			for k := 2; k <= n; k++ {
				kf := float64(k)
				p0, p1 = p1, (float64((2*kf-1)*x*p1)-float64((kf-1)*p0))/kf
			}
			slope = float64(n) * (float64(x*p1) - p0) / (float64(x*x) - 1)
			step := p1 / slope
			x -= step
			if math.Abs(step) < 1e-16 {
				break
			}
		}
		q.node[i] = middle + float64(half*x)
		q.weight[i] = half * 2 / ((1 - float64(x*x)) * slope * slope)
	}
	return q
}

// powerRule returns an n-point rule on (0, high) whose nodes crowd towards 0 as x^power.
func powerRule(n, power int, high float64) rule {
	q := gaussLegendre(n, 0, 1)
	for i, x := range q.node {
		p := high
		for range power - 1 {
			p *= x
		}
		q.node[i] = p * x
		q.weight[i] *= float64(power) * p
	}
	return q
}

// tanhSinh returns a rule on (0, 1) that tolerates integrable singularities at both ends; node holds the distance from
// the nearer end, which keeps its digits: nodes below one half of the interval count from 0, the others from 1.
// H. Takahasi and M. Mori, Publ. RIMS 9 (1974) 721.
type endRule struct {
	fromLow, fromHigh, weight []float64
}

func tanhSinh(n int, reach float64) endRule {
	var q endRule
	step := 2 * reach / float64(n-1)
	for i := range n {
		u := float64(float64(i)*step) - reach
		s := math.Pi / 2 * num.Sinh(u)
		// (1+tanh s)/2 and its complement, each without cancellation.
		low, high := 1/(1+num.Exp(-2*s)), 1/(1+num.Exp(2*s))
		q.fromLow = append(q.fromLow, low)
		q.fromHigh = append(q.fromHigh, high)
		q.weight = append(q.weight, step*math.Pi*num.Cosh(u)*low*high)
	}
	return q
}
