package field

import (
	"math"
	"testing"
)

type groundPlace struct {
	name   string
	beside [MostBeside]Feature
}

func groundPlaces(r2 float64) []groundPlace {
	return []groundPlace{
		{"hole", [MostBeside]Feature{Hole(0.5*r2, 2*r2)}},
		{"small hole", [MostBeside]Feature{Hole(0.5*r2, r2/2)}},
		{"over a hole", [MostBeside]Feature{Hole(-0.5*r2, 2*r2)}},
		{"step down", [MostBeside]Feature{StepDown(0.5*r2, r2/2)}},
		{"step down, farther", [MostBeside]Feature{StepDown(r2, r2/2)}},
		{"deep step", [MostBeside]Feature{StepDown(0.5*r2, 2*r2)}},
		{"step up", [MostBeside]Feature{StepUp(1.5*r2, r2)}},
		{"wall", [MostBeside]Feature{StepUp(1.2*r2, 6*r2)}},
		{"ridge", [MostBeside]Feature{StepUp(1.3*r2, r2/2), StepDown(4*r2, r2/2)}},
		{"on a ridge", [MostBeside]Feature{StepDown(r2, r2/2), StepDown(2*r2, r2/2)}},
	}
}

// Along the section ideal metal with a ground keeps its condition between the feet too: no potential on metal that
// attracts, no field across the surface of metal that repels, whose corners are too sharp for it within a quarter of a
// radius.
func TestGroundKeepsTheCondition(t *testing.T) {
	for _, c := range []struct {
		head Head
		base Base
		left float64
	}{{generalHead(), Thick(Metal{1e6, 0}), 0.03}, {eddyHead(), Thick(Metal{1, 1e15}), 0.10}} {
		p := mustPicture(t, c.head)
		r2 := c.head.Coil.OuterRadius
		for _, g := range groundPlaces(r2) {
			mustDraw(t, p, c.base, Place{Gap: 0.1e-3, EdgeDistance: NoEdge, Beside: g.beside})
			a := p.faces
			sum, of := 0.0, 0.0
			for x := -3 * r2; x < 5*r2; x += 0.13 * r2 {
				nearest := math.Inf(1)
				for _, at := range a.ground.Breaks {
					nearest = math.Min(nearest, math.Abs(x-at))
				}
				z := a.ground.Level(x)
				if nearest < r2/4 || math.IsInf(z, -1) {
					continue
				}
				f := footing{at: point{x, 0, z}, out: point{0, 0, 1}}
				free := 0.0
				for k := range p.grounded {
					l := &p.grounded[k]
					free += real(l.q) * a.felt(&f, point{l.x, l.y, l.z})
				}
				psi, _, bz := a.at(p.grounded, x, 0, z)
				if a.repels {
					psi = -bz
				}
				sum += (free + psi) * (free + psi)
				of += free * free
			}
			most := c.left
			if g.beside[0].Distance < 0 {
				most *= 2 // at the far rim the cells are large
			}
			if left := math.Sqrt(sum / of); left > most {
				t.Errorf("repels %v, %s: %.4f of the free field is left", a.repels, g.name, left)
			}
		}
	}
}

// To second order in what a ground changes, its change of inductance is that of the picture's Green's function between
// the charges as they stand over the plane; against the modes of the field core.
func TestGroundAgainstTheCore(t *testing.T) {
	const gap = 0.1e-3
	for _, c := range []struct {
		kind Ideal
		head Head
		base Base
	}{{Attracting, generalHead(), Thick(Metal{1e6, 0})}, {Repelling, eddyHead(), Thick(Metal{1, 1e15})}} {
		p := mustPicture(t, c.head)
		r2 := c.head.Coil.OuterRadius
		o := newOpeningHead(c.head)
		unit := newRoundHole(c.kind, 30, 20)
		groove := newSlot(c.kind, 48, 12, min(headReach(c.head)*grooveWidth*r2, 60*grooveWidth))
		_, flat, err := IdealAtEdge(c.head, c.kind, RightAngleEdge, gap, 1)
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range groundPlaces(r2) {
			f := g.beside[0]
			var opening aperture
			var factors []matrix
			switch {
			case f.Kind == roundHole && f.Distance > 0:
				opening, factors = unit.from(c.head, o.spectrum.core, f.Size, f.Distance)
			case f.Kind == stepDown && g.beside[1].Kind == NoFeature:
				opening = groove.from(c.head, o.spectrum.core, grooveWidth*r2, f.Distance)
				factors = groove.factors(f.Size/(grooveWidth*r2), metalFloor)
			default:
				continue
			}
			want := o.spectrum.ratioWith(c.kind, gap, apertureExcess(c.kind, opening.at(gap), factors)) - 1
			mustDraw(t, p, c.base, Place{Gap: gap, EdgeDistance: NoEdge, Beside: g.beside})
			got := -Mu0 * p.groundLinks() / flat
			if math.Abs(got-want) > 0.003+0.3*math.Abs(want) {
				t.Errorf("kind %d, %s: change %.4f, core %.4f", c.kind, g.name, got, want)
			}
		}
	}
}

