// Package bench is one attempt at an exercise as a deterministic state
// machine: Actions in, Events out, and the log of both.
//
// Start with New, feed Actions to (*Bench).Do, read View for what a trainee
// can see. Replay rebuilds an attempt from its log. The hidden truth is drawn
// from the exercise and the seed alone and is never written to a log.
package bench

import (
	"fmt"

	"foilwright/sim/num"
	"foilwright/sim/part"
	"foilwright/sim/probe"
)

// Exercise is a job to be done on the bench, as an instructor wrote it. Only
// what is written here, the seed and the actions decide what happens.
type Exercise struct {
	ID, Title string
	Digest    string // of the file it was read from; set by the loader
	Summary   string // one or two sentences for the list of exercises
	Skills    []string
	Minutes   int // expected time

	Chapter       string   // where on the path of exercises it stands; see scenarios.Chapters
	Prerequisites []string // ids of exercises to be done before
	Competent     string   // what a competent result looks like
	Mistakes      []Mistake
	Assessment    bool // no coaching and no view of the field

	Job        Job
	Probe      probe.Design   // in hand at the start
	Probes     []probe.Design // all on the bench, Probe first; empty: Probe alone
	Instrument Instrument
	Part       PieceSpec
	References []PieceSpec
	Foils      []part.FoilSpec
	// Demagnetiser says that one lies on the bench.
	Demagnetiser bool
	Limits       Limits
	Cautions     []string
}

// Mistake is one that is typical of an exercise: the check of sim/grade that
// finds it, and what goes wrong, in words.
type Mistake struct{ Check, Text string }

// Job is the job sheet.
type Job struct {
	Customer, Item string
	Text           string // what is to be done, in plain words
	Base, Coating  string // as written on the sheet
	ExpectedUm     part.Range
	NominalUm      float64 // NDFT the film is judged against
	Adjustment     string  // one of Adjustments
	Spots          int
	PerSpot        int
	Area           part.Area // where the spots must lie
	AllowanceUm    float64   // to be deducted for roughness, with an adjustment on smooth metal; 0: none
	WithLayers     bool      // metallic under-layers count as coating; otherwise the film above them is asked for
	Rule           Rule
	// StateUncertainty asks for the expanded uncertainty of the mean beside it.
	StateUncertainty bool
}

// The adjustments a job sheet can ask for. The last two are the fall-back where
// no bare metal like the part's can be had: no zero, and the certified film of
// one coated piece, or of two that bracket the expected thickness, in place of
// foils. The trade uses it for films above 200 µm or so; that it matches the base
// less well goes into the uncertainty (common practice, no source).
const (
	ZeroOnly        = "zero"
	OneFoil         = "one-foil"
	TwoFoils        = "two-foil"
	OneCoatedPiece  = "one-coated-piece"
	TwoCoatedPieces = "two-coated-pieces"
)

// Adjustments lists what a job sheet can ask for.
func Adjustments() []string {
	return []string{ZeroOnly, OneFoil, TwoFoils, OneCoatedPiece, TwoCoatedPieces}
}

// AdjustmentWords is an adjustment as a job sheet words it.
func AdjustmentWords(adjustment string) string {
	return map[string]string{
		ZeroOnly: "zero only", OneFoil: "zero and one foil", TwoFoils: "zero and two foils",
		OneCoatedPiece:  "no bare metal at hand: one certified coated piece",
		TwoCoatedPieces: "no bare metal at hand: two certified coated pieces",
	}[adjustment]
}

// OnCoated reports whether the job is adjusted on coated pieces of certified
// thickness, without a zero, because no bare metal like the part's is at hand.
func (j *Job) OnCoated() bool {
	return j.Adjustment == OneCoatedPiece || j.Adjustment == TwoCoatedPieces
}

// Thicknesses is how many known thicknesses the adjustment takes.
func (j *Job) Thicknesses() int {
	switch j.Adjustment {
	case OneFoil, OneCoatedPiece:
		return 1
	case TwoFoils, TwoCoatedPieces:
		return 2
	}
	return 0
}

// Instrument is the condition of the instrument on the bench.
type Instrument struct {
	ResolutionUm     float64
	NoiseRelative    float64 // standard deviation of a signal, relative
	DriftPerHour     float64 // relative change of signal
	EarlierReadingUm []float64

	TipDirtUm    part.Range // dirt on the tip; drawn from the seed, below 1 µm it is clean
	TipWearUm    float64    // by which the tip is worn shorter
	TemperatureC float64    // when the attempt begins; 0: part.RoomC
}

