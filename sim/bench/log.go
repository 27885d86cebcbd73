package bench

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// The log of an attempt is JSON Lines. The first line is the Header, each
// further line one entry. Every line carries the hash of the line before it,
// so that a changed, lost or reordered line shows.

// Format and FormatVersion name the log format this program writes and reads.
// PhysicsVersion changes whenever the same actions could give other readings.
const (
	Format         = "foilwright-log"
	FormatVersion  = 1
	PhysicsVersion = 6 // 2: a foil laid where one lies comes to lie on it; 3: pipes told from balls, edges of thin parts; 4, 5: edges of plates and walls; 6: iron at holes and steps, shorter sums
	maxLineBytes   = 1 << 20
)

// Header is the first line of a log.
type Header struct {
	Format   string `json:"format"`
	Version  int    `json:"version"`
	Physics  int    `json:"physics"`
	Exercise string `json:"exercise"`
	Digest   string `json:"digest"` // of the exercise
	Seed     uint64 `json:"seed,string"`
	Trainee  string `json:"trainee,omitempty"`
}

// NewHeader returns the header of a new attempt in a world.
func NewHeader(w *World, trainee string) Header {
	return Header{
		Format: Format, Version: FormatVersion, Physics: PhysicsVersion,
		Exercise: w.Exercise.ID, Digest: w.Exercise.Digest, Seed: w.Seed, Trainee: trainee,
	}
}

// line is an entry as it is written.
type line struct {
	N int `json:"n"`
	Action
	Events []Event `json:"ev,omitempty"`
	Prev   string  `json:"prev"`
}

// lineHash is the first 16 bytes of the SHA-256 of a line without its line feed.
func lineHash(b []byte) string {
	h := sha256.Sum256(b)
	return hex.EncodeToString(h[:16])
}

// Writer turns entries into the lines of a log.
type Writer struct{ prev string }

// Header returns the first line, its line feed included.
func (w *Writer) Header(h Header) ([]byte, error) { return w.seal(h) }

// Entry returns the line of an entry, its line feed included.
func (w *Writer) Entry(e Entry) ([]byte, error) {
	return w.seal(line{N: e.N, Action: e.Action, Events: e.Events, Prev: w.prev})
}

func (w *Writer) seal(v any) ([]byte, error) {
	b, err := json.Marshal(v)
	if err != nil {
		return nil, err
	}
	w.prev = lineHash(b)
	return append(b, '\n'), nil
}

// Log is a log as it was read: what the trainee did and what the log says was
// seen. Nothing in it has been replayed.
type Log struct {
	Header  Header
	Entries []Entry
	Writer  Writer // continues the hash chain where the log ends
	Whole   int64  // bytes up to the end of the last whole line
}

// LogError says what is wrong with a log, where, and what to do about it.
type LogError struct {
	File   string
	Line   int
	What   string
	Remedy string
	Torn   bool // the only fault is a last line that was not written to its end
}

func (e *LogError) Error() string {
	return fmt.Sprintf("%s:%d: %s; %s", e.File, e.Line, e.What, e.Remedy)
}

// ReadLog reads a log and checks its form and its hash chain. name is used in
// errors. A log whose last line was cut off is returned together with a
// *LogError whose Torn is set, so that an attempt can be resumed from it.
func ReadLog(name string, r io.Reader) (*Log, error) {
	data, err := io.ReadAll(r)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	fail := func(n int, what, remedy string) error {
		return &LogError{File: name, Line: n, What: what, Remedy: remedy}
	}
	const restore = "restore the file from a copy: a log cannot be mended once changed"
	if len(bytes.TrimSpace(data)) == 0 {
		return nil, fail(1, "the file is empty", "choose the log of an attempt")
	}
	l := &Log{}
	for n := 1; len(data) > 0; n++ {
		end := bytes.IndexByte(data, '\n')
		if end < 0 {
			if n == 1 {
				return nil, fail(n, "the first line was cut off", "nothing of the attempt is in this file; choose another")
			}
			return l, &LogError{
				File: name, Line: n, What: "the last line was cut off while it was written", Torn: true,
				Remedy: fmt.Sprintf("the %d entries before it are whole: mend a copy with \"foilwright-desk mend\"", len(l.Entries)),
			}
		}
		text := data[:end]
		data = data[end+1:]
		if len(text) > maxLineBytes {
			return nil, fail(n, "the line is longer than 1 MiB", restore)
		}
		if n == 1 {
			if err := l.readHeader(name, text); err != nil {
				return nil, err
			}
		} else if err := l.readEntry(name, n, text, restore); err != nil {
			return nil, err
		}
		l.Writer.prev = lineHash(text)
		l.Whole += int64(end) + 1
	}
	return l, nil
}