// groundLinks is what the ground adds to the plane's answer, between the sources.
func (p *Picture) groundLinks() float64 {
	a, sum := p.faces, 0.0
	image := -1.0
	if a.repels {
		image = 1
	}
	for i := range p.grounded {
		for _, sign := range []float64{-1, 1} {
			l := &p.grounded[i]
			psi, _, _ := a.at(p.grounded, l.x, sign*l.y, l.z)
			q := real(l.q) / 2 / (4 * math.Pi)
			sum += q * psi
			for k := range p.grounded {
				m := &p.grounded[k]
				dx, dy, up := l.x-m.x, sign*l.y-m.y, l.z+m.z
				sum -= q * real(m.q) * image / math.Sqrt(dx*dx+dy*dy+up*up)
			}
		}
	}
	return sum
}

// at returns, part by part, the potential of the charges and of the images at a place, and minus its slope, all times 4 pi.
func (a *groundAnswer) at(sources []lump, x, y, z float64) (psi, bx, bz float64) {
	add := func(q, px, py, pz float64) {
		dx, dy, dz := x-px, y-py, z-pz
		d2 := dx*dx + dy*dy + dz*dz
		v := q / math.Sqrt(d2)
		psi += v
		v /= d2
		bx += v * dx
		bz += v * dz
	}
	for i := range a.feet {
		f := &a.feet[i]
		for _, q := range a.parts[f.first:f.end] {
			if y == 0 {
				add(a.charge[i], q.x, q.y, q.z)
			} else {
				add(a.charge[i]/2, q.x, q.y, q.z)
				add(a.charge[i]/2, q.x, -q.y, q.z)
			}
		}
	}
	image := -1.0
	if a.repels {
		image = 1
	}
	for k := range sources {
		l := &sources[k]
		q := real(l.q) * image * l.mirrored
		switch {
		case q == 0:
		case y == 0:
			add(q, l.x, l.y, -l.z)
		default:
			add(q/2, l.x, l.y, -l.z)
			add(q/2, l.x, -l.y, -l.z)
		}
	}
	return psi, bx, bz
}

// Once prepared, a weld needs nothing more made wherever the head stands beside it or on it.
func TestAPreparedWeldServesEveryPlace(t *testing.T) {
	p := mustPicture(t, generalHead())
	if err := p.Prepare([MostBeside]Feature{}); err == nil {
		t.Error("prepared without metal")
	}
	if err := p.On(Thick(Metal{300, 5e6})); err != nil {
		t.Fatal(err)
	}
	half := p.Frame().Half
	const width, height = 9e-3, 2.5e-3
	for _, beside := range [][MostBeside]Feature{
		{StepUp(0.05*half, height), StepDown(0.05*half+width, height)},
		{StepUp(0.95*half, height), StepDown(0.95*half+width, height)},
		{StepDown(width/2, height), StepDown(width/2, height)},
	} {
		if err := p.Prepare(beside); err != nil {
			t.Fatal(err)
		}
	}
	made, next := len(p.answers.kept), p.answers.next
	if made == 0 || made > 3 {
		t.Fatalf("%d grounds made for a weld", made)
	}
	for d := 0.013e-3; d < half; d += 1.7e-3 {
		mustDraw(t, p, p.stack.base, Place{Gap: 0.1e-3, EdgeDistance: NoEdge, Beside: [MostBeside]Feature{StepUp(d, height), StepDown(d+width, height)}})
		if d < width/2 {
			mustDraw(t, p, p.stack.base, Place{Gap: 0.1e-3, EdgeDistance: NoEdge, Beside: [MostBeside]Feature{StepDown(d, height), StepDown(width-d, height)}})
		}
	}
	if len(p.answers.kept) != made || p.answers.next != next {
		t.Errorf("%d grounds were made for the weld, %d after it was gone over", made, len(p.answers.kept))
	}
}
