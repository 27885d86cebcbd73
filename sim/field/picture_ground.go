package field

import (
	"errors"
	"math"
)

// Ground is what the surface in a section is like: level 0 under the probe's side, other levels beyond Breaks. Metres.
type Ground struct {
	// Breaks are where the level changes, the second +Inf where there is one alone.
	Breaks [2]float64
	// Levels are the heights of the surface before, between and after them; -Inf where there is no metal.
	Levels [3]float64
	// Round tells that the metal ends at a round hole whose rim the breaks are, not along lines across the section.
	Round bool
}

// Even is a ground without breaks.
func Even() Ground { return Ground{Breaks: [2]float64{math.Inf(1), math.Inf(1)}} }

// Level returns the height of the surface at x.
func (g *Ground) Level(x float64) float64 {
	switch {
	case x < g.Breaks[0]:
		return g.Levels[0]
	case x < g.Breaks[1]:
		return g.Levels[1]
	}
	return g.Levels[2]
}

// Even reports whether the ground has no breaks.
func (g *Ground) Even() bool { return math.IsInf(g.Breaks[0], 1) }

// groundOf tells what the features of a place make of the section, which they share: the first lies at +x. A step down
// after a step up is the far side of what rises; a second step down lies at -x, and the probe stands on what rises.
func groundOf(beside *[MostBeside]Feature) Ground {
	g := Even()
	a, b := &beside[0], &beside[1]
	switch a.Kind {
	case roundHole:
		return Ground{[2]float64{a.Distance, a.Distance + 2*a.Size}, [3]float64{0, math.Inf(-1), 0}, true}
	case stepDown:
		g.Breaks[0], g.Levels = a.Distance, [3]float64{0, -a.Size, -a.Size}
		if b.Kind == stepDown {
			g.Breaks, g.Levels = [2]float64{-b.Distance, a.Distance}, [3]float64{-b.Size, 0, -a.Size}
		}
	case stepUp:
		g.Breaks[0], g.Levels = a.Distance, [3]float64{0, a.Size, a.Size}
		if b.Kind == stepDown {
			g.Breaks[1], g.Levels[2] = b.Distance, a.Size-b.Size
		}
	}
	return g
}

// groundAnswer is what ideal metal with such a ground gives back beyond the mirrored sources under the probe: charges a
// little below its surface, set so that on the surface the potential (metal that attracts) or the field across it (metal
// that repels) vanishes, in the middle of each of them. The ground stands still in it and the probe moves.
type groundAnswer struct {
	ground Ground // as it seems to the metal's own depth, the first break at 0
	repels bool
	scale  float64 // outer radius of the winding

	feet    []footing
	parts   []point // of the charges: each is spread over several
	whole   []lumped
	inverse []float64
	want    []float64
	charge  []float64 // of each part
	all     []float64 // of all parts of a footing
}

// footing is a place on the surface where the condition is kept, and the charge below it.
type footing struct {
	at, out    point // out is the normal into the air
	first, end int   // of its parts, each standing for itself and its mirror image in the section
}

// lumped is the charge of a footing as the section sees it from afar: in the middle of its parts.
type lumped struct{ x, y2, z, near2 float64 } // y and the distance from which on that will do, both squared

// groundAfar is that distance over the width the parts are spread over; on a weld it costs 0.03 % of the greatest field.
const groundAfar = 1.2

// Shares of the outer radius of the winding.
const (
	groundFine   = 0.06 // cells at a corner
	groundGrowth = 0.4  // of cells over their distance from it
	groundReach  = 8    // how far the surface is followed
	groundSunk   = 0.6  // how deep a charge lies, over the size of its cell
	groundFlat   = 0.35 // the least size of cells over their width beside the section
)

var groundAcross = [...]float64{0, 0.12, 0.3, 0.56, 0.95, 1.5, 2.4, 3.8, 6, groundReach}

func (a *groundAnswer) is(g Ground, repels bool, scale float64) bool {
	return g == a.ground && repels == a.repels && scale == a.scale
}

