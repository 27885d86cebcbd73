// Package bench is one attempt at an exercise as a deterministic state
// machine: Actions in, Events out, and the log of both.
//
// Start with New, feed Actions to (*Bench).Do, read View for what a trainee
// can see. Replay rebuilds an attempt from its log. The hidden truth is drawn
// from the exercise and the seed alone and is never written to a log.
package bench

import (
	"fmt"

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
	Adjustment     string  // "zero", "one-foil", "two-foil"
	Spots          int
	PerSpot        int
	Area           part.Area // where the spots must lie
	AllowanceUm    float64   // to be deducted for roughness, with an adjustment on smooth metal; 0: none
	WithLayers     bool      // metallic under-layers count as coating; otherwise the film above them is asked for
	Rule           Rule
	// StateUncertainty asks for the expanded uncertainty of the mean beside it.
	StateUncertainty bool
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
