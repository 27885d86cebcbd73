package field

import (
	"fmt"
	"math"

	"foilwright/sim/num"
)

// Tables that hold only how one shape differs from another have few gaps: every fourth of the others.
const (
	openGaps    = 7
	openPerRow  = float64(curveCells) / (openGaps - 1)
	holeNodes   = 14
	holeNear    = -1.6 // first node of asinh(2 d/r2), d from axis to rim
	openStep    = 0.4
	besideNodes = 10 // the same from 0, d from axis to the edge of a step or a sheet
	pipeNodes   = 6
	pipeStep    = 0.2
	// grooveWidth is that of the slot whose edge stands for a step's or a sheet's, in r2: their differences from an edge of
	// great depth hardly feel the far side.
	grooveWidth = 12.0
	// faint is the loss below which openings are not followed.
	faint = 2e-5
)

// Sizes at the nodes, in r2; between them the tables' logarithms follow a cubic in the logarithm of the size.
var (
	holeRadii       = [...]float64{1.0 / 8, 1.0 / 4, 1.0 / 2, 1, 2, 4}
	stepHeights     = [...]float64{1.0 / 32, 1.0 / 8, 1.0 / 2, 2, 8}
	sheetThickness  = [...]float64{1.0 / 16, 1.0 / 4, 1}
	sheetCoordinate = [...]float64{0, 0.2, 0.5, 0.8, 1} // T/(T + r2/4): thin, the above, thick
)

// openingHead is a head made ready for openings.
type openingHead struct {
	head     Head
	spectrum *spectrum
	scale    gapScale
}

func newOpeningHead(h Head) openingHead {
	o := openingHead{head: h, scale: newShapeScale(h)}
	if h.Core == nil {
		o.spectrum = newSpectrum(h)
	} else {
		o.spectrum = newSpectrumOn(h, spreadCircles(*h.Core, tableFineness.tip, tableFineness.side, tableFineness.end))
	}
	return o
}

func (o *openingHead) gap(row int) float64 { return o.scale.gap(float64(row) * openPerRow) }

// edgeLossAt is -log(ratio) at a right-angle edge as the tables have it, over ideal metal.
func (t *Shapes) edgeLossAt(h Head, kind, row int, distance float64) float64 {
	y := edgeCoordinate(distance, h.Coil.OuterRadius)
	return exactLoss(t.grids[edgeBlock+kind].at(float64(row)*openPerRow/gapsPerRow, y))
}

// logQuotient is log(loss/of) as a node; where the loss is too faint it goes on from the two nodes before, falling by a
// factor of e for each e^(2/3) of distance at most.
func logQuotient(nodes []int, column int, loss, of float64) int {
	if n := len(nodes); column >= 2 && !(loss > faint && of > faint) {
		return nodes[n-1] + min(max(nodes[n-1]-nodes[n-2], -int(0.6/quantum)), 0)
	}
	return toQuanta(num.Log(max(loss, 1e-9) / max(of, 1e-9)))
}

// buildHoles computes log(loss at a hole / loss at an edge as far), one block for each radius and kind.
func (t *Shapes) buildHoles(h Head, block int) error {
	o := newOpeningHead(h)
	t.gridOf(edgeBlock)
	t.gridOf(edgeBlock + 1)
	r2 := h.Coil.OuterRadius
	for kind := range idealKinds {
		unit := newRoundHole(kind, 40, 26)
		for i, size := range holeRadii {
			b := block + i*int(idealKinds) + int(kind)
			losses := newMatrix(openGaps, holeNodes)
			for j := range holeNodes {
				distance := max(r2/2*num.Sinh(holeNear+float64(openStep*float64(j))), -size*r2)
				opening, factors := unit.from(h, o.spectrum.core, size*r2, distance)
				for row := range openGaps {
					gap := o.gap(row)
					r := o.spectrum.ratioWith(kind, gap, apertureExcess(kind, opening.at(gap), factors))
					if !(r > 0 && r < 1+10*unresolved) {
						return fmt.Errorf("field: ratio at gap %v m, %v m from the rim of a hole of %v m in metal that %ss is %v, expected between 0 and 1",
							gap, distance, size*r2, kindNames[kind], r)
					}
					losses.row(row)[j] = -num.Log(r)
				}
			}
			for row := range openGaps {
				for j, loss := range losses.row(row) {
					distance := max(r2/2*num.Sinh(holeNear+float64(openStep*float64(j))), -size*r2)
					t.nodes[b] = append(t.nodes[b], logQuotient(t.nodes[b], j, loss, t.edgeLossAt(h, int(kind), row, distance)))
				}
			}
		}
	}
	return nil
}