// set prepares the answer of a ground; some 10 to 60 ms.
func (a *groundAnswer) set(g Ground, repels bool, scale float64) {
	a.ground, a.repels, a.scale = g, repels, scale
	a.feet, a.parts, a.whole = a.feet[:0], a.parts[:0], a.whole[:0]
	far, round := groundReach*scale, math.Inf(1)
	if g.Round {
		round = math.Pi * g.Breaks[1] / 2
	}
	was := 0.0
	for _, share := range groundAcross {
		to := share * scale
		if share == groundReach && g.Round || to > round {
			to = round
		}
		a.strip(was, to, far)
		if was = to; was == round {
			break
		}
	}
	a.invert()
}

// strip lays feet on the whole profile between two distances from the section, along the line of the break or round the
// hole.
func (a *groundAnswer) strip(from, to, far float64) {
	g := &a.ground
	first, last := 0.0, 0.0
	levels := g.Levels
	b := band{from: from, to: to, fine: max(groundFine*a.scale, groundFlat*(to-from))}
	if g.Round {
		levels[1] = -min(3*g.Breaks[1]/2, far)
	} else if !math.IsInf(g.Breaks[1], 1) {
		last = g.Breaks[1]
	}
	a.segment(&b, first-far, levels[0], first, levels[0], false, true)
	a.segment(&b, first, levels[0], first, levels[1], true, !g.Round)
	if g.Round {
		return
	}
	if last > first {
		a.segment(&b, first, levels[1], last, levels[1], true, true)
		a.segment(&b, last, levels[1], last, levels[2], true, true)
	}
	a.segment(&b, last, levels[2], last+far, levels[2], true, false)
}

// band is a strip of the surface along the section: from where to where beside it, and the size of its cells at corners.
type band struct{ from, to, fine float64 }

// segment lays feet along a straight piece of the profile, finest at those ends that are corners. The metal is at its
// right.
func (a *groundAnswer) segment(b *band, x0, z0, x1, z1 float64, fine0, fine1 bool) {
	length := math.Hypot(x1-x0, z1-z0)
	if length == 0 {
		return
	}
	dx, dz := (x1-x0)/length, (z1-z0)/length
	// From the fine ends to the middle, or to the end that is not; charges lie a little farther from the corner than feet.
	half := func(from, sign, until float64) {
		for s := 0.0; s < until*(1-1e-9); {
			step := b.fine + groundGrowth*s
			if rest := until - s; rest < 1.5*step {
				step = rest
			}
			at := func(s, sunk float64) point {
				s = from + sign*s
				return point{x0 + dx*s + dz*sunk, 0, z0 + dz*s - dx*sunk}
			}
			a.foot(b, at(s+step/2, 0), at(s+0.75*step, groundSunk*step), point{-dz, 0, dx}, step)
			s += step
		}
	}
	switch {
	case fine0 && fine1:
		half(0, 1, length/2)
		half(length, -1, length/2)
	case fine0:
		half(0, 1, length)
	default:
		half(length, -1, length)
	}
}

// foot adds one, with its charge spread over the band.
func (a *groundAnswer) foot(b *band, at, below, out point, size float64) {
	radius := a.ground.Breaks[1] / 2
	beside := func(p point, v float64) point {
		if !a.ground.Round {
			return point{p.x, v, p.z}
		}
		sin, cos := math.Sincos(v / radius)
		return point{radius - (radius-p.x)*cos, (radius - p.x) * sin, p.z}
	}
	wide := b.to - b.from
	f := footing{at: beside(at, b.from+wide/2), out: out, first: len(a.parts)}
	if a.ground.Round {
		sin, cos := math.Sincos((b.from + wide/2) / radius)
		f.out = point{out.x * cos, -out.x * sin, out.z}
	}
	n := max(1, min(5, int(wide/(1.5*groundSunk*size)+0.5)))
	for k := range n {
		a.parts = append(a.parts, beside(below, b.from+wide*(float64(k)+0.5)/float64(n)))
	}
	f.end = len(a.parts)
	a.feet = append(a.feet, f)
	var mid point
	for _, q := range a.parts[f.first:] {
		mid.x += q.x / float64(n)
		mid.y += q.y / float64(n)
		mid.z += q.z / float64(n)
	}
	w := lumped{x: mid.x, y2: mid.y * mid.y, z: mid.z}
	if n > 1 {
		w.near2 = groundAfar * wide * groundAfar * wide
	}
	a.whole = append(a.whole, w)
}

