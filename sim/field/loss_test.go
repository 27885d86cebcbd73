package field

import (
	"math"
	"testing"
)

// The table against the standard library's logarithms, within and beyond it.
func TestLogLoss(t *testing.T) {
	worst := 0.0
	for i := range 200_000 {
		x := -60 + 120*float64(i)/200_000
		want := math.Log(math.Log1p(math.Exp(-x)))
		worst = max(worst, math.Abs(logLoss(x)-want))
	}
	t.Logf("the loss is off by %.2g of itself at most", worst)
	if worst > 1e-10 {
		t.Errorf("the loss is off by %g of itself, expected 1e-10", worst)
	}
	for _, x := range []float64{lossNear, lossFar, 800, 1e5} {
		if d := math.Abs(logLoss(x)-logLoss(math.Nextafter(x, 0))) / math.Abs(logLoss(x)); !(d < 1e-10) {
			t.Errorf("at %v it jumps by %g of itself", x, d)
		}
	}
	if v := logLoss(math.NaN()); v == v {
		t.Errorf("of NaN it is %v", v)
	}
}
