package live

import (
	"bytes"
	"encoding/json"
	"time"

	"foilwright/sim/bench"
)

// progress is how far an attempt has come, read from what the trainee did and
// saw; no truth is needed for it.
type progress struct {
	stage    string
	readings int // kept in memory of this job, as far as events tell
	last     int64
	hasLast  bool
	troubles int // refusals and failed contacts since something went right
	since    time.Time
	moved    time.Time
	reported bool
	finished bool
	done     [4]bool // zero, foil, verify, measure: something came of it
}

// The stages of the work, as the board shows them.
const (
	stageReading = "reading the job"
	stagePrepare = "preparing"
	stageDone    = "finished"
)

// eventful tells whether a line says more than where the probe was.
func eventful(line []byte) bool {
	return bytes.Contains(line, []byte(`,"ev":[`)) || !bytes.Contains(line, []byte(`,"do":"probe"`))
}

// lines takes in log lines; only those that say more than a pose are decoded.
func (p *progress) lines(text []byte, now time.Time) {
	p.moved = now
	for len(text) > 0 {
		line, rest, _ := bytes.Cut(text, []byte{'\n'})
		text = rest
		if !eventful(line) {
			continue
		}
		var e struct {
			bench.Action
			Events []bench.Event `json:"ev"`
		}
		if json.Unmarshal(line, &e) == nil {
			p.take(e.Action, e.Events, now)
		}
	}
}

// take takes in one entry.
func (p *progress) take(a bench.Action, events []bench.Event, now time.Time) {
	p.moved = now
	if p.stage == "" {
		p.stage = stageReading
	}
	if len(events) == 0 && (a.Do == bench.MoveProbe || a.Do == bench.Wait) {
		return
	}
	good := a.Do != bench.MoveProbe && a.Do != bench.Wait
	for _, e := range events {
		switch e.Kind {
		case bench.Refused, bench.NoReading:
			p.troubles++
			good = false
		case bench.ReadingNew:
			p.last, p.hasLast, good = e.Counts, true, true
			if p.stage == stageReading || p.stage == stagePrepare {
				p.stage = string(bench.Measuring) // the instrument measures unless told otherwise
			}
			if p.stage == string(bench.Measuring) {
				p.readings, p.done[3] = p.readings+1, true // old ones in the memory are not the trainee's
			}
		case bench.Deleted:
			p.readings = max(0, p.readings-1)
		case bench.Cleared:
			p.readings = 0
		case bench.Reported:
			p.reported = true
		case bench.Finished:
			p.finished, p.stage = true, stageDone
		}
	}
	if !good {
		return
	}
	p.troubles, p.since = 0, now
	switch a.Do {
	case bench.BeginZero:
		p.stage = string(bench.Zeroing)
	case bench.BeginFoil:
		p.stage = string(bench.Foiling)
	case bench.BeginVerify:
		p.stage = string(bench.Verifying)
	case bench.BeginMeasure, bench.StoreZero, bench.StoreFoil, bench.JudgeVerify, bench.ResetAdjustment:
		p.stage = string(bench.Measuring)
		p.done[0] = (p.done[0] || a.Do == bench.StoreZero) && a.Do != bench.ResetAdjustment
		p.done[1] = (p.done[1] || a.Do == bench.StoreFoil) && a.Do != bench.ResetAdjustment
		p.done[2] = p.done[2] || a.Do == bench.JudgeVerify
	case bench.LookAtTip, bench.WipeTip, bench.ReadCertificate, bench.PlacePiece, bench.LayFoil, bench.ClearMemory:
		if p.stage == stageReading {
			p.stage = stagePrepare
		}
	}
	if p.reported && !p.finished {
		p.stage = "reported"
	}
}

// stuckAfter is how long nothing may go right before a trainee counts as stuck.
const stuckAfter = 3 * time.Minute

// stuck says why a trainee seems to be stuck, or nothing.
func (p *progress) stuck(now time.Time) string {
	switch {
	case p.finished:
		return ""
	case p.troubles >= 4:
		return "several tries in a row went wrong"
	case now.Sub(p.since) > stuckAfter:
		return "nothing done for a while"
	}
	return ""
}