// felt is what a unit charge at q and its mirror image, half each, do at a foot: potential or field across the surface,
// times 4 pi.
func (a *groundAnswer) felt(f *footing, q point) float64 {
	dx, dz := f.at.x-q.x, f.at.z-q.z
	one := func(y float64) float64 {
		v := 1 / math.Sqrt(dx*dx+y*y+dz*dz)
		if a.repels {
			v *= -(dx*f.out.x + y*f.out.y + dz*f.out.z) * v * v
		}
		return v
	}
	if q.y == 0 {
		return one(f.at.y)
	}
	return (one(f.at.y-q.y) + one(f.at.y+q.y)) / 2
}

// invert solves for the charges once and for all, by Gauss and Jordan with pivots.
func (a *groundAnswer) invert() {
	n := len(a.feet)
	m := make([]float64, n*n)
	for i := range a.feet {
		for j := range a.feet {
			f := &a.feet[j]
			for _, q := range a.parts[f.first:f.end] {
				m[i*n+j] += a.felt(&a.feet[i], q) / float64(f.end-f.first)
			}
		}
	}
	// In its own place: column k makes room for that of the inverse as soon as it is eliminated.
	swapped := make([]int, n)
	for k := range n {
		p := k
		for i := k + 1; i < n; i++ {
			if math.Abs(m[i*n+k]) > math.Abs(m[p*n+k]) {
				p = i
			}
		}
		swapped[k] = p
		top := m[k*n : (k+1)*n]
		if p != k {
			other := m[p*n : (p+1)*n]
			for j := range top {
				top[j], other[j] = other[j], top[j]
			}
		}
		scale := 1 / top[k]
		top[k] = 1
		for j := range top {
			top[j] *= scale
		}
		for i := range n {
			row := m[i*n : (i+1)*n]
			t := row[k]
			if i == k || t == 0 {
				continue
			}
			row[k] = 0
			for j, v := range top {
				row[j] -= t * v
			}
		}
	}
	for k := n - 1; k >= 0; k-- {
		if p := swapped[k]; p != k {
			for i := range n {
				m[i*n+k], m[i*n+p] = m[i*n+p], m[i*n+k]
			}
		}
	}
	a.inverse = m
	a.want, a.charge, a.all = make([]float64, n), make([]float64, n), make([]float64, n)
}

// mirrored is the share of a source at a place whose mirror image in the level under it counts: all of it well inside
// the metal, none where its image would lie in air.
func (a *groundAnswer) mirrored(x, y, z float64) float64 {
	g := &a.ground
	inside := 0.0 // of the image, from the nearest air
	switch {
	case g.Round:
		radius := g.Breaks[1] / 2
		inside = math.Hypot(x-radius, y) - radius
	case g.Levels[0] == 0:
		inside = max(-x, z+min(g.Levels[1], g.Levels[2]))
	default: // on what rises
		inside = max(min(x, g.Breaks[1]-x), z+min(g.Levels[0], g.Levels[2]))
	}
	return min(max(inside/(0.1*a.scale+0.15*z), 0), 1)
}

