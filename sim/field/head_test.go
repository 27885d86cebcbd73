package field

import (
	"math"
	"strings"
	"testing"
)

// generalHead is the head of the bench's general ferrous probe.
func generalHead() Head {
	return Head{
		Coil:      Coil{InnerRadius: 1.5e-3, OuterRadius: 3.5e-3, Height: 5e-3, Recess: 1.2e-3, Turns: 500},
		Core:      &Core{Radius: 1.25e-3, Length: 10e-3, Recess: 50e-6, RelPermeability: 1000},
		Frequency: 300, TipRadius: 1.5e-3,
	}
}

func TestHeadValidate(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(h *Head)
		want   string
	}{
		{"inner radius", func(h *Head) { h.Coil.InnerRadius = 0 }, "coil.innerRadius is 0"},
		{"winding thickness", func(h *Head) { h.Coil.OuterRadius = 1e-3 }, "coil.outerRadius 0.001 m is not above"},
		{"turns", func(h *Head) { h.Coil.Turns = math.NaN() }, "coil.turns is NaN"},
		{"recess", func(h *Head) { h.Coil.Recess = -1 }, "coil.recess is -1"},
		{"frequency", func(h *Head) { h.Frequency = math.Inf(1) }, "frequency is +Inf"},
		{"tip", func(h *Head) { h.TipRadius = -1 }, "tipRadius is -1"},
		{"core too wide", func(h *Head) { h.Core.Radius = 1.6e-3 }, "does not fit inside coil.innerRadius"},
		{"core too short", func(h *Head) { h.Core.Length = 2e-3 }, "is below 3 core radii"},
		{"core permeability", func(h *Head) { h.Core.RelPermeability = 5 }, "core.relPermeability is 5"},
	} {
		h := generalHead()
		c.change(&h)
		if err := h.Validate(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want an error with %q", c.name, err, c.want)
		}
		if _, err := NewSensor(h); err == nil {
			t.Errorf("%s: a sensor is made of it", c.name)
		}
	}
	h := Head{}
	if err := h.Validate(); strings.Count(err.Error(), "field: head:") < 5 {
		t.Errorf("an empty head has all its faults reported: got %v", err)
	}
}

func TestBaseValidate(t *testing.T) {
	steel := Metal{300, 5e6}
	for _, c := range []struct {
		name string
		base Base
		want string
	}{
		{"empty", nil, "base has no layer"},
		{"permeability", Base{{Metal{0.5, 0}, 1}}, "layers[0].metal.relPermeability is 0.5"},
		{"conductivity", Base{{steel, 1e-3}, {Metal{1, -1}, 1}}, "layers[1].metal.conductivity is -1"},
		{"thickness", Base{{steel, 0}}, "layers[0].thickness is 0"},
		{"half-space above", Base{{steel, math.Inf(1)}, {steel, 1}}, "layers[0].thickness is infinite but layers follow"},
	} {
		if err := c.base.Validate(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want an error with %q", c.name, err, c.want)
		}
	}
	s := mustSensor(t, generalHead())
	if _, err := s.Over(nil); err == nil {
		t.Error("a sensor is put over nothing")
	}
}

func TestDigestFollowsEveryNumber(t *testing.T) {
	seen := map[string]int{generalHead().Digest(): -1}
	for i, change := range []func(h *Head){
		func(h *Head) { h.Coil.InnerRadius *= 1.001 }, func(h *Head) { h.Coil.OuterRadius *= 1.001 }, func(h *Head) { h.Coil.Height *= 1.001 },
		func(h *Head) { h.Coil.Recess *= 1.001 }, func(h *Head) { h.Coil.Turns++ }, func(h *Head) { h.Frequency++ }, func(h *Head) { h.TipRadius *= 1.001 },
		func(h *Head) { h.Core.Radius *= 0.999 }, func(h *Head) { h.Core.Length *= 1.001 }, func(h *Head) { h.Core.Recess *= 1.001 },
		func(h *Head) { h.Core.RelPermeability++ }, func(h *Head) { h.Core = nil },
	} {
		h := generalHead()
		change(&h)
		if before, clash := seen[h.Digest()]; clash {
			t.Errorf("change %d gives the digest of %d", i, before)
		}
		seen[h.Digest()] = i
	}
}