// buildSteps computes log(loss at a step down / loss at an edge) for each height, log(loss at the edge of a sheet / the
// same) for each thickness, and for metal that attracts how much shorter of iron a sheet is near its edge.
func (t *Shapes) buildSteps(h Head, block int) error {
	o := newOpeningHead(h)
	r2, width := h.Coil.OuterRadius, grooveWidth*h.Coil.OuterRadius
	const blocks = len(stepHeights) + len(sheetThickness)
	for kind := range idealKinds {
		groove := newSlot(kind, 72, 16, min(headReach(h)*width, 60*grooveWidth))
		deep := groove.factors(1, noFloor)
		var below [len(stepHeights) + 2*len(sheetThickness)][]matrix
		for i, height := range stepHeights {
			below[i] = groove.factors(height/grooveWidth, metalFloor)
		}
		for i, thickness := range sheetThickness {
			at := len(stepHeights) + 2*i
			below[at] = groove.factors(thickness/2/grooveWidth, metalFloor)
			below[at+1] = groove.factors(thickness/2/grooveWidth, mirrorFloor)
		}
		var losses [blocks + 1]matrix
		for i := range losses {
			losses[i] = newMatrix(openGaps, besideNodes)
		}
		for j := range besideNodes {
			opening := groove.from(h, o.spectrum.core, width, r2/2*num.Sinh(openStep*float64(j)))
			for row := range openGaps {
				gap := o.gap(row)
				through := opening.at(gap)
				ratio := func(factors []matrix) float64 {
					return o.spectrum.ratioWith(kind, gap, apertureExcess(kind, through, factors))
				}
				losses[blocks].row(row)[j] = -num.Log(ratio(deep))
				for i := range stepHeights {
					losses[i].row(row)[j] = -num.Log(ratio(below[i]))
				}
				for i := range sheetThickness {
					at := len(stepHeights) + 2*i
					losses[len(stepHeights)+i].row(row)[j] = -num.Log((ratio(below[at]) + ratio(below[at+1])) / 2)
				}
			}
		}
		for i := range blocks {
			b := block + i*int(idealKinds) + int(kind)
			for row := range openGaps {
				for j, loss := range losses[i].row(row) {
					t.nodes[b] = append(t.nodes[b], logQuotient(t.nodes[b], j, loss, losses[blocks].row(row)[j]))
				}
			}
		}
	}
	return nil
}

// sheetStiffness is permeability times thickness, in r2, of the sheet whose shortage is tabled: half a millimetre of
// steel of permeability 300 for a winding of 3.5 mm. The share depends on it but weakly.
const sheetStiffness = 40

// shortageReach is the column from which the strip's far edge would be felt; from there the shortage dies out as before.
const shortageReach = 8

// buildShortage computes how much more a thin permeable sheet lacks near its edge than far from it, in units of what it
// lacks there against ideal metal: the flux that enters it flows away along it, and there to one side only.
//
// The sheet is a strip as wide as grooveWidth. Its charge follows from the potential u it lets through,
// charge = -mu T (laplacian of u) along the sheet, with no flux across its edge: Galerkin's equations for the charge with
// cos(n pi x) across, K/2 for the field in the air on both sides and norm/(mu T frequency^2) for the sheet.
func (t *Shapes) buildShortage(h Head, block int) error {
	o := newOpeningHead(h)
	r2, width := h.Coil.OuterRadius, grooveWidth*h.Coil.OuterRadius
	strip := newSlot(Repelling, 72, 16, min(headReach(h)*width, 60*grooveWidth))
	var ideal, real []matrix
	for l, k := range strip.coupling {
		half := newMatrix(k.rows, k.cols)
		for i, v := range k.at {
			half.at[i] = v / 2
		}
		ideal = append(ideal, half.choleskyFactor())
		for n := range k.rows {
			frequency := num.Hypot(strip.alpha(n), strip.length.node[l])
			half.at[n*k.cols+n] += strip.norm(n) * grooveWidth / (sheetStiffness * frequency * frequency)
		}
		real = append(real, half.choleskyFactor())
	}
	values := newMatrix(openGaps, besideNodes)
	for j := range shortageReach {
		above := strip.from(h, o.spectrum.core, width, -r2/2*num.Sinh(openStep*float64(j)))
		for row := range openGaps {
			gap := o.gap(row)
			charges := o.spectrum.idealCharges(gap)
			far, farLack := o.spectrum.sheetLack(gap, sheetStiffness*r2, charges)
			near, nearLack := 0.0, 0.0
			for l, c := range above.at(gap) {
				sent := newMatrix(c.sent.rows, 1)
				for n := range sent.at {
					sent.at[n] = c.sent.row(n)[c.sent.cols-1]
					for i, q := range charges {
						sent.at[n] += float64(q * c.sent.row(n)[i])
					}
				}
				hard, soft := ideal[l].solveFactored(sent), real[l].solveFactored(sent)
				near += float64(c.weight / 4 * num.Dot(sent.at, hard.at))
				nearLack += float64(c.weight / 4 * (num.Dot(sent.at, hard.at) - num.Dot(sent.at, soft.at)))
			}
			values.row(row)[j] = nearLack/near/(farLack/far) - 1
		}
	}
	for row := range openGaps {
		v := values.row(row)
		for j := range v {
			if j >= shortageReach {
				v[j] = v[j-1] * v[shortageReach-1] / v[shortageReach-2]
			}
			t.nodes[block] = append(t.nodes[block], toQuanta(v[j]))
		}
	}
	return nil
}

