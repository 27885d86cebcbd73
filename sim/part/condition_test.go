package part

import (
	"math"
	"testing"

	"foilwright/sim/field"
	"foilwright/sim/num"
)

// The reversible susceptibility against magnetisation, by Newton's method with
// the mathematics of the standard library, where the code halves with its own.
// Limits: 1 at M = 0, near saturation 3 (1 - M/Ms)^2.
func TestMagnetisedSteelFollowsGans(t *testing.T) {
	steel, _ := MetalByID("steel-mild")
	if got := Magnetised(steel.Field, 0); got != steel.Field {
		t.Errorf("with no residual magnetism: %+v", got)
	}
	for _, share := range []float64{0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 0.98} {
		x := newton(share)
		want := 3 * (1/(x*x) - 1/(math.Sinh(x)*math.Sinh(x)))
		got := (Magnetised(steel.Field, share*saturationT).RelPermeability - 1) / (steel.Field.RelPermeability - 1)
		if math.Abs(got-want) > 1e-6 {
			t.Errorf("M/Ms %.2f: reversible susceptibility %.8f of the initial, want %.8f", share, got, want)
		}
		if share > 0.9 {
			if limit := 3 * (1 - share) * (1 - share); math.Abs(got-limit) > 0.02*limit {
				t.Errorf("near saturation: %.6f, want %.6f", got, limit)
			}
		}
	}
	// Small magnetisation: 1 - 9/5 (M/Ms)^2, from the series of both relations.
	if got := (Magnetised(steel.Field, 0.05*saturationT).RelPermeability - 1) / 159; math.Abs(got-(1-9.0/5*0.05*0.05)) > 3e-5 {
		t.Errorf("small magnetisation: %.8f", got)
	}
	aluminium, _ := MetalByID("aluminium-standard")
	if Magnetised(aluminium.Field, 1) != aluminium.Field {
		t.Error("aluminium was magnetised")
	}
}

// newton solves coth x - 1/x = share with the derivative 1/x^2 - 1/sinh^2 x.
func newton(share float64) float64 {
	x := 3 * share / (1 - share*share) // exact at both ends to first order
	for range 100 {
		f := 1/math.Tanh(x) - 1/x - share
		x -= f / (1/(x*x) - 1/(math.Sinh(x)*math.Sinh(x)))
	}
	return x
}

// Conductivity of pure copper at 75 degrees is 0.822 of that at 20: the
// correction factor 234.5 + T of IEC 60034-1 and of wire tables (from memory).
func TestConductivityFallsWithTemperature(t *testing.T) {
	copper, _ := MetalByID("copper")
	if got, want := copper.At(75).Conductivity/copper.Field.Conductivity, (234.5+20)/(234.5+75); math.Abs(got-want) > 1e-3 {
		t.Errorf("copper at 75 °C: %.4f of that at 20 °C, want %.4f", got, want)
	}
	aluminium, _ := MetalByID("aluminium-standard")
	// Aluminium: 225 + T by the same standard.
	if got, want := aluminium.At(75).Conductivity/aluminium.Field.Conductivity, (225.0+20)/(225+75); math.Abs(got-want) > 0.01 {
		t.Errorf("aluminium at 75 °C: %.4f, want %.4f", got, want)
	}
	for _, m := range Metals {
		if m.At(RoomC) != m.Field {
			t.Errorf("%s at room temperature: %+v", m.ID, m.At(RoomC))
		}
		if hot := m.At(80); !(hot.Conductivity < m.Field.Conductivity) || hot.RelPermeability < m.Field.RelPermeability {
			t.Errorf("%s at 80 °C: %+v", m.ID, hot)
		}
	}
}

// Newton's law of cooling: after one time constant 1/e of the difference is
// left; a 3 mm steel plate loses heat to still air in some ten minutes.
func TestAPieceCoolsToTheRoom(t *testing.T) {
	steel, _ := MetalByID("steel-mild")
	p := Piece{Metal: steel, Thickness: 3e-3, TemperatureC: 60}
	if s := p.SettleS(); s < 400 || s > 900 {
		t.Errorf("time constant %.0f s", s)
	}
	if got := Warmth(p.SettleS(), p.SettleS()); math.Abs(got-1/math.E) > 1e-12 {
		t.Errorf("after one time constant: %v", got)
	}
	if p.OffRoomK() != 40 || (&Piece{Metal: steel}).OffRoomK() != 0 {
		t.Error("difference from the room")
	}
	half := p
	half.Thickness /= 2
	if math.Abs(p.SettleS()-2*half.SettleS()) > 1e-9 {
		t.Error("half the thickness does not cool twice as fast")
	}
}

