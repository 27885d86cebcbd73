package live

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/binary"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"strconv"
	"sync"
	"time"

	"github.com/coder/websocket"

	"foilwright/internal/class/auth"
	"foilwright/internal/class/store"
	"foilwright/internal/class/wire"
	"foilwright/sim/bench"
	"foilwright/sim/grade"
)

// Modes and variants of what is handed out.
const (
	Practice   = "practice"
	Assessment = "assessment"
	Same       = "same"
	Different  = "different"
)

// Room is where classes meet: every connection and every attempt under way.
type Room struct {
	Store *store.Store
	Shelf *Shelf
	Clock func() time.Time // with a steady part, so that setting the wall clock moves no limit
	Wall  func() time.Time // what the calendar says, for what is kept on the disk
	Log   *slog.Logger
	// MarkWithin is how long a look at the board may take to replay and mark
	// attempts; at least one is marked.
	MarkWithin time.Duration
	// MostReplayed is how many entries of replays may be held in memory.
	MostReplayed int
	// Ended is called for each attempt that has come to its end and is on the
	// disk whole; again for the same one after a stop in the middle of it. What
	// it returns is written in one transaction with the note of the end.
	Ended func(ctx context.Context, attempt string, at int64) func(*store.Tx) error

	mu    sync.Mutex
	seats map[string]*seat     // by attempt
	conns map[string]*conn     // by trainee
	still map[string]time.Time // when a class was paused, by Clock
	past  replays
	over  endings

	found   map[string]found // by attempt
	marking map[string]bool  // by class: a look at its board is marking just now
}

// New returns a room without anybody.
func New(st *store.Store, shelf *Shelf, log *slog.Logger) *Room {
	return &Room{
		Store: st, Shelf: shelf, Clock: time.Now, Wall: time.Now, Log: log, MarkWithin: 500 * time.Millisecond, MostReplayed: MostReplayed,
		Ended: func(context.Context, string, int64) func(*store.Tx) error {
			return func(*store.Tx) error { return nil }
		},
		seats: map[string]*seat{}, conns: map[string]*conn{}, still: map[string]time.Time{},
		past:  replays{list: map[string]*replay{}, ended: map[string]*grade.Sheet{}},
		found: map[string]found{}, marking: map[string]bool{},
	}
}

// stamp is the present as it is kept on the disk.
func (r *Room) stamp() int64 { return r.Wall().UnixMilli() }

// Serve is one trainee's connection from its beginning to its end.
func (r *Room) Serve(w http.ResponseWriter, req *http.Request, who *store.Trainee) {
	class, err := r.Store.Class(req.Context(), who.Class)
	if err != nil || class.Closed > 0 {
		http.Error(w, "the class is closed", http.StatusGone)
		return
	}
	ws, err := websocket.Accept(w, req, &websocket.AcceptOptions{CompressionMode: websocket.CompressionDisabled})
	if err != nil {
		return // Accept has answered
	}
	defer ws.CloseNow()
	ws.SetReadLimit(wire.MostBytes)
	ctx, cancel := context.WithCancel(req.Context())
	defer cancel()
	defer context.AfterFunc(ctx, func() { ws.CloseNow() })()
	c := newConn(ws)
	r.mu.Lock()
	before := r.conns[who.ID]
	r.conns[who.ID] = c
	r.mu.Unlock()
	if before != nil {
		before.send(wire.ToBench{Kind: wire.Taken, Text: "The bench was opened in another tab or on another machine. It goes on there."})
		before.end("taken over")
	}
	defer func() {
		r.mu.Lock()
		if r.conns[who.ID] == c {
			delete(r.conns, who.ID)
		}
		r.mu.Unlock()
		r.rise(c)
	}()
	go func() {
		defer cancel()
		if err := c.write(ctx); err != nil && ctx.Err() == nil {
			r.Log.Info("connection ended", "trainee", who.ID, "why", err.Error())
		}
	}()
	c.send(wire.ToBench{Kind: wire.Hello, Version: wire.Version, Class: class.Title, Trainee: who.Name, Paused: class.Paused > 0})
	if err := r.give(ctx, c, who); err != nil {
		r.Log.Error("work could not be given", "trainee", who.ID, "error", err)
		return
	}
	var data bytes.Buffer // each message is read over the one before it
	for {
		// Without a context: when ours ends the connection is closed, and to watch
		// it anew for each message would cost as much as the reading.
		_, from, err := ws.Reader(context.Background())
		if err != nil {
			return
		}
		data.Reset()
		if _, err := data.ReadFrom(from); err != nil {
			return
		}
		if err := r.take(ctx, c, who, data.Bytes()); err != nil {
			r.Log.Warn("message refused", "trainee", who.ID, "error", err)
			c.send(wire.ToBench{Kind: wire.Refused, Text: err.Error()})
			c.end("refused")
			<-ctx.Done()
			return
		}
		if data.Cap() > 8<<10 { // grown by what a bench sent that was cut off; hundreds of these are much to look through
			data = bytes.Buffer{}
		}
	}
}

