package live

import (
	"cmp"
	"context"
	"slices"
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
	Behind        float64  // seconds since the findings were up to date; 0: they are; < 0: nobody has looked yet
	Stuck         string
	Minutes       float64
	LeftMinutes   float64
	Finished      bool
	Fault         string // why the log cannot be relied on
}

// Board tells where every trainee of a class stands with a handout, which may
// be nil. In a class so large that marking takes longer than MarkWithin, some
// findings are those of an earlier look: Behind tells how old they are, and
// the oldest are the next to be made anew.
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
	entries := map[string]int{}
	for i, p := range all {
		row := &rows[i]
		r.mu.Lock()
		*row = Row{Trainee: p.ID, Name: p.Name, Identity: p.Identity != "", Here: r.conns[p.ID] != nil}
		r.mu.Unlock()
		a, ok := newest[p.ID]
		if !ok {
			continue
		}
		n, err := r.row(ctx, row, a, now)
		if err != nil {
			row.Fault = err.Error()
			continue
		}
		entries[a.ID] = n
	}
	r.markOldest(ctx, class, entries)
	now = r.Clock()
	r.mu.Lock()
	defer r.mu.Unlock()
	for i := range rows {
		row := &rows[i]
		n, ok := entries[row.Attempt]
		if !ok {
			continue
		}
		f := r.found[row.Attempt]
		row.Findings, row.Fault = f.findings, f.fault
		switch {
		case f.at.IsZero():
			row.Behind = -1
		case f.n < n:
			row.Behind = now.Sub(f.at).Seconds()
		}
	}
	return rows, nil
}

// found is what a look at the board last saw in an attempt.
type found struct {
	findings []string
	fault    string
	n        int // entries that were looked at
	at       time.Time
}

// markOldest marks attempts with entries that no look has seen, for no longer
// than MarkWithin but at least one: the one that was looked at longest ago
// first. Of several looks at the same class at a time one marks.
func (r *Room) markOldest(ctx context.Context, class string, entries map[string]int) {
	r.mu.Lock()
	if r.marking[class] {
		r.mu.Unlock()
		return
	}
	r.marking[class] = true
	last := map[string]time.Time{}
	var due []string
	for id, n := range entries {
		if f := r.found[id]; f.at.IsZero() || f.n < n {
			last[id] = f.at
			due = append(due, id)
		}
	}
	r.mu.Unlock()
	defer func() {
		r.mu.Lock()
		defer r.mu.Unlock()
		delete(r.marking, class)
	}()
	slices.SortFunc(due, func(a, b string) int { return cmp.Or(last[a].Compare(last[b]), cmp.Compare(a, b)) })
	began := time.Now()
	for i, id := range due {
		if ctx.Err() != nil || i > 0 && time.Since(began) >= r.MarkWithin {
			return
		}
		at := time.Now()
		r.mark(ctx, id, entries[id])
		time.Sleep(time.Since(at)) // half the time is left to what comes in from benches
	}
}

// mark replays an attempt of so many entries and notes what is found in it.
func (r *Room) mark(ctx context.Context, attempt string, entries int) {
	f := found{at: r.Clock()}
	sheet := r.past.endedSheet(attempt)
	var err error
	if sheet == nil {
		sheet, err = r.sheet(ctx, attempt, r.past.guest(attempt, entries, r.MostReplayed))
	}
	switch {
	case ctx.Err() != nil:
		return // nobody waits for it any more
	case err != nil:
		f.fault = err.Error() // n stays 0: it is tried again in its turn
	default:
		// What came while it was marked may be in it or not: the next look tells.
		f.n, f.findings = entries, SoFar(sheet)
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.found[attempt] = f
}

// row fills in what a seat knows and returns how many entries are on the disk.
func (r *Room) row(ctx context.Context, row *Row, a store.Attempt, now time.Time) (entries int, err error) {
	row.Attempt, row.Turn, row.Finished = a.ID, a.Turn, a.Finished > 0
	s, err := r.seat(ctx, a.ID)
	if err != nil {
		return 0, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
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
	return s.kept, nil
}

// onlyAtTheEnd is a finding that holds of everybody who has measured and not
// yet come to the last verification.
const onlyAtTheEnd = "verify-missing-end"

// SoFar names the findings that something in the log shows already; before the
// end, what is merely missing may still come.
func SoFar(s *grade.Sheet) []string {
	names := []string{}
	for _, f := range s.Findings {
		if s.Finished || len(f.Entries) > 0 && f.Check != onlyAtTheEnd {
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
