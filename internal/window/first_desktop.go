//go:build !js

package window

// firstFrame has nobody to tell on a desktop.
func firstFrame() {}