func (l *Log) readHeader(name string, text []byte) error {
	fail := func(what, remedy string) error { return &LogError{File: name, Line: 1, What: what, Remedy: remedy} }
	var probe struct {
		Format  string `json:"format"`
		Version int    `json:"version"`
		Physics int    `json:"physics"`
	}
	if err := json.Unmarshal(text, &probe); err != nil || probe.Format != Format {
		return fail(fmt.Sprintf("this is not a log of this program (format %q)", probe.Format), fmt.Sprintf("choose a file whose first line says \"format\":%q", Format))
	}
	if probe.Version != FormatVersion {
		return fail(fmt.Sprintf("unknown log version %d", probe.Version), fmt.Sprintf("this program reads version %d; open the log with the program that wrote it", FormatVersion))
	}
	if probe.Physics != PhysicsVersion {
		return fail(fmt.Sprintf("the log was made with physics version %d", probe.Physics), fmt.Sprintf("this program computes physics version %d and would give other readings; open the log with the program that wrote it", PhysicsVersion))
	}
	if err := strict(text, &l.Header); err != nil {
		return fail("the header is malformed: "+err.Error(), "restore the file from a copy")
	}
	return nil
}

func (l *Log) readEntry(name string, n int, text []byte, restore string) error {
	var e line
	fail := func(what string) error { return &LogError{File: name, Line: n, What: what, Remedy: restore} }
	if err := strict(text, &e); err != nil {
		return fail("the line is malformed: " + err.Error())
	}
	if e.Prev != l.Writer.prev {
		return fail("the hash chain breaks here: this line or the one before it was changed, lost or moved")
	}
	if e.N != len(l.Entries)+1 {
		return fail(fmt.Sprintf("entry number %d where %d was expected", e.N, len(l.Entries)+1))
	}
	l.Entries = append(l.Entries, Entry{N: e.N, Action: e.Action, Events: e.Events})
	return nil
}

// strict decodes one JSON value and refuses unknown keys and trailing text.
func strict(text []byte, v any) error {
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		return fmt.Errorf("%s", strings.TrimPrefix(err.Error(), "json: "))
	}
	if d.More() {
		return fmt.Errorf("more than one value on the line")
	}
	return nil
}

// Follow checks that a line, without its line feed, has the form in which
// entry n is written and continues the chain, and goes on from it. Whether it
// is true only a replay tells.
func (w *Writer) Follow(n int, text []byte) error {
	var room [32]byte // hundreds of benches send lines all the time: no garbage here
	head := append(strconv.AppendInt(append(room[:0], `{"n":`...), int64(n), 10), ',')
	rest, whole := bytes.CutSuffix(text, []byte(`"}`))
	rest, follows := bytes.CutSuffix(rest, []byte(w.prev))
	switch {
	case !bytes.HasPrefix(text, head):
		return fmt.Errorf("the line is not entry %d", n)
	case !whole || !follows || !bytes.HasSuffix(rest, []byte(`,"prev":"`)):
		return fmt.Errorf("entry %d does not follow the line before it", n)
	case !json.Valid(text):
		return fmt.Errorf("entry %d is malformed", n)
	}
	w.prev = lineHash(text)
	return nil
}
