// Package wire is what a bench in a browser and the class server say to each
// other over one WebSocket.
//
// Every message is text: a JSON object on the first line. After the object of
// a Lines message the lines of the log follow as they are, so that neither
// side encodes them twice. Nothing in a message to a candidate under
// assessment tells the seed, the truth, or what a check found.
package wire

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"

	"foilwright/scenarios"
	"foilwright/sim/bench"
)

// Version of the protocol; a bench of another version is told to load the page anew.
const Version = 2

// Bounds of what a server takes from a bench.
const (
	MostBytes   = 256 << 10 // of a message
	MostLine    = 4 << 10   // of a log line
	MostInBatch = 600       // lines or actions: ten seconds of poses after a dropped connection go in parts
	MostPerSec  = 400       // lines or actions a second, over a while
)

// Kind names a message.
type Kind string

// Messages from a bench.
const (
	Begin   Kind = "begin"   // take up the work handed out: start the attempt, or another one
	Lines   Kind = "lines"   // practice: log lines from entry First on
	Actions Kind = "actions" // assessment: actions from entry First on
)

// Messages to a bench.
const (
	Hello   Kind = "hello"   // who and which class
	Work    Kind = "work"    // what was handed out, and the attempt as far as the server has it
	Ack     Kind = "ack"     // entries up to N are on the server's disk
	Seen    Kind = "seen"    // assessment: what came of actions
	Pause   Kind = "pause"   // On
	Hint    Kind = "hint"    // Text
	Fault   Kind = "fault"   // Action to be carried out: the instructor brings a fault in
	Refused Kind = "refused" // Text: why the server takes no more of this attempt
	Taken   Kind = "taken"   // another tab or machine has taken the place
)

// ToServer is a message from a bench.
type ToServer struct {
	Kind    Kind           `json:"kind"`
	Version int            `json:"v,omitempty"`
	Handout string         `json:"handout,omitempty"`
	Attempt string         `json:"attempt,omitempty"`
	First   int            `json:"first,omitempty"`
	Actions []bench.Action `json:"actions,omitempty"`
}

// ToBench is a message to a bench.
type ToBench struct {
	Kind    Kind          `json:"kind"`
	Version int           `json:"v,omitempty"`
	Class   string        `json:"class,omitempty"`
	Trainee string        `json:"trainee,omitempty"`
	Paused  bool          `json:"paused,omitempty"`
	On      bool          `json:"on,omitempty"`
	Text    string        `json:"text,omitempty"`
	Work    *Handed       `json:"work,omitempty"`
	Attempt string        `json:"attempt,omitempty"`
	N       int           `json:"n,omitempty"`
	Seen    []Entry       `json:"seen,omitempty"`
	State   *State        `json:"state,omitempty"`
	Action  *bench.Action `json:"action,omitempty"`
}

// Handed is what was handed out to the trainee.
type Handed struct {
	Handout    string `json:"handout"`
	Exercise   string `json:"exercise"`
	Title      string `json:"title"`
	Assessment bool   `json:"assessment,omitempty"`
	Waits      string `json:"waits,omitempty"` // why it cannot be begun yet
	Turn       int    `json:"turn,omitempty"`
	Turns      int    `json:"turns,omitempty"` // allowed; 0: any number
	LeftMs     int64  `json:"left_ms,omitempty"`

	Attempt  string `json:"attempt,omitempty"` // empty: not begun
	Finished bool   `json:"finished,omitempty"`

	// In practice: everything to run and resume the bench in the browser.
	Text *scenarios.Text `json:"text,omitempty"` // the exercise's files; nil: it comes with the bench
	Seed uint64          `json:"seed,string,omitempty"`
	Log  string          `json:"log,omitempty"` // whole, header first

	// In an assessment: what may be seen.
	Sheet *bench.Exercise `json:"sheet,omitempty"`
	Seen  []Entry         `json:"seen,omitempty"`
	State *State          `json:"state,omitempty"`
}

// Entry is one entry of the log as the trainee sees it.
type Entry struct {
	N      int           `json:"n"`
	Action bench.Action  `json:"a"`
	Events []bench.Event `json:"ev,omitempty"`
}

// State is what the trainee can see of a bench that the server runs.
type State struct {
	View  bench.View `json:"view"`
	Marks []Mark     `json:"marks,omitempty"`
}

// Mark is where a reading was taken.
type Mark struct {
	Piece   string     `json:"p"`
	XUm     int64      `json:"x"`
	YUm     int64      `json:"y"`
	Mode    bench.Mode `json:"m"`
	Spot    int        `json:"s,omitempty"`
	Counts  int64      `json:"c"`
	Deleted bool       `json:"d,omitempty"`
}

