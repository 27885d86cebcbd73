package field

import (
	"math"
	"testing"
)

// Abramowitz and Stegun, table 9.8, give I and K of orders 0 and 1 at 1 (digits beyond theirs from memory); the Wronskian
// I K' - I' K = -1/x checks every order and argument.
func TestModifiedBessel(t *testing.T) {
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"I0(1)", math.Exp(newModified(0, 1).logI), 1.2660658777520084},
		{"K0(1)", math.Exp(newModified(0, 1).logK), 0.42102443824070834},
		{"I1(1)", math.Exp(newModified(1, 1).logI), 0.5651591039924851},
		{"K1(1)", math.Exp(newModified(1, 1).logK), 0.6019072301972346},
	} {
		if math.Abs(c.got-c.want) > 1e-12 {
			t.Errorf("%s: got %.15g, want %.15g", c.name, c.got, c.want)
		}
	}
	for _, m := range []float64{0, 1, 5, 9, 10, 30.5, 200, 1000} {
		limit := 1e-9
		if m >= 10 {
			limit = 3e-6
		}
		for _, x := range []float64{0.01, 0.3, 2, 11, 13, 80, 600} {
			f := newModified(m, x)
			if k, i := logModifiedOutside(m, x), logModifiedInside(m, x); math.Abs(k-f.logK) > 1e-12*math.Abs(f.logK)+1e-12 || math.Abs(i-f.logI) > 1e-12*math.Abs(f.logI)+1e-12 {
				t.Errorf("order %v, argument %v: logarithms %v and %v, %v and %v before", m, x, k, i, f.logK, f.logI)
			}
			wronskian := math.Exp(f.logI+f.logK) * (f.slopeI - f.slopeK) * x
			if math.Abs(wronskian-1) > limit {
				t.Errorf("order %v, argument %v: Wronskian off by %.2g", m, x, wronskian-1)
			}
		}
	}
	// The recurrence I_{m-1} - I_{m+1} = (2m/x) I_m ties the expansion at 10 to the integrals at 8 and 9.
	for _, x := range []float64{1, 8, 40} {
		a, b, c := newModified(8, x), newModified(9, x), newModified(10, x)
		if e := math.Exp(a.logI-b.logI) - math.Exp(c.logI-b.logI) - 18/x; math.Abs(e) > 1e-5*18/x {
			t.Errorf("argument %v: I recurrence off by %.2g", x, e)
		}
		if e := math.Exp(c.logK-b.logK) - math.Exp(a.logK-b.logK) - 18/x; math.Abs(e) > 1e-5*18/x {
			t.Errorf("argument %v: K recurrence off by %.2g", x, e)
		}
	}
}

// A ball bends twice as much as a cylinder of its radius: to first order the loss against the plane is twice as large.
func TestCylinderAgainstSphere(t *testing.T) {
	s := newSpectrum(eddyCoil)
	for _, kind := range []Ideal{Attracting, Repelling} {
		attract, repel := s.overIdeal(0.2e-3, nil, nil)
		flat := []float64{attract, repel}[kind]
		cylinder, err := IdealOverCylinder(eddyCoil, kind, 30e-3, 0.2e-3)
		if err != nil {
			t.Fatal(err)
		}
		ball, err := IdealOverSphere(eddyCoil, kind, 60e-3, 0.2e-3)
		if err != nil {
			t.Fatal(err)
		}
		if loss, want := 1-cylinder/flat, 1-ball/flat; math.Abs(loss/want-1) > 0.06 {
			t.Errorf("metal that %ss: loss %.5f over a cylinder of 30 mm, %.5f over a ball of 60 mm", kindNames[kind], loss, want)
		}
	}
	if _, err := IdealOverCylinder(eddyCoil, Attracting, -1e-3, 0); err == nil {
		t.Error("a coil of 1.6 mm is put into a bore of 1 mm")
	}
}
