package window

import (
	"encoding/binary"
	"math"
	"syscall/js"

	"foilwright/internal/widgets"
)

// speaker gives the cues by the browser's own sound. A page may sound only after its user has done something on it, and
// some browsers have no sound at all: then it stays silent, and nothing else changes.
type speaker struct {
	context js.Value
	tones   [widgets.CueCount]js.Value
	broken  bool
}

func (s *speaker) give(c widgets.Cue) {
	if c == widgets.CueNone || s.broken {
		return
	}
	defer func() {
		if recover() != nil {
			s.broken = true
		}
	}()
	if s.context.IsUndefined() && !s.open() {
		return
	}
	if s.context.Get("state").String() == "suspended" {
		s.context.Call("resume")
	}
	if s.tones[c].IsUndefined() {
		s.tones[c] = s.load(tone(c))
	}
	source := s.context.Call("createBufferSource")
	source.Set("buffer", s.tones[c])
	source.Call("connect", s.context.Get("destination"))
	source.Call("start")
}

// open makes the page's sound once its user has done something.
func (s *speaker) open() bool {
	if active := js.Global().Get("navigator").Get("userActivation"); active.Truthy() && !active.Get("hasBeenActive").Bool() {
		return false
	}
	maker := js.Global().Get("AudioContext")
	if !maker.Truthy() {
		s.broken = true
		return false
	}
	s.context = maker.New()
	return true
}

// load brings samples to the browser.
func (s *speaker) load(samples []float32) js.Value {
	raw := make([]byte, 0, 4*len(samples))
	for _, x := range samples {
		raw = binary.LittleEndian.AppendUint32(raw, math.Float32bits(x))
	}
	bytes := js.Global().Get("Uint8Array").New(len(raw))
	js.CopyBytesToJS(bytes, raw)
	buffer := s.context.Call("createBuffer", 1, len(samples), toneRate)
	buffer.Call("copyToChannel", js.Global().Get("Float32Array").New(bytes.Get("buffer")), 0)
	return buffer
}
