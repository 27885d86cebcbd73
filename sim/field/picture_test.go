package field

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"

	"foilwright/sim/num"
)

// eddyHead is the head of the bench's general non-ferrous probe.
func eddyHead() Head {
	return Head{
		Coil:      Coil{InnerRadius: 0.8e-3, OuterRadius: 1.6e-3, Height: 1e-3, Recess: 0.3e-3, Turns: 40},
		Core:      &Core{Radius: 0.6e-3, Length: 2.5e-3, Recess: 50e-6, RelPermeability: 1000},
		Frequency: 2e6, TipRadius: 1.2e-3,
	}
}

func mustPicture(t testing.TB, h Head) *Picture {
	t.Helper()
	p, err := mustSensor(t, h).NewPicture(FrameFor(h))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func mustDraw(t testing.TB, p *Picture, b Base, at Place) {
	t.Helper()
	if err := p.On(b); err != nil {
		t.Fatal(err)
	}
	if err := p.At(at); err != nil {
		t.Fatal(err)
	}
}

var pictureStacks = []struct {
	name string
	head Head
	base Base
}{
	{"steel", generalHead(), Thick(Metal{300, 5e6})},
	{"thin steel", generalHead(), Plate(Metal{160, 5.5e6}, 0.5e-3)},
	{"ferrite at rest", generalHead(), Thick(Metal{10, 0})},
	{"aluminium", eddyHead(), Thick(Metal{1, 35e6})},
	{"thin aluminium", eddyHead(), Plate(Metal{1, 35e6}, 0.05e-3)},
	{"titanium", eddyHead(), Thick(Metal{1, 0.6e6})},
	{"zinc on steel", eddyHead(), Base{{Metal{1, 16.6e6}, 30e-6}, {Metal{160, 5.5e6}, 1e-3}}},
}

// The flux that the metal sends back through the winding, summed over the picture's own grid, and what the changed charges
// of the core add, are the field core's change of inductance.
func TestPictureLinksTheInductance(t *testing.T) {
	for _, c := range pictureStacks {
		p := mustPicture(t, c.head)
		coil := c.head.Coil
		for _, gap := range []float64{0, 0.1e-3, 1e-3} {
			mustDraw(t, p, c.base, Flat(gap))
			// n int dz int dr int_0^r 2 pi rho B_z = n int dz int 2 pi rho B_z (r2 - max(rho, r1)) drho.
			linked := 0.0
			heights := gaussLegendre(8, coil.Recess+gap, coil.Recess+gap+coil.Height)
			for i, z := range heights.node {
				for _, radii := range []rule{gaussLegendre(12, 0, coil.InnerRadius), gaussLegendre(12, coil.InnerRadius, coil.OuterRadius)} {
					for k, r := range radii.node {
						u := findAcross(r, columns/2+1, p.head.frame.Half)
						_, bz := p.air.at(columns/2+u, find(z, airRows, p.head.frame.Above, aboveCrowd))
						linked += heights.weight[i] * radii.weight[k] * 2 * math.Pi * r * bz * coil.density() * (coil.OuterRadius - math.Max(r, coil.InnerRadius))
					}
				}
			}
			core := p.head.sensor.spectrum.core
			for j, q := range p.charges {
				linked -= (real(q) - core.free[j]) * core.winding[j]
			}
			want, err := p.head.sensor.Flat(c.base, gap)
			if err != nil {
				t.Fatal(err)
			}
			if e := math.Abs(linked*Mu0-real(want)) / cmplx.Abs(want); e > 0.005 {
				t.Errorf("%s, gap %v mm: %.5g H, core %.5g H (%.2g)", c.name, gap*1e3, linked*Mu0, real(want), e)
			}
		}
	}
}

// Flux neither begins nor ends: what goes in through the sides of a cylinder about the axis comes out, in air, across the
// surface and in metal. Across the surface the upright field is continuous and the field along it jumps by the
// permeability.
func TestPictureFluxIsConserved(t *testing.T) {
	for _, c := range pictureStacks {
		p := mustPicture(t, c.head)
		mustDraw(t, p, c.base, Flat(0.3e-3))
		r2 := c.head.Coil.OuterRadius
		rule := gaussLegendre(24, 0, 1)
		disc := func(r, z float64) (flux, size float64) {
			for i, x := range rule.node {
				bx, bz := p.field(r*x, z)
				flux += rule.weight[i] * r * 2 * math.Pi * r * x * bz
				size += rule.weight[i] * r * 2 * math.Pi * r * x * math.Hypot(bx, bz)
			}
			return flux, size
		}
		side := func(r, from, to float64) float64 {
			sum := 0.0
			for i, x := range rule.node {
				bx, _ := p.field(r, from+(to-from)*x)
				sum += rule.weight[i] * (to - from) * 2 * math.Pi * r * bx
			}
			return sum
		}
		for _, r := range []float64{0.3 * r2, r2, 2 * r2} {
			up, size := disc(r, 1e-9)
			down, _ := disc(r, -1e-9)
			if e := math.Abs(up-down) / size; e > 0.03 {
				t.Errorf("%s, radius %.2g: flux above the surface %.4g, below %.4g (%.3f)", c.name, r, up, down, e)
			}
			for _, z := range [][2]float64{{1e-9, 0.25e-3}, {-math.Min(0.4*r2, 0.9*c.base[0].Thickness), -1e-9}} {
				if z[0] > 0 && r < c.head.Core.Radius {
					continue
				}
				low, _ := disc(r, z[0])
				high, size := disc(r, z[1])
				if e := math.Abs(high-low+side(r, z[0], z[1])) / math.Max(size, math.Abs(side(r, z[0], z[1]))); e > 0.05 {
					t.Errorf("%s, radius %.2g, %v: flux lost %.3f", c.name, r, z, e)
				}
			}
			ax, _ := p.field(r, 1e-9)
			mx, mz := p.field(r, -1e-9)
			mu := c.base[0].Metal.RelPermeability
			if e := math.Abs(ax-mx/mu) / math.Max(math.Hypot(ax, mz), 1e-9); e > 0.06 {
				t.Errorf("%s, radius %.2g: along the surface %.4g above, %.4g below", c.name, r, ax, mx/mu)
			}
		}
	}
}

// The current falls by e per skin depth where the field is nearly uniform over that depth, and a plate of known skin
// depth holds the textbook value of it: delta = sqrt(2/(omega mu sigma)).
func TestPictureCurrentDecaysWithTheSkinDepth(t *testing.T) {
	p := mustPicture(t, eddyHead())
	metal := Metal{1, 35e6}
	mustDraw(t, p, Thick(metal), Flat(0.1e-3))
	delta := metal.SkinDepth(eddyHead().Frequency)
	if textbook := 503.292 * math.Sqrt(1/(35e6*2e6)); math.Abs(delta/textbook-1) > 1e-4 {
		t.Errorf("skin depth %g, want %g", delta, textbook)
	}
	for i, x := range p.X {
		if math.Abs(x-1.2e-3) > 0.3e-3 {
			continue
		}
		for r := 1; r < currentRows; r++ {
			got := p.Current[r*columns+i] / p.Current[i]
			want := math.Exp(-p.Depth[r] / delta)
			// The field is as wide as the winding, 20 skin depths.
			if want > 0.01 && math.Abs(got/want-1) > 0.12 {
				t.Errorf("x %.2g depth %.3g skin depths: %.4f, want %.4f", x, p.Depth[r]/delta, got, want)
			}
		}
	}
	// All of the current mirrors the winding's: a perfect screen carries what keeps the field off the metal below it,
	// integral of J over depth = field along the surface (Ampere's law).
	for i, x := range p.X {
		if x < 0.5e-3 || x > 3e-3 {
			continue
		}
		sum := 0.0
		omega := 2 * math.Pi * eddyHead().Frequency
		_ = omega
		for r := 1; r < currentRows; r++ {
			sum += (p.Depth[r] - p.Depth[r-1]) * (p.Current[r*columns+i] + p.Current[(r-1)*columns+i]) / 2
		}
		bx, _ := p.field(x, 1e-9)
		// |J| adds up to sqrt 2 of the sheet's amplitude, whose phase turns with the depth.
		if got := sum / math.Sqrt2; math.Abs(got/math.Abs(bx)-1) > 0.08 {
			t.Errorf("x %.2g mm: sheet of current %.4g A/m, field along the surface %.4g A/m", x*1e3, got, bx)
		}
	}
}

// To second order in what the edge changes, the change of inductance it makes is that of the picture's Green's function
// between the charges as they stand over the plane.
func TestPictureAtAnEdge(t *testing.T) {
	for _, c := range []struct {
		kind Ideal
		head Head
		base Base
	}{{Attracting, generalHead(), Thick(Metal{1e6, 0})}, {Repelling, eddyHead(), Thick(Metal{1, 1e15})}} {
		p := mustPicture(t, c.head)
		for _, d := range []float64{0.5, 1} {
			d, gap := d*c.head.Coil.OuterRadius, 0.1e-3
			mustDraw(t, p, c.base, Place{Gap: gap, EdgeDistance: d})
			image := -1.0
			if c.kind == Repelling {
				image = 1
			}
			edge, plane := 0.0, 0.0
			for i := range p.lumps {
				for _, mirrored := range []bool{false, true} {
					a := p.lumps[i]
					if mirrored {
						a.y = -a.y
					}
					q := real(a.q) / 2
					for k := range p.lumps {
						b := &p.lumps[k]
						// The partner of b at -y: the sum over both of a's covers it.
						at := *b
						at.y = b.y - a.y
						edge += q * real(b.q) * p.head.edge.scattered(&at, &a.edge, image)
						dx, up := a.x-b.x, a.z+b.z
						plane += q * real(b.q) * image / (4 * math.Pi * math.Sqrt(dx*dx+at.y*at.y+up*up))
					}
				}
			}
			e, flat, err := IdealAtEdge(c.head, c.kind, 3*math.Pi/2, gap, d)
			if err != nil {
				t.Fatal(err)
			}
			got, want := -Mu0*(edge-plane)/flat, (e-flat)/flat
			if math.Abs(got-want) > 0.0003+0.07*math.Abs(want) {
				t.Errorf("kind %d, %.2f radii from the edge: change %.4f, core %.4f", c.kind, d/c.head.Coil.OuterRadius, got, want)
			}
		}
	}
}

// The fast table of the wedge against the Green's function of the field core.
func TestPictureEdgeTable(t *testing.T) {
	table, w := newEdgeTable(3*math.Pi/2), newWedge(3*math.Pi/2, 61)
	s := num.NewStream(3, "test")
	worst := 0.0
	for range 3000 {
		at := func() point {
			r, angle := 8e-3*s.Float64()+1e-5, 1.5*math.Pi*s.Float64()
			return point{r * math.Cos(angle), 3e-3 * s.Float64(), r * math.Sin(angle)}
		}
		p, q := at(), at()
		if p.z < 0 || q.z < 0 {
			continue // the core's own form wants both above the face
		}
		a, _ := w.excess(p, q)
		want := a - planeImage(p, q)
		here := newPolar(math.Hypot(p.x, p.z), airAngle(p))
		got := table.scattered(&lump{y: p.y - q.y, edge: newPolar(math.Hypot(q.x, q.z), airAngle(q))}, &here, -1)
		worst = math.Max(worst, math.Abs(got-want)/planeImage(p, q))
	}
	if worst > 5e-3 {
		t.Errorf("off by %.2g of the plane's image", worst)
	}
}

// The closed sums of a sphere against the multipole series of the field core.
func TestPictureRoundAnswer(t *testing.T) {
	for _, radius := range []float64{5e-3, -20e-3} {
		size := math.Abs(radius)
		for _, kind := range []Ideal{Attracting, Repelling} {
			answers := idealSphereAnswers(kind, radius, 400)
			for _, q := range [][3]float64{{1e-3, 2e-3, 0.9}, {0.5e-3, 0.5e-3, 1}, {3e-3, 1e-3, 0.2}, {1e-3, 4e-3, -0.5}} {
				r, s := size+q[0], size+q[1]
				if radius < 0 {
					r, s = size-q[0], size-q[1]
				}
				want, p0, p1 := 0.0, 1.0, q[2]
				for n := 1; n <= len(answers); n++ {
					a, b := math.Pow(size/r, float64(n+1)), math.Pow(size/s, float64(n+1))
					if radius < 0 {
						a, b = math.Pow(r/size, float64(n)), math.Pow(s/size, float64(n))
					}
					want -= real(answers[n-1]) * a * b * p1
					p0, p1 = p1, (float64(2*n+1)*q[2]*p1-float64(n)*p0)/float64(n+1)
				}
				got := roundAnswer(size, r, s, q[2], radius > 0, kind == Attracting) / (4 * math.Pi)
				if math.Abs(got/want-1) > 1e-6 {
					t.Errorf("radius %g kind %d %v: %.8g, series %.8g", radius, kind, q, got, want)
				}
			}
		}
	}
}

// Over ideal metal the field stands upright on what attracts and lies along what repels: at an edge, on its two faces,
// and on a round surface.
func TestPictureFieldAtTheFaces(t *testing.T) {
	for _, c := range []struct {
		head    Head
		base    Base
		attract bool
	}{{generalHead(), Thick(Metal{1e6, 0}), true}, {eddyHead(), Thick(Metal{1, 1e15}), false}} {
		p := mustPicture(t, c.head)
		r2 := c.head.Coil.OuterRadius
		for _, at := range []Place{{Gap: 0.1e-3, EdgeDistance: r2}, {Gap: 0.1e-3, EdgeDistance: NoEdge, Curvature: [2]float64{0.2 / r2}},
			{Gap: 0.2e-3, EdgeDistance: NoEdge, Curvature: [2]float64{-0.1 / r2}}, {Gap: 0.1e-3, EdgeDistance: NoEdge, Tilt: 0.2}} {
			mustDraw(t, p, c.base, at)
			for _, s := range []float64{-2 * r2, -r2, -0.5 * r2, 0.4 * r2, 0.8 * r2} {
				x, z := p.bend(s, 1e-9)
				bx, bz := p.field(x, z)
				// The turn into the section, undone.
				sin, cos := math.Sincos(s * p.Section)
				along, across := bx*cos-bz*sin, bz*cos+bx*sin
				if !c.attract {
					along, across = across, along
				}
				if math.Abs(along) > 0.10*math.Abs(across) {
					t.Errorf("attract %v, %+v, %.2f radii: wrong part %.4g, right part %.4g", c.attract, at, s/r2, along, across)
				}
			}
			if math.IsInf(p.EdgeAt, 1) {
				continue
			}
			for _, z := range []float64{-0.3 * r2, -r2} {
				bx, bz := p.field(p.EdgeAt+1e-9, z)
				if !c.attract {
					bx, bz = bz, bx
				}
				if math.Abs(bz) > 0.15*math.Abs(bx) {
					t.Errorf("attract %v: on the edge's face at %.2g: %.4g against %.4g", c.attract, z, bz, bx)
				}
			}
		}
	}
}

// Steel calls up more lines than air, and thin steel lets some through to its back. A sheet of copper that screens keeps
// all of them above.
func TestPictureLinesTellTheSignal(t *testing.T) {
	p := mustPicture(t, generalHead())
	count := func(b Base, at Place, below float64) (lines, through int) {
		mustDraw(t, p, b, at)
		for _, l := range p.Lines {
			points, deep := p.Points(l), false
			for _, q := range points {
				if math.IsNaN(q.X + q.Z) {
					t.Fatal("a line leads nowhere")
				}
				deep = deep || q.Z < -below
			}
			if deep {
				through++
			}
		}
		return len(p.Lines), through
	}
	thin := Plate(Metal{160, 5.5e6}, 0.2e-3)
	flat, behindFlat := count(Thick(Metal{300, 5e6}), Flat(0.05e-3), 2e-3)
	far, _ := count(Thick(Metal{300, 5e6}), Flat(10e-3), 2e-3)
	_, behindThin := count(thin, Flat(0.05e-3), 0.3e-3)
	_, behindCopper := count(Thick(Metal{1, 1e15}), Flat(0.05e-3), 0.1e-3)
	if flat <= far || far < 8 {
		t.Errorf("%d lines on steel, %d ten millimetres above it", flat, far)
	}
	if behindThin == 0 || behindFlat > 0 || behindCopper > 0 {
		t.Errorf("lines behind: thin steel %d, 2 mm down in thick steel %d, in the screen %d", behindThin, behindFlat, behindCopper)
	}
}

func TestPictureRefuses(t *testing.T) {
	s := mustSensor(t, generalHead())
	if _, err := s.NewPicture(Frame{}); err == nil {
		t.Error("no frame: no error")
	}
	if _, err := mustSensor(t, magneticCoil).NewPicture(FrameFor(magneticCoil)); err == nil {
		t.Error("no core: no error")
	}
	p := mustPicture(t, generalHead())
	if p.At(Flat(0)) == nil {
		t.Error("no metal: no error")
	}
	if p.On(nil) == nil {
		t.Error("empty stack: no error")
	}
	mustDraw(t, p, Thick(Metal{300, 5e6}), Flat(0))
	if p.At(Flat(math.NaN())) == nil {
		t.Error("gap NaN: no error")
	}
}

func TestPictureDoesNotAllocate(t *testing.T) {
	for _, c := range picturePlaces() {
		p := mustPicture(t, c.head)
		i := 0
		draw := func() {
			i++
			at := c.at
			at.Gap += float64(i%7) * 1e-5
			mustDraw(t, p, c.base, at)
		}
		for range 10 {
			draw()
		}
		if n := testing.AllocsPerRun(20, draw); n > 0 {
			t.Errorf("%s: %v allocations", c.name, n)
		}
	}
}

type picturePlace struct {
	name string
	head Head
	base Base
	at   Place
}

func picturePlaces() []picturePlace {
	steel, aluminium := Thick(Metal{300, 5e6}), Thick(Metal{1, 35e6})
	return []picturePlace{
		{"steel", generalHead(), steel, Flat(0.1e-3)},
		{"steel, tilted", generalHead(), steel, Place{Gap: 0.1e-3, EdgeDistance: NoEdge, Tilt: 0.1}},
		{"steel, edge", generalHead(), steel, Place{Gap: 0.1e-3, EdgeDistance: 2e-3}},
		{"steel, round", generalHead(), steel, Place{Gap: 0.1e-3, EdgeDistance: NoEdge, Curvature: [2]float64{50}}},
		{"aluminium", eddyHead(), aluminium, Flat(0.1e-3)},
		{"aluminium, edge", eddyHead(), aluminium, Place{Gap: 0.1e-3, EdgeDistance: 2e-3}},
		{"steel, slanted edge", generalHead(), steel, Place{Gap: 0.1e-3, EdgeDistance: 2e-3, AirAngle: 5.2}},
		{"steel, hole", generalHead(), steel, Place{Gap: 0.1e-3, EdgeDistance: NoEdge, Beside: [MostBeside]Feature{Hole(2e-3, 8e-3)}}},
		{"steel, step up", generalHead(), steel, Place{Gap: 0.1e-3, EdgeDistance: NoEdge, Beside: [MostBeside]Feature{StepUp(5e-3, 3e-3)}}},
		{"steel, on a ridge", generalHead(), steel, Place{Gap: 0.1e-3, EdgeDistance: NoEdge, Tilt: 0.1, Beside: [MostBeside]Feature{StepDown(3e-3, 2.5e-3), StepDown(11e-3, 2.5e-3)}}},
	}
}

func BenchmarkPicture(b *testing.B) {
	for _, c := range picturePlaces() {
		b.Run(c.name, func(b *testing.B) {
			p := mustPicture(b, c.head)
			b.ReportAllocs()
			for b.Loop() {
				mustDraw(b, p, c.base, c.at)
			}
		})
	}
	b.Run("one amplitude", func(b *testing.B) {
		o := mustOver(b, mustSensor(b, generalHead()), Thick(Metal{300, 5e6}))
		for b.Loop() {
			o.Amplitude(Flat(0.1e-3))
		}
	})
	b.Run("preparing a stack", func(b *testing.B) {
		p := mustPicture(b, generalHead())
		for i := 0; b.Loop(); i++ {
			if err := p.On(Plate(Metal{300, 5e6}, 1e-3+float64(i)*1e-9)); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("preparing a head", func(b *testing.B) {
		s := mustSensor(b, generalHead())
		for b.Loop() {
			if _, err := s.NewPicture(FrameFor(s.head)); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func ExamplePicture() {
	head := Head{
		Coil:      Coil{InnerRadius: 0.8e-3, OuterRadius: 1.6e-3, Height: 1e-3, Recess: 0.3e-3, Turns: 40},
		Core:      &Core{Radius: 0.6e-3, Length: 2.5e-3, Recess: 50e-6, RelPermeability: 1000},
		Frequency: 2e6, TipRadius: 1.2e-3,
	}
	sensor, _ := NewSensor(head)
	picture, _ := sensor.NewPicture(FrameFor(head))
	_ = picture.On(Thick(Metal{RelPermeability: 1, Conductivity: 35e6}))
	_ = picture.At(Place{Gap: 0.1e-3, EdgeDistance: 2e-3})
	fmt.Println(len(picture.Current) == len(picture.X)*len(picture.Depth), len(picture.Lines) > 0)
	// Output: true true
}