// idealCharges are the core's charges, less the last, over endless metal that attracts; nil for an air core.
func (s *spectrum) idealCharges(gap float64) []float64 {
	if s.core == nil {
		return nil
	}
	work, ones := newSolver(), make([]complex128, len(s.a))
	for i := range ones {
		ones[i] = 1
	}
	s.over(ones, gap, nil, work)
	charges := make([]float64, chargeCount-1)
	for i := range charges {
		charges[i] = real(work.unknowns[i])
	}
	return charges
}

// sheetLack returns the signal, in units of its own, of a head with given charges over an ideal endless sheet and what a sheet of finite
// stiffness (permeability times thickness, metres) lacks of it.
func (s *spectrum) sheetLack(gap, stiffness float64, charges []float64) (signal, lack float64) {
	for k, a := range s.a {
		total := s.coil[k]
		for i, q := range charges {
			total += float64(q * s.cast.row(k)[i])
		}
		total = float64(total * num.Exp(-a*gap))
		share := 2 / (stiffness * a)
		part := float64(s.w[k] * total * total / (4 * math.Pi))
		signal += part
		lack += float64(part * share / (1 + share))
	}
	return signal, lack
}

// buildPipes computes what a pipe's log(ratio) has beyond that of the ball of the same mean curvature, by the square of that
// curvature times r2.
func (t *Shapes) buildPipes(h Head, block int) error {
	o := newOpeningHead(h)
	full := newSpectrum(h)
	for row := range openGaps {
		for j := range pipeNodes {
			bend := curveNear + float64(pipeStep*float64(j))
			if bend*bend < 1e-6 {
				bend = pipeStep / 2 // the limit at 0 is taken near it
			}
			gap, radius := o.gap(row), h.Coil.OuterRadius/(2*bend)
			gap = h.gapInHollow(radius, gap)
			if err := validateCylinder(h, radius, gap); err != nil {
				return err
			}
			ball, err := full.curveSlopes(gap, bend)
			if err != nil {
				return err
			}
			flat := [idealKinds]float64{}
			flat[Attracting], flat[Repelling] = o.spectrum.overIdeal(gap, nil, nil)
			c := newCylinderModes(h, o.spectrum.core, radius, gap)
			for kind := range idealKinds {
				pipe := real(c.response(c.answers[kind], nil, newSolver()))
				beyond := num.Log(pipe/flat[kind]) - float64(bend*ball[kind])
				t.nodes[block+int(kind)] = append(t.nodes[block+int(kind)], toQuanta(beyond/(bend*bend)))
			}
		}
	}
	return nil
}

// buildRises computes log(r2 times the rise of log(signal) for each metre by which the metal beyond a distance is raised), in the
// limit of a low step: over raised metal the signal grows as the square of the field that meets it, normal to metal that
// attracts and along metal that repels (J. Hadamard's formula for a displaced boundary).
func (t *Shapes) buildRises(h Head, block int) error {
	o := newOpeningHead(h)
	s, r2 := o.spectrum, h.Coil.OuterRadius
	// Far out only long waves are left, but they have to be told apart.
	q := powerRule(400, 3, headReach(h))
	waves := newWaves(h, s.core, q.node)
	// Rings of the surface out to where nothing is left of the field.
	rings := powerRule(240, 3, 60*r2)
	for row := range openGaps {
		gap := o.gap(row)
		work, answer := newSolver(), make([]complex128, len(s.a))
		for kind := range idealKinds {
			sign := 1.0
			if kind == Repelling {
				sign = -1
			}
			for i := range answer {
				answer[i] = complex(sign, 0)
			}
			signal := num.Abs(s.over(answer, gap, nil, work))
			wave := make([]float64, len(q.node))
			for k, a := range q.node {
				wave[k] = waves.coil[k]
				if s.core != nil {
					for i, f := range waves.cast.row(k)[:chargeCount-1] {
						wave[k] += float64(f * real(work.unknowns[i]))
					}
				}
				wave[k] *= q.weight[k] * a * num.Exp(-a*gap) / (2 * math.Pi)
			}
			square := make([]float64, len(rings.node))
			for i, rho := range rings.node {
				field := 0.0
				for k, a := range q.node {
					if a*rho > 100 {
						break // waves so short have cancelled out
					}
					j0, j1 := num.J01(a * rho)
					blur := num.Exp(-a * a * rho * rho / 1600)
					if kind == Attracting {
						field += float64(wave[k] * blur * j0)
					} else {
						field += float64(wave[k] * blur * j1)
					}
				}
				square[i] = field * field
			}
			for j := range wallNodes {
				distance := r2 * wallNear * num.Exp(wallStep*float64(j))
				beyond := 0.0
				for i, rho := range rings.node {
					if rho > distance {
						beyond += float64(rings.weight[i] * rho * 2 * num.Acos(distance/rho) * square[i])
					}
				}
				t.nodes[block+int(kind)] = append(t.nodes[block+int(kind)], toQuanta(num.Log(Mu0*beyond*r2/signal)))
			}
		}
	}
	return nil
}
