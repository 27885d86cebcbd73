//go:build windows || alsa

package window

import (
	"bytes"
	"encoding/binary"
	"math"

	"github.com/ebitengine/oto/v3"

	"foilwright/internal/widgets"
)

// speaker gives the cues by the machine's sound device. On Linux it is built in with the tag alsa, for it needs ALSA's
// headers. Where no device answers it stays silent, and nothing else changes.
type speaker struct {
	asked   bool
	context *oto.Context
	ready   chan struct{}
	player  *oto.Player
}

func (s *speaker) give(c widgets.Cue) {
	if c == widgets.CueNone {
		return
	}
	if !s.asked {
		s.asked = true
		context, ready, err := oto.NewContext(&oto.NewContextOptions{SampleRate: toneRate, ChannelCount: 1, Format: oto.FormatFloat32LE})
		if err != nil {
			return
		}
		s.context, s.ready = context, ready
	}
	if s.context == nil || s.context.Err() != nil {
		return
	}
	select {
	case <-s.ready:
	default:
		return // still waking up: this cue is left out
	}
	var raw []byte
	for _, x := range tone(c) {
		raw = binary.LittleEndian.AppendUint32(raw, math.Float32bits(x))
	}
	s.player = s.context.NewPlayer(bytes.NewReader(raw))
	s.player.Play()
}
