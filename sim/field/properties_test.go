package field

import (
	"math"
	"testing"
)

// What must hold whatever the numbers are. Further laws stand beside their own code: TestWedgeAgainstImages (reciprocity of
// a corner's kernel against images), TestMoreMetalMoreSignal, TestSplineReproducesCubicsAndInverts.

// shapedHead is the general ferrous head with its tables over a base.
func shapedOver(t testing.TB, b Base) *Over {
	t.Helper()
	s, err := mustSensor(t, generalHead()).WithShapes(generalShapes(t))
	if err != nil {
		t.Fatal(err)
	}
	return mustOver(t, s, b)
}

// shapedBases are metals that attract and that repel.
func shapedBases() map[string]Base {
	return map[string]Base{"steel": Thick(Metal{300, 5e6}), "copper at 300 Hz": Thick(Metal{1, 58e6})}
}

func TestReciprocityOfWedges(t *testing.T) {
	for _, angle := range []float64{math.Pi / 2, 3 * math.Pi / 4, 5 * math.Pi / 4, 3 * math.Pi / 2, 2 * math.Pi} {
		w := newWedge(angle, 33)
		for i := range 40 {
			x := float64(i)
			p := point{1 + math.Sin(x), math.Cos(3 * x), 0.1 + math.Abs(math.Cos(x))}
			q := point{1.5 + math.Cos(2*x), math.Sin(x), 0.1 + math.Abs(math.Sin(5*x))}
			a, r := w.excess(p, q)
			b, s := w.excess(q, p)
			if math.Abs(a-b) > 1e-13 || math.Abs(r-s) > 1e-13 {
				t.Errorf("air angle %.3f: %v and %v there, %v and %v back", angle, a, r, b, s)
			}
		}
	}
}

func TestReflectionOfAnEdge(t *testing.T) {
	for _, angle := range []float64{math.Pi / 2, 5 * math.Pi / 4, 3 * math.Pi / 2, 2 * math.Pi} {
		w := newWedge(angle, 25)
		for i := range 20 {
			p, q := point{1 + float64(i)/7, 0.3, 0.4}, point{0.5, -0.2, 1.1}
			a, r := w.excess(p, q)
			b, s := w.excess(point{p.x, -p.y, p.z}, point{q.x, -q.y, q.z})
			if a != b || r != s {
				t.Errorf("air angle %.3f: mirrored along the edge %v and %v, before %v and %v", angle, b, s, a, r)
			}
		}
	}
	// Across a groove: as far from one side as from the other.
	s := newSpectrum(eddyCoil)
	for kind := range idealKinds {
		groove := newSlot(kind, 30, 10, 300)
		const width = 6e-3
		factors := groove.factors(0.4, metalFloor)
		ratio := func(distance float64) float64 {
			return s.ratioWith(kind, 0.2e-3, apertureExcess(kind, groove.from(eddyCoil, nil, width, distance).at(0.2e-3), factors))
		}
		if left, right := ratio(-width/3), ratio(-2*width/3); math.Abs(left-right) > 1e-6 {
			t.Errorf("metal that %ss: %v a third across a groove, %v two thirds", kindNames[kind], left, right)
		}
	}
	o := shapedOver(t, Thick(Metal{300, 5e6}))
	one := Place{Gap: 1e-4, EdgeDistance: 3e-3, Beside: [MostBeside]Feature{Edge(5e-3, 0)}}
	two := Place{Gap: 1e-4, EdgeDistance: 5e-3, Beside: [MostBeside]Feature{Edge(3e-3, 0)}}
	if a, b := o.Amplitude(one), o.Amplitude(two); math.Abs(a/b-1) > 1e-14 {
		t.Errorf("a strip seen from its other side: %v, before %v", b, a)
	}
}

func TestInfinitePermeability(t *testing.T) {
	for _, h := range []Head{magneticCoil, generalHead()} {
		s := mustSensor(t, h)
		for _, gap := range []float64{0, 1e-4, 1e-3, 1e-2} {
			ideal, _ := s.spectrum.overIdeal(gap, nil, nil)
			for _, mu := range []float64{1e4, 1e6} {
				got, err := s.Flat(Thick(Metal{mu, 0}), gap)
				if err != nil {
					t.Fatal(err)
				}
				// Gamma = (mu-1)/(mu+1); a core makes the most of what is lacking.
				if lack := 1 - real(got)/ideal; !(lack > 0 && lack < 20/mu) {
					t.Errorf("cored %v, gap %v, mu %v: lacks %v of ideal metal", h.Core != nil, gap, mu, lack)
				}
			}
		}
	}
}