// rise takes a connection from its seat.
func (r *Room) rise(c *conn) {
	c.mu.Lock()
	s := c.seat
	c.mu.Unlock()
	if s == nil {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.conn == c {
		s.conn = nil
	}
}

// take takes in one message of a bench; data is the caller's again afterwards.
func (r *Room) take(ctx context.Context, c *conn, who *store.Trainee, data []byte) error {
	m, tail, err := wire.DecodeToServer(data)
	if err != nil {
		return err
	}
	if m.Kind == wire.Begin {
		if err := r.begin(ctx, who, m.Handout); err != nil {
			return err
		}
		return r.give(ctx, c, who)
	}
	c.mu.Lock()
	s := c.seat
	c.mu.Unlock()
	if s == nil || s.attempt.ID != m.Attempt {
		return fmt.Errorf("attempt %q is not the one at hand", m.Attempt)
	}
	if m.First < 1 {
		return errors.New("entries are numbered from 1")
	}
	if m.Kind == wire.Lines {
		return s.lines(m.First, tail)
	}
	return s.actions(m.First, m.Actions)
}

// current is what a trainee has to do now: the newest handout that is open.
func (r *Room) current(ctx context.Context, class string) (*store.Handout, error) {
	all, err := r.Store.Handouts(ctx, class)
	if err != nil {
		return nil, err
	}
	for i := range all {
		if all[i].Closed == 0 {
			return &all[i], nil
		}
	}
	return nil, nil
}

// give tells a bench what was handed out and where its attempt stands.
func (r *Room) give(ctx context.Context, c *conn, who *store.Trainee) error {
	h, err := r.current(ctx, who.Class)
	if err != nil {
		return err
	}
	r.rise(c)
	c.sit(nil)
	if h == nil {
		c.send(wire.ToBench{Kind: wire.Work})
		return nil
	}
	o, err := r.Given(ctx, h)
	if err != nil {
		return err
	}
	work := &wire.Handed{
		Handout: h.ID, Exercise: h.Exercise, Title: o.Title, Assessment: h.Mode == Assessment, Turns: int(h.Attempts),
	}
	attempts, err := r.Store.AttemptsOf(ctx, h.ID, who.ID)
	if err != nil {
		return err
	}
	work.Turn = len(attempts)
	if work.Assessment {
		work.LeftMs = h.Minutes * 60_000 // of an attempt that is not begun yet
	}
	if work.Assessment && who.Identity == "" {
		// Read afresh: it may have been checked since this trainee connected.
		if fresh, err := r.Store.Trainee(ctx, who.ID); err == nil {
			*who = *fresh
		}
		if who.Identity == "" {
			work.Waits = "Show proof of who you are to the person in charge; then you can begin."
		}
	}
	if len(attempts) == 0 {
		c.send(wire.ToBench{Kind: wire.Work, Work: work})
		return nil
	}
	last := attempts[len(attempts)-1]
	s, err := r.seat(ctx, last.ID)
	if err != nil {
		return err
	}
	if !s.handoutAssessment() {
		// What the browser is told must be on the disk.
		s.waiting.Wait()
		if work.Log, err = r.logText(ctx, last.ID); err != nil {
			return err
		}
		work.Text, work.Seed = o.Own, last.SeedNumber()
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.conn = c
	c.sit(s)
	work.Attempt, work.Finished = last.ID, s.finished
	if d := s.left(); d != 0 {
		work.LeftMs = d.Milliseconds()
	}
	if work.Assessment {
		work.Sheet, work.State = wire.SheetOf(o.Exercise), s.state()
		for _, e := range s.bench.Record().Entries {
			if len(e.Events) > 0 || e.Action.Do != bench.MoveProbe {
				work.Seen = append(work.Seen, wire.Entry{N: e.N, Action: e.Action, Events: e.Events})
			}
		}
	}
	// The state belongs to the bench: encode it while nobody changes it.
	text, err := wire.Encode(wire.ToBench{Kind: wire.Work, Work: work, N: s.n}, nil)
	if err != nil {
		return err
	}
	c.sendText(text)
	return nil
}

func (s *seat) handoutAssessment() bool { return s.handout.Mode == Assessment }

func (r *Room) logText(ctx context.Context, attempt string) (string, error) {
	data, _, err := r.Store.Log(ctx, attempt)
	return string(data), err
}

// seat returns the seat of an attempt, opened from the disk if need be.
func (r *Room) seat(ctx context.Context, attempt string) (*seat, error) {
	r.mu.Lock()
	s := r.seats[attempt]
	r.mu.Unlock()
	if s != nil {
		s.mu.Lock()
		broken := s.broken
		s.mu.Unlock()
		if broken == nil {
			return s, nil
		}
		s.waiting.Wait()
	}
	opened, err := r.open(ctx, attempt)
	if err != nil {
		return nil, err
	}
	if s != nil {
		// The clock that ran all the while, and not the difference of two times on
		// the disk between which the wall clock may have been set.
		s.mu.Lock()
		opened.begun = s.begun
		s.mu.Unlock()
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if now := r.seats[attempt]; now != nil && now != s {
		return now, nil // opened by another in the meantime
	}
	r.seats[attempt] = opened
	return opened, nil
}

// begin starts an attempt of a trainee, or does nothing when one is under way.
func (r *Room) begin(ctx context.Context, who *store.Trainee, handout string) error {
	h, err := r.Store.Handout(ctx, handout)
	if err != nil || h.Class != who.Class || h.Closed > 0 {
		return errors.New("that exercise is not open to you")
	}
	fresh, err := r.Store.Trainee(ctx, who.ID)
	if err != nil || fresh.Removed > 0 {
		return errors.New("you have left this class")
	}
	if h.Mode == Assessment && fresh.Identity == "" {
		return errors.New("the person in charge has not yet seen proof of who you are")
	}
	o, err := r.Given(ctx, h)
	if err != nil {
		return err
	}
	seed, err := seedOf(h)
	if err != nil {
		return err
	}
	w, err := r.Shelf.World(o, seed)
	if err != nil {
		return err
	}
	var writer bench.Writer
	header, err := writer.Header(bench.NewHeader(w, who.Name))
	if err != nil {
		return err
	}
	return r.Store.Write(ctx, func(tx *store.Tx) error {
		var turns, open int64
		if err := tx.Row("select count(*), coalesce(sum(case when finished = 0 then 1 else 0 end), 0) from attempt where handout = ? and trainee = ?",
			[]any{h.ID, who.ID}, &turns, &open); err != nil {
			return err
		}
		switch {
		case open > 0:
			return nil
		case h.Attempts > 0 && turns >= h.Attempts:
			return fmt.Errorf("all %d attempts have been used", h.Attempts)
		}
		a := store.Attempt{
			ID: auth.NewID(), Handout: h.ID, Trainee: who.ID, Turn: turns + 1, Seed: strconv.FormatUint(seed, 10),
			Header: string(header), Started: r.stamp(),
		}
		if err := tx.AddAttempt(a); err != nil {
			return err
		}
		return tx.Note("trainee "+who.ID, "began attempt", a.ID, fmt.Sprintf("turn %d of handout %s", a.Turn, h.ID))
	})
}

// seedOf is the variant a trainee gets. Different ones are drawn afresh for
// each attempt, so that a second attempt is no repetition.
func seedOf(h *store.Handout) (uint64, error) {
	if h.Variant == Same {
		return strconv.ParseUint(h.Seed, 10, 64)
	}
	return FreshSeed(), nil
}

// FreshSeed draws a seed that cannot be guessed.
func FreshSeed() uint64 {
	var b [8]byte
	rand.Read(b[:])
	return binary.LittleEndian.Uint64(b[:])
}