func TestFaultsOfAFoilLieWhereTheyAre(t *testing.T) {
	for _, condition := range []FoilCondition{FoilCreased, FoilBurred, FoilWorn} {
		spec := FoilSpec{CertifiedUm: 75, Condition: condition, FaultUm: Range{10, 20}}
		for seed := range uint64(200) {
			f := spec.Realise(num.NewStream(seed, "foil"))
			if f.Fault.DepthUm < 10 || f.Fault.DepthUm > 20 {
				t.Fatalf("%s: depth %g", condition, f.Fault.DepthUm)
			}
			most, least := math.Inf(-1), math.Inf(1)
			for i := range 51 {
				for j := range 51 {
					um := f.DamageUm((float64(i)-25)*1e-3, (float64(j)-25)*1e-3)
					most, least = math.Max(most, um), math.Min(least, um)
				}
			}
			high, low := most, least
			if condition == FoilWorn {
				high, low = -least, -most
			}
			if high > f.Fault.DepthUm+1e-9 || high < 0.9*f.Fault.DepthUm || low > 0.15*f.Fault.DepthUm {
				t.Fatalf("%s, seed %d: from %.2f to %.2f µm of %.2f", condition, seed, low, high, f.Fault.DepthUm)
			}
		}
	}
	good := FoilSpec{CertifiedUm: 75, Condition: FoilGood}.Realise(num.NewStream(1, "foil"))
	bare := FoilSpec{CertifiedUm: 75}.Realise(num.NewStream(1, "foil"))
	if good.TrueUm != bare.TrueUm || good.DamageUm(0, 0) != 0 || good.Damaged() {
		t.Errorf("a good foil: %+v", good)
	}
	curled := FoilSpec{CurlUm: 40}
	if curled.CurlGapUm(0) != 40 || !(curled.CurlGapUm(2) < 40) || !(curled.CurlGapUm(10) < curled.CurlGapUm(2)) || curled.CurlGapUm(-1) != 40 {
		t.Error("the probe does not press a curled foil down")
	}
}

func TestASoftFilmGivesAndRecovers(t *testing.T) {
	c := CoatingSpec{MeanUm: []Range{{80, 80}}, SoftUmPerN: 2, RecoverS: 60}.Realise(num.NewStream(1, "film"))
	if got := c.DentUm(3, 100, 80); math.Abs(got-6) > 1e-9 {
		t.Errorf("dent of 3 N after a long time: %g µm, want 6", got)
	}
	if got := c.DentUm(3, creepS, 80); math.Abs(got-6*(1-1/math.E)) > 1e-9 {
		t.Errorf("dent after one time constant: %g µm", got)
	}
	if got := c.DentUm(1000, 100, 80); got != 64 {
		t.Errorf("dent of 1 kN: %g µm of a film of 80", got)
	}
	if got := c.LeftUm(6, 60); math.Abs(got-6/math.E) > 1e-9 {
		t.Errorf("left after one time constant: %g µm", got)
	}
	hard := Coating{MeanUm: 80}
	if hard.DentUm(10, 1, 80) != 0 {
		t.Error("a hard film gave way")
	}
}

// The state of the base metal changes, under-layers stay as they are.
func TestBaseOfLeavesUnderLayersAlone(t *testing.T) {
	steel, _ := MetalByID("steel-mild")
	copper, _ := MetalByID("copper")
	p := Piece{Metal: steel, Thickness: 3e-3, Layers: []Layer{{Metal: copper, Thickness: 1e-5}}}
	state := field.Metal{RelPermeability: 90, Conductivity: 4e6}
	b := p.BaseOf(state)
	if len(b) != 2 || b[0].Metal != copper.Field || b[1].Metal != state || p.Base()[1].Metal != steel.Field {
		t.Errorf("%+v", b)
	}
}
