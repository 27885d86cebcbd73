package screens

import (
	"image"
	"time"

	"foilwright/internal/paint"
	"foilwright/internal/store"
	"foilwright/internal/widgets"
	"foilwright/sim/bench"
)

// Page is a picture of a screen.
type Page struct {
	Name  string
	Image image.Image
}

// Preview draws what a trainee will see of an exercise: its card, the job
// sheet, and the bench with the part and with each reference piece under the
// probe. kept is a store for the attempt this takes, to be thrown away after.
func Preview(e *bench.Exercise, seed uint64, kept *store.Store, w, h int) ([]Page, error) {
	a := New(Config{
		Store: kept, Exercises: []*bench.Exercise{e}, Clock: time.Now, Seed: func() uint64 { return seed },
	})
	p := previewer{app: a, w: float64(w), h: float64(h), nowMs: 1000}
	p.frames(3)
	p.shoot("home")
	a.begin(e, e.Assessment)
	p.frames(4)
	p.shoot("job")
	a.goTo(pageBench)
	p.frames(3)
	for _, piece := range append([]bench.PieceSpec{e.Part}, e.References...) {
		if a.sitting != nil {
			a.sitting.do(a.now, bench.Action{Do: bench.PlacePiece, Item: piece.Piece.ID})
		}
		p.frames(3)
		p.shoot("bench-" + piece.Piece.ID)
	}
	if a.fault != "" {
		return nil, previewFault(a.fault)
	}
	return p.pages, nil
}

type previewFault string

func (f previewFault) Error() string { return string(f) }

type previewer struct {
	app   *App
	list  paint.List
	w, h  float64
	nowMs float64
	pages []Page
}

func (p *previewer) frames(n int) {
	for range n {
		p.nowMs += 50
		p.app.Frame(widgets.Input{W: p.w, H: p.h, Scale: 1, NowMs: p.nowMs}, &p.list)
	}
}

func (p *previewer) shoot(name string) {
	p.pages = append(p.pages, Page{name, paint.Render(&p.list, int(p.w), int(p.h), 1)})
}