// PieceSpec describes a piece and its film before the seed has drawn it.
type PieceSpec struct {
	Piece   part.Piece
	Coating part.CoatingSpec
}

// Mismatch names what keeps an uncoated piece from being one to adjust on:
// what differs between it and the part below the coating asked for, or smooth
// metal where the job has an allowance deducted; none when it matches.
func (e *Exercise) Mismatch(p *part.Piece) []string {
	below := e.Part.Piece
	if e.Job.WithLayers {
		below.Layers = nil
	}
	if e.Job.AllowanceUm > 0 {
		below.Texture = part.Texture{}
	}
	return p.Differences(&below)
}

// Fits reports whether a reference piece is one the job is to be adjusted on:
// like the part below the film, and bare, or certified where the job has no bare
// metal.
func (e *Exercise) Fits(r *PieceSpec) bool {
	if len(e.Mismatch(&r.Piece)) > 0 {
		return false
	}
	if e.Job.OnCoated() {
		return r.Coating.Known.CertifiedUm > 0
	}
	return !r.Coating.Present()
}

// AsFoil is the film of a certified piece as if it were a foil under the piece's
// id; its certified value is 0 without a certificate.
func (p *PieceSpec) AsFoil() part.FoilSpec {
	k := &p.Coating.Known
	return part.FoilSpec{
		ID: p.Piece.ID, LabelUm: k.LabelUm, CertifiedUm: k.CertifiedUm, ExpandedUm: k.ExpandedUm,
		Certificate: k.Certificate, Valid: k.Valid,
	}
}

// Standards lists the known thicknesses the job is to be adjusted on: the foils,
// or the certified pieces that fit.
func (e *Exercise) Standards() []part.FoilSpec {
	if !e.Job.OnCoated() {
		return e.Foils
	}
	var list []part.FoilSpec
	for i := range e.References {
		if r := &e.References[i]; e.Fits(r) {
			list = append(list, r.AsFoil())
		}
	}
	return list
}

// Known is the thickness that the certificates give for what was measured: a
// foil on a piece, by its own, or the film of a certified piece without a foil,
// under the piece's id; false where there is none. A foil on a certified film
// counts with that film, and both uncertainties.
func (e *Exercise) Known(piece, foil string) (part.FoilSpec, bool) {
	var film part.FoilSpec
	for i := range e.References {
		if r := &e.References[i]; r.Piece.ID == piece {
			film = r.AsFoil()
		}
	}
	for i := range e.Foils {
		f := e.Foils[i]
		if f.ID != foil {
			continue
		}
		if film.CertifiedUm > 0 {
			f.CertifiedUm += film.CertifiedUm
			f.LabelUm += film.LabelUm
			f.ExpandedUm = num.Hypot(f.ExpandedUm, film.ExpandedUm)
		}
		return f, true
	}
	return film, foil == "" && film.CertifiedUm > 0
}

// Offered lists the probes on the bench, the one in hand at the start first.
func (e *Exercise) Offered() []probe.Design {
	if len(e.Probes) == 0 {
		return []probe.Design{e.Probe}
	}
	return e.Probes
}

// Validate reports what makes the exercise unplayable.
func (e *Exercise) Validate() error {
	switch {
	case e.ID == "":
		return fmt.Errorf("exercise has no id")
	case e.Part.Piece.Width <= 0 || e.Part.Piece.Height <= 0:
		return fmt.Errorf("exercise %s: the part has no size", e.ID)
	case e.Instrument.ResolutionUm <= 0:
		return fmt.Errorf("exercise %s: instrument resolution must be above 0 µm", e.ID)
	case e.Job.Spots < 1 || e.Job.PerSpot < 1:
		return fmt.Errorf("exercise %s: the job asks for no readings", e.ID)
	case e.Instrument.TipWearUm > e.Probe.MostWearUm():
		return fmt.Errorf("exercise %s: the tip is worn by %g µm; this probe stands at most %g µm", e.ID, e.Instrument.TipWearUm, e.Probe.MostWearUm())
	}
	if err := e.Job.Rule.Check(&e.Job); err != nil {
		return fmt.Errorf("exercise %s: rule: %w", e.ID, err)
	}
	return nil
}