// MarksOf lists where readings were taken.
func MarksOf(r *bench.Record) []Mark {
	var marks []Mark
	for i := range r.Contacts {
		c := &r.Contacts[i]
		if c.Outcome != bench.Read {
			continue
		}
		marks = append(marks, Mark{c.Piece, c.XUm, c.YUm, c.Mode, c.Spot, c.Counts, c.Deleted})
	}
	return marks
}

// StateOf is what can be seen of a bench now.
func StateOf(b *bench.Bench) *State { return &State{View: Plain(b.View()), Marks: MarksOf(b.Record())} }

// Plain is a view that JSON has words for, sharing nothing with its bench:
// figures that are not there are 0 in place of NaN.
func Plain(v bench.View) bench.View {
	v.Memory = append(v.Memory[:0:0], v.Memory...)
	v.Foils = append(v.Foils[:0:0], v.Foils...)
	v.Verifications = append(v.Verifications[:0:0], v.Verifications...)
	st := &v.Statistics
	if st.N == 0 {
		st.Mean, st.Min, st.Max = 0, 0, 0
	}
	if st.N < 2 {
		st.SD = 0
	}
	if v.Result != nil {
		v.Result = &bench.Result{Entry: v.Result.Entry, MeanUm: v.Result.MeanUm, Verdict: v.Result.Verdict}
	}
	return v
}

// Encode writes a message; tail follows on lines of its own.
func Encode(m any, tail []byte) ([]byte, error) {
	b, err := json.Marshal(m)
	if err != nil {
		return nil, err
	}
	if len(tail) == 0 {
		return b, nil
	}
	return append(append(b, '\n'), tail...), nil
}

// AppendAck writes the message that acknowledges entries up to n, as Encode
// does; there is one for each message of each bench.
func AppendAck(to []byte, attempt string, n int) []byte {
	if n == 0 || !plain(attempt) {
		text, err := Encode(ToBench{Kind: Ack, Attempt: attempt, N: n}, nil)
		if err != nil {
			panic(err) // plain values always encode
		}
		return append(to, text...)
	}
	to = append(append(to, `{"kind":"ack","attempt":"`...), attempt...)
	return append(strconv.AppendInt(append(to, `","n":`...), int64(n), 10), '}')
}

// plain tells whether an id needs no escapes in JSON.
func plain(id string) bool {
	for i := range len(id) {
		switch c := id[i]; {
		case 'a' <= c && c <= 'z', 'A' <= c && c <= 'Z', '0' <= c && c <= '9', c == '-', c == '_':
		default:
			return false
		}
	}
	return id != ""
}

// linesHead reads the first line of a Lines message as benches write it. Any
// other way to write the same is left to the JSON decoder.
func linesHead(head []byte) (ToServer, bool) {
	m := ToServer{Kind: Lines}
	rest, ok := bytes.CutPrefix(head, []byte(`{"kind":"lines","attempt":"`))
	id, rest, found := bytes.Cut(rest, []byte(`","first":`))
	digits, whole := bytes.CutSuffix(rest, []byte{'}'})
	if !ok || !found || !whole || len(digits) == 0 || len(digits) > 8 || digits[0] == '0' {
		return m, false
	}
	for _, c := range digits {
		if c < '0' || c > '9' {
			return m, false
		}
		m.First = 10*m.First + int(c-'0')
	}
	m.Attempt = string(id)
	return m, plain(m.Attempt)
}

// ErrMalformed is returned for a message that is none.
var ErrMalformed = errors.New("malformed message")

// DecodeToServer reads a message from a bench and what follows its first line.
func DecodeToServer(data []byte) (ToServer, []byte, error) {
	var m ToServer
	head, tail, _ := bytes.Cut(data, []byte{'\n'})
	if quick, ok := linesHead(head); ok {
		m = quick
	} else {
		d := json.NewDecoder(bytes.NewReader(head))
		d.DisallowUnknownFields()
		if err := d.Decode(&m); err != nil || d.More() {
			return m, nil, fmt.Errorf("%w: the first line is no message", ErrMalformed)
		}
	}
	switch m.Kind {
	case Begin:
	case Lines:
		if len(tail) == 0 || tail[len(tail)-1] != '\n' {
			return m, nil, fmt.Errorf("%w: the log lines are not whole", ErrMalformed)
		}
	case Actions:
		if len(m.Actions) == 0 || len(m.Actions) > MostInBatch {
			return m, nil, fmt.Errorf("%w: %d actions, expected 1 to %d", ErrMalformed, len(m.Actions), MostInBatch)
		}
	default:
		return m, nil, fmt.Errorf("%w: no kind %q", ErrMalformed, m.Kind)
	}
	if m.Kind != Lines && len(tail) > 0 {
		return m, nil, fmt.Errorf("%w: text after the message", ErrMalformed)
	}
	if m.First < 0 || m.First > 10_000_000 {
		return m, nil, fmt.Errorf("%w: entry %d", ErrMalformed, m.First)
	}
	return m, tail, nil
}
