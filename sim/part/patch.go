package part

import (
	"math"

	"foilwright/sim/num"
)

// PatchSpec is a place where the film is thinner or thicker than elsewhere, such
// as a corner that the spray missed.
type PatchSpec struct {
	Area  Area
	ByUm  Range   // added to the film there, um; below 0 where it is thinner
	FadeM float64 // width over which it fades out around the area, metres
}

// patch is a patch as drawn.
type patch struct {
	area  Area
	byUm  float64
	fadeM float64
}

func realisePatches(specs []PatchSpec, s *num.Stream) []patch {
	var list []patch
	for _, p := range specs {
		list = append(list, patch{p.Area, p.ByUm.Low + float64((p.ByUm.High-p.ByUm.Low)*s.Float64()), p.FadeM})
	}
	return list
}

// at is what the patch adds at a place in metres: all of it within its area,
// fading out along a cosine around it.
func (p *patch) at(x, y float64) float64 {
	dx := max(0, max(p.area.X-x, x-p.area.X-p.area.Width))
	dy := max(0, max(p.area.Y-y, y-p.area.Y-p.area.Height))
	switch away := num.Hypot(dx, dy); {
	case away == 0:
		return p.byUm
	case away < p.fadeM:
		return float64(p.byUm * (1 + num.Cos(math.Pi*away/p.fadeM)) / 2)
	}
	return 0
}
