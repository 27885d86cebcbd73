package picture

import (
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"foilwright/internal/paint"
	"foilwright/sim/part"
)

// shapedPieces are pieces of every shape.
func shapedPieces() map[string]*part.Piece {
	medium, _ := part.TextureOf(part.Medium)
	made := map[string]func(p *part.Piece){
		"pipe": func(p *part.Piece) {
			p.Height, p.RadiusY, p.Sides = 0.1517, 0.02415, part.Sides{Bottom: part.GoesOn, Top: part.GoesOn}
		},
		"bore":    func(p *part.Piece) { p.RadiusX, p.Width = -0.05, 0.12 },
		"ball":    func(p *part.Piece) { p.RadiusX, p.RadiusY, p.Width, p.Height = 0.06, 0.06, 0.08, 0.08 },
		"blasted": func(p *part.Piece) { p.Texture = medium },
		"bare":    func(p *part.Piece) { p.Texture, p.Coating = medium, part.Coating{} },
		"dome":    func(p *part.Piece) { p.RadiusX, p.RadiusY, p.Thickness = 0.15, 0.15, 2e-3 },
		"corner":  func(p *part.Piece) { p.Sides = part.Sides{Left: part.Wall, Right: part.GoesOn} },
		"holed": func(p *part.Piece) {
			p.Features = []part.Feature{
				{Kind: part.Hole, X: 0.06, Y: 0.1, Radius: 0.011}, {Kind: part.Step, At: 0.18, Height: 0.006, FarUp: true},
				{Kind: part.Weld, At: 0.1, Width: 0.012, Height: 0.003}, {Kind: part.Bend, At: 0.03, AlongX: true, Width: 0.02, Radius: 0.01},
			}
		},
	}
	pieces := map[string]*part.Piece{}
	for name, change := range made {
		p := testPiece()
		change(p)
		pieces[name] = p
	}
	return pieces
}

// Every shape is drawn, differs from the plain piece in plan or section, and
// without allocating. With FOILWRIGHT_LOOK set to a folder, pictures are left
// there.
func TestShapedPiecesAreDrawn(t *testing.T) {
	var l paint.List
	p := testPen(&l)
	at := func(piece *part.Piece) Probe {
		return Probe{X: piece.Width * 1e3 * 0.28, Y: piece.Height * 500, Height: 3, BodyRadius: 8, TipRadius: 1.5}
	}
	draw := func(piece *part.Piece) {
		pr := at(piece)
		above := Above{Piece: piece, EdgeBelow: 25, Probe: pr}
		cut := Cut{Piece: piece, FilmUm: 120, FoilUm: 50, Probe: pr}
		l.Reset()
		l.Rect(paint.R(0, 0, 900, 420), p.Inks.Paper)
		p.DrawPlan(PlanIn(paint.R(0, 0, 560, 420), piece.Width*1e3, piece.Height*1e3, 12), &above)
		p.DrawSection(paint.R(570, 0, 320, 210), &cut)
		pr.Height = 0
		cut.Probe, cut.FoilUm = pr, 0
		p.DrawDetail(paint.R(570, 210, 320, 210), &cut)
	}
	pixels := func(piece *part.Piece) []byte {
		draw(piece)
		return paint.Render(&l, 900, 420, 1).Pix
	}
	for name, piece := range shapedPieces() {
		plain := *piece
		plain.RadiusX, plain.RadiusY, plain.Sides, plain.Texture, plain.Features = 0, 0, part.Sides{}, part.Texture{}, nil
		a, b := pixels(piece), pixels(&plain)
		differ := 0
		for i := range a {
			if a[i] != b[i] {
				differ++
			}
		}
		if differ < 2000 {
			t.Errorf("%s: only %d bytes differ from a plain piece", name, differ)
		}
		if n := testing.AllocsPerRun(50, func() { draw(piece) }); n >= 0.5 {
			t.Errorf("%s: %.1f allocations a frame", name, n)
		}
		if folder := os.Getenv("FOILWRIGHT_LOOK"); folder != "" {
			draw(piece)
			f, err := os.Create(filepath.Join(folder, "shape-"+name+".png"))
			if err != nil {
				t.Fatal(err)
			}
			if err := png.Encode(f, paint.Render(&l, 900, 420, 1)); err != nil {
				t.Fatal(err)
			}
			f.Close()
		}
	}
}
