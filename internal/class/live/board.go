package live

import (
	"context"
	"time"

	"foilwright/internal/class/store"
	"foilwright/internal/class/wire"
	"foilwright/sim/bench"
	"foilwright/sim/grade"
)

// Row is one trainee on the board.
type Row struct {
	Trainee, Name string
	Identity      bool
	Here          bool
	Attempt       string // empty: has not begun
	Turn          int64
	Stage         string
	Done          [4]bool // zero, foil, verify, measure
	Readings      int
	LastUm        float64
	HasLast       bool
	Findings      []string // with evidence in the log so far
	Stuck         string
	Minutes       float64
	LeftMinutes   float64
	Finished      bool
	Fault         string // why the log cannot be relied on
}

// Board tells where every trainee of a class stands with a handout, which may
// be nil. In a class so large that marking takes longer than MarkWithin, some
// findings are those of an earlier look, and the next look begins with them.
func (r *Room) Board(ctx context.Context, class string, h *store.Handout) ([]Row, error) {
	all, err := r.Store.Trainees(ctx, class)
	if err != nil {
		return nil, err
	}
	newest := map[string]store.Attempt{}
	if h != nil {
		attempts, err := r.Store.Attempts(ctx, h.ID)
		if err != nil {
			return nil, err
		}
		for _, a := range attempts {
			if a.Turn > newest[a.Trainee].Turn {
				newest[a.Trainee] = a
			}
		}
	}
	now := r.Clock()
	rows := make([]Row, len(all))
	r.mu.Lock()
	from := r.marked[class]
	r.mu.Unlock()
	began, goOn, one := time.Now(), from, false
	for i := range all {
		at := (from + i) % len(all)
		p, row := all[at], &rows[at]
		r.mu.Lock()
		*row = Row{Trainee: p.ID, Name: p.Name, Identity: p.Identity != "", Here: r.conns[p.ID] != nil}
		r.mu.Unlock()
		a, ok := newest[p.ID]
		if !ok {
			continue
		}
		err := r.row(ctx, row, a, now)
		if err != nil {
			row.Fault = err.Error()
			continue
		}
		var f found
		if !one || time.Since(began) < r.MarkWithin {
			f, goOn, one = r.mark(ctx, a.ID), at+1, true
		} else {
			r.mu.Lock()
			f = r.found[a.ID]
			r.mu.Unlock()
		}
		row.Findings, row.Fault = f.findings, f.fault
	}
	r.mu.Lock()
	r.marked[class] = goOn % max(1, len(all))
	r.mu.Unlock()
	return rows, nil
}

// found is what the board last saw in an attempt.
type found struct {
	findings []string
	fault    string
}

// mark replays an attempt and notes what is found in it.
func (r *Room) mark(ctx context.Context, attempt string) (f found) {
	sheet, err := r.Sheet(ctx, attempt)
	if err != nil {
		f.fault = err.Error()
	} else {
		f.findings = SoFar(sheet)
	}
	r.mu.Lock()
	r.found[attempt] = f
	r.mu.Unlock()
	return f
}

func (r *Room) row(ctx context.Context, row *Row, a store.Attempt, now time.Time) error {
	row.Attempt, row.Turn, row.Finished = a.ID, a.Turn, a.Finished > 0
	s, err := r.seat(ctx, a.ID)
	if err != nil {
		return err
	}
	s.mu.Lock()
	p := &s.progress
	row.Stage, row.Done, row.Readings, row.HasLast, row.Stuck = p.stage, p.done, p.readings, p.hasLast, p.stuck(now)
	row.LastUm = float64(p.last) * s.offered.Instrument.ResolutionUm
	row.Minutes = now.Sub(s.begun).Minutes()
	if a.Finished > 0 {
		row.Minutes = float64(a.Finished-a.Started) / 60_000
	}
	if d := s.left(); d != 0 && !s.finished {
		row.LeftMinutes = d.Minutes()
	}
	row.Finished = s.finished
	if !row.Here {
		row.Stuck = ""
	}
	if row.Stage == "" {
		row.Stage = stageReading
	}
	s.mu.Unlock()
	return nil
}

// SoFar names the findings that something in the log shows already; before the
// end, what is merely missing may still come.
func SoFar(s *grade.Sheet) []string {
	names := []string{}
	for _, f := range s.Findings {
		if s.Finished || len(f.Entries) > 0 {
			names = append(names, f.Name)
		}
	}
	return names
}

// Scene is a bench at one moment, for the mirror and for replays.
type Scene struct {
	Entry, Entries int
	At             int64
	View           bench.View
	Marks          []SceneMark
	Pieces         []ScenePiece
	Events         []bench.Event
	Did            bench.Action
}

// SceneMark is where a reading was taken, mm.
type SceneMark struct {
	Piece   string
	X, Y    float64
	Um      float64
	Mode    bench.Mode
	Deleted bool
}

// ScenePiece is the outline of a piece, mm.
type ScenePiece struct {
	ID, Name      string
	Width, Height float64
	Part          bool
	Area          [4]float64 // of the part: where the spots must lie
}

// Scene shows an attempt after an entry; entry < 0 is the newest on the disk.
func (r *Room) Scene(ctx context.Context, attempt string, entry int) (*Scene, error) {
	var sc *Scene
	err := r.With(ctx, attempt, func(b *bench.Bench) error {
		record := b.Record()
		all := len(record.Entries)
		if entry >= 0 && entry < all {
			then := bench.New(record.World)
			for _, e := range record.Entries[:entry] {
				if _, err := then.Do(e.Action); err != nil {
					return err
				}
			}
			b = then
		}
		sc = sceneOf(b, all)
		return nil
	})
	return sc, err
}

func sceneOf(b *bench.Bench, all int) *Scene {
	record := b.Record()
	w := record.World
	v := wire.Plain(b.View())
	sc := &Scene{Entry: len(record.Entries), Entries: all, View: v, At: v.NowMs, Marks: []SceneMark{}}
	if n := len(record.Entries); n > 0 {
		sc.Events, sc.Did = record.Entries[n-1].Events, record.Entries[n-1].Action
	}
	for i := range record.Contacts {
		c := &record.Contacts[i]
		if c.Outcome != bench.Read {
			continue
		}
		sc.Marks = append(sc.Marks, SceneMark{
			Piece: c.Piece, X: float64(c.XUm) / 1e3, Y: float64(c.YUm) / 1e3, Mode: c.Mode, Deleted: c.Deleted,
			Um: float64(c.Counts) * w.Exercise.Instrument.ResolutionUm,
		})
	}
	a := w.Exercise.Job.Area
	for i, p := range append([]bench.PieceSpec{w.Exercise.Part}, w.Exercise.References...) {
		out := ScenePiece{ID: p.Piece.ID, Name: p.Piece.Name, Width: p.Piece.Width * 1e3, Height: p.Piece.Height * 1e3, Part: i == 0}
		if i == 0 {
			out.Area = [4]float64{a.X * 1e3, a.Y * 1e3, a.Width * 1e3, a.Height * 1e3}
		}
		sc.Pieces = append(sc.Pieces, out)
	}
	return sc
}