// answer sets the charges for sources as they stand, x from the first break, z from the apparent level under the probe.
// Their images are weighted by the shares of mirrored.
func (a *groundAnswer) answer(sources []lump) {
	image := -1.0
	if a.repels {
		image = 1
	}
	for i := range a.feet {
		f := &a.feet[i]
		sum := 0.0
		for k := range sources {
			l := &sources[k]
			sum += real(l.q) * a.felt(f, point{l.x, l.y, l.z})
			if l.mirrored > 0 {
				sum += real(l.q) * image * l.mirrored * a.felt(f, point{l.x, l.y, -l.z})
			}
		}
		a.want[i] = -sum
	}
	n := len(a.feet)
	for i := range n {
		sum := 0.0
		for j, v := range a.inverse[i*n : (i+1)*n] {
			sum += v * a.want[j]
		}
		a.all[i], a.charge[i] = sum, sum/float64(a.feet[i].end-a.feet[i].first)
	}
}

// slope returns minus the slope of the potential of the charges and of the images at a place of the section, times 4 pi.
func (a *groundAnswer) slope(sources []lump, x, z float64) (bx, bz float64) {
	for i := range a.whole {
		w := &a.whole[i]
		dx, dz := x-w.x, z-w.z
		d2 := dx*dx + w.y2 + dz*dz
		if d2 >= w.near2 {
			v := 1 / math.Sqrt(d2)
			v *= v * v * a.all[i]
			bx += v * dx
			bz += v * dz
			continue
		}
		f := &a.feet[i]
		for _, q := range a.parts[f.first:f.end] {
			dx, dz := x-q.x, z-q.z
			v := 1 / math.Sqrt(dx*dx+q.y*q.y+dz*dz)
			v *= v * v * a.charge[i]
			bx += v * dx
			bz += v * dz
		}
	}
	image := -1.0
	if a.repels {
		image = 1
	}
	for k := range sources {
		l := &sources[k]
		if l.mirrored == 0 {
			continue
		}
		dx, dz := x-l.x, z+l.z
		v := 1 / math.Sqrt(dx*dx+l.y*l.y+dz*dz)
		v *= v * v * real(l.q) * image * l.mirrored
		bx += v * dx
		bz += v * dz
	}
	return bx, bz
}

// wallHeight stands for a wall without end, in outer radii of the winding.
const wallHeight = 6

// Wall is the foot of a wall that rises out of the frame, for pictures: distance of the axis in metres.
func (h Head) Wall(distance float64) Feature {
	return StepUp(distance, wallHeight*h.Coil.OuterRadius)
}

// setGround prepares the ground of a place's features, if it reaches into the frame.
func (p *Picture) setGround(beside *[MostBeside]Feature) {
	g := groundOf(beside)
	half := p.head.frame.Half
	if g.Breaks[0] >= half || g.Breaks[0] <= -half && g.Breaks[1] >= half && g.Levels[1] == 0 {
		return
	}
	p.Ground = g
	if far := 3 * p.head.sensor.head.Coil.OuterRadius; !g.Round && g.Breaks[1] > far {
		g.Breaks[1] = math.Inf(1) // what is so far changes little
	}
	p.faces = p.answers.of(g.seen(p.stack.depth), p.stack.weak < 0, p.head.sensor.head.Coil.OuterRadius)
}

// Prepare makes the answers of what may come to be beside the head on the metal of the last On, so that no picture has to
// wait for one: some 10 to 60 ms each, and nothing for those it has made before. It keeps those of the last eight.
func (p *Picture) Prepare(beside [MostBeside]Feature) error {
	if p.stack.base == nil {
		return errors.New("field: picture without metal; call On first")
	}
	was := p.Ground
	p.setGround(&beside)
	p.Ground = was
	return nil
}

// groundAnswers keeps the answers of the last grounds.
type groundAnswers struct {
	kept []*groundAnswer
	next int
}

const groundsKept = 8

func (k *groundAnswers) of(g Ground, repels bool, scale float64) *groundAnswer {
	for _, a := range k.kept {
		if a.is(g, repels, scale) {
			return a
		}
	}
	if len(k.kept) < groundsKept {
		k.kept = append(k.kept, &groundAnswer{})
		k.next = len(k.kept) - 1
	}
	a := k.kept[k.next]
	k.next = (k.next + 1) % groundsKept
	a.set(g, repels, scale)
	return a
}

