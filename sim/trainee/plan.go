package trainee

import (
	"math"
	"slices"

	"foilwright/sim/bench"
	"foilwright/sim/part"
)

// plan is how a trainee means to do the job. A competent plan comes from the
// job sheet and the labels; faults change it.
type plan struct {
	skipTip, skipCertificates, skipClear           bool
	skipZero, skipFoil, skipVerify, skipLastVerify bool
	foilFirst                                      bool
	trusting                                       bool // take every verification for good
	ignoreVerify                                   bool // go on after a verification judged bad
	judgeLastBad                                   bool // judge the last verification bad and report all the same
	waitMs                                         int64
	skipLook, skipWipe, skipSmooth                 bool // of foils and pieces
	skipRest, skipDemagnetise                      bool
	stackedOn                                      string // foil that foils are laid on in the adjustment

	probe, tryProbe                   string // to take in hand; to touch a piece with before that
	zeroPiece, foilPiece, verifyPiece string
	zeroReadings, foilReadings        int
	verifyReadings                    int
	zeroAtEdge, scatteredZero         bool
	foils                             []string // of the adjustment, in order; or coated pieces, where the job has no bare metal
	verifyFoil                        string   // or coated piece
	fallback, fallbackPiece           string   // the foil replaced by a coated piece, and that piece
	setUm                             map[string]float64

	edgeMm        float64 // the probe's own limit, from its data sheet
	leaveFoil     string
	spots         []point
	perSpot       []int
	spreadMm      float64 // of the readings of a spot, about its middle
	besideFeature bool    // edgeSpots stand beside a feature, whose readings keep to the place
	edgeSpots     []point // taken instead of the spot of that number; zero: as planned
	spoil         func(h *hand, g []grip)
	discard       int     // readings to delete and take again
	discardWhy    string  // reason given
	moveMm        float64 // how far from a deleted reading it is taken again
	misrecord     int64   // counts added to the reported mean
	flip          bool    // report the other verdict
	skipReport    bool

	allowanceUm float64 // to be deducted for roughness
	stateTimes  float64 // the uncertainty is stated so many times as large as it is; 0: not at all
}

// point is a place on a piece, millimetres.
type point struct{ x, y float64 }

// competent makes the plan of a trainee who knows the work.
func competent(e *bench.Exercise, h *hand) *plan {
	p := &plan{
		zeroReadings:   e.Limits.ZeroReadings + h.whole(0, 2),
		foilReadings:   e.Limits.FoilReadings + h.whole(0, 2),
		verifyReadings: 3 + h.whole(0, 2),
		setUm:          map[string]float64{},
		spreadMm:       spotSpreadMm(e.Job.Area),
		discardWhy:     "",
		stateTimes:     1,
	}
	p.probe = e.Offered()[0].ID
	if at, _ := e.Best(); at >= 0 {
		p.probe = e.Offered()[at].ID
	}
	p.allowanceUm = e.Job.AllowanceUm
	p.zeroPiece = matching(e)
	p.foilPiece, p.verifyPiece = p.zeroPiece, p.zeroPiece
	p.skipFoil, p.skipZero = e.Job.Adjustment == bench.ZeroOnly, e.Job.OnCoated()
	if !p.skipFoil {
		p.foils = chooseFoils(e, e.Standards())
	}
	p.verifyFoil = verificationFoil(e, p.foils)
	for _, f := range slices.Concat(e.Foils, e.Standards()) {
		p.setUm[f.ID] = f.CertifiedUm
	}
	p.spots = spread(e, h)
	for range p.spots {
		p.perSpot = append(p.perSpot, e.Job.PerSpot)
	}
	return p
}

// matching is the reference piece to adjust on whose label agrees with the part.
func matching(e *bench.Exercise) string {
	for _, r := range e.References {
		if e.Fits(&r) {
			return r.Piece.ID
		}
	}
	for _, r := range e.References {
		if uncoated(r) {
			return r.Piece.ID
		}
	}
	return e.Part.Piece.ID
}

func uncoated(r bench.PieceSpec) bool { return !r.Coating.Present() }

