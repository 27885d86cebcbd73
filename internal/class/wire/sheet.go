package wire

import (
	"fmt"
	"math"

	"foilwright/sim/bench"
	"foilwright/sim/part"
	"foilwright/sim/probe"
)

// SheetOf is the part of an exercise that a candidate may know: the job sheet,
// what stands on labels and certificates, and what pieces look like. It is
// made field by field, so that whatever is added to an exercise stays hidden
// until somebody decides that it may be seen.
func SheetOf(e *bench.Exercise) *bench.Exercise {
	out := &bench.Exercise{
		ID: e.ID, Title: e.Title, Summary: e.Summary, Minutes: e.Minutes, Skills: e.Skills, Cautions: e.Cautions,
		Job:   e.Job, // all of it stands on the sheet
		Probe: probe.Design{ID: e.Probe.ID, Name: e.Probe.Name, RangeUm: e.Probe.RangeUm}, Assessment: true,
		// Old readings stand on the display when the attempt begins.
		Instrument: bench.Instrument{ResolutionUm: e.Instrument.ResolutionUm, EarlierReadingUm: e.Instrument.EarlierReadingUm},
		Part:       pieceOf(e.Part), Demagnetiser: e.Demagnetiser, // it lies on the bench for all to see
		Limits: bench.Limits{
			ZeroReadings: e.Limits.ZeroReadings, FoilReadings: e.Limits.FoilReadings, LiftMm: e.Limits.LiftMm,
			TiltDeg: e.Limits.TiltDeg, SpotMm: e.Limits.SpotMm,
			// The tolerance of a verification stands on the job sheet.
			TolerancePercent: e.Limits.TolerancePercent, ToleranceUm: e.Limits.ToleranceUm,
		},
	}
	for _, d := range e.Probes {
		out.Probes = append(out.Probes, probe.Design{ID: d.ID, Name: d.Name, RangeUm: d.RangeUm})
	}
	for _, p := range e.References {
		out.References = append(out.References, pieceOf(p))
	}
	for _, f := range e.Foils {
		out.Foils = append(out.Foils, part.FoilSpec{
			ID: f.ID, LabelUm: f.LabelUm, CertifiedUm: f.CertifiedUm, ExpandedUm: f.ExpandedUm, Certificate: f.Certificate, Valid: f.Valid,
		})
	}
	return out
}

func pieceOf(p bench.PieceSpec) bench.PieceSpec {
	return bench.PieceSpec{Piece: part.Piece{
		ID: p.Piece.ID, Name: p.Piece.Name, Width: p.Piece.Width, Height: p.Piece.Height,
		Thickness: math.Min(p.Piece.Thickness, 1), // "thick" is infinite, which JSON has no word for
		// What the eye sees of its shape.
		RadiusX: p.Piece.RadiusX, RadiusY: p.Piece.RadiusY, Sides: p.Piece.Sides, Angles: p.Piece.Angles, Features: p.Piece.Features,
	}, Coating: part.CoatingSpec{Known: p.Coating.Known}}
}

// Dress gives a sheet that came over the wire what a bench needs to be drawn:
// the probe of that name and its standard metal under every piece. Nothing is
// computed with them.
func Dress(e *bench.Exercise) error {
	design := func(d *probe.Design) error {
		known, ok := probe.ByID(d.ID)
		if !ok {
			return fmt.Errorf("the probe %q is not in this program; load the page anew", d.ID)
		}
		*d = known
		return nil
	}
	if err := design(&e.Probe); err != nil {
		return err
	}
	for i := range e.Probes {
		if err := design(&e.Probes[i]); err != nil {
			return err
		}
	}
	metal := part.Metal{Field: e.Probe.Standard[0].Metal}
	e.Part.Piece.Metal = metal
	for i := range e.References {
		e.References[i].Piece.Metal = metal
	}
	return nil
}
