// Package window opens the one window of the app, or fills the page in a browser, with what an App draws, and brings it
// all input with time stamps. It is the only package that imports ebiten. Start with Run.
//
// The frame is painted only when the display list changed, in one or two draw calls; an idle window costs little.
package window
