package screens

import (
	"encoding/json"
	"fmt"

	"foilwright/internal/say"
	"foilwright/internal/store"
)

// Settings is what the trainee has chosen.
type Settings struct {
	Theme       string `json:"theme"` // "light", "dark", "contrast"
	TextPercent int    `json:"text"`
	LeftHanded  bool   `json:"leftHanded"`
	Mil         bool   `json:"mil"`
	PressOnce   bool   `json:"pressOnce"` // one press lowers, the next lifts
	NoHints     bool   `json:"noHints"`   // no coaching at practice
	Silent      bool   `json:"silent"`    // no sounds
	Still       bool   `json:"still"`     // nothing moves but the probe
	Seen        bool   `json:"seen"`      // the first minutes have been gone through or put away
}

var textSizes = []int{100, 125, 150, 175, 200}

func defaultSettings() Settings { return Settings{Theme: "light", TextPercent: 100} }

// readSettings reads the settings; what is missing or cannot be read is as at
// first, and the error says so.
func readSettings(s *store.Store) (Settings, error) {
	set := defaultSettings()
	data, err := s.ReadSettings()
	if err != nil || data == nil {
		return set, err
	}
	if err := json.Unmarshal(data, &set); err != nil {
		return defaultSettings(), fmt.Errorf("%s: %w", say.T("the settings in %s cannot be read and start afresh", s.Place()), err)
	}
	return set.mended(), nil
}

// mended puts values that no version of this program writes back in bounds.
func (s Settings) mended() Settings {
	if s.Theme != "dark" && s.Theme != "contrast" {
		s.Theme = "light"
	}
	s.TextPercent = max(100, min(200, s.TextPercent))
	return s
}

func (s Settings) write(to *store.Store) error {
	data, err := json.MarshalIndent(s, "", " ")
	if err != nil {
		return err
	}
	return to.WriteSettings(append(data, '\n'))
}