// seen is the ground as it seems to metal whose apparent faces lie so deep, from its first break on. It is rounded, so
// that it is the same ground wherever the head stands.
func (g Ground) seen(deep float64) Ground {
	whole := func(x float64) float64 { return math.Round(x*1e9) / 1e9 }
	for i, level := range g.Levels {
		g.Levels[i] = whole(level)
	}
	if g.Round {
		radius := (g.Breaks[1] - g.Breaks[0]) / 2
		radius += deep * radius / (deep + radius)
		g.Breaks = [2]float64{0, whole(2 * radius)}
		return g
	}
	shift := func(from, to float64) float64 {
		if to > from {
			return deep
		}
		return -deep
	}
	second := g.Breaks[1] + shift(g.Levels[1], g.Levels[2])
	first := g.Breaks[0] + shift(g.Levels[0], g.Levels[1])
	g.Breaks = [2]float64{0, whole(second - first)}
	return g
}

// firstBreak is where the first break of the ground seems to lie.
func (p *Picture) firstBreak() float64 {
	g := &p.Ground
	switch {
	case g.Round:
		return (g.Breaks[0] + g.Breaks[1] - p.faces.ground.Breaks[1]) / 2
	case g.Levels[1] > g.Levels[0]:
		return g.Breaks[0] + p.stack.depth
	}
	return g.Breaks[0] - p.stack.depth
}

// overMetal is 1 over metal and falls to 0 as the axis gets over a hole by the radius of the core: the share of the flat
// metal's answer that the core's charges are solved with.
func (p *Picture) overMetal() float64 {
	if !p.Ground.Round || p.Ground.Breaks[0] >= 0 {
		return 1
	}
	return max(0, 1-max(0, min(-p.Ground.Breaks[0], p.Ground.Breaks[1]))/p.head.sensor.head.Core.Radius)
}

// overGround adds to the flat field what the ground of ideal metal changes, and fills what lies below the level under the
// probe. Over no metal, and where the probe itself is over none, all of the field is the ground's.
func (p *Picture) overGround() {
	first, deep := p.firstBreak(), p.stack.depth
	for i := range p.lumps {
		l := &p.lumps[i]
		q := &p.grounded[i]
		*q = *l
		q.x, q.z = l.x-first, l.z+deep
		q.mirrored = p.faces.mirrored(q.x, q.y, q.z)
	}
	p.faces.answer(p.grounded)
	f := math.Abs(p.stack.weak) / (4 * math.Pi)
	at := func(x, z float64) (bx, bz float64) {
		x, z = p.intoAir(x, z)
		bx, bz = p.faces.slope(p.grounded, x-first, z+deep)
		return bx * f, bz * f
	}
	whole, c := &p.whole, &p.change
	for j, z := range c.z {
		for i, x := range c.x {
			k := j*c.cols + i
			whole.bx[k], whole.bz[k] = at(x, z)
			px, pz := p.planeField(x, z)
			c.bx[k], c.bz[k] = whole.bx[k]-px, whole.bz[k]-pz
		}
	}
	bare := p.Ground.Level(0) != 0
	for i, x := range p.air.x {
		from, change := &p.air, c
		if bare || p.Ground.Level(x) != 0 {
			change = whole
		}
		for j := range p.air.rows {
			k := j*columns + i
			bx, bz := change.between(change.bx, i, j), change.between(change.bz, i, j)
			if change == c {
				bx, bz = bx+from.bx[k], bz+from.bz[k]
			}
			from.bx[k], from.bz[k] = bx, bz
		}
	}
	for side, b := range [2]*patch{&p.beyond, &p.beside} {
		x0, x1, floor := p.pit(side)
		if floor == 0 {
			continue
		}
		for i, t := range p.head.besideX {
			b.x[i] = x0 + (x1-x0)*t
		}
		for j, t := range p.head.besideZ {
			b.z[j] = -t / p.head.frame.Below * floor
			for i, x := range b.x {
				b.bx[j*b.cols+i], b.bz[j*b.cols+i] = at(x, b.z[j])
			}
		}
	}
}