// chooseFoils picks from foils, or from coated pieces, by certificate: one
// nearest the middle of the expected range, or two that bracket it.
func chooseFoils(e *bench.Exercise, from []part.FoilSpec) []string {
	low, high := e.Job.ExpectedUm.Low, e.Job.ExpectedUm.High
	if e.Job.Thicknesses() == 1 {
		return []string{nearest(from, (low+high)/2)}
	}
	below, above := "", ""
	for _, f := range byThickness(from) {
		if f.CertifiedUm <= low {
			below = f.ID
		}
		if f.CertifiedUm >= high && above == "" {
			above = f.ID
		}
	}
	if below == "" {
		below = nearest(from, low)
	}
	if above == "" {
		above = nearest(from, high)
	}
	return []string{below, above}
}

func nearest(from []part.FoilSpec, um float64) string {
	best, distance := "", math.Inf(1)
	for _, f := range fit(from) {
		if d := math.Abs(f.CertifiedUm - um); d < distance {
			best, distance = f.ID, d
		}
	}
	return best
}

// fit lists the foils that look and certificate speak for, or all of them where
// none is.
func fit(from []part.FoilSpec) []part.FoilSpec {
	var list []part.FoilSpec
	for _, f := range from {
		if f.Fit() {
			list = append(list, f)
		}
	}
	if len(list) == 0 {
		list = append(list, from...)
	}
	return list
}

// byThickness lists the foils fit for use, thinnest first.
func byThickness(from []part.FoilSpec) []part.FoilSpec {
	list := fit(from)
	for i := range list {
		for j := i; j > 0 && list[j].CertifiedUm < list[j-1].CertifiedUm; j-- {
			list[j], list[j-1] = list[j-1], list[j]
		}
	}
	return list
}

// verificationFoil is the foil, or coated piece, nearest the expected range that the adjustment
// did not use.
func verificationFoil(e *bench.Exercise, used []string) string {
	middle := (e.Job.ExpectedUm.Low + e.Job.ExpectedUm.High) / 2
	best, distance := "", math.Inf(1)
	for _, f := range fit(e.Standards()) {
		taken := false
		for _, id := range used {
			taken = taken || id == f.ID
		}
		if d := math.Abs(f.CertifiedUm - middle); !taken && d < distance {
			best, distance = f.ID, d
		}
	}
	if best == "" && len(used) > 0 {
		return used[0]
	}
	return best
}

// spotSpreadMm is how far the readings of a spot lie from its middle: less where
// the marked area is narrow.
func spotSpreadMm(a part.Area) float64 {
	return math.Min(7, 1e3*math.Min(a.Width, a.Height)/4)
}

// spread lays the spots out over the whole area: five as on a die, other
// numbers in rows, each a little off its place, and none so near the border of
// the area that its readings would fall outside.
func spread(e *bench.Exercise, h *hand) []point {
	a, n := e.Job.Area, e.Job.Spots
	var unit []point
	if n == 5 {
		unit = []point{{0.15, 0.15}, {0.85, 0.15}, {0.5, 0.5}, {0.15, 0.85}, {0.85, 0.85}}
	} else {
		rows := max(1, int(math.Sqrt(float64(n)*a.Height/a.Width)+0.5))
		rows = min(rows, n)
		for row := range rows {
			here := n / rows
			if row < n%rows {
				here++
			}
			for i := range here {
				unit = append(unit, point{(float64(i) + 0.5) / float64(here), (float64(row) + 0.5) / float64(rows)})
			}
		}
	}
	var spots []point
	keep := spotSpreadMm(a)
	inside := func(v, low, length float64) float64 {
		return math.Max(float64(low*1e3)+keep, math.Min(float64((low+length)*1e3)-keep, v))
	}
	for _, u := range unit {
		x := float64(a.X*1e3) + float64(a.Width*1e3*u.x) + float64(h.between(-1, 1)*math.Min(10, a.Width*1e3*0.05))
		y := float64(a.Y*1e3) + float64(a.Height*1e3*u.y) + float64(h.between(-1, 1)*math.Min(10, a.Height*1e3*0.05))
		spots = append(spots, point{inside(x, a.X, a.Width), inside(y, a.Y, a.Height)})
	}
	return spots
}