func TestPerfectConductor(t *testing.T) {
	for _, h := range []Head{eddyCoil, generalHead()} {
		s := mustSensor(t, h)
		for _, gap := range []float64{0, 1e-4, 1e-3} {
			_, ideal := s.spectrum.overIdeal(gap, nil, nil)
			before := math.Inf(1)
			for _, sigma := range []float64{1e10, 1e14, 1e18} {
				got, err := s.Flat(Thick(Metal{1, sigma}), gap)
				if err != nil {
					t.Fatal(err)
				}
				off := math.Hypot(real(got)-ideal, imag(got)) / math.Abs(ideal)
				if !(off < before/10) {
					t.Errorf("cored %v, gap %v, %v S/m: %v off ideal metal, %v before", h.Core != nil, gap, sigma, off, before)
				}
				before = off
			}
			if before > 1e-4 {
				t.Errorf("cored %v, gap %v: still %v off ideal metal", h.Core != nil, gap, before)
			}
		}
	}
}

func TestZeroConductivity(t *testing.T) {
	s := mustSensor(t, eddyCoil)
	if d := mustOver(t, s, Thick(Metal{1, 0})).DeltaL(Flat(0)); d != 0 {
		t.Errorf("plastic gives %v", d)
	}
	// Poor conductors: the loss grows as the conductivity, the storage as its square (or nearly).
	at := func(sigma float64) complex128 { return mustOver(t, s, Thick(Metal{1, sigma})).DeltaL(Flat(1e-4)) }
	one, ten := at(1), at(10)
	if growth := imag(ten) / imag(one); math.Abs(growth-10) > 0.1 {
		t.Errorf("ten times the conductivity gives %v times the loss", growth)
	}
	still := mustOver(t, mustSensor(t, magneticCoil), Thick(Metal{300, 0})).DeltaL(Flat(1e-4))
	nearly := mustOver(t, mustSensor(t, magneticCoil), Thick(Metal{300, 1e-3})).DeltaL(Flat(1e-4))
	if imag(still) != 0 || relativeError(nearly, still) > 1e-6 {
		t.Errorf("steel without conductivity gives %v, with next to none %v", still, nearly)
	}
}

func TestThickToThin(t *testing.T) {
	for name, c := range map[string]struct {
		head  Head
		metal Metal
		thick float64
	}{
		"steel": {generalHead(), Metal{300, 5e6}, 20e-3}, "static steel": {magneticCoil, Metal{300, 0}, 2}, "aluminium": {eddyCoil, Metal{1, 35e6}, 1e-3},
	} {
		s := mustSensor(t, c.head)
		at := func(b Base) float64 { return mustOver(t, s, b).Amplitude(Flat(1e-4)) }
		half := at(Thick(c.metal))
		if plate := at(Plate(c.metal, c.thick)); math.Abs(plate/half-1) > 2e-5 {
			t.Errorf("%s of %v m: %v, half-space %v", name, c.thick, plate, half)
		}
		if two := at(Base{{c.metal, c.thick / 100}, {c.metal, math.Inf(1)}}); math.Abs(two/half-1) > 1e-10 {
			t.Errorf("%s in two layers: %v, half-space %v", name, two, half)
		}
		before := at(Plate(c.metal, 3e-5))
		for _, thickness := range []float64{1e-5, 3e-6, 1e-6, 1e-8} {
			here := at(Plate(c.metal, thickness))
			if !(here < before) {
				t.Errorf("%s of %v m: %v, thicker %v", name, thickness, here, before)
			}
			before = here
		}
		if before > 0.01*half {
			t.Errorf("%s of 10 nm still gives %v of %v", name, before, half)
		}
	}
}

