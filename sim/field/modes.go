package field

import "foilwright/sim/num"

// modes couple a head to metal that answers each mode of the field by itself: waves J0(a rho) over flat metal, multipoles
// over a sphere. The scattered Green's function between the head's sources is minus the sum over modes of answer times
// amplitude there times amplitude here.
type modes struct {
	core *coreModel // nil for an air core
	coil []float64  // amplitude of the winding in each mode
	// cast is the amplitude of each charge of the core, less the last charge's (mode x unknown, the last column unused);
	// feel the projection of each mode's potential on the core (mode x unknown).
	cast, feel matrix
}

// solver holds the working space of one solution.
type solver struct {
	re, im   []float64
	unknowns []complex128
	answer   []complex128
}

func newSolver() *solver {
	return &solver{
		re: make([]float64, chargeCount*(chargeCount+1)), im: make([]float64, chargeCount*(chargeCount+1)),
		unknowns: make([]complex128, chargeCount),
	}
}

// answers returns working space for n modes.
func (w *solver) answers(n int) []complex128 {
	if cap(w.answer) < n {
		w.answer = make([]complex128, n)
	}
	return w.answer[:n]
}

// response returns the change of inductance in henry for the metal's answer to each mode, 1/(4 pi) included. Extra is
// what the shape adds besides, nil for none.
//
// With Q the total amplitude of a mode and C the winding's part of it,
// dL = mu0 sum answer C Q - mu0 sum (q - q_free) psi_winding over the charges q of the core.
func (m *modes) response(answer []complex128, extra *excess, work *solver) complex128 {
	total := complex(0, 0)
	for k, c := range m.coil {
		total += num.Scale(c*c, answer[k])
	}
	if extra != nil {
		total -= complex(extra.coilCoil, 0)
	}
	if m.core == nil {
		return num.Scale(Mu0, total)
	}
	m.solveCharges(answer, extra, work)
	// Charges less their free values, the last one making up the sum.
	moved, sum := complex(0, 0), complex(0, 0)
	for j := range chargeCount - 1 {
		change := work.unknowns[j] - complex(m.core.free[j], 0)
		sum += change
		moved += num.Scale(m.core.winding[j], change)
	}
	moved -= num.Scale(m.core.winding[chargeCount-1], sum)
	for k, c := range m.coil {
		re, im := 0.0, 0.0
		for j, f := range m.cast.row(k)[:chargeCount-1] {
			re += float64(f * real(work.unknowns[j]))
			im += float64(f * imag(work.unknowns[j]))
		}
		total += num.Mul(num.Scale(c, answer[k]), complex(re, im))
	}
	if extra != nil {
		for j, c := range extra.coilCharge {
			total -= num.Scale(c, work.unknowns[j])
		}
	}
	return num.Scale(Mu0, total-moved)
}

// solveCharges finds the charges of the core: its potential in free space, projected, is the identity; the metal adds
// the answer to what they cast.
func (m *modes) solveCharges(answer []complex128, extra *excess, work *solver) {
	const n, width = chargeCount, chargeCount + 1
	re, im := work.re, work.im
	for i := range re {
		re[i], im[i] = 0, 0
	}
	for k, coil := range m.coil {
		gr, gi := real(answer[k]), imag(answer[k])
		if gr == 0 && gi == 0 {
			continue
		}
		cast := m.cast.row(k)[:n-1]
		for i, f := range m.feel.row(k) {
			fr, fi := float64(gr*f), float64(gi*f)
			row, rowIm := re[i*width:(i+1)*width], im[i*width:(i+1)*width]
			for j, c := range cast {
				row[j] -= float64(fr * c)
				rowIm[j] -= float64(fi * c)
			}
			row[n] += float64(fr * coil)
			rowIm[n] += float64(fi * coil)
		}
	}
	for i := range n {
		re[i*width+i]++
		re[i*width+n] += m.core.drive[i]
	}
	if extra != nil {
		for i := range n {
			for j, c := range extra.charge.row(i) {
				re[i*width+j] += c
			}
			re[i*width+n] += extra.drive[i]
		}
	}
	solve(re, im, n, work.unknowns)
}
