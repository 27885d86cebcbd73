package wire

import (
	"encoding/json"
	"reflect"
	"testing"

	"foilwright/scenarios"
	"foilwright/sim/bench"
	"foilwright/sim/part"
)

// Whatever comes in is a message or an error, never a panic, and what is taken
// is within bounds.
func FuzzDecodeToServer(f *testing.F) {
	f.Add([]byte(`{"kind":"begin","handout":"x"}`))
	f.Add([]byte("{\"kind\":\"lines\",\"attempt\":\"a\",\"first\":1}\n{\"n\":1}\n"))
	f.Add([]byte(`{"kind":"actions","attempt":"a","first":1,"actions":[{"t":1,"do":"wait"}]}`))
	f.Add([]byte(`{"kind":"begin"}{"kind":"begin"}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		m, tail, err := DecodeToServer(data)
		if err != nil {
			return
		}
		if m.First < 0 || len(m.Actions) > MostInBatch || m.Kind == Lines && len(tail) == 0 {
			t.Errorf("%q was taken as %+v", data, m)
		}
	})
}

// The sheet of every exercise can be sent, comes back as it was, and a bench
// can be laid out from it; nothing about films and instruments is on it.
func TestSheets(t *testing.T) {
	for _, e := range scenarios.Shipped() {
		sheet := SheetOf(e)
		text, err := json.Marshal(sheet)
		if err != nil {
			t.Fatalf("%s: %v", e.ID, err)
		}
		var back bench.Exercise
		if err := json.Unmarshal(text, &back); err != nil {
			t.Fatalf("%s: %v", e.ID, err)
		}
		if !reflect.DeepEqual(back.Part.Coating, bench.PieceSpec{}.Coating) || back.Instrument.NoiseRelative != 0 || back.Instrument.DriftPerHour != 0 || back.Digest != "" {
			t.Errorf("%s: the sheet tells of film or instrument", e.ID)
		}
		for i := range back.References {
			// A certificate is there for all to read.
			if certificate := (part.CoatingSpec{Known: e.References[i].Coating.Known}); !reflect.DeepEqual(back.References[i].Coating, certificate) {
				t.Errorf("%s: the sheet tells more of the film of %s than its certificate", e.ID, back.References[i].Piece.ID)
			}
		}
		if err := Dress(&back); err != nil {
			t.Fatalf("%s: %v", e.ID, err)
		}
		w, err := bench.NewWorld(&back, 1)
		if err != nil {
			t.Fatalf("%s: %v", e.ID, err)
		}
		for _, p := range append([]bench.PieceSpec{e.Part}, e.References...) {
			if got := w.Piece(p.Piece.ID); got == nil || got.Width != p.Piece.Width || got.Height != p.Piece.Height {
				t.Errorf("%s: piece %s has another outline", e.ID, p.Piece.ID)
			}
		}
	}
}