func TestSignalFallsWithTheGap(t *testing.T) {
	for name, b := range shapedBases() {
		o := shapedOver(t, b)
		for _, p := range []Place{
			Flat(0), {EdgeDistance: 3e-3}, {EdgeDistance: 2e-3, AirAngle: 1.8 * math.Pi}, {EdgeDistance: 5e-3, AirAngle: 0.6 * math.Pi},
			{EdgeDistance: NoEdge, Curvature: [2]float64{1 / 10e-3, 0}}, {EdgeDistance: NoEdge, Curvature: [2]float64{-1 / 40e-3, 0}},
			{EdgeDistance: NoEdge, Beside: [MostBeside]Feature{Hole(2e-3, 3e-3)}}, {EdgeDistance: NoEdge, Beside: [MostBeside]Feature{StepDown(2e-3, 1e-3)}},
			{EdgeDistance: NoEdge, Beside: [MostBeside]Feature{StepUp(5e-3, 2e-3)}},
		} {
			before := math.Inf(1)
			for gap := 0.0; gap < 2.5e-3; gap += 20e-6 {
				p.Gap = gap
				here := o.Amplitude(p)
				if !(here < before) {
					t.Errorf("%s, %+v: %v, nearer %v", name, p, here, before)
					break
				}
				before = here
			}
		}
	}
}

func TestCurvatureRadiusToInfinityIsFlat(t *testing.T) {
	for name, b := range shapedBases() {
		o := shapedOver(t, b)
		for _, gap := range []float64{0, 2e-4, 2e-3} {
			flat := o.Amplitude(Flat(gap))
			for _, sign := range []float64{1, -1} {
				for _, c := range [][2]float64{{1, 0}, {1, 1}, {0.3, 1}} {
					at := func(radius float64) float64 {
						return o.Amplitude(Place{Gap: gap, EdgeDistance: NoEdge, Curvature: [2]float64{sign * c[0] / radius, sign * c[1] / radius}})/flat - 1
					}
					if off := at(1000); math.Abs(off) > 2e-5 {
						t.Errorf("%s, gap %v, radius 1 km, %v: %v off flat", name, gap, c, off)
					}
					near, far := at(2), at(20)
					if !(near*sign < 0 && math.Abs(far/near-0.1) < 0.002) {
						t.Errorf("%s, gap %v, %v: %v off flat at 2 m, %v at 20 m", name, gap, c, near, far)
					}
				}
			}
		}
	}
}

// A pipe changes the signal less than the ball of half its curvature, and more than nothing: both bulge.
func TestPipesAndBallsAreToldApart(t *testing.T) {
	for name, b := range shapedBases() {
		o := shapedOver(t, b)
		for _, radius := range []float64{5e-3, 10e-3, 25e-3} {
			pipe := o.Amplitude(Place{EdgeDistance: NoEdge, Curvature: [2]float64{1 / radius, 0}})
			turned := o.Amplitude(Place{EdgeDistance: NoEdge, Curvature: [2]float64{0, 1 / radius}})
			ball := o.Amplitude(Place{EdgeDistance: NoEdge, Curvature: [2]float64{0.5 / radius, 0.5 / radius}})
			flat := o.Amplitude(Flat(0))
			if !(ball < pipe && pipe < flat) {
				t.Errorf("%s, radius %v: ball %v, pipe %v, flat %v", name, radius, ball, pipe, flat)
			}
			if pipe != turned {
				t.Errorf("%s, radius %v: a pipe turned gives %v, before %v", name, radius, turned, pipe)
			}
		}
	}
}

func TestBaseThicknessToInfinityIsHalfSpaceAtAnEdge(t *testing.T) {
	steel := Metal{300, 5e6}
	thick := shapedOver(t, Thick(steel))
	for _, distance := range []float64{1e-3, 3e-3, 10e-3} {
		p := Place{Gap: 1e-4, EdgeDistance: distance}
		want := thick.Amplitude(p)
		before := 1.0
		for _, thickness := range []float64{10e-3, 100e-3, 1, 10} {
			off := math.Abs(shapedOver(t, Plate(steel, thickness)).Amplitude(p)/want - 1)
			if !(off < before) {
				t.Errorf("edge at %v: %v off the thick edge at %v m, %v before", distance, off, thickness, before)
			}
			before = off
		}
		if before > 1e-4 {
			t.Errorf("edge at %v: ten metres of steel are %v off the half-space", distance, before)
		}
	}
}

