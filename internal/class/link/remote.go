package link

import (
	"errors"

	"foilwright/internal/class/wire"
	"foilwright/sim/bench"
)

// Remote is a bench that the server runs: actions go out, what can be seen of
// them comes back. It knows neither film nor seed.
type Remote struct {
	link   *Link
	record bench.Record
	pose   bench.Pose
	at     int64
	taken  int // newest entry of those that arrived
	n      int // entries, the server's of before included
}

// Serve returns the bench of an attempt that the server runs. w is a world
// made of the sheet, for the shape of things only.
func (l *Link) Serve(w *bench.World, work *wire.Handed) *Remote {
	r := &Remote{link: l, record: bench.Record{World: w}}
	l.mu.Lock()
	defer l.mu.Unlock()
	if work.State != nil {
		v := &work.State.View
		r.pose, r.at, r.n = v.Pose, v.NowMs, v.Entries
	}
	// What came before is taken in by whoever sits down.
	l.arrived = nil
	l.see(work.Seen)
	return r
}

// Do sends an action; what comes of it arrives later.
func (r *Remote) Do(a bench.Action) ([]bench.Event, error) {
	if a.At < r.at {
		return nil, bench.ErrBackwards
	}
	if a.Do == bench.MoveProbe && a.Pose == nil {
		return nil, errors.New("the verb \"probe\" needs a pose")
	}
	r.n++
	r.at = a.At
	if a.Pose != nil {
		r.pose = *a.Pose
	}
	act := a
	r.record.Entries = append(r.record.Entries, bench.Entry{N: r.n, Action: a})
	r.link.put(entry{n: r.n, act: &act})
	return nil, nil
}

// Arrived returns entries with what came of them, each once, in order.
func (r *Remote) Arrived() []bench.Entry {
	r.link.mu.Lock()
	defer r.link.mu.Unlock()
	var out []bench.Entry
	for _, e := range r.link.arrived {
		if e.N > r.taken {
			out = append(out, e)
			r.taken = e.N
		}
	}
	return out
}

// View returns what can be seen, with the hand where it is by now.
func (r *Remote) View() bench.View {
	r.link.mu.Lock()
	defer r.link.mu.Unlock()
	var v bench.View
	if r.link.state != nil {
		v = r.link.state.View
	}
	v.Pose, v.NowMs, v.Entries = r.pose, r.at, len(r.record.Entries)
	return v
}

// Record returns what the trainee knows: the actions, and where readings were
// taken. There is no truth in it.
func (r *Remote) Record() *bench.Record {
	r.link.mu.Lock()
	defer r.link.mu.Unlock()
	r.record.Contacts = r.record.Contacts[:0]
	if r.link.state != nil {
		for _, m := range r.link.state.Marks {
			r.record.Contacts = append(r.record.Contacts, bench.Contact{
				Piece: m.Piece, XUm: m.XUm, YUm: m.YUm, Mode: m.Mode, Spot: m.Spot, Counts: m.Counts, Deleted: m.Deleted, Outcome: bench.Read,
			})
		}
	}
	return &r.record
}
