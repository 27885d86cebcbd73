//go:build !js && !windows && !alsa

package window

import "foilwright/internal/widgets"

// speaker is silent: this build has no sound device.
type speaker struct{}

func (*speaker) give(widgets.Cue) {}