// What iron lacks more at its square edge goes with what it lacks at rest, whatever it conducts.
func TestIronLacksMoreAtItsEdge(t *testing.T) {
	at := func(m Metal) float64 {
		o := shapedOver(t, Thick(m))
		return o.Amplitude(Place{Gap: 1e-4, EdgeDistance: 2e-3}) / o.Amplitude(Flat(1e-4))
	}
	for _, c := range []struct {
		metal    Metal
		from, to float64
	}{
		{Metal{300, 0}, 1e-3, 4e-3}, {Metal{100, 0}, 4e-3, 1.2e-2},
		{Metal{300, 5e6}, 1e-3, 4e-3},
	} {
		lack := 1 - at(c.metal)/at(Metal{1e6, 0})
		if !(lack >= c.from && lack < c.to) {
			t.Errorf("%+v lacks %v at its edge, expected %v to %v", c.metal, lack, c.from, c.to)
		}
	}
}

// Features vanish, or become one another, as they grow or shrink.
func TestFeaturesInTheirLimits(t *testing.T) {
	for name, b := range shapedBases() {
		o := shapedOver(t, b)
		for _, gap := range []float64{0, 1e-4, 1e-3} {
			flat := o.Amplitude(Flat(gap))
			with := func(f Feature) float64 {
				return o.Amplitude(Place{Gap: gap, EdgeDistance: NoEdge, Beside: [MostBeside]Feature{f}}) / flat
			}
			edge := func(distance, angle float64) float64 {
				return o.Amplitude(Place{Gap: gap, EdgeDistance: distance, AirAngle: angle}) / flat
			}
			for _, d := range []float64{1e-3, 3e-3, 8e-3} {
				deep := edge(d, RightAngleEdge)
				for _, c := range []struct {
					what           string
					got, want, tol float64
				}{
					{"square edge of a thick base", edge(d, 0), deep, 1e-12},
					{"the same edge as a feature", with(Edge(d, RightAngleEdge)), deep, 1e-12},
					{"small hole", with(Hole(d, 10e-6)), 1, 1e-5},
					{"no hole", with(Hole(d, 0)), 1, 0},
					{"large hole", with(Hole(d, 100)), deep, 1e-4},
					{"hole far away", with(Hole(1, 5e-3)), 1, 1e-5},
					{"low step down", with(StepDown(d, 1e-7)), 1, 1e-4},
					{"deep step down", with(StepDown(d, 10)), deep, 1e-4},
					{"step down far away", with(StepDown(1, 5e-3)), 1, 1e-5},
					{"air angle pi", edge(d, math.Pi), 1, 0},
					{"next to pi", edge(d, math.Pi+1e-6), 1, 1e-5},
					{"just below pi", edge(d, math.Pi-1e-6), 1, 1e-5},
					{"low step up", with(StepUp(5e-3+d, 1e-7)), 1, 1e-4},
					{"high step up", with(StepUp(5e-3+d, 1000)), edge(5e-3+d, math.Pi/2), 2e-3},
					{"wall given by its nearness", o.Amplitude(Place{Gap: gap, EdgeDistance: NoEdge, WallNearness: 1 / (5e-3 + d)}) / flat, edge(5e-3+d, math.Pi/2), 1e-12},
				} {
					if math.Abs(c.got-c.want) > c.tol {
						t.Errorf("%s, gap %v, %v m, %s: %v, expected %v", name, gap, d, c.what, c.got, c.want)
					}
				}
				for angle := 0.5 * math.Pi; angle < 1.99*math.Pi; angle += 0.01 * math.Pi {
					if here, next := edge(d+5e-3, angle), edge(d+5e-3, angle+0.01*math.Pi); !(next < here) {
						t.Errorf("%s, gap %v, %v m: %v at an air angle of %.3f, %v a little wider", name, gap, d, here, angle, next)
					}
				}
				before := 1.0
				for radius := 0.2e-3; radius < 60e-3; radius *= 1.1 {
					here := with(Hole(d, radius))
					if !(here < before+5e-6) {
						t.Errorf("%s, gap %v, %v m from a hole of %v m: %v, smaller %v", name, gap, d, radius, here, before)
					}
					before = here
				}
				before = 1.0
				for height := 0.05e-3; height < 60e-3; height *= 1.1 {
					here := with(StepDown(d, height))
					if !(here < before+5e-6) {
						t.Errorf("%s, gap %v, %v m from a step of %v m: %v, lower %v", name, gap, d, height, here, before)
					}
					before = here
				}
			}
		}
	}
}
