package probe

import (
	"math"

	"foilwright/sim/num"
	"foilwright/sim/part"
)

// Rest is how the tip of a probe comes to rest on a rough surface, against the
// plane that its field takes the surface for.
//
// The tip is a sphere that rests on the peaks under it. The field takes the
// surface for a plane a little above its mean: by the sum of |k| |z_k|^2 over
// the waves of the surface (perturbation of second order), which is
// sqrt(pi) Sq^2/l for an autocorrelation exp(-(r/l)^2). For steep surfaces that
// overstates it; it is saturated as shift/sqrt(1 + 0.85 (shift/Sq)^2), which fits
// two-dimensional finite elements over z = A cos kx up to kA = 2. The mean is
// that over the head's footprint, weighed exp(-(r/w)^2). For eddy currents the
// same holds as long as the skin depth is small against l; where it is not, the
// shift is overstated.
type Rest struct {
	step   float64   // between nodes, metres
	n      int       // nodes along each side of the tile, a power of two
	um     []float64 // departure of the rise from its mean, um
	MeanUm float64   // mean rise of the tip above the field's plane, um
	ScatUm float64   // standard deviation of the rise at random places, um
	fade   float64   // 1/um: how fast a film bridges the profile
}

// Footprint is the radius over which a head takes the mean of a surface,
// metres: the inner radius of its winding.
func (d Design) Footprint() float64 { return d.Head.Coil.InnerRadius }

// ShiftUm is how far above its mean the field takes a texture's surface to be.
func ShiftUm(t part.Texture) float64 {
	sq := t.SqUm()
	if sq == 0 {
		return 0
	}
	shift := float64(math.Sqrt(math.Pi)*sq*sq) / float64(t.Correlation*1e6)
	return shift / math.Sqrt(1+float64(0.85*(shift/sq)*(shift/sq)))
}

// RestOn works out how the probe's tip rests everywhere on a relief; nil on a
// smooth surface.
func (d Design) RestOn(r *part.Relief) *Rest {
	if r == nil {
		return nil
	}
	rest := &Rest{step: r.Step, n: r.N, fade: 1 / float64(r.Texture.Correlation*1e6)}
	rest.um = peaks(r, d.Head.TipRadius)
	mean, shift := footprintMean(r, d.Footprint()), ShiftUm(r.Texture)
	for i := range r.N {
		for j := range r.N {
			rest.um[i*r.N+j] -= mean.at(float64(j), float64(i)) + shift
		}
	}
	n := float64(len(rest.um))
	rest.MeanUm = num.Sum(rest.um) / n
	squares := 0.0
	for i := range rest.um {
		rest.um[i] -= rest.MeanUm
		squares += float64(rest.um[i] * rest.um[i])
	}
	rest.ScatUm = math.Sqrt(squares / n)
	return rest
}

// Bridging is the share of the profile's unevenness that the tip still feels
// through a cover of film and foil, um. Training assumption: a film fills the
// valleys and levels the profile within a correlation length.
func (r *Rest) Bridging(coverUm float64) float64 { return num.Exp(-max(coverUm, 0) * r.fade) }

// RiseUm is the gap in um between the tip and the field's plane that the
// texture adds at a place in metres, under a cover of film and foil in um. A
// film's thickness counts from the height at which the tip rests on the bare
// surface on average: the thickness over the peaks.
func (r *Rest) RiseUm(x, y, coverUm float64) float64 {
	if r == nil {
		return 0
	}
	return r.RiseOverUm(r.DepartureUm(x, y), coverUm)
}

// DepartureUm is by how much the rise at a place in metres departs from its mean
// on the bare surface, um.
func (r *Rest) DepartureUm(x, y float64) float64 { return tile{r.um, r.n}.at(x/r.step, y/r.step) }

// RiseOverUm is RiseUm where the departure is known, um.
func (r *Rest) RiseOverUm(departureUm, coverUm float64) float64 {
	return r.MeanUm + float64(r.Bridging(coverUm)*departureUm)
}

// tile is a square of values that repeats.
type tile struct {
	v []float64
	n int // a power of two
}

// at interpolates between nodes.
func (t tile) at(x, y float64) float64 {
	x0, y0 := math.Floor(x), math.Floor(y)
	fx, fy := x-x0, y-y0
	mask := t.n - 1
	j, i := int(x0)&mask, int(y0)&mask
	j1, i1 := (j+1)&mask, (i+1)&mask
	low := t.v[i*t.n+j] + float64(fx*(t.v[i*t.n+j1]-t.v[i*t.n+j]))
	high := t.v[i1*t.n+j] + float64(fx*(t.v[i1*t.n+j1]-t.v[i1*t.n+j]))
	return low + float64(fy*(high-low))
}

// peaks is the height in um at which a sphere rests, by the place of its lowest
// point: the highest of z - r^2/2R about it. That is two passes, one along each
// direction (R. van den Boomgaard, 1992: a parabola dilates by directions).
func peaks(r *part.Relief, radius float64) []float64 {
	rows, all := make([]float64, len(r.Um)), make([]float64, len(r.Um))
	perNode := float64(r.Step*r.Step) / (2 * radius) * 1e6
	dilate(r.Um, rows, perNode, r.N, 1, r.N)
	dilate(rows, all, perNode, r.N, r.N, 1)
	return all
}

// dilate lets a parabola of the given drop over one node rest on every line of
// a tile.
func dilate(from, to []float64, perNode float64, n, along, across int) {
	line := make([]float64, n)
	for l := range n {
		highest := math.Inf(-1)
		for i := range line {
			line[i] = from[l*across+i*along]
			highest = max(highest, line[i])
		}
		for i, best := range line {
			for k := 1; k <= n/2; k++ {
				drop := float64(float64(k*k) * perNode)
				if highest-drop <= best {
					break
				}
				best = max(best, max(line[(i+k)&(n-1)], line[(i-k)&(n-1)])-drop)
			}
			to[l*across+i*along] = best
		}
	}
}

// meanBlock is how many nodes are taken together for the footprint's mean.
const meanBlock = 8

// footprint is the mean height over the head's footprint, on coarse nodes.
type footprint struct{ tile }

func (f footprint) at(x, y float64) float64 {
	return f.tile.at((x-(meanBlock-1)/2.0)/meanBlock, (y-(meanBlock-1)/2.0)/meanBlock)
}

func footprintMean(r *part.Relief, radius float64) footprint {
	n := r.N / meanBlock
	coarse, rows, all := make([]float64, n*n), make([]float64, n*n), make([]float64, n*n)
	for i := range r.N {
		for j := range r.N {
			coarse[i/meanBlock*n+j/meanBlock] += r.Um[i*r.N+j] / (meanBlock * meanBlock)
		}
	}
	kernel := make([]float64, n)
	sum := 0.0
	for k := range kernel {
		// Every copy of the tile within reach counts.
		for turn := -2; turn <= 2; turn++ {
			d := float64(k+turn*n) * r.Step * meanBlock / radius
			kernel[k] += num.Exp(-d * d)
		}
		sum += kernel[k]
	}
	spread := func(from, to []float64, along, across int) {
		for l := range n {
			for i := range n {
				total := 0.0
				for k, w := range kernel {
					total += float64(w * from[l*across+(i+k)&(n-1)*along])
				}
				to[l*across+i*along] = total / sum
			}
		}
	}
	spread(coarse, rows, 1, n)
	spread(rows, all, n, 1)
	return footprint{tile{all, n}}
}