// planeField is the field that comes back to the upright head from the ideal plane.
func (p *Picture) planeField(x, z float64) (bx, bz float64) {
	for k := range p.upright {
		l := &p.upright[k]
		dx, up := x-l.x, z+l.z+2*p.stack.depth
		d2 := dx*dx + l.y*l.y + up*up
		q := real(l.q) / (d2 * math.Sqrt(d2))
		bx += q * dx
		bz += q * up
	}
	f := -p.stack.weak / (4 * math.Pi)
	return bx * f, bz * f
}

// pit is what lies below the level under the probe at a side, 0 left: from where it begins to where it ends, and how
// deep; 0: nothing does.
func (p *Picture) pit(side int) (from, to, deep float64) {
	g, f := &p.Ground, p.head.frame
	below := func(level float64) float64 { return min(-level, f.Below) }
	if side == 0 {
		if g.Levels[0] < 0 {
			return g.Breaks[0], min(-f.Half, g.Breaks[0]-f.Half/20), below(g.Levels[0])
		}
		return 0, 0, 0
	}
	switch {
	case g.Levels[1] < 0:
		return g.Breaks[0], max(min(g.Breaks[1], f.Half), g.Breaks[0]+f.Half/20), below(g.Levels[1])
	case g.Levels[2] < 0:
		return g.Breaks[1], max(f.Half, g.Breaks[1]+f.Half/20), below(g.Levels[2])
	}
	return 0, 0, 0
}

// besideGround is what comes back at a place in the air below the level under the probe.
func (p *Picture) besideGround(x, z float64) (bx, bz float64) {
	side, b := 1, &p.beside
	if p.Ground.Levels[0] < 0 && x < p.Ground.Breaks[0] {
		side, b = 0, &p.beyond
	}
	from, to, deep := p.pit(side)
	if deep == 0 {
		return 0, 0
	}
	u := min(max((x-from)/(to-from), 0), 1)
	return b.at(find(u, b.cols, 1, besideCrowd), find(-z*p.head.frame.Below/deep, b.rows, p.head.frame.Below, besideCrowd))
}

// intoAir moves a place inside what rises to its nearest face: nodes there serve those beside them.
func (p *Picture) intoAir(x, z float64) (float64, float64) {
	g := &p.Ground
	over := g.Level(x) - z
	if !(over > 0) {
		return x, z
	}
	nx, away := x, over
	for i, at := range g.Breaks {
		// Towards the lower side.
		if d := math.Abs(x - at); d < away && z > min(g.Levels[i], g.Levels[i+1]) {
			away, nx = d, at
		}
	}
	if nx != x {
		return nx, z
	}
	return x, z + over
}

// inGround is the field in the metal of a ground: that under the probe's own level, bent round the corner of a step down or
// a rim by a right angle. What rises, floors, and metal beside a hole under the probe show none.
func (p *Picture) inGround(x, z float64) (bx, bz float64) {
	g := &p.Ground
	if g.Level(0) != 0 || g.Level(x) != 0 || z > 0 {
		return 0, 0
	}
	if p.stack.weak > 0 {
		for i, at := range g.Breaks {
			out := math.Copysign(1, at-x) // towards the break
			other := g.Levels[i+1]
			if out < 0 {
				other = g.Levels[i]
			}
			if behind := math.Abs(at - x); behind < -z && other < 0 {
				if z < other {
					return 0, 0 // round the corner it goes down to the floor alone
				}
				down, away := p.metal.at(p.head, at-out*z, behind)
				return out * away, -out * down
			}
		}
	}
	return p.metal.at(p.head, x, -z)
}
